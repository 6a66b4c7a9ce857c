"""The arithmetic: pure functions of plain floats, frozen results, one file a subject."""
