"""What the entries add up to: the values as they stand, and which conditions are true."""
