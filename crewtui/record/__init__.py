"""The completion record: build, canonical form, sign, verify, sheets."""
