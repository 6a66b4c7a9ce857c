"""TMS 602, plumb of new masonry: ±1/4 in in 10 ft, ±3/8 in in 20 ft, ±1/2 in at most. Published."""

from __future__ import annotations

import pytest

from crewtui.trade.wall import survey


@pytest.mark.parametrize(
    ("height_in", "tolerance_in"), [(96.0, 0.25), (120.0, 0.25), (121.0, 0.375), (240.0, 0.375), (400.0, 0.5)]
)
def test_plumb(height_in: float, tolerance_in: float) -> None:
    assert survey.new_masonry_plumb_in(height_in) == tolerance_in


def test_it_is_shown_as_what_it_is() -> None:
    assert "new masonry" in survey.PLUMB_WORDS
    assert "no limit" in survey.PLUMB_WORDS
