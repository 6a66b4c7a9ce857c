"""Every key, once, and which panes stand where."""
