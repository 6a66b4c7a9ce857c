"""Questions that are asked back."""
