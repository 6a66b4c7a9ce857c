"""What is wrong with the places of the anchors: corners, spacing, openings, joints, unfit heights."""

from __future__ import annotations

from collections.abc import Iterator

from crewtui.job.check.finding import Finding
from crewtui.job.file.model import Anchor, Job, Wall
from crewtui.job.file.planned import planned_number
from crewtui.job.tables.rules import Rules
from crewtui.trade.wall.block import check_block_mark
from crewtui.trade.wall.layout import (
    END_CORNER,
    START_CORNER,
    Gap,
    Obstacle,
    check_spacing,
    fewest_anchors,
    opening_conflicts,
)
from crewtui.units import at_least, count_of, show_length


def layout_findings(job: Job, rules: Rules) -> Iterator[Finding]:
    """Return what is wrong with each wall's anchors."""
    for wall in job.walls:
        yield from _height_findings(job, wall)
        anchors = [anchor for anchor in job.anchors if anchor.wall == wall.name]
        if not anchors:
            yield Finding("remark", "layout", f"The wall {wall.name} has no anchors.")
            continue
        off = [anchor for anchor in anchors if not 0 < anchor.along_in < wall.length_in]
        for anchor in off:
            words = (
                f"It stands at {show_length(anchor.along_in, job.job.units)} along a wall of"
                f" {show_length(wall.length_in, job.job.units)}: not on the wall."
            )
            yield Finding("stop", "layout", words, anchor=anchor.id)
        if not off:
            yield from _spacing_findings(job, rules, wall, anchors)
            yield from _opening_findings(job, rules, wall, anchors)
        yield from _block_findings(job, rules, wall, anchors)


def _height_findings(job: Job, wall: Wall) -> Iterator[Finding]:
    if wall.base_to_grade_in is None:
        words = f"The wall {wall.name} has no base_to_grade: the soil wedges are not judged."
        yield Finding("remark", "wall", words)
    elif not at_least(wall.base_to_grade_in + wall.grade_to_top_in, wall.slab_to_top_in):
        words = (
            f"The heights of the wall {wall.name} do not fit: base to grade and grade to top make"
            f" {show_length(wall.base_to_grade_in + wall.grade_to_top_in, job.job.units)},"
            " less than slab to top."
        )
        yield Finding("caution", "wall", words)


def _spacing_findings(job: Job, rules: Rules, wall: Wall, anchors: list[Anchor]) -> Iterator[Finding]:
    corner_in, greatest_in = rules.number("corner_greatest_in"), rules.number("spacing_greatest_in")
    spacing = check_spacing(
        [(anchor.id, anchor.along_in) for anchor in anchors],
        wall_length_in=wall.length_in,
        corner_greatest_in=corner_in,
        spacing_greatest_in=greatest_in,
        spacing_least_in=rules.number("spacing_least_in"),
    )
    for gap in spacing.gaps:
        if gap.verdict != "ok":
            yield Finding("caution", "layout", _gap_words(job, gap), anchor=_anchor_of(gap))
    fewest = fewest_anchors(wall.length_in, corner_greatest_in=corner_in, spacing_greatest_in=greatest_in)
    if len(anchors) < fewest.count:
        words = (
            f"The wall {wall.name} has {count_of(len(anchors), 'anchor')}; by the spacing limits it needs"
            f" {fewest.count} or more. The plan's engineer may say otherwise."
        )
        yield Finding("caution", "layout", words)


def _anchor_of(gap: Gap) -> str:
    return gap.end if gap.start == START_CORNER else gap.start


def _gap_words(job: Job, gap: Gap) -> str:
    system = job.job.units
    ends = [end if end not in {START_CORNER, END_CORNER} else f"the {end}" for end in (gap.start, gap.end)]
    measured = f"From {ends[0]} to {ends[1]} it is {show_length(gap.distance_in, system)}"
    if gap.verdict == "too wide":
        return (
            f"{measured}, more than {show_length(gap.greatest_in, system)}: move an anchor or add one, or let"
            " the plan's engineer say that it may stay."
        )
    return (
        f"{measured}, less than {show_length(gap.least_in, system)}: move one, or let the plan's engineer say"
        " that it may stay."
    )


def _opening_findings(job: Job, rules: Rules, wall: Wall, anchors: list[Anchor]) -> Iterator[Finding]:
    obstacles = [
        Obstacle(
            name=one.name,
            start_in=one.start_in,
            end_in=one.end_in,
            bottom_in=one.bottom_in,
            top_in=one.top_in,
        )
        for one in wall.openings
    ]
    for anchor in anchors:
        conflicts = opening_conflicts(
            [(anchor.id, anchor.along_in, _height_of(job, rules, anchor))],
            obstacles,
            wall_length_in=wall.length_in,
            plate_width_in=planned_number(job, rules, anchor, "wall_plate_width_in"),
            plate_height_in=planned_number(job, rules, anchor, "wall_plate_height_in"),
        )
        for one in conflicts:
            places = [
                show_length(place, job.job.units)
                for place in (one.clear_to_start_in, one.clear_to_end_in)
                if place is not None
            ]
            clear = f" Clear places are at {' and '.join(places)} along." if places else ""
            yield Finding("caution", "layout", one.words + clear, anchor=anchor.id)


def _height_of(job: Job, rules: Rules, anchor: Anchor) -> float | None:
    """Return the mark's height above the slab, or None where the plan does not give the mark."""
    if anchor.mark_depth_in is None:
        return None
    to_top_in = planned_number(job, rules, anchor, "grade_to_top_in")
    return job.wall(anchor.wall).slab_to_top_in - to_top_in - anchor.mark_depth_in


def _block_findings(job: Job, rules: Rules, wall: Wall, anchors: list[Anchor]) -> Iterator[Finding]:
    if wall.type != "block":
        return
    for anchor in anchors:
        if anchor.bed_joint_in is None or anchor.head_joint_in is None:
            words = "The nearest joints are not given: find them on site before the mark is drilled."
            yield Finding("remark", "mark", words, anchor=anchor.id)
            continue
        try:
            mark = check_block_mark(
                anchor.bed_joint_in,
                anchor.head_joint_in,
                hole_diameter_in=planned_number(job, rules, anchor, "hole_diameter_in"),
                bed_joint_side=anchor.bed_joint_side,
                head_joint_side=anchor.head_joint_side,
                mark_depth_in=anchor.mark_depth_in,
                band_top_in=rules.number("mark_band_top_in"),
                band_bottom_in=rules.number("mark_band_bottom_in"),
                course_in=planned_number(job, rules, anchor, "block_course_in"),
                block_length_in=planned_number(job, rules, anchor, "block_length_in"),
            )
        except ValueError as error:
            words = str(error)
            yield Finding(
                "caution", "mark", words[:1].upper() + words[1:].rstrip(".") + ".", anchor=anchor.id
            )
            continue
        if mark.meets != "core":
            for words in mark.warnings:
                yield Finding("caution", "mark", words, anchor=anchor.id)
