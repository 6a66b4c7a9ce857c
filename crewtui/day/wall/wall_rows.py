"""A wall as it stands: corners and spacing, the fewest anchors, openings, block, marks; and its elevation."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final, Literal

from msgspec import Struct

from crewtui.day.state.inputs import number_now
from crewtui.day.state.state import DayState
from crewtui.day.steps import typed_value
from crewtui.day.steps.step_rows import anchor_word
from crewtui.day.wall.wall_facts import Looking, block_mark, conflicts, marks, obstacle
from crewtui.job.file.model import Wall
from crewtui.job.tables.steps import by_id
from crewtui.trade.pictures.elevation import ElevationPicture, PlateOnWall, elevation_picture, gaps_along
from crewtui.trade.wall import block
from crewtui.trade.wall.block import BlockMark
from crewtui.trade.wall.layout import (
    END_CORNER,
    START_CORNER,
    Conflict,
    EvenLayout,
    Gap,
    MarksCheck,
    SpacingCheck,
    fewest_anchors,
)
from crewtui.units import show_length_fine

Subject = Literal["spacing", "fewest", "opening", "block", "marks"]
Verdict = Literal["ok", "wrong", "unknown"]

_NO_JOINTS: Final = (
    "Measure from the mark to the nearest bed joint and head joint, and fill them in: a hole in a joint or a"
    " web spalls the block."
)
_NO_MARKS: Final = (
    "Tie the mark outside to the one inside by a window's edge or a pipe; enter the difference."
)
_CORE: Final = (
    "The hole meets a core, if the block is an ordinary two-core unit. A thin trial hole shows the truth."
)
_PLAN_COUNTS: Final = "How many the wall needs is the engineer's to say."


class WallFound(Struct, frozen=True, kw_only=True):
    """One finding about a wall: short words for its row, and what to do."""

    key: str
    subject: Subject
    verdict: Verdict
    anchor: str
    """Empty where it is of the wall."""
    label: str
    value: str
    words: str


class OffWall(Struct, frozen=True, kw_only=True):
    """An anchor whose place lies outside the wall."""

    anchor: str
    along_in: float


class WallView(Struct, frozen=True, kw_only=True):
    """Everything there is to say about one wall's layout."""

    wall: Wall
    planned: SpacingCheck | None
    """As the job file has it; None where a place lies off the wall or there is no anchor."""
    now: SpacingCheck | None
    """As the site has it."""
    fewest: EvenLayout
    marks: tuple[tuple[str, MarksCheck], ...]
    off: tuple[OffWall, ...]
    found: tuple[WallFound, ...]
    picture: ElevationPicture

    @property
    def wrong(self) -> int:
        """Return how many findings are against a limit."""
        return sum(one.verdict == "wrong" for one in self.found)


def wall_view(state: DayState, name: str) -> WallView:
    """Return what there is to say about a wall's layout; KeyError if there is no such wall."""
    at = Looking(state, name)
    places = [(now.id, at.along_in(now)) for now in at.anchors]
    planned = [(plan.id, plan.along_in) for plan in state.job.anchors if plan.wall == name]
    fewest = fewest_anchors(
        at.wall.length_in,
        corner_greatest_in=at.rules.number("corner_greatest_in"),
        spacing_greatest_in=at.rules.number("spacing_greatest_in"),
    )
    now, before = at.spacing(places), at.spacing(planned)
    off = tuple(
        OffWall(anchor=ident, along_in=along_in) for ident, along_in in places if not at.on_wall(along_in)
    )
    met = tuple(one for anchor in at.anchors for one in conflicts(at, anchor))
    blocks, unread = _blocks(at)
    differ = tuple(marks(at))
    found = [
        *_spacing_found(at, now, before, off),
        _fewest_found(at, fewest),
        *(_conflict_found(at, one) for one in met),
        *(_block_found(at, ident, mark) for ident, mark in blocks),
        *unread,
        *_marks_found(at, differ),
    ]
    wrong = {one.anchor for one in found if one.verdict == "wrong"}
    return WallView(
        wall=at.wall,
        planned=before,
        now=now,
        fewest=fewest,
        marks=differ,
        off=off,
        found=tuple(found),
        picture=_picture(at, wrong),
    )


# Corners and spacing.


