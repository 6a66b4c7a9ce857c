"""One open day: every intent that a screen may send."""
