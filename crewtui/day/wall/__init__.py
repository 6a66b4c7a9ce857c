"""What the day knows of a wall: its findings and its readings."""
