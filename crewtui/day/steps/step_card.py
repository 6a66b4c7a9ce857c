"""The card of one step: what is done now, the figures to work to, its limits, and what must be done first.

Every figure that a step needs stands here once and in one wording; screens only show it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Final

from msgspec import Struct

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.state.facts import FigureFacts
from crewtui.day.state.inputs import Sourced
from crewtui.day.state.state import DayState
from crewtui.day.state.wall_reading import BEFORE, visits_in
from crewtui.day.steps import typed_value
from crewtui.day.steps.outcomes import AskBackError
from crewtui.day.steps.step_rows import StepRow
from crewtui.job.tables import steps
from crewtui.trade.tightening.torque import THIRDS
from crewtui.units import UnitSystem, show_angle, show_length, show_torque


class CardFigure(Struct, frozen=True, kw_only=True):
    """One figure to work to, large enough to be read from two steps away."""

    label: str
    """What it is, in two or three words: hold, tail up, down from top."""
    text: str
    detail: str = ""
    """What it is measured over or between."""


class StepCard(Struct, frozen=True, kw_only=True):
    """What a step asks, before anything is done."""

    title: str
    figures: tuple[CardFigure, ...] = ()
    limits: str = ""
    first: str = ""
    """What must be done before it."""
    as_planned: str = ""
    """What is entered where the measured value equals the plan, as it would be typed; empty where nothing
    says what it will be, and for what only the pit, the wall or the rod can tell."""


def card_of(row: StepRow, facts: FigureFacts, state: DayState) -> StepCard:
    """Return the card of a step at an anchor, or of one of the day's own."""
    figures = facts if isinstance(facts, AnchorFigures) else None
    system = state.job.job.units
    found: tuple[CardFigure, ...] = ()
    if figures is not None and row.id in _FIGURES:
        found = tuple(_FIGURES[row.id](figures, system))
    return StepCard(
        title=row.label,
        figures=found,
        limits=row.limit,
        first=_first(row, figures, state),
        as_planned=_as_planned(row, figures, state),
    )


def _first(row: StepRow, figures: AnchorFigures | None, state: DayState) -> str:
    """Return what must be done before it; before a nut turns, the reading that all later ones need."""
    first = steps.by_id(row.id).first
    if row.id != _FIRST_TORQUE or row.answered or figures is None:
        return first
    wall = state.anchors[figures.anchor].wall
    read = (visits_in(state).get(now.id, {}) for now in state.live() if now.wall == wall)
    return first if any(BEFORE in found for found in read) else f"{_READ_BEFORE} {first}"


def beside(facts: FigureFacts, state: DayState) -> tuple[CardFigure, ...]:
    """Return the figures of an anchor that stay beside its steps: mark, aim, rod and wrench."""
    if not isinstance(facts, AnchorFigures):
        return ()
    system = state.job.job.units
    parts = (_mark, _held, _landing, _rod, _wrench)
    return tuple(figure for part in parts for figure in part(facts, system))


class Trial(Struct, frozen=True, kw_only=True):
    """What is being typed onto a step and not entered."""

    shown: str
    """As it would be kept, else as it is typed."""
    value: float | None = None
    quantity: str = ""
    words: str = ""
    """What it would be against the limits, or why it cannot be read."""
    inside: bool = True


def tried(row: StepRow, text: str, facts: FigureFacts, state: DayState, anchor: str | None) -> Trial:
    """Return what a text typed onto a step's row would be."""
    step = steps.by_id(row.id)
    now = state.anchors[anchor] if anchor is not None else None
    try:
        value = typed_value.read_value(step, text, state, now)
    except AskBackError as error:
        return Trial(shown=text.strip(), words=str(error), inside=False)
    shown = typed_value.show(step, value, state.job.job.units).partition(" (")[0]
    judged = typed_value.judge(step, value, facts, state)
    words = judged.sentence if judged.outside else f"{shown} is inside {row.limit}." if row.limit else ""
    return Trial(shown=shown, value=value, quantity=step.quantity, words=words, inside=not judged.outside)


