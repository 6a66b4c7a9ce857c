"""Papers: the plan, the owner's sheet and their drawings."""
