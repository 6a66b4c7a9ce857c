"""Which panes stand in front at a size of the screen: one, or three side by side."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from crewtui.tui.keys.commands import PaneName

LEAST_COLUMNS: Final = 60
LEAST_ROWS: Final = 20
"""In a smaller window nothing is shown but that it is too small."""
WIDE_FROM: Final = 110
"""Columns from which three panes stand side by side."""
TALL_FROM: Final = 30
"""Rows from which the section is drawn below the figures too."""
DRAWN_FROM: Final = 24
"""Rows from which the wall is drawn over its findings; below, its page draws it."""
IN_MAIN: Final[frozenset[PaneName]] = frozenset({"steps", "rods", "hazards", "wall", "day", "record"})
"""Panes that share the middle column."""
_WHOLE: Final[frozenset[PaneName]] = frozenset({"ground", "wall"})
"""Panes that take the figures' room too."""


def too_small(columns: int, rows: int) -> bool:
    """Whether a window of that size shows nothing whole."""
    return columns < LEAST_COLUMNS or rows < LEAST_ROWS


class Arrangement(Struct, frozen=True, kw_only=True):
    """What is in sight."""

    wide: bool
    shown: frozenset[PaneName]
    elevation: bool
    """Whether the wall is drawn over its findings."""

    @property
    def main(self) -> bool:
        """Whether the middle column has anything in it."""
        return bool(self.shown & IN_MAIN)

    @property
    def side(self) -> bool:
        """Whether the last column has anything in it."""
        return bool(self.shown & {"figures", "ground"})


def arrange(front: PaneName, *, columns: int, rows: int) -> Arrangement:
    """Return what is in sight with that pane in front, on a screen of that many columns and rows."""
    wide = columns >= WIDE_FROM
    shown: set[PaneName] = {front}
    if wide:
        shown.add("anchors")
        if front not in _WHOLE:
            shown |= {front if front in IN_MAIN else "steps", "figures"}
            if rows >= TALL_FROM:
                shown.add("ground")
    return Arrangement(wide=wide, shown=frozenset(shown), elevation="wall" in shown and rows >= DRAWN_FROM)
