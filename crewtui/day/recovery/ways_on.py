"""What now, when the rod is through: how it ran, every way on, and the entry that a choice makes.

Headless: a screen shows the sheet, hands back texts, and carries the chosen entry out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import replace

from crewtui import units
from crewtui.day.figures.of_anchor import AnchorFigures, figures_for
from crewtui.day.figures.wall_drift import rods_on
from crewtui.day.journal import entries as e
from crewtui.day.recovery.site_of_miss import day_way, recover, search
from crewtui.day.recovery.way_entries import RodFound, way_entries
from crewtui.day.safety.holds import HoldFacts
from crewtui.day.state.fold import apply
from crewtui.day.state.state import DayState
from crewtui.day.steps.outcomes import AskBackError
from crewtui.day.steps.typed_value import read_quantity
from crewtui.day.steps.weighing import brought, seen
from crewtui.trade.aim.drift import Drift, drift_words, what_stands_behind
from crewtui.trade.recovery.drive_again import again
from crewtui.trade.recovery.ways import AFTER_WORDS, Found, Kind, Recovery, WayFigured
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
    """What the day's ``take_way`` takes besides the anchor; None where it cannot be done here."""
    hold: str = ""
    """The angle to hold, as shown; empty where the rod stays."""
    hole: str = ""
    """New hole in the wall: no, wider, yes."""
    dig: str = ""
    """Digging: no, more, new pit."""
    rod: str = ""
    """More rod: no, or how much."""
    chance_in: float | None = None
    """Where it lands if it runs true; for a rod that stays, where it is."""
    repeats_in: float | None = None
    """Where it lands if it runs so again."""
    figured: WayFigured | None = None
    """What it rests on, to be drawn; None for a search."""
    brings: tuple[str, ...] = ()
    """Holds, rules and warnings that it would bring, in words; worked out where the day is asked."""


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
    title: str
    """What is wrong with the rod, in a few words for the page's head."""
    least_in: float | None
    """Ends of the bar that landings are drawn on."""
    greatest_in: float | None
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
    facts_of_holds: HoldFacts | None = None,
) -> WhatNowSheet:
    """Return the sheet for what was typed so far; a text that cannot be read is a sentence on its line.

    With what holds are judged on, every way that can be done says what it would bring.
    """
    figures = figures_for(state, anchor)
    values, faults = _read(texts, state, anchor)
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
            if facts_of_holds is not None:
                ways = tuple(_with_brought(facts_of_holds, anchor, ways))
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
        title=_title(recovery, state.job.job.units, not_found=not_found),
        least_in=figures.window.shallowest_in if figures.window is not None else None,
        greatest_in=figures.greatest_in,
        rods=_rods(state, state.anchors[anchor].wall),
        recovery=recovery,
    )


