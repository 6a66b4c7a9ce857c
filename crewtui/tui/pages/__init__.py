"""Pages that take the whole screen."""
