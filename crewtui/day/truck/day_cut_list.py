"""The whole job's rods: what is still to be cut, from what is on the truck now, and each anchor's rod by it.

A question is worked out from the day, its answer from the question alone: equal questions have equal answers,
so that a screen asks anew only when something has changed, and off its own thread.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from contextlib import suppress
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.fold_truck import SAME_LENGTH_IN, kerf_in
from crewtui.day.state.inputs import value_now
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.trade.rod.make_up import coupling_passes, plan_rod
from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.trade.truck.cutting import TIME_LIMIT_S, CutPlan, RodToCut, StockLength, plan_cuts, rod_to_cut
from crewtui.units import UnitSystem

NO_ROD: Final = "no rod yet"
"""How the words begin about an anchor whose rod waits for a measure; the plan itself is sound."""
_WAITS_FOR: Final = ("setback_in", "mark_depth_in", "drop_in")


class CutQuestion(Struct, frozen=True, kw_only=True):
    """What is to be cut, and what there is to cut it from."""

    rods: tuple[RodToCut, ...]
    stock: tuple[StockLength, ...]
    kerf_in: float
    worth_keeping_in: float
    system: UnitSystem
    cannot: tuple[tuple[str, str], ...]
    """Anchors that stand on no list, and why."""
    unentered: tuple[str, ...]
    """Anchors whose rod is in the ground and whose pieces nobody entered: the list still holds them."""

    def holds(self, plan: RodPlan, anchor: str) -> bool:
        """Whether the anchor's rod is still to be cut just as it was asked."""
        asked = next((rod for rod in self.rods if rod.anchor == anchor), None)
        known = (_to_cut(plan, anchor, joined=joined) for joined in (True, False))
        return asked is not None and asked in known

    def answer(self, *, time_limit_s: float = TIME_LIMIT_S) -> CutPlan:
        """Return the cut list, worked out here and now; ``cut_beside`` does it beside the screen."""
        return plan_cuts(
            self.rods,
            self.stock,
            kerf_in=self.kerf_in,
            worth_keeping_in=self.worth_keeping_in,
            time_limit_s=time_limit_s,
            system=self.system,
        )


def _to_cut(plan: RodPlan, anchor: str, *, joined: bool) -> RodToCut | None:
    """Return what is to be driven; None also where no pieces serve."""
    with suppress(ValueError):
        return rod_to_cut(anchor, plan.limits, joined=joined)
    return None


def cut_question(state: DayState) -> CutQuestion:
    """Return the question as the day stands; pieces in the ground stay as they are."""
    rods: list[RodToCut] = []
    cannot: list[tuple[str, str]] = []
    unentered: list[str] = []
    for now in state.live():
        plan = rod_of(state, now)
        if plan is None:
            cannot.append((now.id, no_rod_words(state, now)))
            continue
        try:
            # In the ground without its pieces entered: its couplings are through the wall already.
            joined = "depth_found_in" in now.as_built or coupling_passes(plan.inputs)
            rod = rod_to_cut(now.id, plan.limits, joined=joined)
        except ValueError:
            cannot.append((now.id, plan.refused or "no pieces serve for its rod"))
            continue
        if rod is not None:
            rods.append(rod)
            if not now.pieces and "depth_found_in" in now.as_built:
                unentered.append(now.id)
    return CutQuestion(
        rods=tuple(rods),
        stock=_stock(state),
        kerf_in=kerf_in(state),
        worth_keeping_in=state.rules.number("rod_offcut_worth_keeping_in"),
        system=state.job.job.units,
        cannot=tuple(cannot),
        unentered=tuple(unentered),
    )


def no_rod_words(state: DayState, now: AnchorNow) -> str:
    """Return what an anchor's rod waits for, as it is asked on the steps; else where its trouble stands."""
    for key in _WAITS_FOR:
        found = value_now(state, now, key)
        if found.value is None:
            return f"{NO_ROD}: type its {found.label[:1].lower()}{found.label[1:]}"
    return f"{NO_ROD}: f says what is wrong with its aim"


def _stock(state: DayState) -> tuple[StockLength, ...]:
    truck = state.shared.truck
    rods = [
        StockLength(length_in=length_in, count=max(0, count))
        for length_in, count in sorted(truck.rods.items(), reverse=True)
    ]
    offcuts = Counter(truck.offcuts)
    rods += [
        StockLength(length_in=length_in, count=count, offcut=True)
        for length_in, count in sorted(offcuts.items(), reverse=True)
    ]
    return tuple(rods)


_kept: dict[str, tuple[tuple[object, ...], RodPlan | None]] = {}
"""By anchor its rod, and what that rests on: states are immutable, so identity tells."""


def rod_of(state: DayState, now: AnchorNow) -> RodPlan | None:
    """Return the rod of an anchor by itself, without the cut list; None where it cannot be figured yet."""
    shared = state.shared
    on_drift = shared.drift.get(now.wall)
    others = tuple(
        (other.as_built, other.drives, other.left_out)
        for other in state.anchors.values()
        if other.wall == now.wall and on_drift is not None
    )
    rests_on = (now.plan, now.as_built, now.aim, now.drives, now.pieces, shared.job, state.rules, on_drift)
    kept = _kept.get(now.id)
    if kept is not None and _same(kept[0], (*rests_on, *_flat(others))):
        return kept[1]
    try:
        found = figures_for(state, now.id).rod
    except (ValueError, ArithmeticError):
        found = None
    _kept[now.id] = ((*rests_on, *_flat(others)), found)
    return found


def _flat(rows: tuple[tuple[object, ...], ...]) -> tuple[object, ...]:
    return tuple(item for row in rows for item in row)


def _same(one: tuple[object, ...], other: tuple[object, ...]) -> bool:
    return len(one) == len(other) and all(left is right for left, right in zip(one, other, strict=True))


def rod_by_list(plan: RodPlan, cuts: CutPlan | None, anchor: str, *, system: UnitSystem) -> RodPlan:
    """Return an anchor's rod in the pieces that the cut list gives it; by itself where it stands on none."""
    pieces_in = cuts.pieces_for(anchor) if cuts is not None else ()
    if cuts is None or not pieces_in:
        return plan
    found = plan_rod(replace(plan.inputs, pieces_in=pieces_in), system=system)
    sources, driven = sources_for(cuts, anchor), len(plan.inputs.driven_in)
    pieces = tuple(
        piece
        if piece.driven or piece.number - driven not in sources
        else replace(
            piece,
            stock_in=sources[piece.number - driven][0],
            cut=not is_same(piece.length_in, sources[piece.number - driven][0]),
        )
        for piece in found.pieces
    )
    return replace(found, pieces=pieces)


def is_same(length_in: float, other_in: float) -> bool:
    """Whether two lengths differ by less than a saw can tell."""
    return abs(length_in - other_in) < SAME_LENGTH_IN / 2


def sources_for(cuts: CutPlan, anchor: str) -> Mapping[int, tuple[float, bool]]:
    """Return, by the number of an anchor's piece, which rod or offcut it is cut from."""
    return {
        piece.number: (stock.length_in, stock.offcut_stock)
        for stock in cuts.lengths
        for piece in stock.pieces
        if piece.anchor == anchor
    }
