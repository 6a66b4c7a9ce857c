"""The truck: the cut list of the whole job, and what is loaded."""
