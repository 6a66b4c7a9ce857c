"""The plan on paper: every figure of every anchor as plain text with blanks, for when the battery dies.

Eighty columns, and no sign that an old printer or console lacks. The same as plain values for ``--json``.
"""

from __future__ import annotations

import math
import textwrap
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final

from msgspec import Struct
from msgspec.structs import asdict, replace

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.figure_table import Paper
from crewtui.day.figures.figures_shown import couplings, of_paper
from crewtui.day.figures.line_places import lines_here
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.figures.yard_of_day import yard_pictures
from crewtui.day.safety.hazard_details import loosened_words
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.day.steps.step_rows import is_needed
from crewtui.day.truck.cut_drawing import cut_bars
from crewtui.day.truck.loading import Loaded
from crewtui.day.truck.rod_made import rod_made
from crewtui.foreign import shown
from crewtui.job.tables import quantities, steps
from crewtui.job.tables.quantities import PaperPart
from crewtui.job.tables.steps import Scope, StepDef
from crewtui.record.signed.build import GOVERNS
from crewtui.trade.pictures.yard_from_above import draw_yard, legend
from crewtui.units import UnitSystem

WIDTH: Final = 80
_YARD_ROWS: Final = 22
_LABEL, _VALUE, _BLANK = 36, 22, "____________"
_ASCII: Final = str.maketrans({
    "·": "-", "°": " deg", "×": "x", "−": "-", "–": "-", "—": "-", "²": "2", "³": "3", "≥": ">=", "≤": "<=",
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "’": "'", "‘": "'", "“": '"', "”": '"', "…": "...", "\u00a0": " ",
    "\N{REPLACEMENT CHARACTER}": "?", "→": "->", "±": "+/-", "┃": "|", "│": "!", "═": "=",
})  # fmt: skip
_SOURCES: Final[Mapping[str, str]] = {
    "as built": "built",
    "company rule": "rule",
    "new aim": "new aim",
    "plan": "plan",
}


class PlanRow(Struct, frozen=True, kw_only=True):
    """One figure: its label, its value in words, and whether a blank stands beside it."""

    label: str
    value: str
    blank: bool = False