def earlier_drives(state: DayState, anchor: str) -> str:
    """Return how the rods driven before at this anchor came up, to stand beside the drive that is next."""
    found_in = state.anchors[anchor].value("depth_found_in")
    said = []
    for number, drive in enumerate(state.anchors[anchor].drives, start=1):
        depth_in = drive.depth_found_in
        if depth_in is None:
            said.append(f"drive {number} did not show")
        elif depth_in != found_in:
            said.append(f"drive {number}: {show_length(depth_in, state.job.job.units)}")
    return ", ".join(said)


def anchor_before(state: DayState, anchor: str) -> str:
    """Return in a sentence how the rod driven last before this one on the same wall came up."""
    wall = state.anchors[anchor].wall
    others = (now for now in state.live() if now.wall == wall and now.id != anchor)
    drives = [(drive.n, now.id, drive) for now in others for drive in now.drives]
    if not drives:
        return ""
    _, ident, drive = max(drives, key=lambda one: one[0])
    held = f"held at {show_angle(drive.held_angle_deg)}, " if drive.held_angle_deg is not None else ""
    if drive.depth_found_in is None:
        return f"{ident} before it: {held}the rod did not show."
    return f"{ident} before it: {held}came up at {show_length(drive.depth_found_in, state.job.job.units)}."


_Figures = Callable[[AnchorFigures, UnitSystem], Iterator[CardFigure]]
_SAID_BY: Final[Mapping[str, str]] = {
    "plan": "by the plan",
    "new aim": "newly aimed for",
    "company rule": "company rule",
    "worked out": "by the plan",
}


def _planned(key: str, label: str) -> _Figures:
    """Return the figure of an input that nobody has measured yet."""

    def found(figures: AnchorFigures, system: UnitSystem) -> Iterator[CardFigure]:
        item = figures.inputs[key]
        if _is_planned(item) and item.value is not None:
            yield CardFigure(label=label, text=show_length(item.value, system), detail=_SAID_BY[item.source])

    return found


def _is_planned(item: Sourced) -> bool:
    return item.value is not None and item.source in _SAID_BY


def _mark(figures: AnchorFigures, system: UnitSystem) -> Iterator[CardFigure]:
    if figures.mark is not None:
        down, up = figures.mark.down_from_top_in, figures.mark.up_from_slab_in
        yield CardFigure(label="down", text=show_length(down, system), detail="from wall top")
        yield CardFigure(label="up", text=show_length(up, system), detail="from slab")


def _stands(figures: AnchorFigures) -> bool:
    window, aim = figures.window, figures.aim
    return window is not None and window.open and aim is not None and aim.possible


def _drilled(figures: AnchorFigures, _system: UnitSystem) -> Iterator[CardFigure]:
    if _stands(figures) and figures.held_angle_deg is not None:
        yield CardFigure(label="drill at", text=show_angle(figures.held_angle_deg))


def _held(figures: AnchorFigures, system: UnitSystem) -> Iterator[CardFigure]:
    if not _stands(figures) or figures.held_angle_deg is None or figures.aim is None:
        return
    yield CardFigure(label="hold", text=show_angle(figures.held_angle_deg))
    if figures.held_rise_in is not None:
        tail = show_length(figures.aim.tail_length_in, system)
        yield CardFigure(
            label="tail up", text=show_length(figures.held_rise_in, system), detail=f"over {tail}"
        )


def _stop_mark(figures: AnchorFigures, system: UnitSystem) -> Iterator[CardFigure]:
    if _stands(figures) and figures.stop is not None:
        stop = show_length(figures.stop.from_end_in, system)
        yield CardFigure(label="stop mark", text=stop, detail="from the front end")


def _landing(figures: AnchorFigures, system: UnitSystem) -> Iterator[CardFigure]:
    if figures.aim_depth_in is not None:
        yield CardFigure(
            label="aim", text=show_length(figures.aim_depth_in, system), detail="deep in the pit"
        )


def _pit_depth(figures: AnchorFigures, system: UnitSystem) -> Iterator[CardFigure]:
    yield from _planned("pit_depth_in", "dig to")(figures, system)


