"""Which panes stand in front at a size of the screen: one, or three side by side."""

from __future__ import annotations

from typing import Final

from msgspec import Struct

from crewtui.tui.keys.commands import PaneName

LEAST_COLUMNS: Final = 60
LEAST_ROWS: Final = 20
"""In a smaller window nothing is shown but that it is too small."""
WIDE_FROM: Final = 110
"""Columns from which every anchor stands on a line of its own, and a drawing beside the figures."""
TALL_FROM: Final = 30
"""Rows from which more lines say what the row under the cursor means."""
DRAWN_FROM: Final = 24
"""Rows from which the wall is drawn over its findings; below, its page draws it."""
LEAST_TAPE: Final = 18
"""Columns without which the pit's tape does not stand beside the steps."""
LEAST_DRAWING: Final = 40
"""Columns without which no section stands beside the figures."""
_BORDER: Final = 1


def too_small(columns: int, rows: int) -> bool:
    """Whether a window of that size shows nothing whole."""
    return columns < LEAST_COLUMNS or rows < LEAST_ROWS


class Arrangement(Struct, frozen=True, kw_only=True):
    """What is in sight beside the pane in front."""

    anchors: bool
    """Whether every anchor stands on one line over the tabs."""
    beside: int
    """Columns of the drawings beside the pane in front; 0 for none."""
    elevation: bool
    """Whether the wall is drawn over its findings."""
    words: int
    """Lines of words about the row under the cursor."""


def arrange(front: PaneName, *, columns: int, rows: int, needs: int) -> Arrangement:
    """Return what is in sight on a screen of that many columns and rows.

    ``needs`` is the width that the words of the pane in front take; what is left goes to the drawing.
    """
    left = columns - needs - _BORDER
    least = {"steps": LEAST_TAPE, "figures": LEAST_DRAWING}.get(front)
    return Arrangement(
        anchors=columns >= WIDE_FROM and front != "anchors",
        beside=left if least is not None and left >= least else 0,
        elevation=front == "wall" and rows >= DRAWN_FROM,
        words=2 if rows < TALL_FROM else 4,
    )
