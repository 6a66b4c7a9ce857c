"""A rod that came up wrong: how it ran, and every way on."""
