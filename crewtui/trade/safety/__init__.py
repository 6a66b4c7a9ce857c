"""Limits that guard people: dust and noise, lifting, the ticket's clock."""
