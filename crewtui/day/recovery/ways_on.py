"""What now, when the rod is through: how it ran, every way on, and the entry that a choice makes.

Headless: a screen shows the sheet, hands back texts, and carries the chosen entry out.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from msgspec import Struct

from crewtui import units
from crewtui.day.figures.of_anchor import AnchorFigures, figures_for
from crewtui.day.figures.wall_drift import rods_on
from crewtui.day.journal import entries as e
from crewtui.day.recovery.site_of_miss import day_way, recover, search
from crewtui.day.state.state import DayState
from crewtui.trade.aim.drift import Drift, show_drift, what_stands_behind
from crewtui.trade.recovery.ways import Found, Recovery, Way
from crewtui.units import UnitSystem, show_angle, show_length, show_share

DEPTH, SIDE, HELD, SEEN, LEFT_OUT = "depth", "side", "held", "seen", "left out"
MIDDLE, TOP = "middle", "top"
FIRST_ASKED: Final = (DEPTH, SIDE, HELD)
"""What is typed at every rod; the rest only where there is something to say."""

_LABELS: Final[Mapping[str, str]] = {
    DEPTH: "Depth found, below the sod line",
    SIDE: "Off the pit's middle, right is plus",
    HELD: "Angle as it was really held",
    SEEN: "Angle seen in the pit, if read",
    LEFT_OUT: "A rock? Leave its drift out, because",
}


class Asked(Struct, frozen=True, kw_only=True):
    """One thing typed: what it is, what is used now, and what is wrong with what was typed."""

    key: str
    label: str
    text: str
    note: str
    fault: str = ""


class Fact(Struct, frozen=True, kw_only=True):
    """One line on how the rod ran."""

    label: str
    text: str
    tone: str = "plain"


class WayOn(Struct, frozen=True, kw_only=True):
    """One way on as a line, with all that there is to say of it."""

    key: str
    label: str
    mark: str
    tone: str
    note: str
    lines: tuple[tuple[str, str], ...]
    given: Mapping[str, Any] | None
    """What the day's ``attempt_drive`` takes besides the anchor; None where it cannot be done here."""


class RodOnWall(Struct, frozen=True, kw_only=True):
    """A rod that the wall's drift rests on, or not."""

    anchor: str
    n: int
    """Number of the entry that says where it came up."""
    text: str
    why_not: str
    """Why it does not count; empty where it does."""
    may_count: bool
    """Whether only the lead's own word keeps it out."""


class WhatNowSheet(Struct, frozen=True, kw_only=True):
    """Everything that the screen shows."""

    asked: tuple[Asked, ...]
    facts: tuple[Fact, ...]
    ways: tuple[WayOn, ...]
    first: str
    """Key of the way that stands first; empty where none is figured yet."""
    drift: Drift
    drift_words: str
    drift_used: bool
    rods: tuple[RodOnWall, ...]
    recovery: Recovery | None


