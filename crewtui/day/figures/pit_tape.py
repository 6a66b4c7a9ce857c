"""The pit of one anchor as a tape down its side: where the rod must be, where it is, and what is typed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final, Literal

from msgspec import Struct

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.state.state import AnchorNow
from crewtui.units import UnitSystem

MarkKind = Literal["sod", "frost", "least", "aim", "greatest", "floor", "earlier", "found", "typed"]
WORDS: Final[dict[MarkKind, str]] = {
    "sod": "sod line",
    "frost": "frost",
    "least": "least",
    "aim": "aim",
    "greatest": "greatest",
    "floor": "floor",
    "earlier": "drive",
    "found": "rod",
    "typed": "typed",
}
_OVER_IN: Final = 4.0
"""So much of the pit is shown over the highest mark."""
_FROM_SOD_IN: Final = 12.0
"""A tape that would begin so near the sod line begins there."""


class TapeMark(Struct, frozen=True, kw_only=True):
    """One line across the tape."""

    kind: MarkKind
    depth_in: float
    """Below the sod line at the pit's house side."""
    word: str


class PitTape(Struct, frozen=True, kw_only=True):
    """Everything that the tape shows, from the top down."""

    anchor: str
    marks: tuple[TapeMark, ...]
    top_in: float
    bottom_in: float
    system: UnitSystem


def pit_tape(
    figures: AnchorFigures, now: AnchorNow, system: UnitSystem, *, typed_in: float | None = None
) -> PitTape:
    """Return the tape of an anchor's pit; ``typed_in`` is a depth of the rod that is being typed."""
    marks = tuple(sorted(_marks(figures, now, typed_in), key=lambda mark: mark.depth_in))
    depths = [mark.depth_in for mark in marks]
    top_in = max(0.0, min(depths, default=0.0) - _OVER_IN)
    if top_in <= _FROM_SOD_IN:
        top_in = 0.0
        marks = (TapeMark(kind="sod", depth_in=0.0, word=WORDS["sod"]), *marks)
    return PitTape(
        anchor=now.id, marks=marks, top_in=top_in, bottom_in=max(depths, default=_FROM_SOD_IN), system=system
    )


def _marks(figures: AnchorFigures, now: AnchorNow, typed_in: float | None) -> Iterator[TapeMark]:
    window = figures.window
    least_in = window.shallowest_in if window is not None else None
    if least_in is None and figures.least is not None:
        least_in = figures.least.value_in
    found_in = now.value("depth_found_in")
    plain: tuple[tuple[MarkKind, float | None], ...] = (
        ("frost", figures.inputs.known("frost_depth_in")),
        ("least", least_in),
        ("aim", figures.aim_depth_in),
        ("greatest", figures.greatest_in),
        ("floor", figures.inputs.known("pit_depth_in")),
        ("found", found_in),
        ("typed", typed_in),
    )
    for kind, depth_in in plain:
        if depth_in is not None and depth_in > 0:
            yield TapeMark(kind=kind, depth_in=depth_in, word=WORDS[kind])
    for number, drive in enumerate(now.drives, start=1):
        if drive.depth_found_in is not None and drive.depth_found_in != found_in:
            yield TapeMark(kind="earlier", depth_in=drive.depth_found_in, word=f"{WORDS['earlier']} {number}")
