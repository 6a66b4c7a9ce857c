"""The load-out of the day: what the anchors still take, beside what is left on the truck."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from msgspec import Struct

from crewtui.day.state.fold_truck import item_key
from crewtui.day.state.inputs import number_now
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.day.steps.step_rows import TAGGED
from crewtui.day.truck.day_cut_list import CutQuestion, cut_question, rod_of
from crewtui.job.file import model
from crewtui.trade.truck.cutting import TIME_LIMIT_S, CutPlan
from crewtui.trade.truck.load_out import (
    WAX_PER_ANCHOR,
    AnchorNeeds,
    LoadedPlate,
    LoadLine,
    LoadOut,
    OnTruck,
    PlateCount,
    load_out,
)

PLATE_ON: Final = "plate-on"
WALL_PLATE_ON: Final = "wall-plate-on"
PLATE_COVER: Final = "plate-cover"
_WAXED, _TRIMMED, _BACKFILLED, _CLOSED = "wax", "trimmed", "lifts", "closed"


class Loaded(Struct, frozen=True, kw_only=True):
    """What the truck has to hold, as it was last worked out."""

    question: CutQuestion
    cuts: CutPlan
    load: LoadOut
    working: bool
    """Whether a newer or a better one is being worked out."""

    @property
    def short(self) -> tuple[LoadLine, ...]:
        """The lines of which there is not enough."""
        return self.load.short

    @property
    def word(self) -> tuple[str, bool]:
        """One or two words for the screen's tab, and whether they are a warning."""
        if self.short:
            sure = "" if any(line.proven for line in self.short) else "?"
            return f"{sum(line.short for line in self.short)} SHORT{sure}", True
        if self.question.cannot:
            return f"not {self.question.cannot[0][0]}", True
        if self.load.uncounted:
            return "uncounted", False
        rods = [
            line.spare
            for line in self.load.lines
            if line.stock == "rods" and line.needed and line.spare is not None
        ]
        return (f"{min(rods)} spare" if rods else ""), False


def load(state: DayState, question: CutQuestion, cuts: CutPlan, *, working: bool = False) -> Loaded:
    """Return the truck as it stands with a cut list."""
    return Loaded(question=question, cuts=cuts, load=loading(state, cuts), working=working)


def worked_out(state: DayState, *, time_limit_s: float = TIME_LIMIT_S) -> Loaded:
    """Return the truck with the best cut list found in that time."""
    question = cut_question(state)
    return load(state, question, question.answer(time_limit_s=time_limit_s))


def counted_today(state: DayState, line: LoadLine) -> bool:
    """Whether somebody has counted it since the day began."""
    return _counted_at(state, item_key(line.stock, line.size_in)) > state.shared.day_began_n


def loading(state: DayState, cuts: CutPlan | None) -> LoadOut:
    """Return the load-out; without a cut list, without a line for rods."""
    needs = tuple(_needs(state, now, cuts) for now in state.live())
    return load_out(needs, on_truck(state), cuts=cuts, system=state.job.job.units)


def _needs(state: DayState, now: AnchorNow, cuts: CutPlan | None) -> AnchorNeeds:
    """Return what one anchor still takes: what is on it already is off the truck."""
    plate_on, wall_plate_on = PLATE_ON in now.answers, WALL_PLATE_ON in now.answers
    closed = now.answers.get(_CLOSED)
    return AnchorNeeds(
        anchor=now.id,
        plate=None if plate_on else plate_size(state, now, "plate"),
        wall_plate=None if wall_plate_on else plate_size(state, now, "wall_plate"),
        couplings=_couplings(state, now, cuts),
        nuts=(not plate_on) + (not wall_plate_on),
        washers=int(not wall_plate_on),
        sleeves=int(not wall_plate_on),
        caps=int(_TRIMMED not in now.answers),
        plate_covers=int(bool(state.job.wall(now.wall).plate_covers) and PLATE_COVER not in now.answers),
        covers=int(_BACKFILLED not in now.as_built),
        tags=int(closed is None or closed.answer != TAGGED),
        wax_sticks=0.0 if _WAXED in now.answers else WAX_PER_ANCHOR,
    )


