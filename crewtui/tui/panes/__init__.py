"""The panes of the day's screen, a file each."""
