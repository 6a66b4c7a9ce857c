"""Two tapes to a plate, against the triangle of sides 5, 12 and 13, and circles crossed by shapely (GEOS).

Euclid, Elements, I.47 for the triangle. Tolerance 1/16 in, to which a tape is read.
"""

from __future__ import annotations

import pytest
import shapely
from sheet_records import anchor, signed

from crewtui.record.sheets.yard_tapes import Tape, tapes

READ_IN = 1 / 16
WALL_IN, THICK_IN = 240.0, 8.0


def tape(along_in: float, **values: object) -> Tape:
    record = signed(anchor=[anchor("N1", along_in, **values)]).record
    assert record is not None
    (found,) = tapes(record.wall[0], record.anchor)
    return found


def test_the_five_twelve_thirteen_triangle_seen_from_the_yard() -> None:
    # 52 in from the start corner inside, 60 in from the outer corner; the plate 144 in out: 156 in by tape.
    found = tape(52.0)
    assert found.out_in == pytest.approx(144.0)
    assert found.right_in == pytest.approx(156.0, abs=READ_IN)
    assert found.left_in > found.right_in, "who faces the house has the start corner at the right"


@pytest.mark.parametrize("along_in", [20.0, 84.0, 120.0, 200.0, 231.0])
@pytest.mark.parametrize("side_in", [-3.0, 0.0, 2.5])
@pytest.mark.parametrize("setback_in", [90.0, 150.0, 186.0])
def test_where_two_circles_cross_lies_the_plate(along_in: float, side_in: float, setback_in: float) -> None:
    found = tape(along_in, built={"setback_in": setback_in, "side_offset_in": side_in})
    left, right = shapely.Point(WALL_IN + THICK_IN, 0), shapely.Point(-THICK_IN, 0)
    rings = [
        point.buffer(radius_in, quad_segs=4096).exterior
        for point, radius_in in ((left, found.left_in), (right, found.right_in))
    ]
    crossed = [point for point in rings[0].intersection(rings[1]).geoms if point.y > 0]
    assert [(point.x, point.y) for point in crossed] == [
        (pytest.approx(along_in + side_in, abs=READ_IN), pytest.approx(setback_in - 6.0, abs=READ_IN))
    ]