def _rod(figures: AnchorFigures, system: UnitSystem) -> Iterator[CardFigure]:
    yield from _stop_mark(figures, system)
    rod = figures.rod
    if rod is not None and rod.pieces:
        pieces = " + ".join(show_length(piece.length_in, system) for piece in rod.pieces)
        yield CardFigure(label="pieces", text=pieces, detail="in the order driven")


def _trimmed(figures: AnchorFigures, system: UnitSystem) -> Iterator[CardFigure]:
    rod = figures.rod
    if rod is not None and rod.trimmed_in > 0:
        yield CardFigure(label="cut off about", text=show_length(rod.trimmed_in, system))


def _wrench(figures: AnchorFigures, system: UnitSystem) -> Iterator[CardFigure]:
    """Yield what the wrench is set to, in its rounds, and the torque at the nut where that is another."""
    if figures.torque is None:
        return
    nut = figures.torque.torque_lbf_ft
    setting = figures.wrench.setting_lbf_ft if figures.wrench is not None else nut
    rounds = [_own(setting * share, system).split(" ")[0] for share in THIRDS]
    yield CardFigure(label="set wrench", text=_own(setting, system), detail=f"rounds {', '.join(rounds)}")
    if _own(nut, system) != _own(setting, system):
        yield CardFigure(label="at the nut", text=_own(nut, system), detail="enter this one")


def _own(torque_lbf_ft: float, system: UnitSystem) -> str:
    return show_torque(torque_lbf_ft, system).partition(" (")[0]


def _lifts(figures: AnchorFigures, system: UnitSystem) -> Iterator[CardFigure]:
    if figures.lifts is not None:
        each = show_length(figures.lifts.lift_in, system)
        yield CardFigure(label="lifts", text=f"{figures.lifts.count}", detail=f"{each} loose, each tamped")


_FIGURES: Final[Mapping[str, _Figures]] = {
    "setback": _planned("setback_in", "set-back"),
    "drop": _planned("drop_in", "drop"),
    "pit-depth": _pit_depth,
    "pit-size": _planned("pit_along_rod_in", "along the rod"),
    "mark-depth": _mark,
    "core": _mark,
    "thickness": _planned("thickness_in", "thickness"),
    "drilled-angle": _drilled,
    "watch-mark": _held,
    "wax": _stop_mark,
    "held-angle": _held,
    "depth-found": _landing,
    "first-torque": _wrench,
    "second-torque": _wrench,
    "backfilled": _lifts,
    "trimmed": _trimmed,
}
"""The figures to work to, by step; a step without any has its limits."""
_INPUT_OF: Final[Mapping[str, str]] = {
    "setback": "setback_in",
    "drop": "drop_in",
    "pit-depth": "pit_depth_in",
    "pit-size": "pit_along_rod_in",
    "mark-depth": "mark_depth_in",
    "thickness": "thickness_in",
}
"""Steps whose planned value is an input of the figures."""
_FIRST_TORQUE: Final = "first-torque"
_READ_BEFORE: Final = "Read the wall (i)."
"""Where no reading from before tightening stands on the wall: afterwards it is too late for one."""
_ALIKE: Final = "marks"
"""The plan has the marks inside and outside meet."""


def _as_planned(row: StepRow, figures: AnchorFigures | None, state: DayState) -> str:
    if figures is None or row.answered or row.kind != "value" or row.mark == "not needed":
        return ""
    value = _planned_value(row.id, figures)
    if value is None:
        return ""
    step = steps.by_id(row.id)
    shown = typed_value.show(step, value, state.job.job.units)
    return shown.partition(" (")[0]


def _planned_value(step: str, figures: AnchorFigures) -> float | None:
    if step in _INPUT_OF:
        item = figures.inputs[_INPUT_OF[step]]
        return item.value if _is_planned(item) else None
    if step == _ALIKE:
        return 0.0
    if step in {"drilled-angle", "held-angle"}:
        return figures.held_angle_deg if _stands(figures) else None
    if step in {"first-torque", "second-torque"}:
        return figures.torque.torque_lbf_ft if figures.torque is not None else None
    if step == "backfilled":
        return float(figures.lifts.count) if figures.lifts is not None else None
    return None
