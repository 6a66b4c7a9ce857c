"""The completion record: built, put in one form, signed, verified, chained."""
