"""The pit at an anchor as rows, and its sloped sides drawn."""

from __future__ import annotations

from typing import Final

from crewtui.day.safety.pit_rules import PitSeen, pit_seen
from crewtui.day.state.hold import Hold
from crewtui.trade.ground.excavation import SlopeBack
from crewtui.tui.widgets.pages import WordsPage
from crewtui.tui.widgets.pane import Here
from crewtui.tui.widgets.rows import Row
from crewtui.units import UnitSystem, show_length

PIT_ENTRY: Final = "pit entry"
PIT_SOIL, PIT_SLOPE = "pit soil", "pit slope"
_ENTERED: Final = {None: "not answered: counts as yes", True: "yes", False: "no"}
_DEEP_ROWS: Final = 8
_WIDEST: Final = 72
_CELL: Final = 2.0
"""How much higher than wide a character is."""


def row_of(hold: Hold) -> str:
    """Return the row where what holds is answered: who goes into the pit, where that comes first."""
    return PIT_ENTRY if hold.asks_entry else hold.id


def pit_rows(here: Here) -> list[Row]:
    """Return the rows about this anchor's pit: who goes in, then depth, soil, slope-back, footings, rules."""
    now = here.day.state.anchors[here.anchor]
    answer = now.pit_entry
    asked = _ENTERED[None]
    if answer is None and now.pit_entry_was is not None:
        asked = f"asked again, it is another pit now: it was {_ENTERED[now.pit_entry_was]}"
    rows = [
        Row(key="group pit entry", label=f"THE PIT AT {here.anchor}", heading=True),
        Row(
            key=PIT_ENTRY,
            label="Head or trunk of anybody below the rim?",
            mark="ask" if answer is None else "done",
            tone="coming" if answer is None else "done",
            value="" if answer is None else _ENTERED[answer],
            note=asked if answer is None else "",
        ),
    ]
    for number, one in enumerate(pit_seen(here.day.state, here.anchor).facts):
        key = {"soil": PIT_SOIL, "slope": PIT_SLOPE}.get(one.key, f"pit {one.key} {number}")
        rows.append(
            Row(
                key=key,
                label=one.label,
                mark="ask" if one.key == "soil" and one.warns else "",
                tone="deviation" if one.warns else "plain",
                value=one.value,
                note=one.note,
                note_tone="deviation" if one.warns else "quiet",
            )
        )
    return rows


def slope_page(here: Here) -> WordsPage:
    """Return the page with the pit's sides as Table B-1 slopes them."""
    seen = pit_seen(here.day.state, here.anchor)
    system = here.system
    source = "as built" if seen.measured else "as planned"
    lines = [
        f"{show_length(seen.depth_in, system)} deep {source}; soil counts as type {seen.slope.counted_type}.",
        "",
        *slope_drawing(seen.slope, wide_in=seen.along_rod_in, system=system),
        "",
        *_said(seen),
    ]
    return WordsPage(f"{here.anchor}: sides sloped back", "\n".join(lines), extra_keys=("h",))


def _said(seen: PitSeen) -> list[str]:
    asked = any(rule.key == "protection" and rule.applies for rule in seen.rules)
    return [
        "Sloped, shored or shielded before anybody goes in: asked for here."
        if asked
        else "Asked for from 5 ft, and at any depth with a sign of cave-in. No depth is safe by itself.",
        "The competent person judges the soil and decides; a shield or shoring serves in place of the slope.",
        *seen.slope.warnings,
        "29 CFR 1926.652(b), App. B, Table B-1 (reprint): check the current edition and local rule.",
    ]


def slope_drawing(slope: SlopeBack, *, wide_in: float, system: UnitSystem) -> list[str]:
    """Return the section of a sloped pit to scale in text: soil as dots, the rim above, the bottom below."""
    across_in = wide_in + 2 * slope.horizontal_in
    inch = _DEEP_ROWS * _CELL / slope.depth_in
    inch = min(inch, (_WIDEST - 8) / across_in)
    deep = max(2, round(slope.depth_in * inch / _CELL))
    bottom = max(2, round(wide_in * inch))
    back = round(slope.horizontal_in * inch)
    margin = 4
    back_words, wide_words = show_length(slope.horizontal_in, system), show_length(wide_in, system)
    whole_words = show_length(across_in, system)
    lines = [f"{'':{margin}}rim: {back_words} + {wide_words} + {back_words}, over all {whole_words}"]
    lines.append("_" * margin + " " * (2 * back + bottom) + "_" * margin)
    for row in range(deep):
        cut = round(back * (row + 0.5) / deep)
        soil = "." * (margin + cut)
        lines.append(soil + " " * (2 * (back - cut) + bottom) + soil)
    whole = "." * (2 * margin + 2 * back + bottom)
    lines += [
        whole,
        f"{'':{margin}}depth {show_length(slope.depth_in, system)}, slope {slope.angle_deg:g}° from level",
    ]
    return lines


__all__ = ["PIT_ENTRY", "PIT_SLOPE", "PIT_SOIL", "pit_rows", "slope_drawing", "slope_page"]
