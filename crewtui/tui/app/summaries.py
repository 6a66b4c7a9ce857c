"""The lines that are always on the screen: the step's card, anchors, tabs, keys, and what stands beside."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Final

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.figures.pit_tape import pit_tape
from crewtui.day.figures.section_of_anchor import picture_of
from crewtui.day.steps.step_card import StepCard, anchor_before, beside, card_of
from crewtui.day.steps.step_rows import AnchorRow, StepRow
from crewtui.job.tables.steps import Scope
from crewtui.tui.keys.commands import PANES, PaneName, key_item
from crewtui.tui.panes.day_pane import DayPane
from crewtui.tui.panes.steps_pane import StepsPane
from crewtui.tui.widgets.beside_view import BesideView
from crewtui.tui.widgets.chrome import Tab
from crewtui.tui.widgets.header import Header, HeaderFigure
from crewtui.tui.widgets.pane import Pane
from crewtui.units import show_length

if TYPE_CHECKING:
    from crewtui.tui.app.day_screen import DayScreen

_SCOPES: Final[tuple[Scope, ...]] = ("before", "after")


# The top.


def header_for(screen: DayScreen) -> Header:
    """Return the top of the screen: the step now with its figures, the anchor, the saved state."""
    day, anchor = screen.day, screen.anchor_id
    step, of_day = _step_now(screen)
    card, holds = None, ""
    if step is not None:
        facts = day.facts(anchor)
        card = card_of(step, facts, day.state)
        holds = step.holds[0].until if step.mark == "held" else ""
    first, tone = _first_line(screen, card, holds)
    figures = _figures(card, screen) if card is not None else ()
    now, wall = day.state.anchors[anchor], day.job.wall(day.state.anchors[anchor].wall)
    row = day.anchor_row(anchor, held=False)
    place = f"{wall.name}, {show_length(now.plan.along_in, day.job.job.units)} along"
    progress = f"{row.done} of {row.total} done"
    if of_day:
        place, progress = day.job.job.site, f"{_open_of_day(screen)} of the day's lines open"
    return Header(
        ident=anchor,
        title=_title(screen, card),
        limits=card.limits if card is not None else "",
        first=first,
        first_tone=tone,
        figures=figures,
        where=place,
        progress=progress,
        saved=_saved(screen),
        alarm=bool(screen.alarm),
    )


def _step_now(screen: DayScreen) -> tuple[StepRow | None, bool]:
    """Return the step that the keys are about, else the one that is next, and whether it is the day's own."""
    day, front = screen.day, screen.in_front
    if isinstance(front, StepsPane):
        step, upcoming = front.step_at(front.cursor_key), day.next_step(screen.anchor_id)
        if step is not None and upcoming is None and step.id == front.steps[-1].id and step.answered:
            return None, False
        return (step if step is not None else upcoming), False
    begun = any(now.first_at is not None for now in day.state.live())
    if isinstance(front, DayPane) or not begun:
        if isinstance(front, DayPane) and front.cursor_key in front.steps:
            return front.steps[front.cursor_key], True
        first = day.next_step(None, scope="before")
        if first is not None or isinstance(front, DayPane):
            return first if first is not None else day.next_step(None, scope="after"), True
    if day.state.anchors[screen.anchor_id].dropped:
        return None, False
    return day.next_step(screen.anchor_id), False


def _title(screen: DayScreen, card: StepCard | None) -> str:
    """Return what is done now; where the keys are about something else, that it is next."""
    day, anchor = screen.day, screen.anchor_id
    if card is not None:
        front = screen.in_front
        here = isinstance(front, StepsPane) or (
            isinstance(front, DayPane) and front.cursor_key in front.steps
        )
        return card.title if here else f"Next: {card.title}"
    if day.state.anchors[anchor].dropped:
        return f"Dropped: {day.state.anchors[anchor].dropped}"
    return f"Nothing is open here. {_left_elsewhere(screen)}"


