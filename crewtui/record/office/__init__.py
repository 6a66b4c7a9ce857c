"""What the office does with many records and with a plan."""
