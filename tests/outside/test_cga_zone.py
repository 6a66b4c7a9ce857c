"""Tolerance zone around a buried line, and the colors of its marks.

Source: CGA Best Practices 5.19: the zone is the width of the line plus 18 in on each side of its outside
edge, or more where the state says so. APWA uniform color code: red electric; yellow gas, oil, steam;
orange communication; blue potable water; purple reclaimed water, irrigation; green sewer. Mark: published.
Tolerance: exact, but for 1e-6 in at the edge itself.
"""

from __future__ import annotations

import pytest

from crewtui.trade.ground.lines import COLORS, TOLERANCE_ZONE_IN, Line, LineKind, PitPlan, judge_pit


def auger(edge_to_middle_in: float) -> PitPlan:
    """Return a 12 in auger pit whose house-side rim stands that far out."""
    return PitPlan(along_in=60, setback_in=edge_to_middle_in + 6, along_rod_in=12, across_in=12, round=True)


def across_the_yard(width_in: float) -> Line:
    return Line(name="service", kind="gas", points=((-500, 0), (500, 0)), width_in=width_in)


def test_the_zone_of_a_four_inch_line_is_twenty_inches_each_side_of_its_middle() -> None:
    assert TOLERANCE_ZONE_IN == 18
    verdict = judge_pit(across_the_yard(4), auger(100))
    assert verdict.zone_in == 20


@pytest.mark.parametrize(
    ("width_in", "edge_in", "in_zone"),
    [
        (4, 19.99, True),
        (4, 20.0, True),  # touching counts
        (4, 20.0000005, True),
        (4, 20.01, False),
        (0, 18.0, True),
        (0, 18.01, False),
        (1.25, 18.625, True),
        (1.25, 18.63, False),
    ],
)
def test_a_pit_that_touches_the_zone_is_in_it(width_in: float, edge_in: float, in_zone: bool) -> None:
    assert judge_pit(across_the_yard(width_in), auger(edge_in)).in_zone is in_zone


def test_a_state_that_asks_for_twenty_four_inches_gets_them() -> None:
    assert not judge_pit(across_the_yard(4), auger(23)).in_zone
    assert judge_pit(across_the_yard(4), auger(23), tolerance_in=24).in_zone


@pytest.mark.parametrize(
    ("kind", "color"),
    [
        ("electric", "red"),
        ("gas", "yellow"),
        ("communication", "orange"),
        ("potable water", "blue"),
        ("reclaimed water", "purple"),
        ("sewer", "green"),
    ],
)
def test_apwa_colors_are_named_in_words(kind: LineKind, color: str) -> None:
    assert COLORS[kind] == color
    line = Line(name="front yard", kind=kind, points=((0, 0), (100, 0)))
    assert f"{color} marks" in judge_pit(line, auger(50)).words