def _first_line(screen: DayScreen, card: StepCard | None, holds: str) -> tuple[tuple[str, ...], str]:
    if screen.alarm:
        return (f"NOT SAVED: {screen.alarm}", "NOT SAVED: the disk refuses. What is typed stays."), "alarm"
    if holds:
        return (f"HELD until: {holds}", "HELD: it waits for what stands below. h shows it."), "held"
    if card is not None and card.first:
        return (f"First: {card.first}",), "coming"
    return ("",), "quiet"


def _figures(card: StepCard, screen: DayScreen) -> tuple[HeaderFigure, ...]:
    front = screen.in_front
    trial = front.trial if isinstance(front, StepsPane) else None
    found = [HeaderFigure(one.label, one.text, one.detail) for one in card.figures]
    if trial is not None:
        return (HeaderFigure("typed", trial.shown, "NOT SAVED"), *found[:1])
    if not found and card.limits:
        found = [HeaderFigure("", card.limits, "")]
    return tuple(found)


def _left_elsewhere(screen: DayScreen) -> str:
    """Return what is next where nothing is left at this anchor."""
    day, anchor = screen.day, screen.anchor_id
    loaded = screen.truck.latest
    if loaded is not None and anchor in loaded.question.unentered:
        return "Next: the rod's pieces, r"
    other = day.open_elsewhere(anchor)
    if other:
        return f"Next: {other}, n"
    last = next((row.label for scope in _SCOPES for row in day.rows(None, scope=scope) if row.is_next), "")
    if last:
        return f"Next: {last}, d"
    if day.state.shared.signed_n == day.journal.entries[-1].n:
        return f"Signed, revision {day.state.shared.revision}"
    return "Next: sign the record, c"


def _saved(screen: DayScreen) -> str:
    entries, saved_at = screen.day.journal.entries, screen.day.saved_at
    many = f"{len(entries)} {'entry' if len(entries) == 1 else 'entries'}"
    done_at = screen.carrier.done_at
    if screen.alarm:
        return "NOT SAVED"
    if done_at:
        which = "all are" if screen.carrier.run else "next is"
        return f"{which} dated {done_at:%H:%M}, {many}"
    return f"saved {saved_at:%H:%M:%S}, {many}" if saved_at else "nothing entered yet"


def _open_of_day(screen: DayScreen) -> int:
    rows = (row for scope in _SCOPES for row in screen.day.rows(None, scope=scope))
    return sum(not row.answered and row.mark != "not needed" for row in rows)


# The anchors and the tabs.


def anchors_for(screen: DayScreen) -> tuple[tuple[str, str, bool], ...]:
    """Return every anchor with its state in a word or two."""
    rows = screen.day.overview(held=False)
    return tuple((row.id, _state_of(row), row.id == screen.anchor_id) for row in rows)


def _state_of(row: AnchorRow) -> str:
    if row.word == "closed":
        return "done"
    if row.word in {"dropped", "covered"}:
        return row.word
    return f"{row.done}/{row.total}" if row.done else "open"


Wrong = tuple[str, bool]
_NOTHING: Final[Wrong] = ("", False)
_OF_DIGGING: Final[frozenset[PaneName]] = frozenset({"figures", "ground", "rods"})
"""Panes of which nothing is wrong on a visit, where nothing is dug or driven."""


def tabs_for(screen: DayScreen) -> tuple[Tab, ...]:
    """Return a tab for each pane; what is wrong or asked now stands in a sentence that makes sense alone."""
    found = []
    for name, key, title in PANES:
        asked = name in _WRONG and not (screen.day.is_visit and name in _OF_DIGGING)
        wrong, stops = _WRONG[name](screen) if asked else _NOTHING
        found.append(Tab(key=key, title=title, active=name == screen.pane, wrong=wrong, stops=stops))
    return tuple(found)


def _figures_wrong(screen: DayScreen) -> Wrong:
    facts = screen.day.facts(screen.anchor_id)
    if not isinstance(facts, AnchorFigures):
        return _NOTHING
    if facts.window is None:
        return f"{screen.anchor_id} lacks a measure", False
    return _NOTHING if facts.window.open else (f"no depth serves {screen.anchor_id}", False)


