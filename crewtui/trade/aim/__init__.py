"""Aiming: where a rod at an angle arrives, the window to hit, drift, and play in the hole."""
