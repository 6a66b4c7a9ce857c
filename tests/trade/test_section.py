from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from rich.cells import cell_len
from textual.app import App, ComposeResult

from crewtui.trade.aim.rod_line import Section, angle_for_deg
from crewtui.trade.ground.band import RodHabit, rod_band
from crewtui.trade.ground.exposed import Spot
from crewtui.trade.ground.line_verdict import judge_line
from crewtui.trade.ground.lines import Line
from crewtui.trade.pictures.section import PitSide, SectionPicture, WallSide, section_picture
from crewtui.tui.app.looks import BASEMENT, SUN, THEMES
from crewtui.tui.widgets.section_drawing import scale_for
from crewtui.tui.widgets.section_widget import SectionView, draw_section

WALL = WallSide(
    type="block", way_in=8, grade_to_top_in=10, slab_to_top_in=92, joist_clearance_in=10, course_in=8
)
PIT = PitSide(seat_in=138, along_rod_in=12, depth_in=56, plate_height_in=12)
SECTION = Section(mark_depth_in=28, way_in=8, seat_in=138, drop_in=6.9)
HABIT = RodHabit(rod_diameter_in=0.75, past_seat_in=12, drift_sd_deg=1.118, side_sd_deg=1.118)
HELD_DEG = angle_for_deg(SECTION, 42)
SIZES = [(30, 8), (40, 12), (54, 10), (76, 18), (80, 24), (118, 30), (150, 40)]


def verdicts(*lines: Line) -> list:
    band = rod_band(SECTION, HELD_DEG, along_in=100, habit=HABIT)
    return [judge_line(line, band) for line in lines]


def picture(**more: object) -> SectionPicture:
    given_values = {
        "mark_depth_in": 28,
        "drop_in": 6.9,
        "held_deg": HELD_DEG,
        "tail_length_in": 60,
        "least_angle_deg": angle_for_deg(SECTION, 36),
        "greatest_angle_deg": angle_for_deg(SECTION, 47),
        "title": "A-3",
    }
    return section_picture(WALL, PIT, **(given_values | more))


def text(of: SectionPicture, columns: int = 118, rows: int = 30) -> list[str]:
    return ["".join(piece.text for piece in row) for row in draw_section(of, columns, rows)]


# The picture, in inches.


def test_the_rod_runs_from_its_tail_in_the_room_through_the_mark_to_the_seat() -> None:
    of = picture()
    assert of.rod is not None
    assert of.tail is not None
    assert of.mark == (-8, 28)
    assert of.tail.end == of.rod.start == of.mark
    assert math.dist(of.tail.start, of.tail.end) == pytest.approx(60)
    assert of.tail.start[1] < 28
    assert of.rod.end == (138, pytest.approx(42 + 6.9))
    assert of.rod.words == "hold 8.1° for 42 in"
    assert of.plate == pytest.approx((42.9, 54.9))
    assert of.pit_floor_in == pytest.approx(62.9)


def test_a_corrected_aim_holds_one_angle_and_runs_at_another() -> None:
    of = picture(held_deg=HELD_DEG + 0.8, run_deg=HELD_DEG)
    assert of.rod is not None
    assert of.tail is not None
    assert of.rod.end[1] == pytest.approx(48.9)
    assert of.tail.angle_deg == pytest.approx(HELD_DEG + 0.8)
    assert of.rod.words == "hold 8.9° for 42 in"


def test_the_frame_holds_everything() -> None:
    of = picture(frost_in=30, ran_deg=(2.0, 25.0))
    strokes = [of.rod, of.tail, of.least, of.greatest, *of.ran]
    for stroke in strokes:
        assert stroke is not None
        for x, y in (stroke.start, stroke.end):
            assert of.left_in <= x <= of.right_in
            assert of.top_in <= y <= of.bottom_in
    assert of.top_in < -20  # the joists
    assert of.bottom_in > 82  # the slab


def test_what_is_not_known_is_left_out_never_guessed() -> None:
    of = picture(drop_in=None, held_deg=None, least_angle_deg=None, greatest_angle_deg=None)
    assert (of.rod, of.tail, of.plate, of.least, of.greatest) == (None,) * 5
    shown = "\n".join(text(of))
    assert "grade, fall ?" in shown
    assert "hold" not in shown
    assert "█" not in shown


def test_a_plate_put_on_a_rod_that_ran_elsewhere_stands_there() -> None:
    assert picture(plate_depth_in=38).plate == pytest.approx((38.9, 50.9))


def test_a_line_far_to_the_side_is_not_drawn_and_a_near_one_is() -> None:
    far = Line(name="wire", kind="electric", points=((180, 0), (180, 300)), depth_in=20)
    near = Line(name="wire", kind="electric", points=((120, 0), (120, 300)), depth_in=20)
    assert picture(lines=verdicts(far)).lines == ()
    (shown,) = picture(lines=verdicts(near)).lines
    assert not shown.crosses
    assert shown.words == "electric, 20 in deep, 20 in aside"
    assert (shown.y_from_in, shown.y_to_in) == pytest.approx((20, 20 + 0.05 * shown.out_to_in))