def _ground_wrong(screen: DayScreen) -> Wrong:
    facts = screen.day.facts(screen.anchor_id)
    lines = facts.lines if isinstance(facts, AnchorFigures) else None
    if lines is None or not (lines.holds_driving or any(pit.in_zone for pit in lines.pits)):
        return _NOTHING
    return f"a line lies too near {screen.anchor_id}", False


def _rods_wrong(screen: DayScreen) -> Wrong:
    loaded = screen.truck.latest
    if screen.truck.failed:
        return "no cut list could be made", False
    if loaded is None:
        return _NOTHING
    if loaded.short:
        return f"{len(loaded.short)} short on the truck", False
    if loaded.question.cannot:
        return ": ".join(loaded.question.cannot[0]), False
    if loaded.question.unentered:
        return f"enter the pieces of {loaded.question.unentered[0]}", False
    return _NOTHING


def _hazards_wrong(screen: DayScreen) -> Wrong:
    upcoming = screen.day.next_step(screen.anchor_id)
    holds = len(upcoming.holds) if upcoming is not None else 0
    things = "1 thing holds" if holds == 1 else f"{holds} things hold"
    return (f"{things} the next step", True) if holds else _NOTHING


_WRONG: Final[Mapping[PaneName, Callable[[DayScreen], Wrong]]] = {
    "figures": _figures_wrong,
    "ground": _ground_wrong,
    "rods": _rods_wrong,
    "hazards": _hazards_wrong,
}


# The keys.


def keys_for(screen: DayScreen) -> tuple[tuple[str, str], ...]:
    """Return the keys that do something on the row under the cursor, Enter first and in full."""
    front = screen.in_front
    if not isinstance(front, Pane):
        return (
            ("Enter", "the yard from above"),
            key_item("next_anchor"),
            key_item("readout"),
            key_item("find"),
        )
    if front.editing:
        return (("Enter", front.typing_does()), ("Esc", "clear"))
    if front.cursor_key in front.drafts:
        return (("Enter", front.typing_does()), ("0-9", "type it anew"), ("Esc", "clear"))
    does = front.does()
    enter = (("Enter", does),) if does else ()
    return (*enter, *front.more_keys(), key_item("why"))


# Beside.


def show_beside(screen: DayScreen, columns: int, typed: Mapping[str, float]) -> None:
    """Show the figures, the tape and the section beside the pane in front."""
    state, anchor = screen.day.state, screen.anchor_id
    facts = figures_for(state, anchor, typed=typed) if typed else screen.day.facts(anchor)
    view = screen.query_one(BesideView)
    if screen.day.is_visit:
        view.show(columns, notes=tuple(_as_left(screen)), tape=None, section=None)
        return
    if not isinstance(facts, AnchorFigures):
        view.show(columns, notes=(), tape=None, section=None)
        return
    tape = pit_tape(facts, state.anchors[anchor], state.job.job.units, typed_in=typed.get("depth_found_in"))
    only = screen.pane == "figures"
    section = picture_of(state, facts) if only or columns > 0 else None
    view.show(columns, notes=tuple(_notes(screen, facts)), tape=tape, section=section, only_section=only)


def _as_left(screen: DayScreen) -> Iterator[tuple[str, str]]:
    """Yield how the records of the house leave the anchor."""
    from crewtui.record.sheets.visit_sheet import built_words  # noqa: PLC0415 - on a visit only

    built = screen.day.state.anchors[screen.anchor_id].plan.built
    yield f"{screen.anchor_id} AS IT WAS LEFT", ""
    for words in built_words(built, screen.day.job.job.units) if built is not None else ():
        yield words, ""


def _notes(screen: DayScreen, facts: AnchorFigures) -> Iterator[tuple[str, str]]:
    state, anchor = screen.day.state, screen.anchor_id
    yield f"FOR {anchor}", ""
    for figure in beside(facts, state):
        yield figure.label, f"{figure.text} {figure.detail}".rstrip()
    before = anchor_before(state, anchor)
    if before:
        yield before, ""
