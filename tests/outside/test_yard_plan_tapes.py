"""The yard's plan against shapely: two tapes from the corners cross at the plate, and no drawing is mirrored.

- shapely: circles about a wall's two corners with the tapes as radii cross, on the yard's side, within half
  an inch of the plate (a hand is four inches); tapes are read to 1/8 in.
- Handedness: by the signed area of corner, corner and plate, as seen standing in the yard.
"""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest
from shapely import Point

from crewtui.day.figures.yard_of_day import yard_pictures
from crewtui.day.state.fold import start
from crewtui.job.file.load import load_job
from crewtui.job.file.rule_overrides import resolve
from crewtui.trade.ground.yard import WallPlace
from crewtui.trade.pictures.yard_from_above import AnchorInYard, WallInYard, draw_yard, plate_tapes, yard_plan

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
NAMES = ("block-wall", "clay-tile-tight", "poured-deep-frost-metric", "two-walls-stoop")


def anchor(along_in: float, out_in: float) -> AnchorInYard:
    return AnchorInYard(
        id="A", wall="north", along_in=along_in, setback_in=out_in + 7, plate_along_in=along_in,
        plate_out_in=out_in, built=True,
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(30))
def test_the_two_tapes_cross_at_the_plate(seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 - cases to try, no secrets
    length_in = chance.uniform(120, 480)
    along_in, out_in = chance.uniform(20, length_in - 20), chance.uniform(80, 200)
    tapes = plate_tapes(anchor(along_in, out_in), length_in)
    read = [round(one * 8) / 8 for one in (tapes.from_right_in, tapes.from_left_in)]
    # Page frame of the wall: right corner at 0, left corner at -length, the yard downwards.
    right, left = (
        Point(0, 0).buffer(read[0], quad_segs=4096),
        Point(-length_in, 0).buffer(read[1], quad_segs=4096),
    )
    crossing = right.exterior.intersection(left.exterior)
    found = min(Point(-along_in, out_in).distance(point) for point in crossing.geoms)
    assert found < 0.5


def test_left_and_right_are_those_of_who_stands_in_the_yard() -> None:
    place = WallPlace(wall="north", x_in=0, y_in=0, along_deg=0, top_in=0)
    picture = yard_plan([WallInYard(place=place, length_in=300)], [anchor(40, 150)])
    start_corner, end_corner = picture.walls[0].points
    # The start corner is left as seen from inside, so right from the yard; the yard lies down the page.
    assert start_corner[0] > end_corner[0]
    assert picture.plates[0].points[0][1] > 0
    assert picture.tapes[0].from_right_in == pytest.approx(math.hypot(40, 150))
    assert picture.tapes[0].from_left_in == pytest.approx(math.hypot(260, 150))


def test_the_second_wall_turns_away_from_the_first_ones_yard() -> None:
    """At an outside corner the east wall's plates lie to the east: seen from the north yard, to the left."""
    job = load_job(SAMPLES / "two-walls-stoop.toml")
    (picture,) = yard_pictures(start(job, resolve(job)))
    plates = {run.name: run.points[0] for run in picture.plates}
    left_corner = min(x for x, _ in picture.walls[0].points)
    assert plates["E1"][0] < left_corner < plates["N4"][0] < plates["N1"][0]
    assert plates["E1"][1] < 0 < plates["N1"][1]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("size", [(80, 24), (60, 12), (120, 40)])
def test_the_drawing_fits_and_shows_every_pit(name: str, size: tuple[int, int]) -> None:
    job = load_job(SAMPLES / f"{name}.toml")
    for picture in yard_pictures(start(job, resolve(job))):
        lines = draw_yard(picture, width=size[0], height=size[1])
        assert len(lines) <= size[1]
        assert max(map(len, lines)) <= size[0]
        text = "\n".join(lines)
        assert all(tapes.anchor in text for tapes in picture.tapes)
