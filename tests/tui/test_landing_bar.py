from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from crewtui.tui.widgets.landing_bar import LEAST_COLUMNS, LIMIT, landing_bar

DEPTHS = st.floats(-500, 500, allow_nan=False)


def test_a_way_that_lands_inside_stands_between_the_limits() -> None:
    bar = landing_bar(36, 48, 44, 38, 25)
    least, greatest = bar.index(LIMIT), bar.rindex(LIMIT)
    assert least < bar.index("[") < bar.index("]") < greatest


def test_a_way_that_lands_too_shallow_stands_before_the_least() -> None:
    bar = landing_bar(36, 48, 33, 33, 25)
    assert bar.index("#") < bar.index(LIMIT)


@given(DEPTHS, DEPTHS, st.integers(0, 90))
def test_any_landing_gives_a_bar_of_its_width(chance: float, repeats: float, columns: int) -> None:
    assert len(landing_bar(36, 48, chance, repeats, columns)) == max(LEAST_COLUMNS, columns)
