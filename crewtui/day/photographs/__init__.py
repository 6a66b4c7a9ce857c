"""Pictures of the job: read from a card, placed by their time, kept beside the record by their hash."""
