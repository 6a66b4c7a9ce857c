"""A wall seen from inside: where things stand, and the drawing in text at many sizes."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.trade.pictures.elevation import PlateOnWall, elevation_picture, gaps_along
from crewtui.trade.wall.layout import Obstacle
from crewtui.tui.widgets.elevation_drawing import STATES, draw_elevation, scale_for


def plate(ident: str = "A-1", along_in: float = 60.0, **changes: Any) -> PlateOnWall:
    values: dict[str, Any] = {
        "id": ident, "along_in": along_in, "planned_along_in": along_in, "height_in": 56.0, "width_in": 12.0,
        "plate_height_in": 14.0, "state": "not begun", "on": False,
    }  # fmt: skip
    return PlateOnWall(**{**values, **changes})


def picture(*plates: PlateOnWall, **changes: Any) -> Any:
    values: dict[str, Any] = {
        "wall_type": "block", "length_in": 336.0, "slab_to_top_in": 92.0, "grade_to_top_in": 8.0,
        "plates": plates, "band_depths_in": (26.0, 30.0), "course_in": 8.0,
    }  # fmt: skip
    return elevation_picture("north", **{**values, **changes})


def text(found: Any, columns: int = 78, rows: int = 14) -> list[str]:
    return ["".join(piece.text for piece in row) for row in draw_elevation(found, columns, rows)]


def test_heights_are_over_the_slab() -> None:
    found = picture()
    assert found.grade_in == 84
    assert found.band == (54, 58)
    assert found.beds_in[0] == 84
    assert found.beds_in[-1] > 0
    assert picture(wall_type="poured concrete").beds_in == ()


def test_an_opening_without_a_top_reaches_the_wall_s() -> None:
    found = picture(openings=[Obstacle(name="door", start_in=10, end_in=40)])
    assert found.openings[0].top_in == 92


def test_gaps_run_from_corner_to_corner_with_their_verdict() -> None:
    found = gaps_along(
        [40, 112, 130], wall_length_in=160, corner_greatest_in=36, spacing_greatest_in=72, spacing_least_in=36
    )
    assert [gap.verdict for gap in found] == ["too wide", "ok", "too close", "ok"]
    assert [gap.distance_in for gap in found] == [40, 72, 18, 30]


@pytest.mark.parametrize("state", STATES)
def test_every_state_has_its_sign_and_its_word(state: Any) -> None:
    fill, _, word = STATES[state]
    drawn = text(picture(plate(state=state)))
    assert any(word in line for line in drawn)
    assert any(f"[{fill if state != 'not begun' else '+'}]" in line for line in drawn)


def test_what_is_wrong_carries_a_sign_not_only_a_color() -> None:
    gaps = gaps_along(
        [100], wall_length_in=336, corner_greatest_in=36, spacing_greatest_in=72, spacing_least_in=36
    )
    drawn = text(picture(plate(along_in=100, wrong=True), gaps=gaps))
    assert any("A-1!" in line for line in drawn)
    assert any("! 8 ft 4 in too wide" in line for line in drawn)


def test_a_moved_anchor_leaves_a_cross_where_it_was_planned() -> None:
    drawn = text(picture(plate(planned_along_in=120.0, state="closed")))
    row = next(line for line in drawn if "[█]" in line)
    assert "+" in row[row.index("]") :]
    assert any("as planned" in line for line in drawn)


def test_courses_show_where_rows_are_fine_enough() -> None:
    assert not any("_" in line for line in text(picture(), 78, 14))
    assert any("_" in line for line in text(picture(), 116, 30))


def test_a_scale_is_true_both_ways_where_there_is_room() -> None:
    scale = scale_for(picture(), 116, 40)
    assert scale.per_row_in == 2 * scale.per_column_in


@settings(max_examples=60, deadline=None)
@given(
    columns=st.integers(0, 200), rows=st.integers(0, 60),
    length_in=st.floats(20, 2000), high_in=st.floats(10, 300),
    places=st.lists(st.floats(-50, 2100), max_size=8),
    name=st.text(max_size=12).filter(str.isprintable), metric=st.booleans(),
)  # fmt: skip
def test_any_wall_at_any_size_gives_rows_of_that_size(  # noqa: PLR0917 - hypothesis names them
    columns: int, rows: int, length_in: float, high_in: float, places: list[float], name: str, metric: bool
) -> None:
    found = picture(
        *(plate(f"{name}{n}", along, height_in=high_in / 2) for n, along in enumerate(places)),
        length_in=length_in, slab_to_top_in=high_in, grade_to_top_in=high_in / 8,
        openings=[Obstacle(name=name, start_in=length_in / 3, end_in=length_in / 2, bottom_in=high_in / 3)],
        system="metric" if metric else "imperial",
    )  # fmt: skip
    drawn = text(found, columns, rows)
    assert len(drawn) == rows
    assert all(len(line) == columns for line in drawn)


@pytest.mark.parametrize(
    "changes",
    [
        {"length_in": 0.0},
        {"slab_to_top_in": float("nan")},
        {"course_in": -1.0},
        {"band_depths_in": (30.0, 26.0)},
    ],
)
def test_what_cannot_be_is_refused(changes: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"over zero|must lie above"):
        picture(**changes)
