"""Data that hold for every job: steps, hazards, rules, the names of conditions."""