def test_a_depth_is_below_the_ground_right_there() -> None:
    crossing = Line(name="main", kind="gas", points=((0, 100), (200, 100)), depth_in=20)
    (shown,) = picture(lines=verdicts(crossing)).lines
    assert shown.crosses
    assert (shown.out_from_in, shown.y_from_in) == pytest.approx((100, 25))


@pytest.mark.parametrize(
    "bad", [{"mark_depth_in": 0}, {"held_deg": 95}, {"drop_in": math.nan}, {"ran_deg": (90,)}]
)
def test_bad_measures_are_refused_in_a_sentence(bad: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=r"\.$"):
        picture(**bad)


# The drawing.


FULL = picture(
    frost_in=30,
    ran_deg=(angle_for_deg(SECTION, 33),),
    lines=verdicts(
        Line(name="main", kind="gas", points=((0, 70), (200, 90))),
        Line(
            name="tv",
            kind="communication",
            points=((0, 30), (200, 30)),
            spots=(Spot(along_in=100, out_in=30, depth_in=12),),
        ),
        Line(name="water", kind="potable water", points=((104, 0), (104, 300)), depth_in=44),
    ),
)


@pytest.mark.parametrize(("columns", "rows"), SIZES)
@pytest.mark.parametrize("of", [FULL, picture(), picture(drop_in=None, held_deg=None)])
def test_it_fits_its_pane_exactly_with_glyphs_of_width_one(
    of: SectionPicture, columns: int, rows: int
) -> None:
    drawn = text(of, columns, rows)
    assert len(drawn) == rows
    for line in drawn:
        assert len(line) == columns
        assert cell_len(line) == columns
        assert line.isprintable()


@given(columns=st.integers(0, 160), rows=st.integers(0, 45))
@settings(deadline=None, max_examples=60)
def test_every_size_is_drawn_and_never_breaks(columns: int, rows: int) -> None:
    drawn = draw_section(FULL, columns, rows)
    assert len(drawn) == rows
    assert all(sum(len(piece.text) for piece in row) == columns for row in drawn)


@given(
    way_in=st.floats(4, 24), seat_in=st.floats(24, 400), drop_in=st.none() | st.floats(-60, 90),
    mark_in=st.floats(10, 60), held_deg=st.none() | st.floats(-60, 80), tail_in=st.floats(0, 120),
    depth_in=st.floats(20, 120), frost_in=st.none() | st.floats(0, 80), columns=st.integers(30, 150),
    rows=st.integers(8, 40),
)  # fmt: skip
@settings(deadline=None, max_examples=60)
def test_every_picture_is_drawn_and_fits(  # noqa: PLR0917 - filled by name
    way_in: float, seat_in: float, drop_in: float | None, mark_in: float, held_deg: float | None,
    tail_in: float, depth_in: float, frost_in: float | None, columns: int, rows: int,
) -> None:  # fmt: skip
    of = section_picture(
        replace(WALL, way_in=way_in, joist_clearance_in=None),
        replace(PIT, seat_in=seat_in, depth_in=depth_in),
        mark_depth_in=mark_in, drop_in=drop_in, held_deg=held_deg, tail_length_in=tail_in, frost_in=frost_in,
        system="metric",
    )  # fmt: skip
    drawn = text(of, columns, rows)
    assert [len(line) for line in drawn] == [columns] * rows


@pytest.mark.parametrize(("columns", "rows"), SIZES)
def test_the_scale_is_the_same_both_ways_and_shown(columns: int, rows: int) -> None:
    scale = scale_for(FULL, columns, rows - 2)
    assert scale.per_row_in == 2 * scale.per_column_in
    assert FULL.right_in - scale.left_in <= columns * scale.per_column_in + 1e-9
    assert FULL.bottom_in - FULL.top_in <= (rows - 2) * scale.per_row_in + 1e-9
    shown = "\n".join(text(FULL, columns, rows))
    assert ("1 column = " in shown and "1 row = " in shown) or "column " in shown


def test_the_scale_is_a_round_figure_in_the_jobs_own_units() -> None:
    assert "1 column = 2 in, 1 row = 4 in" in text(picture())[-1]
    assert "1 column = 50 mm, 1 row = 100 mm" in text(picture(system="metric"))[-1]


def found(drawn: list[str], glyphs: str) -> list[tuple[int, int]]:
    """Return (column, row) of every such glyph above the legend."""
    return [(c, r) for r, line in enumerate(drawn[:-2]) for c, glyph in enumerate(line) if glyph in glyphs]


def test_the_rod_is_drawn_where_it_runs() -> None:
    of = picture(least_angle_deg=None, greatest_angle_deg=None, plate_depth_in=20)
    scale = scale_for(of, 118, 29)
    assert of.rod is not None
    for column, row in found(text(of), "▀▄"):
        x = scale.left_in + (column + 0.5) * scale.per_column_in
        if -60 < x < 136:
            y = scale.top_in + (row + 0.5) * scale.per_row_in
            assert y == pytest.approx(of.rod.at_in(x), abs=scale.per_row_in / 2 + 1e-9)