def plan_sheet(state: DayState, loaded: Loaded) -> str:
    """Return the whole sheet as text, with the cut list and the load-out."""
    lines = [*_heading(state), *checks(state, "before", None), *_load_out(loaded)]
    figures = {now.id: _figures(state, now, loaded) for now in state.live()}
    lines += _pit_rules(figures.values())
    lines += _yard(state)
    lines += _cut_list(loaded)
    for now in state.anchors.values():
        lines += _anchor(state, now, figures.get(now.id))
    lines += ["", *checks(state, "after", None), *checks(state, "hand-over", None)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _figures(state: DayState, now: AnchorNow, loaded: Loaded) -> AnchorFigures:
    """Return an anchor's figures, its rod in the pieces that the cut list gives it."""
    figures = figures_for(state, now.id)
    if figures.rod is None:
        return figures
    rod = rod_made(figures.rod, now.id, loaded, system=state.job.job.units)
    return replace(figures, rod=rod)


def plan_as_json(state: DayState, loaded: Loaded) -> dict[str, Any]:
    """Return every figure of every anchor as plain values; lengths in inches, the unit in each key."""
    job = state.job
    return {
        "job": plain(job.job.model_dump()),
        "governs": GOVERNS,
        "rules": {key: rule.value for key, rule in state.rules.items()},
        "anchors": [
            {"id": now.id, "wall": now.wall, "dropped": now.dropped}
            | ({} if now.dropped else plain(_figures(state, now, loaded)))
            for now in state.anchors.values()
        ],
        "yard": [plain(picture) for picture in yard_pictures(state)],
        "cut_list": _cuts_as_json(loaded),
        "load_out": _load_as_json(loaded),
    }


def _cuts_as_json(loaded: Loaded) -> dict[str, Any]:
    cuts = loaded.cuts
    found = {
        name: plain(getattr(cuts, name))
        for name in ("said", "enough", "lengths", "uses", "cuts", "couplings", "kerf_in", "longest_offcut_in")
    }
    cannot = [{"anchor": anchor, "why": why} for anchor, why in loaded.question.cannot]
    return {**found, "state": cuts.state, "proven": cuts.proven, "on_no_list": cannot}


def _load_as_json(loaded: Loaded) -> dict[str, Any]:
    lines = [{**plain(line), "spare": line.spare, "short": line.short} for line in loaded.load.lines]
    return {"said": loaded.load.said, "enough": loaded.load.enough, "lines": lines}


def plain(value: Any) -> Any:  # noqa: PLR0911 - one return a kind of value
    """Return structs and mappings as what JSON holds; what is not finite becomes null."""
    match value:
        case None | bool() | int() | str():
            return value
        case float():
            return value if math.isfinite(value) else None
        case datetime() | date():
            return value.isoformat()
        case Mapping():
            return {str(key): plain(inner) for key, inner in value.items()}
        case list() | tuple() | set() | frozenset():
            return [plain(inner) for inner in value]
    if isinstance(value, Struct):
        return {name: plain(inner) for name, inner in asdict(value).items()}
    return str(value)


# The text.


def printable(text: str) -> str:
    """Return text with every sign that a plain printer lacks written with those it has."""
    return shown(text).translate(_ASCII)


def wrapped(text: str, *, first: str = "", indent: str = "") -> list[str]:
    """Return a sentence in lines of the sheet's width."""
    return textwrap.wrap(
        printable(text), WIDTH, initial_indent=first, subsequent_indent=indent or " " * len(first),
        break_on_hyphens=False,
    )  # fmt: skip


def headed(state: DayState) -> Iterator[str]:
    """Yield what stands on top of every plan sheet: job, lead, crew, plan, and what governs."""
    card = state.job.job
    yield "=" * WIDTH
    yield from wrapped(f"PLAN SHEET   job {card.id}   {card.site}   {card.date}")
    yield from wrapped(
        f"Lead {card.lead}.  Crew {', '.join(card.crew) or 'not named'}.  Plan: {card.plan or 'none named'}."
    )
    yield "=" * WIDTH
    yield from wrapped(GOVERNS)
    yield ""


def people(state: DayState) -> Iterator[str]:
    """Yield whom to call."""
    for contact in state.job.contacts:
        yield from wrapped(f"{contact.role}: {' '.join(filter(None, (contact.name, contact.phone)))}")


def _heading(state: DayState) -> Iterator[str]:
    yield from headed(state)
    yield from people(state)
    ticket = state.job.ticket
    if ticket is None:
        yield from wrapped(
            "No locate ticket is in the job file: no digging and no driving without one.", first="! "
        )
    else:
        until = f"{ticket.valid_to:%Y-%m-%d %H:%M %z}"
        yield from wrapped(f"Locate ticket {ticket.number}, to {until}.")
        for utility in ticket.utilities:
            yield from wrapped(
                f"{utility.name}: {utility.response}{f', {utility.note}' if utility.note else ''}", first="  "
            )
    for words in loosened_words(state):
        yield from wrapped(f"{words}.", first="! ")
    yield ""


def _load_out(loaded: Loaded) -> Iterator[str]:
    yield ""
    yield ruled("load-out: what the anchors still to be done need")
    for line in loaded.short:
        yield from wrapped(f"SHORT: {line.said}", first="! ", indent="  ")
    for line in loaded.load.lines:
        yield from wrapped(f"[ ] {line.said}", first="  ", indent="      ")


def _yard(state: DayState) -> Iterator[str]:
    """Yield the yard from above, and two tapes to each plate."""
    for picture in yard_pictures(state):
        yield ""
        yield ruled("the yard from above, left and right as seen standing in it")
        yield from (printable(line) for line in draw_yard(picture, width=WIDTH, height=_YARD_ROWS))
        yield from wrapped(";  ".join(legend(picture)), first="  ")
        for tapes in picture.tapes:
            yield from wrapped(f"{tapes.anchor}: {tapes.words}", first="  ", indent="      ")


def _cut_list(loaded: Loaded) -> Iterator[str]:
    """Yield what is handed to whoever stands at the saw."""
    yield ""
    yield "=" * WIDTH
    yield "CUT LIST"
    yield "=" * WIDTH
    for anchor, why in loaded.question.cannot:
        yield from wrapped(f"{anchor}: {why}; in no count.", first="! ", indent="  ")
    for anchor in loaded.question.unentered:
        yield from wrapped(f"{anchor} is driven and its pieces were not entered.", first="! ", indent="  ")
    yield from (printable(line) for line in cut_bars(loaded.cuts, WIDTH, system=loaded.question.system))


def _pit_rules(all_figures: Collection[AnchorFigures]) -> Iterator[str]:
    """Yield each rule that a pit's depth switches on once, with the pits that it is for."""
    pits: dict[str, list[str]] = {}
    for figures in all_figures:
        for rule in figures.pit_rules:
            if rule.applies:
                pits.setdefault(f"{rule.words} ({rule.source})", []).append(figures.anchor)
    if not pits:
        return
    yield ""
    yield ruled("rules that the pits switch on; check the current edition and local rule")
    for words, anchors in pits.items():
        whose = "every pit" if len(anchors) == len(all_figures) else ", ".join(anchors)
        yield from wrapped(f"{whose}: {words}", first="  ", indent="    ")


def _anchor(state: DayState, now: AnchorNow, figures: AnchorFigures | None) -> Iterator[str]:
    wall = state.job.wall(now.wall)
    yield ""
    yield "=" * WIDTH
    yield from wrapped(f"ANCHOR {now.id}   wall {wall.name}, {wall.type}")
    yield "=" * WIDTH
    if figures is None:
        yield from wrapped(f"Dropped: {now.dropped}")
        return
    for title, rows in _sections(figures, state.job.job.units):
        yield from _section(title, rows)
    for words in figures.warnings:
        yield from wrapped(words, first="! ", indent="  ")
    yield ""
    yield from checks(state, "anchor", now.id)
    for line in lines_here(state, figures):
        if line.asked:
            # Before the drill, as the screen asks it; the note says where.
            words = f"[ ] {line.name} laid bare, depth to its middle  {_BLANK}  ({line.note})"
            yield from wrapped(words, first="  ", indent="      ")


def ruled(title: str) -> str:
    """Return the line over a part of the sheet."""
    return f"-- {title} ".ljust(WIDTH, "-")


def _section(title: str, rows: Sequence[PlanRow]) -> Iterator[str]:
    if not rows:
        return
    yield ruled(title)
    for row in rows:
        label, value = printable(row.label), printable(row.value)
        blank = _BLANK if row.blank else ""
        if len(label) > _LABEL or len(value) > WIDTH - _LABEL - 2 or (blank and len(value) > _VALUE):
            yield from wrapped(f"{row.label}: {row.value}", first="  ", indent="    ")
            continue
        yield f"  {label:<{_LABEL}}{value:<{_VALUE}}{blank}"


def _sections(figures: AnchorFigures, system: UnitSystem) -> Iterator[tuple[str, list[PlanRow]]]:
    yield "mark, inside", list(_mark_rows(figures, system))
    yield "pit, outside", list(_pit_rows(figures, system))
    yield "aim", list(_aim_rows(figures, system))
    yield "rod", list(_rod_rows(figures, system))
    yield "torque (no test of the anchor)", list(_figures_on(figures, "torque", system))


def _mark_rows(figures: AnchorFigures, system: UnitSystem) -> Iterator[PlanRow]:
    yield from _inputs(figures, "mark", system)
    yield from _figures_on(figures, "mark", system)


def _pit_rows(figures: AnchorFigures, system: UnitSystem) -> Iterator[PlanRow]:
    yield from _inputs(figures, "pit", system)
    yield from _figures_on(figures, "pit", system)
    yield from (PlanRow(label="Plate in its pit", value=words) for words in _seat_words(figures))


def _seat_words(figures: AnchorFigures) -> Iterator[str]:
    yield from figures.seat.words if figures.seat is not None else ()
    yield from figures.nut_face.words if figures.nut_face is not None else ()
    if figures.nut_reach is not None:
        yield figures.nut_reach.words


def _aim_rows(figures: AnchorFigures, system: UnitSystem) -> Iterator[PlanRow]:
    window = figures.window
    if window is not None and not window.open:
        # No angle to hold stands on paper where none serves.
        yield PlanRow(label="No window", value=window.refused)
    elif window is not None:
        yield from _figures_on(figures, "aim", system)


def _rod_rows(figures: AnchorFigures, system: UnitSystem) -> Iterator[PlanRow]:
    rod = figures.rod
    if rod is None:
        return
    yield from _figures_on(figures, "rod", system)
    yield from (PlanRow(label=one.label, value=one.text) for one in couplings(rod, system))
    if rod.refused:
        yield PlanRow(label="Cannot be done so", value=rod.refused)


def _figures_on(figures: AnchorFigures, part: Paper, system: UnitSystem) -> Iterator[PlanRow]:
    """Yield the figures of the table that stand on a part of the sheet."""
    for found in of_paper(figures, part, system):
        yield PlanRow(label=found.label, value=found.text, blank=found.figure.blank)


def _inputs(figures: AnchorFigures, part: PaperPart, system: UnitSystem) -> Iterator[PlanRow]:
    """Yield a part's inputs, with a blank beside what the site measures."""
    found_out = steps.measured()
    for quantity in quantities.of_paper(part):
        item = figures.inputs[quantity.key]
        if item.value is None:
            yield PlanRow(label=item.label, value="measure", blank=True)
            continue
        source = _SOURCES.get(item.source, item.source)
        value = f"{quantity.show(item.value, system)} ({source})"
        yield PlanRow(label=item.label, value=value, blank=quantity in found_out)


def checks(state: DayState, scope: Scope, anchor: str | None) -> Iterator[str]:
    """Yield a box for every check and a blank for every value that is asked there."""
    asked = [step for step in steps.of_scope(scope, state.job.job.day) if is_needed(state, step, anchor)]
    if not asked:
        return
    title = {"before": "before the first anchor", "after": "after the last", "hand-over": "left for tomorrow"}
    yield ruled(f"steps: {title.get(scope, printable(anchor or ''))}")
    yield from _boxes(asked)


def _boxes(asked: Iterable[StepDef]) -> Iterator[str]:
    for step in asked:
        label = printable(step.label)
        ending = _BLANK if step.kind in {"value", "text"} else ""
        if step.choices or step.then:
            ending = f"{ending} {' / '.join(step.choices or step.then)}".strip()
        yield from wrapped(f"[ ] {label}  {ending}", first="  ", indent="      ")


__all__ = ["plain", "plan_as_json", "plan_sheet", "printable"]
