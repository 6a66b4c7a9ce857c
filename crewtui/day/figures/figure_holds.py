"""What of an anchor's figures holds its steps, and what would make it go away."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from hashlib import sha256
from typing import Any, Final

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.state.hold import Hold
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.trade.ground.line_verdict import LineVerdict
from crewtui.trade.tightening.torque import GOVERNS
from crewtui.units import show_length

_LONGEST_ID: Final = 64
_DIGEST: Final = 8
GEOMETRY: Final = ("the geometry of the aim", "common practice, no source")
ZONE: Final = ("CGA Best Practices 5.19 and 5.20; 29 CFR 1926.651(b)", "published (reprint)")
WATCH: Final = (
    "20 VAC 5-309-150 (6) and (8), one state's rule for trenchless work; CGA Best Practices 5.29",
    "published (reprint)",
)
YARD: Final = ("the geometry of the yard's plan", "common practice, no source")
IN_ZONE: Final = (
    "Dig to the line by hand or by vacuum, as its owner allows, and type its depth here; or have somebody"
    " with a name say that the whole zone is dug so."
)
ON_LINE: Final = "Set the pit elsewhere, or have somebody of the line's owner, by name, say how."
TIGHTENING: Final = ("first tightening", "second tightening")


def holds_of(figures: AnchorFigures, state: DayState, now: AnchorNow) -> tuple[Hold, ...]:
    """Return what the figures hold. A drop that is missing is held on its own, by what is measured."""
    return (
        *_aim(figures, now),
        *_pit_in_zone(figures, state, now),
        *_lines(figures, now),
        *_yard(figures, state, now),
        *_couplings(figures, now),
        *_torque(figures, now),
    )


def _hold(now: AnchorNow, **given: Any) -> Hold:
    return Hold(held_by="figures", anchor=now.id, **given)


def _aim(figures: AnchorFigures, now: AnchorNow) -> Iterator[Hold]:
    window, aim = figures.window, figures.aim
    source, mark = GEOMETRY
    if window is not None and not window.open:
        yield _hold(
            now,
            id="no-window",
            text=window.refused,
            why="A hole drilled for no depth that serves is a hole in the wall for nothing.",
            steps=("drill",),
            way_on=f"What would mend it: {'; or '.join(window.mends)}.",
            source=source,
            mark=mark,
        )
    elif aim is not None and not aim.possible:
        yield _hold(
            now,
            id="not-downhill",
            text=aim.refused,
            why="Water runs along a rod that rises, and it comes up out of the ground.",
            steps=("drill", "drive"),
            way_on="Set another aim, mark or pit.",
            source=source,
            mark=mark,
        )


def _pit_in_zone(figures: AnchorFigures, state: DayState, now: AnchorNow) -> Iterator[Hold]:
    """Yield a hold for each tolerance zone that the pit touches, until the line is exposed there.

    A pit on the line itself stays held: laid bare, the line still runs through it. The place is part of the
    id, so that one set aside here is asked again at another place.
    """
    if figures.lines is None:
        return
    source, mark = ZONE
    at = _place(figures, state, now)
    for verdict in figures.lines.pits:
        if not verdict.in_zone or (verdict.exposed and not verdict.on_line):
            continue
        yield _hold(
            now,
            id=_named(f"zone at {at}", verdict.line.name),
            text=verdict.words,
            why="An auger or a bar finds a line before anybody sees it.",
            steps=("pit",),
            way_on=ON_LINE if verdict.on_line else IN_ZONE,
            override="with a name and reason",
            source=source,
            mark=mark,
            line=verdict.line.name,
        )


def _place(figures: AnchorFigures, state: DayState, now: AnchorNow) -> str:
    """Return where the pit lies, in words: its set-back, and where it was moved its place along the wall."""
    system, at = state.job.job.units, figures.inputs
    out = show_length(at.number("setback_in"), system)
    moved = now.planned is not None and at.known("along_in") != now.planned.along_in
    return f"{out}, {show_length(at.number('along_in'), system)} along" if moved else out


def _lines(figures: AnchorFigures, now: AnchorNow) -> Iterator[Hold]:
    if figures.lines is None:
        return
    source, mark = ZONE
    clears = "; or ".join(way.words for way in figures.lines.clearings)
    for verdict in figures.lines.lines:
        if verdict.watched:
            yield _watched(verdict, figures, now)
        if not verdict.holds:
            continue
        ways = []
        if verdict.bare:
            ways.append("expose it there and type its depth here")
        if verdict.too_near:
            ways.append(f"aim where every line is clear: {clears}" if clears else "call the office")
        release = ", or ".join(ways)
        yield _hold(
            now,
            id=line_hold_id(now.id, verdict.line.name),
            text=verdict.words,
            why="A mark is not the line, and a rod is driven blind: it may run anywhere in its band.",
            steps=("drive",),
            way_on=f"{release[0].upper()}{release[1:]}.",
            source=source,
            mark=mark,
            line=verdict.line.name,
        )


def _watched(verdict: LineVerdict, figures: AnchorFigures, now: AnchorNow) -> Hold:
    """Return that a line laid bare is watched as the rod passes it: asked for each drive and each aim."""
    at, band, place = figures.inputs, verdict.band, verdict.passing[0]
    deep_in = verdict.depth_in or 0.0
    side = "under" if place.rod_least_in >= deep_in else "over" if place.rod_greatest_in <= deep_in else "by"
    driven = (
        f"{len(now.settled) + 1} {band.held_deg:.1f} {band.section.mark_depth_in:.1f}"
        f" {at.number('along_in'):.0f} {at.number('setback_in'):.0f}"
    )
    source, mark = WATCH
    return _hold(
        now,
        id=_named(f"watch {driven}", verdict.line.name),
        text=f"The rod passes {side} {verdict.line.called}, laid bare: the hole stays open, and somebody"
        " watches the line as the rod passes.",
        why="Where the rod runs is seen only in the hole; who watches calls stop before it comes near.",
        steps=("drive",),
        way_on="See that the hole is open and who watches is there and heard; then sign with your initials.",
        release="check",
        source=source,
        mark=mark,
        line=verdict.line.name,
    )


def _yard(figures: AnchorFigures, state: DayState, now: AnchorNow) -> Iterator[Hold]:
    """Yield what stands in the way of pit or rod, and rods of other walls: known before anything is dug."""
    yard = figures.yard
    if yard is None:
        return
    source, mark = YARD
    place = f"{now.id}, {_place(figures, state, now)}"
    way_on = _ways_on(yard.clears or ("set the pit or the mark elsewhere",))
    pit_way_on = _ways_on([way.words for way in yard.clearings] or ["set the pit elsewhere"])
    for number, words in enumerate(yard.pits):
        yield _hold(
            now,
            id=_named(f"pit in the ground at {place}", str(number)),
            text=words,
            why="An auger breaks a drain and loosens what a footing stands on.",
            steps=("pit",),
            way_on=pit_way_on,
            override="with a name and reason",
            source=source,
            mark=mark,
            yard=True,
        )
    for key, words in (
        *((one.thing.name, one.words) for one in yard.things if one.holds),
        *((f"rod of {one.other}", one.words) for one in yard.rods if one.holds),
    ):
        yield _hold(
            now,
            id=_named(f"in the way at {place}", key),
            text=words,
            why="A rod is driven blind: it may run anywhere in its band, and stops or bends on what is hard.",
            steps=("pit", "drill", "drive"),
            way_on=way_on,
            override="with a name and reason",
            source=source,
            mark=mark,
            yard=True,
        )


def _ways_on(ways: Sequence[str]) -> str:
    said = "; or ".join(ways)
    return f"{said[0].upper()}{said[1:]}; or have the engineer, by name, say how."


def line_hold_id(anchor: str, line: str) -> str:
    """Return the id of the hold of the drive at an anchor by a line."""
    return _named(f"line at {anchor}", line)


def _named(prefix: str, line: str) -> str:
    """Return an id that two lines never share, however long their names are."""
    whole = f"{prefix}: {line}"
    if len(whole) <= _LONGEST_ID:
        return whole
    digest = sha256(line.encode()).hexdigest()[:_DIGEST]
    return f"{whole[: _LONGEST_ID - _DIGEST - 1]}~{digest}"


def _couplings(figures: AnchorFigures, now: AnchorNow) -> Iterator[Hold]:
    rod = figures.rod
    if rod is None or rod.coupling_way.passes_hole:
        return
    yield _hold(
        now,
        id="coupling-passes",
        text=rod.coupling_way.warnings[0],
        why="A coupling that stops in the wall leaves half a rod that goes neither in nor out.",
        steps=("drive",),
        way_on=f"Take {'; or '.join(rod.mends)}." if rod.mends else "Take a smaller coupling.",
        source="plane geometry of hole and coupling; the maker's sheet governs",
        mark="common practice, no source",
    )


def _torque(figures: AnchorFigures, now: AnchorNow) -> Iterator[Hold]:
    tension = figures.tension
    if tension is None or tension.verdict != "hold":
        return
    yield _hold(
        now,
        id="torque",
        text=tension.words,
        why=f"Past its yield a rod stretches for good. {GOVERNS}",
        steps=TIGHTENING,
        way_on="Enter the torque that the plan or the office gives for this rod.",
        source="ASME B1.1; Shigley, 9th ed., Table 8-15",
        mark="published",
    )
