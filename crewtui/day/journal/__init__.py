"""What happened, entry by entry, and the file that keeps it."""