def test_the_grade_is_drawn_with_its_fall_and_says_so() -> None:
    drawn = text(picture())
    rows = sorted({row for column, row in found(drawn, "‾_") if column > 35})
    assert rows[-1] - rows[0] in {1, 2}  # 8 in over the pane at 4 in a row
    assert any("grade falls 6 7/8 in" in line for line in drawn)
    assert any("grade, level" in line for line in text(picture(drop_in=0.0)))
    assert any("grade rises 5 in" in line for line in text(picture(drop_in=-5.0)))


def test_everything_is_told_apart_without_color() -> None:
    shown = "\n".join(text(FULL))
    for words in (
        "▀▄ rod",
        "─── ran",
        "· · least, greatest",
        "█ plate",
        "* frost",
        "o line",
        "■ line that holds",
    ):
        assert words in shown
    for words in (
        "A-3",
        "hold 8.1°",
        "least, 36 in",
        "greatest, 47 in",
        "ran 4.7°",
        "frost 30 in",
        "pit 56 in",
    ):
        assert words in shown
    for words in (
        "gas, depth ?",
        "communication, 12 in deep",
        "potable water, 44 in deep, 4 in aside",
        "block wall",
    ):
        assert words in shown


def test_a_line_of_unknown_depth_is_question_marks_where_it_crosses() -> None:
    of = picture(lines=verdicts(Line(name="main", kind="gas", points=((0, 80), (200, 80)))))
    scale = scale_for(of, 118, 29)
    asked = [(c, r) for c, r in found(text(of), "?") if c == scale.column(80)]
    assert len(asked) >= 8


@pytest.mark.parametrize(("columns", "rows"), [(40, 12), (76, 18), (118, 30)])
def test_a_line_that_waits_to_be_exposed_is_named_and_explained_at_every_usual_size(
    columns: int, rows: int
) -> None:
    beside = Line(name="water", kind="potable water", points=((104, 0), (104, 300)))
    shown = "\n".join(text(picture(lines=verdicts(beside)), columns, rows))
    assert "potable water, depth ?" in shown
    assert "? depth to be found" in shown


def test_every_picture_of_a_mark_moves_when_the_angle_does() -> None:
    assert text(picture()) != text(picture(held_deg=HELD_DEG + 1.5))


@pytest.mark.parametrize(("columns", "rows"), [(40, 12), (76, 18), (118, 30)])
def test_the_angle_to_hold_is_in_words_at_every_usual_size(columns: int, rows: int) -> None:
    assert any("hold 8.1°" in line for line in text(FULL, columns, rows))


def test_a_pane_too_small_says_so() -> None:
    assert text(picture(), 19, 4)[0].startswith("The drawing needs")


# The widget.


class Shows(App[None]):
    def __init__(self, look: str, of: SectionPicture | None) -> None:
        super().__init__()
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = look
        self.of = of

    def compose(self) -> ComposeResult:
        yield SectionView(self.of)


def inks_of(view: SectionView) -> set[str]:
    styles = [segment.style for y in range(18) for segment in view.render_line(y)]
    return {style.color.name for style in styles if style and style.color}


@pytest.mark.parametrize("look", [SUN, BASEMENT])
async def test_the_widget_shows_the_drawing_in_the_colors_of_the_look(look: str) -> None:
    app = Shows(look, FULL)
    async with app.run_test(size=(76, 18)) as pilot:
        view = app.query_one(SectionView)
        shown = [view.render_line(y).text for y in range(18)]
        assert shown == text(FULL, 76, 18)
        inks = {
            segment.style.color.name
            for segment in view.render_line(6)
            if segment.style and segment.style.color
        }
        assert len(inks) > 1
        app.theme = BASEMENT if look == SUN else SUN
        await pilot.pause()
        assert not inks & inks_of(view)
        await pilot.resize_terminal(40, 12)
        await pilot.pause()
        assert [view.render_line(y).text for y in range(12)] == text(FULL, 40, 12)


async def test_the_widget_draws_again_only_for_another_picture_or_size() -> None:
    app = Shows(SUN, picture())
    async with app.run_test(size=(60, 16)) as pilot:
        view = app.query_one(SectionView)
        before = view._rows()
        view.show(picture())
        assert view._rows() is before
        view.show(picture(held_deg=HELD_DEG + 1))
        await pilot.pause()
        assert view._rows() is not before
        assert view.picture == picture(held_deg=HELD_DEG + 1)
        view.show(None)
        await pilot.pause()
        assert view.render_line(3).text.strip() == ""


async def test_a_name_with_markup_in_it_is_shown_as_it_is() -> None:
    app = Shows(SUN, picture(title="[A-1] [/b]"))
    async with app.run_test(size=(76, 18)):
        view = app.query_one(SectionView)
        assert any("[A-1] [/b]" in view.render_line(y).text for y in range(18))
