"""A house over the years: its records in order, their readings side by side, the next visit."""
