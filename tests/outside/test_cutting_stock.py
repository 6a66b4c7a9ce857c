"""Cutting-stock cases with a known best, and the common anchor's two common rods.

Sources: rolls of 5600 mm, thirteen widths, best 73 rolls: the worked example of Wikipedia's "Cutting stock
problem" (mark: published; solved there to the optimum). Stock of 100 with 97 of 45, 610 of 36, 395 of 31 and
211 of 14, best 453: V. Chvátal, "Linear Programming", 1983, chapter 13 (mark: published). The
saw-cut trap, and
two 80 in rods for a set-back of 12 ft and a wall of 8 in: arithmetic and common practice, no
source. Lengths of
stock are counts: no tolerance.
"""

from __future__ import annotations

import pytest

from crewtui.trade.rod.make_up import plan_rod
from crewtui.trade.rod.rod_inputs import RodInputs
from crewtui.trade.truck.cutting import PieceRange, RodToCut, StockLength, plan_cuts


def whole_pieces(demand: dict[float, int]) -> list[RodToCut]:
    """Return pieces that may not be split, one rod each."""
    return [
        RodToCut(
            anchor=f"{length:g}-{number}",
            length_in=length,
            splits=((PieceRange(least_in=length, greatest_in=length),),),
        )
        for length, count in demand.items()
        for number in range(count)
    ]


@pytest.mark.parametrize("per_unit", [1.0, 1 / 25.4])
def test_rolls_of_5600_mm_need_73(per_unit: float) -> None:
    widths = (1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200)
    counts = (22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20)
    demand = {width * per_unit: count for width, count in zip(widths, counts, strict=True)}
    plan = plan_cuts(whole_pieces(demand), [StockLength(length_in=5600 * per_unit)], kerf_in=0)
    assert len(plan.lengths) == 73
    assert plan.lengths_proven


def test_the_book_s_1313_pieces_need_453() -> None:
    demand = {45.0: 97, 36.0: 610, 31.0: 395, 14.0: 211}
    plan = plan_cuts(whole_pieces(demand), [StockLength(length_in=100)], kerf_in=0)
    assert len(plan.lengths) == 453
    assert plan.lengths_proven


@pytest.mark.parametrize(("kerf_in", "lengths"), [(0.0, 1), (0.125, 2)])
def test_three_pieces_of_48_from_144_and_the_saw_cut(kerf_in: float, lengths: int) -> None:
    plan = plan_cuts(whole_pieces({48.0: 3}), [StockLength(length_in=144)], kerf_in=kerf_in)
    assert len(plan.lengths) == lengths
    assert plan.proven


def test_three_rods_of_100_from_80_need_four_lengths_not_six() -> None:
    split = (PieceRange(least_in=12, greatest_in=80), PieceRange(least_in=12, greatest_in=80))
    rods = [RodToCut(anchor=name, length_in=100, splits=(split,)) for name in "ABC"]
    plan = plan_cuts(rods, [StockLength(length_in=80)], kerf_in=0.125)
    assert len(plan.lengths) == 4
    assert plan.proven


@pytest.mark.parametrize("angle_deg", [5.26, 7.94])
@pytest.mark.parametrize("seat_in", [138.0, 144.0])
def test_two_common_rods_make_the_common_anchor(seat_in: float, angle_deg: float) -> None:
    inputs = RodInputs(
        seat_in=seat_in,
        way_in=8,
        angle_deg=angle_deg,
        plate_thickness_in=0.25,
        nut_height_in=0.64,
        threads_showing=4,
        threads_per_in=10,
        wall_plate_thickness_in=0.25,
        washer_thickness_in=0.15,
        take_up_in=3,
        stock_lengths_in=(80,),
        rod_diameter_in=0.75,
        coupling_length_in=2.25,
        coupling_corners_in=1.1,
        hole_diameter_in=1.125,
    )
    plan = plan_rod(inputs)
    assert plan.possible
    assert [piece.stock_in for piece in plan.pieces] == [80, 80]
    assert plan.total_in == pytest.approx(160)
    assert 0 <= plan.spare_in < 10
