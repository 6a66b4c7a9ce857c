"""The figures of an anchor, worked out of the state."""
