"""The job file, the company rules, the steps and the hazards."""
