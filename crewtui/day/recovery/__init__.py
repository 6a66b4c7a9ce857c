"""The ways on after a rod that came up wrong, with this day's figures."""