def _spacing_found(
    at: Looking, now: SpacingCheck | None, planned: SpacingCheck | None, off: Sequence[OffWall]
) -> Iterator[WallFound]:
    for one in off:
        yield WallFound(
            key=f"off {one.anchor}",
            subject="spacing",
            verdict="wrong",
            anchor=one.anchor,
            label=f"{one.anchor} off the wall",
            value=at.length(one.along_in),
            words=f"Its place is past the end of a wall of {at.length(at.wall.length_in)}: measure it again.",
        )
    before = {(gap.start, gap.end): gap for gap in planned.gaps} if planned is not None else {}
    for gap in now.gaps if now is not None else ():
        yield _gap_found(at, gap, before.get((gap.start, gap.end)))


def _gap_found(at: Looking, gap: Gap, before: Gap | None) -> WallFound:
    ends = (_end(gap.start), _end(gap.end))
    limit = (
        f"at most {at.length(gap.greatest_in)}"
        if not gap.least_in
        else f"{at.length(gap.least_in)} to {at.length(gap.greatest_in)}"
    )
    planned = ""
    if before is not None and before.distance_in != gap.distance_in:
        planned = f" The plan had {at.length(before.distance_in)}."
    value, words = at.length(gap.distance_in), f"Within the limits: {limit}."
    if gap.verdict != "ok":
        bound_in = gap.greatest_in if gap.verdict == "too wide" else gap.least_in
        value = show_length_fine(gap.distance_in, bound_in, at.system)
        mend = "Move an anchor or add one" if gap.verdict == "too wide" else "Move one: their soil overlaps"
        words = (
            f"{gap.verdict.capitalize()}, {limit}. {mend}, or let the plan's engineer say that it may stay."
        )
    return WallFound(
        key=f"gap {gap.start} {gap.end}",
        subject="spacing",
        verdict="ok" if gap.verdict == "ok" else "wrong",
        anchor=gap.end if gap.start == START_CORNER and gap.end != END_CORNER else gap.start,
        label=f"{ends[0]} to {ends[1]}",
        value=value,
        words=words + planned,
    )


def _end(name: str) -> str:
    return {START_CORNER: "Start corner", END_CORNER: "end corner"}.get(name, name)


def _fewest_found(at: Looking, fewest: EvenLayout) -> WallFound:
    places = ", ".join(at.length(place) for place in fewest.places_in)
    short = len(at.anchors) < fewest.count
    return WallFound(
        key="fewest",
        subject="fewest",
        verdict="wrong" if short else "ok",
        anchor="",
        label="Fewest by the spacing limits",
        value=f"{fewest.count}, here {len(at.anchors)}",
        words=f"Evenly they would stand at {places} along. {_PLAN_COUNTS}",
    )


# Openings.


def _conflict_found(at: Looking, one: Conflict) -> WallFound:
    places = [at.length(place) for place in (one.clear_to_start_in, one.clear_to_end_in) if place is not None]
    clear = f" Clear places: {' and '.join(places)} along." if places else " No place on this wall is clear."
    return WallFound(
        key=f"opening {one.anchor} {one.obstacle}",
        subject="opening",
        verdict="wrong",
        anchor=one.anchor,
        label=f"{one.anchor} over {one.obstacle}",
        value=at.length(one.overlap_in),
        words=one.words + clear,
    )


# Block.


def _blocks(at: Looking) -> tuple[tuple[tuple[str, BlockMark], ...], tuple[WallFound, ...]]:
    if at.wall.type != "block":
        return (), ()
    judged: list[tuple[str, BlockMark]] = []
    unread: list[WallFound] = []
    for now in at.anchors:
        try:
            mark = block_mark(at.state, now, at.inputs[now.id])
        except ValueError as error:
            unread.append(_unread(now.id, str(error)[:1].upper() + str(error)[1:] + "."))
            continue
        if mark is None:
            unread.append(_unread(now.id, _NO_JOINTS))
        else:
            judged.append((now.id, mark))
    return tuple(judged), tuple(unread)


def _unread(ident: str, words: str) -> WallFound:
    return WallFound(
        key=f"block {ident}",
        subject="block",
        verdict="unknown",
        anchor=ident,
        label=f"{ident} on the block",
        value="not known",
        words=words,
    )