def _rods(state: DayState, wall: str) -> tuple[RodOnWall, ...]:
    return tuple(
        RodOnWall(
            anchor=drive.anchor,
            n=n,
            text=f"ran {drift_words(drive.drift_deg)}",
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


_QUANTITIES: Final[Mapping[str, str]] = {
    DEPTH: "depth_found_in",
    SIDE: "side_offset_in",
    HELD: "held_angle_deg",
    SEEN: "angle_in_pit_deg",
}
"""What is typed here is read as its step reads it."""


def _read(texts: Mapping[str, str], state: DayState, anchor: str) -> tuple[dict[str, float], dict[str, str]]:
    values: dict[str, float] = {}
    faults: dict[str, str] = {}
    for key, quantity in _QUANTITIES.items():
        text = texts.get(key, "")
        if not text.strip():
            continue
        try:
            values[key] = read_quantity(quantity, text, state, state.anchors[anchor])
        except AskBackError as error:
            faults[key] = str(error)
    return values, faults


def _with_brought(facts: HoldFacts, anchor: str, ways: tuple[WayOn, ...]) -> Iterator[WayOn]:
    """Yield the ways with what each would bring, worked out as if it had been chosen."""
    before = seen(facts, anchor)
    times = {"done_at": facts.now, "typed_at": facts.now}
    for way in ways:
        if way.given is None:
            yield way
            continue
        state = _as_taken(facts.state, anchor, way.given, times)
        after = HoldFacts(state=state, hazards=facts.hazards, now=facts.now)
        said = " ".join(text for _, text in way.lines)
        found = brought(before, seen(after, anchor), ("rod", "wedges"))
        brings = tuple(words for words in found if words not in said)
        lines = (*way.lines, *(("deviation", f"Brings: {words}") for words in brings))
        yield replace(way, brings=brings, lines=lines)


def _as_taken(state: DayState, anchor: str, given: Mapping[str, Any], times: Mapping[str, Any]) -> DayState:
    """Return the day as it would stand once the way is taken."""
    rod = RodFound(**{key: given[key] for key in RodFound.__struct_fields__ if key in given})
    for entry in tuple(way_entries(state, anchor, rod, given["way"], times=times)):
        state = apply(state, entry.model_copy(update={"n": state.last_n + 1}))
    return state


def _title(recovery: Recovery | None, system: UnitSystem, *, not_found: bool) -> str:
    if not_found:
        return "the rod does not show"
    if recovery is None:
        return "what does the pit show?"
    ran, window = recovery.ran, recovery.window
    short, deep, aside = (
        show_length(one, system)
        for one in (
            window.shallowest_in - ran.depth_in,
            ran.depth_in - window.greatest_in,
            abs(ran.side_offset_in),
        )
    )
    wrong = (
        (ran.bent, "the rod is bent"),
        (not ran.deep_enough, f"{short} too shallow"),
        (not ran.fits_depth, f"{deep} too deep for this pit"),
        (not ran.fits_across, f"{aside} off the pit's middle"),
        (not ran.straight, "inside, and no straight rod ran so"),
    )
    said = next((words for is_so, words in wrong if is_so), "inside")
    return f"{show_length(ran.depth_in, system)}: {said}"


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
        SIDE: f"{unit}; 0 unless typed",
        HELD: "as aimed, unless typed",
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
    found = [Fact(label="Check first", text=text, tone="held") for text in ran.check_first]
    how = f"at {show_angle(ran.angle_deg)}, held at {show_angle(recovery.found.held_angle_deg)}"
    found.append(Fact(label="It ran", text=f"{how}: {drift_words(ran.drift_deg)}"))
    if not ran.deep_enough:
        fine = units.show_length_fine(ran.depth_in, window.least_in, system)
        text = f"no: {fine} is short of {units.show_length_fine(window.least_in, ran.depth_in, system)}"
        found.append(Fact(label="Deep enough", text=text, tone="deviation"))
    if not ran.plate_fits:
        text = f"no: {'too far aside' if ran.fits_depth else 'too deep for this pit'}"
        found.append(Fact(label="Plate fits this pit", text=text, tone="deviation"))
    found += [
        Fact(label="Mind", text=text, tone="deviation") for text in recovery.warnings if text != AFTER_WORDS
    ]
    return tuple(found)


KIND_WORDS: Final[Mapping[Kind, str]] = {
    "accept": "leave it as it is",
    "drive again": "drive again, same hole",
    "drive flatter": "drive flatter, same hole",
    "hole beside": "fresh hole beside",
}
"""Where a way on is called otherwise than its kind."""


def _way(
    recovery: Recovery, way: WayFigured, number: int, *, left_out: str, units_system: UnitSystem
) -> WayOn:
    mark, tone = (
        ("no", "quiet") if not way.possible else (("fits", "done") if way.sure else ("may", "deviation"))
    )
    lines: list[tuple[str, str]] = [("plain", way.words)]
    if way.why_not:
        lines.insert(0, ("held", f"Cannot be done here: {way.why_not}"))
    lines += [("deviation", text) for text in way.cautions]
    lines += [("deviation", f"The deeper pit switches on: {text}") for text in way.switched_on]
    if way.possible and way.kind != "accept":
        lines.append(("plain", AFTER_WORDS))
    lines.append(("quiet", f"Stands here for: {way.place}."))
    given: dict[str, Any] | None = None
    if way.possible:
        given = {**_given(recovery, left_out=left_out), "way": day_way(way)}
    hold = "" if way.held_angle_deg is None else show_angle(way.held_angle_deg)
    label = KIND_WORDS.get(way.kind, way.kind)
    whole_in2 = math.pi * recovery.site.hole_diameter_in**2 / 4
    new_pit = way.seat_in != recovery.site.section.seat_in
    return WayOn(
        key=f"way {number}",
        label=f"{label}, hold {hold}" if hold else label,
        mark=mark,
        tone=tone,
        note=way.why_not or _short(recovery, way, units_system),
        lines=tuple(lines),
        given=given,
        figured=way,
        hold=hold,
        hole="no" if not way.new_hole_in2 else "wider" if way.new_hole_in2 < whole_in2 - 1e-9 else "yes",
        dig="no" if not way.digging_in3 else "new pit" if new_pit else "more",
        rod=show_length(way.extra_rod_in, units_system) if way.extra_rod_in > NO_MORE_ROD_IN else "no",
        chance_in=way.lands_if_chance_in,
        repeats_in=way.lands_if_drift_repeats_in,
    )


NO_MORE_ROD_IN: Final = 1 / 16
"""Less rod than a tape shows is none."""


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


def _short(recovery: Recovery, way: WayFigured, system: UnitSystem) -> str:
    chance, repeats = way.lands_if_chance_in, way.lands_if_drift_repeats_in
    if chance is None or repeats is None:
        return way.place
    if not way.new_drive:
        return f"lands at {show_length(repeats, system)}"
    true, so = (show_length(one, system) for one in (chance, repeats))
    share = f"; {show_share(way.share)} inside, depth only" if way.share is not None else ""
    return f"{true} if it runs true, {so} {again(recovery.ran)}{share}"


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
