"""The truck on this day: the cut list, the load-out, the rods as they lie."""
