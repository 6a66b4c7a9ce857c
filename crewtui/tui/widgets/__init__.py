"""The parts of which panes and pages are made."""
