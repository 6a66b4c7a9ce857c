"""The working day: entries, journal, the state they add up to, what is open and what is held."""