def _couplings(state: DayState, now: AnchorNow, cuts: CutPlan | None) -> int:
    pieces = len(cuts.pieces_for(now.id)) if cuts is not None else 0
    if pieces:
        return pieces if now.pieces else pieces - 1
    rod = rod_of(state, now)
    return rod.couplings_to_fit if rod is not None else 0


def plate_size(state: DayState, now: AnchorNow, which: str) -> LoadedPlate:
    """Return the size of an anchor's plate or wall plate: the plan's, else the company's."""
    return LoadedPlate(
        width_in=number_now(state, now, f"{which}_width_in"),
        height_in=number_now(state, now, f"{which}_height_in"),
    )


def on_truck(state: DayState) -> OnTruck:
    """Return what is left, rods aside: as it was last counted, less what has gone into the anchors since."""
    stock = state.job.stock
    wax = stock.wax
    return OnTruck(
        plates=_plates_left(state, stock.plates, "plate", PLATE_ON),
        wall_plates=_plates_left(state, stock.wall_plates, "wall_plate", WALL_PLATE_ON),
        couplings=_left(stock.couplings, sum(_joined(state))),
        nuts=_left(stock.nuts, _since(state, "nuts", PLATE_ON) + _since(state, "nuts", WALL_PLATE_ON)),
        washers=_left(stock.washers, _since(state, "washers", WALL_PLATE_ON)),
        sleeves=_left(stock.sleeves, _since(state, "sleeves", WALL_PLATE_ON)),
        caps=_left(stock.caps, _since(state, "caps", _TRIMMED)),
        plate_covers=_left(stock.plate_covers, _since(state, "plate_covers", PLATE_COVER)),
        covers=stock.covers,
        tags=_left(stock.tags, _since(state, "tags", _CLOSED, answer=TAGGED)),
        wax_sticks=None if wax is None else math.floor(wax - WAX_PER_ANCHOR * _since(state, "wax", _WAXED)),
        tampers=stock.tampers,
        ground_sheets=stock.ground_sheets,
    )


def _left(counted: int | None, used: int) -> int | None:
    return None if counted is None else max(0, counted - used)


def _counted_at(state: DayState, item: str) -> int:
    return state.shared.truck.counted.get(item, 0)


def _since(state: DayState, item: str, step: str, *, answer: str = "") -> int:
    """Return at how many anchors the step was answered since the item was last counted."""
    return sum(1 for _ in _anchors_since(state, item, step, answer=answer))


def _anchors_since(state: DayState, item: str, step: str, *, answer: str = "") -> Iterator[AnchorNow]:
    counted_at = _counted_at(state, item)
    for now in state.anchors.values():
        found = now.answers.get(step)
        if found is not None and found.n > counted_at and (not answer or found.answer == answer):
            yield now


def _joined(state: DayState) -> Iterator[int]:
    """Yield the couplings that went into each anchor's rod since they were last counted."""
    counted_at = _counted_at(state, "couplings")
    for now in state.anchors.values():
        before = sum(piece.n <= counted_at for piece in now.pieces)
        since = len(now.pieces) - before
        if since:
            yield since if before else since - 1


def _plates_left(
    state: DayState, stock: tuple[model.PlateStock, ...], which: str, step: str
) -> tuple[PlateCount, ...] | None:
    if not stock:
        return None
    found = []
    for row in stock:
        size = LoadedPlate(width_in=row.width_in, height_in=row.height_in)
        item = item_key(f"{which}s", (row.width_in, row.height_in))
        used = sum(plate_size(state, now, which).same(size) for now in _anchors_since(state, item, step))
        found.append(PlateCount(size=size, count=max(0, row.count - used)))
    return tuple(found)
