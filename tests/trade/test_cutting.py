"""The cut list beside another solver and beside every possibility, and what every list keeps to."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Sequence

import pytest
from compact_cutting import Compact
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.trade.truck.cutting import CutPlan, PieceRange, RodToCut, StockLength, plan_cuts

KERF_IN = 0.125
JOBS = 200


def job(seed: int) -> tuple[list[RodToCut], list[StockLength]]:
    """Return a few rods, each in one to three pieces within limits, and one to three lengths of stock."""
    chance = random.Random(seed)  # noqa: S311 - an invented job
    lengths = sorted(chance.sample((48.0, 60.0, 72.0, 80.0, 96.0, 120.0), chance.randint(1, 3)))
    rods = []
    for number in range(chance.randint(1, 3)):
        count = chance.randint(1, 3)
        least_in = chance.choice((12.0, 18.0))
        greatest_in = min(max(lengths), chance.choice((40.0, 60.0, 120.0)))
        low, high = least_in * count, greatest_in * count
        ranges = tuple(PieceRange(least_in=least_in, greatest_in=greatest_in) for _ in range(count))
        length_in = round(chance.uniform(low, high) * 16) / 16
        rods.append(
            RodToCut(anchor=f"A-{number + 1}", length_in=min(max(length_in, low), high), splits=(ranges,))
        )
    return rods, [StockLength(length_in=length_in) for length_in in lengths]


def keeps_to_the_model(plan: CutPlan) -> None:
    for length in plan.lengths:
        pieces_in = sum(piece.length_in for piece in length.pieces)
        assert len(length.pieces) - 1 <= length.cuts <= len(length.pieces)
        # The last cut may fall on the end of the stock, and then saws off less than its own width.
        assert pieces_in + (len(length.pieces) - 1) * plan.kerf_in <= length.length_in + 1e-5
        rest_in = length.length_in - pieces_in - length.cuts * plan.kerf_in
        assert length.offcut_in == pytest.approx(max(0.0, rest_in), abs=1e-5)
    for rod in plan.rods:
        pieces_in = plan.pieces_for(rod.anchor)
        if rod.anchor in plan.left_out:
            assert pieces_in == ()
            continue
        assert sum(pieces_in) == pytest.approx(rod.length_in, abs=1e-5)
        fitting = [split for split in rod.splits if len(split) == len(pieces_in)]
        assert any(
            all(
                part.least_in - 1e-5 <= piece_in <= part.greatest_in + 1e-5
                for part, piece_in in zip(split, pieces_in, strict=True)
            )
            for split in fitting
        )
    for use in plan.uses:
        taken = [
            one for one in plan.lengths if one.length_in == use.length_in and one.offcut_stock == use.offcut
        ]
        assert use.needed == len(taken)
        if use.there is not None:
            assert sum(not one.missing for one in taken) <= use.there


@pytest.mark.parametrize("block", range(10))
def test_no_other_solver_does_with_less_stock(block: int) -> None:
    each = JOBS // 10
    for seed in range(block * each, (block + 1) * each):
        rods, stock = job(seed)
        plan = plan_cuts(rods, stock, kerf_in=KERF_IN, more_pieces="never", time_limit_s=1)
        keeps_to_the_model(plan)
        assert plan.lengths_proven, seed
        ours_in = sum(length.length_in for length in plan.lengths)
        bins = [kind.length_in for kind in stock for _ in range(int(ours_in / kind.length_in + 1e-9))]
        other = Compact(rods, bins, kerf_in=KERF_IN).solve(5)
        assert other.length_in is not None, seed
        assert ours_in <= other.length_in + 1e-4, seed
        assert not other.proven or other.length_in == pytest.approx(ours_in, abs=1e-4), seed


def shares(pieces: Sequence[float], kerf_in: float, stock_in: float) -> Iterator[int]:
    """Yield the number of lengths of every way to share pieces out that fits: all of them, one by one."""
    for places in itertools.product(range(len(pieces)), repeat=len(pieces)):
        used: dict[int, float] = {}
        for place, piece_in in zip(places, pieces, strict=True):
            used[place] = used.get(place, -kerf_in) + piece_in + kerf_in
        if all(length_in <= stock_in + 1e-9 for length_in in used.values()):
            yield len(used)


@given(
    pieces=st.lists(st.integers(12, 80).map(float), min_size=1, max_size=5),
    kerf_in=st.sampled_from([0.0, 0.125, 1.0]),
)
@settings(max_examples=60, deadline=None)
def test_no_way_at_all_does_with_fewer_lengths(pieces: list[float], kerf_in: float) -> None:
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
    assert plan.proven
    assert len(plan.lengths) == min(shares(pieces, kerf_in, 80.0))


@given(seed=st.integers(10_000, 10**9), data=st.data())
@settings(max_examples=25, deadline=None)
def test_counts_offcuts_and_what_is_missing_are_kept_to(seed: int, data: st.DataObject) -> None:
    rods, stock = job(seed)
    counted = [
        StockLength(length_in=kind.length_in, count=data.draw(st.integers(0, 4), label="there"))
        for kind in stock
    ]
    counted += [
        StockLength(length_in=length_in, count=count, offcut=True)
        for length_in, count in data.draw(
            st.dictionaries(st.sampled_from([20.0, 33.0, 41.5]), st.integers(1, 2)), label="offcuts"
        ).items()
    ]
    plan = plan_cuts(rods, counted, kerf_in=KERF_IN, time_limit_s=1)
    keeps_to_the_model(plan)
    missing = sum(length.missing for length in plan.lengths)
    assert not any(length.missing and length.offcut_stock for length in plan.lengths)
    assert plan.enough is (False if missing else None if plan.left_out else True)


def test_a_search_that_is_called_off_gives_what_it_has() -> None:
    rods, stock = job(7)
    plan = plan_cuts(rods, stock, cancelled=lambda: True)
    keeps_to_the_model(plan)


def test_what_cannot_be_is_refused_in_a_sentence() -> None:
    rods, stock = job(1)
    for change in ({"kerf_in": -1.0}, {"time_limit_s": -1.0}):
        with pytest.raises(ValueError, match=r"\.$"):
            plan_cuts(rods, stock, **change)
    with pytest.raises(ValueError, match="no way to be split"):
        plan_cuts([RodToCut(anchor="A", length_in=10, splits=())], stock)
