"""What of an anchor's figures holds its steps, and what would make it go away."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.state.facts import FigureHold
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.trade.tightening.torque import GOVERNS
from crewtui.units import show_length

_LONGEST_ID: Final = 64
GEOMETRY: Final = ("the geometry of the aim", "common practice, no source")
ZONE: Final = ("CGA Best Practices 5.19; 29 CFR 1926.651(b)", "published (reprint)")
IN_ZONE: Final = (
    "Dig by hand to the line and enter its depth as exposed, or have somebody with a name say that the"
    " tolerance zone is dug by hand."
)
ON_LINE: Final = "Set the pit elsewhere, or have somebody of the line's owner, by name, say how."
TIGHTENING: Final = ("first tightening", "second tightening")


def holds_of(figures: AnchorFigures, state: DayState, now: AnchorNow) -> tuple[FigureHold, ...]:
    """Return what the figures hold. A drop that is missing is held on its own, by what is measured."""
    return (
        *_aim(figures),
        *_pit_in_zone(figures, state),
        *_lines(figures, now),
        *_couplings(figures),
        *_torque(figures),
    )


def _aim(figures: AnchorFigures) -> Iterator[FigureHold]:
    window, aim = figures.window, figures.aim
    source, mark = GEOMETRY
    if window is not None and not window.open:
        yield FigureHold(
            id="no-window",
            text=window.refused,
            why="A hole drilled for no depth that serves is a hole in the wall for nothing.",
            steps=("drill",),
            release=f"What would mend it: {'; or '.join(window.mends)}.",
            source=source,
            mark=mark,
        )
    elif aim is not None and not aim.possible:
        yield FigureHold(
            id="not-downhill",
            text=aim.refused,
            why="Water runs along a rod that rises, and it comes up out of the ground.",
            steps=("drill", "drive"),
            release="Set another aim, mark or pit.",
            source=source,
            mark=mark,
        )


def _pit_in_zone(figures: AnchorFigures, state: DayState) -> Iterator[FigureHold]:
    """Yield a hold for each tolerance zone that the pit touches, until the line is exposed.

    A pit on the line itself stays held: laid bare, the line still runs through it. The place is part of the
    id, so that one set aside here is asked again at another place.
    """
    if figures.lines is None:
        return
    source, mark = ZONE
    at = show_length(figures.lines.pit.setback_in, state.job.job.units)
    for verdict in figures.lines.pits:
        exposed = verdict.line.name in figures.lines.exposed
        if not verdict.in_zone or (exposed and not verdict.on_line):
            continue
        yield FigureHold(
            id=f"zone at {at}: {verdict.line.name}"[:_LONGEST_ID],
            text=verdict.words,
            why="An auger or a bar finds a line before anybody sees it.",
            steps=("pit",),
            release=ON_LINE if verdict.on_line else IN_ZONE,
            override="with a name and reason",
            source=source,
            mark=mark,
        )


def _lines(figures: AnchorFigures, now: AnchorNow) -> Iterator[FigureHold]:
    if figures.lines is None:
        return
    source, mark = ZONE
    clears = "; or ".join(way.words for way in figures.lines.clearings)
    for verdict in figures.lines.lines:
        if not verdict.holds:
            continue
        expose = "Expose it by hand and enter its depth" if verdict.clearance_in is None else ""
        other = f"aim where every line is clear: {clears}" if clears else "call the office"
        release = f"{expose}, or {other}." if expose else f"{other[0].upper()}{other[1:]}."
        yield FigureHold(
            id=line_hold_id(now.id, verdict.line.name),
            text=verdict.words,
            why="A rod is driven blind, and may run anywhere in its band.",
            steps=("drive",),
            release=release,
            source=source,
            mark=mark,
        )


def line_hold_id(anchor: str, line: str) -> str:
    """Return the id of the hold of the drive at an anchor by a line."""
    return f"line at {anchor}: {line}"[:_LONGEST_ID]


def _couplings(figures: AnchorFigures) -> Iterator[FigureHold]:
    rod = figures.rod
    if rod is None or rod.coupling_way.passes_hole:
        return
    yield FigureHold(
        id="coupling-passes",
        text=rod.coupling_way.warnings[0],
        why="A coupling that stops in the wall leaves half a rod that goes neither in nor out.",
        steps=("drive",),
        release=f"Take {'; or '.join(rod.mends)}." if rod.mends else "Take a smaller coupling.",
        source="plane geometry of hole and coupling; the maker's sheet governs",
        mark="common practice, no source",
    )


def _torque(figures: AnchorFigures) -> Iterator[FigureHold]:
    tension = figures.tension
    if tension is None or tension.verdict != "hold":
        return
    yield FigureHold(
        id="torque",
        text=tension.words,
        why=f"Past its yield a rod stretches for good. {GOVERNS}",
        steps=TIGHTENING,
        release="Enter the torque that the plan or the office gives for this rod.",
        source="ASME B1.1; Shigley, 9th ed., Table 8-15",
        mark="published",
    )