def what_now(
    state: DayState,
    anchor: str,
    texts: Mapping[str, str],
    *,
    measured_to: str = MIDDLE,
    not_found: bool = False,
    at_stop_mark: bool | None = None,
) -> WhatNowSheet:
    """Return the sheet for what was typed so far; a text that cannot be read is a sentence on its line."""
    figures = figures_for(state, anchor)
    values, faults = _read(texts, state.job.job.units)
    held = values.get(HELD, _held(state, anchor, figures))
    recovery: Recovery | None = None
    facts: tuple[Fact, ...] = ()
    ways: tuple[WayOn, ...] = ()
    found: Found | None = None
    if held is None:
        faults.setdefault(HELD, "At which angle was it held? The way on rests on it.")
    elif not_found:
        facts, ways = _not_found(state, anchor, held, at_stop_mark=at_stop_mark)
    elif DEPTH in values:
        found = Found(
            depth_in=values[DEPTH],
            held_angle_deg=held,
            measured_to="top" if measured_to == TOP else "middle",
            side_offset_in=values.get(SIDE, 0.0),
            seen_angle_deg=values.get(SEEN),
        )
        try:
            recovery = recover(state, anchor, found)
        except ValueError as error:
            faults[_faulty(str(error))] = str(error)
        else:
            facts = _facts(recovery, state.job.job.units)
            left_out = texts.get(LEFT_OUT, "").strip()
            ways = tuple(
                _way(recovery, way, n, left_out=left_out, units_system=state.job.job.units)
                for n, way in enumerate(recovery.ways)
            )
            if recovery.search is not None:
                _, searching = _not_found(state, anchor, held, at_stop_mark=at_stop_mark)
                ways = (*searching, *ways)
    drift = figures.drift
    assert drift is not None  # noqa: S101 - every anchor stands on a wall, and each wall has its drift
    choice = state.shared.drift.get(state.anchors[anchor].wall)
    return WhatNowSheet(
        asked=_asked(texts, faults, held, measured_to, state.job.job.units),
        facts=facts,
        ways=ways,
        first=next((way.key for way in ways if way.given is not None), ways[0].key if ways else ""),
        drift=drift,
        drift_words=_drift_words(drift, figures),
        drift_used=choice is not None and choice.on,
        rods=_rods(state, state.anchors[anchor].wall),
        recovery=recovery,
    )


def _rods(state: DayState, wall: str) -> tuple[RodOnWall, ...]:
    return tuple(
        RodOnWall(
            anchor=drive.anchor,
            n=n,
            text=f"ran {show_drift(drive.drift_deg)}",
            why_not=drive.why_not,
            may_count=bool(drive.left_out_reason),
        )
        for n, drive in rods_on(state, wall)
    )


def _faulty(sentence: str) -> str:
    """Return the line that a refusal belongs to."""
    words = sentence.lower()
    if "side" in words or "beyond" in words:
        return SIDE
    if "held" in words:
        return HELD
    return SEEN if "seen" in words else DEPTH


def _read(texts: Mapping[str, str], system: UnitSystem) -> tuple[dict[str, float], dict[str, str]]:
    bare: units.LengthUnit = "mm" if system == "metric" else "in"
    values: dict[str, float] = {}
    faults: dict[str, str] = {}
    for key in (DEPTH, SIDE, HELD, SEEN):
        text = texts.get(key, "")
        if not text.strip():
            continue
        try:
            is_angle = key in {HELD, SEEN}
            values[key] = units.read_angle(text) if is_angle else units.read_length(text, bare=bare)
        except units.UnreadableError as error:
            faults[key] = str(error)
    return values, faults


def _held(state: DayState, anchor: str, figures: AnchorFigures) -> float | None:
    measured = state.anchors[anchor].value("held_angle_deg")
    return measured if measured is not None else figures.held_angle_deg


def _asked(
    texts: Mapping[str, str],
    faults: Mapping[str, str],
    held: float | None,
    measured_to: str,
    system: UnitSystem,
) -> tuple[Asked, ...]:
    unit = "mm" if system == "metric" else "in"
    notes = {
        DEPTH: f"{unit}, to the rod's {measured_to}",
        SIDE: f"{unit}; nothing typed is 0",
        HELD: "degrees; the one to hold, unless typed",
        SEEN: "degrees; a bent rod may be rising",
        LEFT_OUT: "only with a reason",
    }
    shown = {HELD: show_angle(held) if held is not None else "", SIDE: f"0 {unit}"}
    return tuple(
        Asked(
            key=key,
            label=label,
            text=texts.get(key, "") or shown.get(key, ""),
            note=notes[key],
            fault=faults.get(key, ""),
        )
        for key, label in _LABELS.items()
    )


