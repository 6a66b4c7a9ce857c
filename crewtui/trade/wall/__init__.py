"""The wall: where anchors sit, where blocks and joints lie, how it is read and compared."""
