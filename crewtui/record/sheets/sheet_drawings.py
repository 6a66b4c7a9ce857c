"""From the tables of a record to the drawings of its sheet: a wall from inside, an anchor from the side."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from markupsafe import Markup

from crewtui.foreign import prose
from crewtui.record.house import record_look
from crewtui.record.sheets.sheet_svg import BuriedPlate, elevation_svg
from crewtui.record.signed.form import AnchorDone, Record, WallPlanned
from crewtui.trade.aim.rod_line import Section, angle_for_deg, seat_from_setback_in, way_through_in
from crewtui.trade.pictures.elevation import PlateOnWall, elevation_picture
from crewtui.trade.pictures.section import PitSide, SectionPicture, WallSide, section_picture
from crewtui.trade.wall.block import course_or_usual_in
from crewtui.trade.wall.layout import Obstacle
from crewtui.units import UnitSystem

_TYPES: Final = ("poured concrete", "block", "clay tile")
_TOP_IN, _OVER_GRADE_IN, _MARK_IN = 92.0, 8.0, 28.0
"""Where a plate is drawn on a wall whose heights the record does not have."""


def elevation_of(wall: WallPlanned, own: list[AnchorDone], system: UnitSystem) -> Markup:
    """Return the drawing of a wall, nothing where the record has no wall to draw."""
    kind = next((each for each in _TYPES if each == wall.type), None)
    sizes = [record_look.number(size) for size in (wall.length_in, wall.slab_to_top_in, wall.grade_to_top_in)]
    length_in, top_in, grade_to_top_in = sizes
    if kind is None or not length_in or not top_in or length_in < 0 or top_in < 0:
        return Markup()
    picture = elevation_picture(
        f"{prose(wall.name)} wall from inside",
        wall_type=kind,
        length_in=length_in,
        slab_to_top_in=top_in,
        grade_to_top_in=grade_to_top_in or 0.0,
        plates=list(_plates(own)),
        openings=list(_openings(wall)),
        course_in=course_or_usual_in(record_look.number(wall.block_course_in)),
        system=system,
    )
    return elevation_svg(picture, list(_buried(own)))


def _openings(wall: WallPlanned) -> Iterator[Obstacle]:
    for one in wall.opening:
        start_in, end_in = record_look.number(one.start_in), record_look.number(one.end_in)
        if start_in is None or end_in is None or end_in <= start_in:
            continue
        yield Obstacle(
            name=prose(one.name),
            start_in=start_in,
            end_in=end_in,
            bottom_in=record_look.number(one.bottom_in) or 0.0,
            top_in=record_look.number(one.top_in),
        )


def _plates(own: list[AnchorDone]) -> Iterator[PlateOnWall]:
    for anchor in own:
        along_in, at = record_look.along_in(anchor), record_look.inputs(anchor)
        if along_in is None:
            continue
        grade_in = at.get("slab_to_top_in", _TOP_IN) - at.get("grade_to_top_in", _OVER_GRADE_IN)
        size = record_look.planned(anchor).get("wall_plate")
        size = size if isinstance(size, dict) else {}
        yield PlateOnWall(
            id=prose(anchor.id),
            along_in=along_in,
            planned_along_in=None,
            height_in=grade_in - at.get("mark_depth_in", _MARK_IN),
            width_in=record_look.number(size.get("width_in")) or 12.0,
            plate_height_in=record_look.number(size.get("height_in")) or 12.0,
            state="dropped" if anchor.state == "dropped" else "closed",
            on=bool(record_look.answered(anchor, "wall-plate-on")),
        )


def _buried(own: list[AnchorDone]) -> Iterator[BuriedPlate]:
    for anchor in own:
        at, depth_in, along_in = (
            record_look.inputs(anchor),
            record_look.built(anchor, "depth_found_in"),
            record_look.along_in(anchor),
        )
        if depth_in is None or along_in is None or "drop_in" not in at:
            continue
        yield BuriedPlate(
            id=prose(anchor.id),
            along_in=along_in + (record_look.built(anchor, "side_offset_in") or 0.0),
            below_grade_in=at["drop_in"] + depth_in,
            width_in=at.get("plate_width_in", 12.0),
            height_in=at.get("plate_height_in", 12.0),
        )


def section_of(record: Record, anchor: AnchorDone, system: UnitSystem) -> SectionPicture | None:
    """Return the anchor from the side as built; None while it has no rod, or its values make no picture."""
    at, depth_in = record_look.inputs(anchor), record_look.built(anchor, "depth_found_in")
    kind = next(
        (each for wall in record.wall if wall.name == anchor.wall for each in _TYPES if each == wall.type),
        None,
    )
    if kind is None or depth_in is None or not at.keys() >= _NEEDED:
        return None
    try:
        way_in = way_through_in(at["thickness_in"], at.get("bow_in", 0.0))
        near_in = seat_from_setback_in(at["setback_in"], pit_along_rod_in=at["pit_along_rod_in"])
        seat_in = at.get("seat_in", near_in)
        section = Section(
            mark_depth_in=at["mark_depth_in"], way_in=way_in, seat_in=seat_in, drop_in=at["drop_in"]
        )
        return section_picture(
            WallSide(
                type=kind,
                way_in=way_in,
                grade_to_top_in=at["grade_to_top_in"],
                slab_to_top_in=at["slab_to_top_in"],
            ),
            PitSide(
                seat_in=seat_in,
                near_in=near_in,
                along_rod_in=at["pit_along_rod_in"],
                depth_in=at["pit_depth_in"],
                plate_height_in=at["plate_height_in"],
            ),
            mark_depth_in=at["mark_depth_in"],
            drop_in=at["drop_in"],
            held_deg=angle_for_deg(section, depth_in),
            frost_in=at.get("frost_depth_in"),
            plate_depth_in=depth_in,
            title=f"{prose(anchor.id)} from the side",
            system=system,
        )
    except ValueError:
        return None


_NEEDED: Final = frozenset(
    {
        "thickness_in",
        "setback_in",
        "pit_along_rod_in",
        "pit_depth_in",
        "mark_depth_in",
        "drop_in",
        "grade_to_top_in",
        "slab_to_top_in",
        "plate_height_in",
    }
)


__all__ = ["elevation_of", "section_of"]