def _block_found(at: Looking, ident: str, mark: BlockMark) -> WallFound:
    words = _CORE if mark.meets == "core" else " ".join(mark.warnings)
    move = _move_words(at, mark)
    return WallFound(
        key=f"block {ident}",
        subject="block",
        verdict="ok" if mark.meets == "core" else "wrong",
        anchor=ident,
        label=f"{ident} on the block",
        value=f"meets {mark.meets}",
        words=f"{words} {move}".strip(),
    )


def _move_words(at: Looking, mark: BlockMark) -> str:
    """Say the shortest move to a clear mark, as far as its direction is known."""
    if mark.meets == "core" or mark.inside_band is False:
        return ""
    moves = []
    if mark.move_down_in:
        way = "down" if mark.move_down_in > 0 else "up"
        depth = f", to {at.length(mark.clear_mark_depth_in)} below grade" if mark.clear_mark_depth_in else ""
        moves.append(f"{at.length(abs(mark.move_down_in))} {way}{depth}")
    elif mark.move_down_in is None and mark.away_from_bed_in:
        moves.append(f"{at.length(mark.away_from_bed_in)} away from the bed joint")
    if mark.move_along_in:
        way = "end" if mark.move_along_in > 0 else "start"
        moves.append(f"{at.length(abs(mark.move_along_in))} towards the {way} corner")
    elif mark.move_along_in is None and mark.away_from_head_in:
        way = "away from" if mark.away_from_head_in > 0 else "towards"
        moves.append(f"{at.length(abs(mark.away_from_head_in))} {way} the head joint")
    return f"Nearest clear mark: {' and '.join(moves)}." if moves else ""


# Marks inside and outside.


def _marks_found(at: Looking, marks: Sequence[tuple[str, MarksCheck]]) -> Iterator[WallFound]:
    judged = dict(marks)
    for now in at.anchors:
        check = judged.get(now.id)
        if check is None:
            verdict, value, words = "unknown", "not entered", _NO_MARKS
        elif check.agree:
            limit = at.length(check.agree_in)
            verdict, value = "ok", at.length(check.differ_in)
            words = f"Both marks agree within {limit}."
        else:
            verdict, words = "wrong", " ".join(check.warnings)
            value = show_length_fine(check.differ_in, check.agree_in, at.system)
        found = now.as_built.get("marks_differ_in")
        pair = typed_value.read_pair(by_id("marks"), found.text, at.state) if found is not None else None
        if pair is not None:
            words += f" Inside {at.length(pair[0])}, outside {at.length(pair[1])} from what both sides show."
        yield WallFound(
            key=f"marks {now.id}",
            subject="marks",
            verdict=verdict,  # type: ignore[arg-type]
            anchor=now.id,
            label=f"{now.id} marks inside and outside differ",
            value=value,
            words=words,
        )


# The elevation.


def _picture(at: Looking, wrong: set[str]) -> ElevationPicture:
    wall, rules = at.wall, at.rules
    plates = [
        PlateOnWall(
            id=now.id,
            along_in=at.along_in(now),
            planned_along_in=now.planned.along_in if now.planned is not None else None,
            height_in=at.height_in(now),
            width_in=number_now(at.state, now, "wall_plate_width_in"),
            plate_height_in=number_now(at.state, now, "wall_plate_height_in"),
            state=anchor_word(now),
            on="wall-plate-on" in now.answers,
            wrong=now.id in wrong,
        )
        for now in (*at.anchors, *at.dropped)
    ]
    course_in = block.course_or_usual_in(wall.block_course_in)
    courses = f" in courses of {at.length(course_in)}" if wall.type == "block" else ""
    return elevation_picture(
        f"{wall.name}, {wall.type}{courses}, seen from inside",
        wall_type=wall.type,
        length_in=wall.length_in,
        slab_to_top_in=wall.slab_to_top_in,
        grade_to_top_in=wall.grade_to_top_in,
        plates=plates,
        openings=[obstacle(one) for one in wall.openings],
        gaps=gaps_along(
            [at.along_in(now) for now in at.anchors],
            wall_length_in=wall.length_in,
            corner_greatest_in=rules.number("corner_greatest_in"),
            spacing_greatest_in=rules.number("spacing_greatest_in"),
            spacing_least_in=rules.number("spacing_least_in"),
        ),
        band_depths_in=(rules.number("mark_band_top_in"), rules.number("mark_band_bottom_in")),
        course_in=course_in,
        system=at.system,
    )


__all__ = ["OffWall", "WallFound", "WallView", "wall_view"]