def _facts(recovery: Recovery, system: UnitSystem) -> tuple[Fact, ...]:
    ran, window = recovery.ran, recovery.window
    found = [
        Fact(label="No straight rod ran so: check first", text=text, tone="held") for text in ran.check_first
    ]
    drift = show_drift(ran.drift_deg)
    found.append(Fact(label="It ran at", text=f"{show_angle(ran.angle_deg)}, {drift} of the angle held"))
    if ran.deep_enough:
        found.append(
            Fact(label="Deep enough", text=f"yes, least {show_length(window.least_in, system)}", tone="done")
        )
    else:
        fine = units.show_length_fine(ran.depth_in, window.least_in, system)
        text = f"no: {fine} is short of {units.show_length_fine(window.least_in, ran.depth_in, system)}"
        found.append(Fact(label="Deep enough", text=text, tone="held"))
    fits = (
        "yes"
        if ran.plate_fits
        else "no: " + ("too deep for this pit" if not ran.fits_depth else "too far aside")
    )
    found.append(Fact(label="Plate fits this pit", text=fits, tone="done" if ran.plate_fits else "held"))
    found += [Fact(label="Mind", text=text, tone="deviation") for text in recovery.warnings]
    return tuple(found)


def _way(recovery: Recovery, way: Way, number: int, *, left_out: str, units_system: UnitSystem) -> WayOn:
    mark, tone = (
        ("no", "quiet") if not way.possible else (("fits", "done") if way.sure else ("may", "deviation"))
    )
    lines: list[tuple[str, str]] = [("plain", way.words)]
    if way.why_not:
        lines.insert(0, ("held", f"Cannot be done here: {way.why_not}"))
    lines += [("deviation", text) for text in way.cautions]
    lines += [("deviation", f"The deeper pit switches on: {text}") for text in way.switched_on]
    lines.append(("quiet", f"Stands here for: {way.place}."))
    given: dict[str, Any] | None = None
    if way.possible:
        given = {**_given(recovery, left_out=left_out), "way": day_way(way)}
    return WayOn(
        key=f"way {number}",
        label=way.kind
        if way.held_angle_deg is None
        else f"{way.kind}, hold {show_angle(way.held_angle_deg)}",
        mark=mark,
        tone=tone,
        note=way.why_not or _short(way, units_system),
        lines=tuple(lines),
        given=given,
    )


def _given(recovery: Recovery, *, left_out: str) -> dict[str, Any]:
    found, ran = recovery.found, recovery.ran
    return {
        "depth_found_in": ran.depth_in,
        "held_angle_deg": found.held_angle_deg,
        "side_offset_in": found.side_offset_in,
        "angle_in_pit_deg": found.seen_angle_deg,
        "straight": ran.straight,
        "left_out_reason": left_out,
    }


def _short(way: Way, system: UnitSystem) -> str:
    lands = _lands(way, system)
    return lands or way.place


def _lands(way: Way, system: UnitSystem) -> str:
    chance, repeats = way.lands_if_chance_in, way.lands_if_drift_repeats_in
    if chance is None or repeats is None:
        return ""
    if not way.new_drive:
        return f"The rod stands at {show_length(chance, system)}."
    share = f"; {show_share(way.share)} inside" if way.share is not None else ""
    one, other = (show_length(depth_in, system) for depth_in in sorted((chance, repeats)))
    return f"lands at {one} to {other}{share}"


def _not_found(
    state: DayState, anchor: str, held: float, *, at_stop_mark: bool | None
) -> tuple[tuple[Fact, ...], tuple[WayOn, ...]]:
    try:
        found = search(state, anchor, held, at_stop_mark=at_stop_mark)
    except ValueError as error:
        return (Fact(label="Search", text=str(error), tone="held"),), ()
    facts = tuple(Fact(label="Search", text=text) for text in found.words)
    words = "Search from the rim with hand tools, nobody in the pit"
    way = WayOn(
        key="search",
        label="search by hand",
        mark="do",
        tone="coming",
        note="kept as an attempt: not found",
        lines=tuple(("plain", text) for text in found.words),
        given={
            "depth_found_in": None,
            "held_angle_deg": held,
            "way": e.Way(kind="search", words=words),
        },
    )
    return facts, (way,)


def _drift_words(drift: Drift, figures: AnchorFigures) -> str:
    lands = f" {figures.next_rod.words}" if figures.next_rod is not None and drift.used else ""
    return lands.strip() or what_stands_behind(drift)
