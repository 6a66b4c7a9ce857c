"""The job file: its model, how it is read, and what is said of what is wrong in it."""
