"""The cut list beside another solver and beside every possibility, and what every list keeps to.

The gate plays 60 invented jobs; ``tests/bench/cutting_counts.py`` plays thousands.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterator, Sequence

import pytest
from compact_cutting import Way, least_lengths, least_missing, plain_ways
from hypothesis import given, settings
from hypothesis import strategies as st
from invented_rods import invented, invented_truck

from crewtui.trade.rod.pieces import PieceLimits
from crewtui.trade.truck.cutting import CutPlan, PieceRange, RodToCut, StockLength, plan_cuts, rod_to_cut

KERF_IN = 0.125
CLOSE_IN = 2e-5


def keeps_to_the_model(plan: CutPlan) -> None:
    for length in plan.lengths:
        pieces_in = sum(piece.length_in for piece in length.pieces)
        whole = len(length.pieces) == 1 and pieces_in == length.length_in
        assert len(length.pieces) - 1 <= length.cuts <= len(length.pieces)
        assert length.cuts or whole or pieces_in == pytest.approx(length.length_in, abs=CLOSE_IN)
        # The last cut may fall on the end of the stock, and then saws off less than its own width.
        assert pieces_in + (len(length.pieces) - 1) * plan.kerf_in <= length.length_in + CLOSE_IN
        rest_in = length.length_in - pieces_in - length.cuts * plan.kerf_in
        assert length.offcut_in == pytest.approx(max(0.0, rest_in), abs=CLOSE_IN)
    for rod in plan.rods:
        pieces_in = plan.pieces_for(rod.anchor)
        if rod.anchor in plan.left_out:
            assert pieces_in == ()
            continue
        holds_a_rod(rod, pieces_in)
    for use in plan.uses:
        taken = [
            one for one in plan.lengths if one.length_in == use.length_in and one.offcut_stock == use.offcut
        ]
        assert use.needed == len(taken)
        if use.there is not None:
            assert sum(not one.missing for one in taken) <= use.there


def holds_a_rod(rod: RodToCut, pieces_in: Sequence[float]) -> None:
    """Every piece in its range; only the last may be longer than the rod needs."""
    (split,) = (split for split in rod.splits if len(split) == len(pieces_in))
    for part, piece_in in zip(split, pieces_in, strict=True):
        assert part.least_in - CLOSE_IN <= piece_in <= part.greatest_in + CLOSE_IN
    rest_in = rod.length_in - sum(pieces_in[:-1])
    assert split[-1].least_in - CLOSE_IN <= rest_in <= pieces_in[-1] + CLOSE_IN


def cut_pieces(plan: CutPlan) -> int:
    """Return how many pieces the saw touches before driving."""
    return sum(
        len(length.pieces)
        for length in plan.lengths
        if len(length.pieces) > 1 or length.pieces[0].length_in < length.length_in
    )


@pytest.mark.parametrize("seed", range(20))
def test_another_solver_does_with_no_fewer_lengths_nor_cuts(seed: int) -> None:
    rods, stock = invented(seed, anchors=(2, 6))
    kinds = [kind.length_in for kind in stock]
    if not rods or any(not plain_ways(rod, kinds) for rod in rods):
        return
    plan = plan_cuts(rods, stock, kerf_in=KERF_IN, time_limit_s=10)
    keeps_to_the_model(plan)
    assert plan.proven
    other = least_lengths(rods, kinds, kerf_in=KERF_IN, limit_s=10)
    assert other is None or len(plan.lengths) + 0.01 * cut_pieces(plan) == pytest.approx(other)


@pytest.mark.parametrize("seed", range(100, 120))
def test_not_enough_is_never_said_of_a_truck_that_suffices(seed: int) -> None:
    rods, stock = invented(seed, anchors=(2, 4))
    truck = invented_truck(rods, stock, seed)
    plan = plan_cuts(rods, truck, kerf_in=KERF_IN, time_limit_s=4)
    keeps_to_the_model(plan)
    assert not any(length.missing and length.offcut_stock for length in plan.lengths)
    if plan.left_out:
        return
    assert plan.enough is (True if not plan.missing else False if plan.least_missing else None)
    if plan.enough is False:
        near = [rod_with_few(rod, 2) for rod in rods]
        other = least_missing(near, truck, kerf_in=KERF_IN, fetched=plan.missing, limit_s=10)
        assert other is None or other >= plan.least_missing


def rod_with_few(rod: RodToCut, more: int) -> RodToCut:
    """Return the rod in its fewest pieces and so many more: what the other solver can be given."""
    return RodToCut(anchor=rod.anchor, length_in=rod.length_in, splits=rod.splits[: more + 1])


def every_list(rods: Sequence[RodToCut], truck: Sequence[StockLength]) -> Iterator[tuple[int, int, int]]:
    """Yield missing, lengths and cut pieces of every list there is, one by one."""
    kinds = [kind.length_in for kind in truck]
    for ways in itertools.product(*(plain_ways(rod, kinds) for rod in rods)):
        cut = [piece_in for way in ways for piece_in in way.cut]
        for shared in shares(cut, kinds):
            uses = Counter({kind: sum(way.whole[kind] for way in ways) for kind in range(len(kinds))})
            uses.update(shared)
            missing = sum(
                max(0, uses[at] - kind.count) for at, kind in enumerate(truck) if kind.count is not None
            )
            yield missing, uses.total(), cuts_of(ways)


def cuts_of(ways: Sequence[Way]) -> int:
    return sum(len(way.cut) for way in ways)


def shares(pieces: Sequence[float], kinds: Sequence[float]) -> Iterator[tuple[int, ...]]:
    """Yield the kinds of the lengths for every way to share pieces out that fits."""
    for places in itertools.product(range(len(pieces)), repeat=len(pieces)):
        if sorted(set(places)) != list(range(len(set(places)))):
            continue
        held = [
            sum(piece_in + KERF_IN for piece_in, at in zip(pieces, places, strict=True) if at == place)
            - KERF_IN
            for place in range(len(set(places)))
        ]
        fitting = [[kind for kind, length_in in enumerate(kinds) if length_in >= one - 1e-9] for one in held]
        yield from itertools.product(*fitting)


@pytest.mark.parametrize("seed", range(200, 220))
def test_no_list_at_all_is_better(seed: int) -> None:
    rods, stock = invented(seed, anchors=(1, 3), kinds=(1, 2))
    if not rods or any(not plain_ways(rod, [kind.length_in for kind in stock]) for rod in rods):
        return
    plan = plan_cuts(rods, stock, kerf_in=KERF_IN, time_limit_s=10)
    assert (0, len(plan.lengths), cut_pieces(plan)) == min(every_list(rods, stock))
    truck = [StockLength(length_in=kind.length_in, count=2 + seed % 3) for kind in stock]
    plan = plan_cuts(rods, truck, kerf_in=KERF_IN, time_limit_s=10)
    keeps_to_the_model(plan)
    least = min(every_list(rods, truck))
    assert plan.missing <= least[0]
    if least[0] == 0:
        assert (plan.missing, len(plan.lengths), cut_pieces(plan)) == least


def limits(needed_in: float, longest_in: float) -> PieceLimits:
    return PieceLimits(
        needed_in=needed_in,
        driven_in=0.0,
        least_in=12.0,
        first_greatest_in=longest_in,
        later_greatest_in=longest_in,
        joint_least_in=3.0,
        joint_greatest_in=needed_in - 16.5,
    )


def test_a_truck_whose_lengths_add_up_another_way_is_enough() -> None:
    rods = [rod_to_cut(name, limits(length_in, 72.0)) for name, length_in in (("A", 182.7), ("B", 152.9))]
    truck = [
        StockLength(length_in=length_in, count=count) for length_in, count in ((72, 2), (60, 30), (36, 2))
    ]
    plan = plan_cuts([rod for rod in rods if rod is not None], truck, kerf_in=KERF_IN)
    assert plan.enough is True
    assert plan.missing == 0


@pytest.mark.parametrize(("count", "enough"), [(10, True), (9, False)])
def test_many_short_lengths_serve_where_the_long_ones_are_gone(count: int, *, enough: bool) -> None:
    rods = [rod_to_cut(name, limits(length_in, 72.0)) for name, length_in in (("A", 182.7), ("B", 152.9))]
    truck = [StockLength(length_in=36.0, count=count), StockLength(length_in=72.0, count=0)]
    plan = plan_cuts([rod for rod in rods if rod is not None], truck, kerf_in=KERF_IN)
    assert plan.enough is enough


def test_a_rod_that_no_coupling_can_join_stays_one_piece() -> None:
    rod = rod_to_cut("A", limits(70.0, 80.0), joined=False)
    assert rod is not None
    assert [len(split) for split in rod.splits] == [1]
    plan = plan_cuts([rod], [StockLength(length_in=80, count=0), StockLength(length_in=40, count=9)])
    assert plan.pieces_for("A") == (80,)
    assert plan.enough is False
    with pytest.raises(ValueError, match=r"No pieces serve"):
        rod_to_cut("A", limits(100.0, 80.0), joined=False)


def test_what_is_not_proven_is_not_said_as_a_fact() -> None:
    rods, stock = invented(7)
    truck = invented_truck(rods, stock, 7)
    plan = plan_cuts(rods, truck, kerf_in=KERF_IN, time_limit_s=0)
    keeps_to_the_model(plan)
    if plan.missing and not plan.least_missing:
        assert plan.enough is None
        assert "short by at most" in plan.said
        assert "Not enough" not in plan.said


@given(
    pieces=st.lists(st.integers(12, 80).map(float), min_size=1, max_size=5),
    kerf_in=st.sampled_from([0.0, 0.125, 1.0]),
)
@settings(max_examples=40, deadline=None)
def test_n_pieces_from_one_length_take_a_saw_cut_less_than_n(pieces: list[float], kerf_in: float) -> None:
    rods = [
        RodToCut(
            anchor=f"A-{number}",
            length_in=piece_in,
            splits=((PieceRange(least_in=piece_in, greatest_in=piece_in),),),
        )
        for number, piece_in in enumerate(pieces)
    ]
    plan = plan_cuts(rods, [StockLength(length_in=80.0)], kerf_in=kerf_in, time_limit_s=20)
    keeps_to_the_model(plan)
    assert plan.lengths_proven
    fewest = min(
        len(set(places))
        for places in itertools.product(range(len(pieces)), repeat=len(pieces))
        if all(
            sum(one + kerf_in for one, at in zip(pieces, places, strict=True) if at == place) - kerf_in <= 80
            for place in set(places)
        )
    )
    assert len(plan.lengths) == fewest


def test_what_cannot_be_is_refused_in_a_sentence() -> None:
    rods, stock = invented(1)
    for change in ({"kerf_in": -1.0}, {"time_limit_s": -1.0}):
        with pytest.raises(ValueError, match=r"\.$"):
            plan_cuts(rods, stock, **change)
    with pytest.raises(ValueError, match="no way to be split"):
        plan_cuts([RodToCut(anchor="A", length_in=10, splits=())], stock)
