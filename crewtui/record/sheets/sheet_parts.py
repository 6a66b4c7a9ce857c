"""What the printed sheet says, put together from a record's tables; the template only lays it out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from markupsafe import Markup
from msgspec import Struct
from pydantic import ValidationError

from crewtui.day.figures.tightening_rounds import owner_words
from crewtui.day.state.wall_reading import (
    Between,
    Visit,
    between,
    error_words,
    first_of,
    last_of,
    reading_words,
)
from crewtui.day.wall.anchor_account import TORQUE_FOUND, TORQUE_LEFT, AnchorAccount, account_words
from crewtui.foreign import prose
from crewtui.job.file.model import LaterTightening
from crewtui.record.house import record_look
from crewtui.record.house.account_of_record import account_of
from crewtui.record.house.past import Past
from crewtui.record.house.record_days import DayOf, day_of, days_worked, long_day
from crewtui.record.house.series import AnchorSeries
from crewtui.record.house.series_words import anchor_words, house_words
from crewtui.record.house.visits import Earlier, visits_of_record
from crewtui.record.sheets.first_page import FirstPage, Told, first_page
from crewtui.record.sheets.series_svg import SeriesScale, series_scale, series_svg
from crewtui.record.sheets.sheet_drawings import elevation_of, section_of
from crewtui.record.sheets.sheet_svg import along_svg, along_times, section_svg
from crewtui.record.sheets.wall_profiles import ProfileScale, profile_svg, scale_of
from crewtui.record.signed.form import AnchorDone, Record
from crewtui.trade.pictures.section import SectionPicture
from crewtui.trade.wall.survey import WallReading
from crewtui.units import UnitSystem, count_of

Pair = tuple[str, str]
_NOTHING: Final = Markup()
_ONLY_READ: Final = "read; nothing else is told of it here"
BEFORE_SAID: Final = "before"
_AS_FOUND: Final = "as found"
_NOT_BUILT: Final = "No drawing: it is not built."
_DRAWN_THEN: Final = "Its section is drawn on the sheet of the day on which it was set."
_OTHER_SHEET: Final = "What you may tighten stands on the sheet of the day on which the anchors were set."


class AnchorCard(Struct, frozen=True, kw_only=True):
    """One anchor on the sheet."""

    id: str
    wall: str
    state: str
    adjustable: bool
    facts: tuple[Pair, ...]
    readings: tuple[Pair, ...]
    """Of the wrench and of the wall."""
    section: Markup = _NOTHING
    profile: Markup = _NOTHING
    series: Markup = _NOTHING
    """The bow over the years."""
    undrawn: str = ""
    """Why there is no section."""


class WallSheet(Struct, frozen=True, kw_only=True):
    """One wall on the sheet."""

    name: str
    type: str
    elevation: Markup
    along: Markup
    since: tuple[str, ...] = ()
    """Against an earlier visit."""
    error: str = ""
    """What the reading error holds."""


class SheetView(Struct, frozen=True, kw_only=True):
    """All that both readers see."""

    facts: tuple[Pair, ...]
    first: FirstPage
    walls: tuple[WallSheet, ...]
    summary: tuple[tuple[str, ...], ...]
    anchors: tuple[AnchorCard, ...]
    owner: tuple[str, ...]
    """What the owner may tighten later."""
    contacts: tuple[tuple[str, ...], ...]
    earlier: str = ""
    """Which earlier visit the readings are held against."""
    notes: tuple[str, ...] = ()
    along_times: int = 0
    """How many times as large as it is the bow is drawn along every wall; 0 where none is."""
    profile_times: int = 0
    """The same of the profile of every anchor."""
    found: str = BEFORE_SAID
    """How the reading before tightening is called."""


class _Work(Struct, frozen=True, kw_only=True):
    """A record, and what was made of it for every part of the sheet."""

    record: Record
    day: DayOf
    accounts: Mapping[str, AnchorAccount]
    visits: Mapping[str, Mapping[str, Visit]]
    left: Mapping[str, Mapping[str, Visit]]
    """As an earlier visit left the wall."""
    series: Mapping[str, AnchorSeries]
    """Over all days of the house."""

    @property
    def system(self) -> UnitSystem:
        return self.record.job.units

    @property
    def found(self) -> str:
        """Return how the first reading of the day is called: on a visit nothing need have been tightened."""
        return BEFORE_SAID if self.day == "install" else _AS_FOUND

    def state(self, anchor: AnchorDone) -> str:
        """Return how an anchor came out, in words."""
        if self.day == "readings":
            return _ONLY_READ
        return account_words(self.accounts[anchor.id], self.system)

    def adjustable(self, anchor: AnchorDone) -> bool:
        """Return whether its nut is the owner's to turn."""
        return self.day != "readings" and self.accounts[anchor.id].yours

    def since(self, anchor: AnchorDone) -> Between | None:
        """Return what the wall did there since the earlier visit."""
        old, new = last_of(self.left.get(anchor.id, {})), first_of(self.visits.get(anchor.id, {}))
        return between(old, new, self.system) if old is not None and new is not None else None

    def runs(self, anchors: list[AnchorDone]) -> tuple[list[WallReading], list[WallReading]]:
        """Return the readings before and after tightening, in their order along the wall."""
        read = [self.visits[anchor.id] for anchor in anchors if anchor.id in self.visits]
        before, after = (
            sorted((one[when].reading for one in read if when in one), key=lambda one: one.along_in)
            for when in ("before", "after")
        )
        return before, after


def sheet_view(record: Record, past: Past | None = None) -> SheetView:
    """Return the sheet of a record; ``past`` is what earlier records of the house say."""
    earlier = past.earlier if past is not None else None
    work = _Work(
        record=record,
        day=day_of(record),
        accounts={anchor.id: account_of(record, anchor) for anchor in record.anchor},
        visits=visits_of_record(record),
        left=earlier.visits if earlier is not None else {},
        series={one.anchor: one for one in past.series.anchors} if past is not None else {},
    )
    later = _later(record)
    drawn = series_scale(work.series.values())
    scale = scale_of([visit.reading for found in work.visits.values() for visit in found.values()])
    times = _along_times(work)
    since = [found for found in map(work.since, record.anchor) if found is not None]
    return SheetView(
        facts=tuple(_job_facts(record)),
        first=first_page(
            Told(
                record=record,
                day=work.day,
                accounts=work.accounts,
                visits=work.visits,
                since=since,
                since_day=_earlier_day(earlier),
                years=_years(past),
                later=later,
            )
        ),
        walls=tuple(_walls(work, times)),
        summary=tuple(_summary(work, anchor) for anchor in record.anchor),
        anchors=tuple(_card(work, anchor, scale, drawn) for anchor in record.anchor),
        owner=_owner(work, later),
        contacts=tuple(
            tuple(prose(said) for said in (row.role, row.name, row.phone)) for row in record.contacts
        ),
        earlier=f"Held against the visit of {_earlier_day(earlier)}. {earlier.trusted}".strip()
        if earlier is not None
        else "",
        notes=earlier.strange if earlier is not None else (),
        along_times=times,
        profile_times=scale.times if scale is not None else 0,
        found=work.found,
    )


def _job_facts(record: Record) -> Iterator[Pair]:
    job = record.job
    for label, said in (
        ("Site", job.site),
        ("Address", job.address),
        ("Job", job.id),
        ("Work done on", ", ".join(day.isoformat() for day in days_worked(record))),
        ("Company", job.company),
        ("Crew lead", job.lead),
        ("Engineer", job.engineer),
        ("Plan", job.plan),
    ):
        if said:
            yield label, prose(said)


def _years(past: Past | None) -> str:
    """Return what all days of the house say of the bow, in one sentence."""
    if past is None:
        return ""
    found = past.series
    days = count_of(len(found.house.days), "day")
    return f"Read on {days} since {long_day(past.first_day)}: {house_words(found)}."


def _earlier_day(earlier: Earlier | None) -> str:
    """Return the last day of the earlier visit's own entries."""
    if earlier is None or earlier.verdict.record is None:
        return ""
    days = days_worked(earlier.verdict.record)
    return long_day(days[-1]) if days else "a day that its record does not name"


# The list of anchors.


def _summary(work: _Work, anchor: AnchorDone) -> tuple[str, ...]:
    planned, system = record_look.planned(anchor), work.system
    return (
        prose(anchor.id),
        record_look.length(record_look.along_in(anchor), system),
        _built_or_planned(record_look.built(anchor, "setback_in"), planned.get("setback_in"), system),
        _built_or_planned(record_look.depth_in(anchor), planned.get("aim_depth_in"), system),
        record_look.torque(work.accounts[anchor.id].torque_lbf_ft, system),
        work.state(anchor),
    )


def _built_or_planned(built_in: float | None, planned_in: object, system: UnitSystem) -> str:
    """Return the measured value, or the plan's in brackets."""
    found = record_look.length(built_in, system)
    if found:
        return found
    plan = record_look.length(planned_in, system)
    return f"({plan})" if plan else ""


# What the owner may do.


def _later(record: Record) -> LaterTightening | None:
    """Return the plan's schedule as the record has it; None where there is none, or none that can be read."""
    try:
        return LaterTightening.model_validate(record.tightening)
    except ValidationError:
        return None


def _owner(work: _Work, later: LaterTightening | None) -> tuple[str, ...]:
    if work.day == "readings":
        return (_OTHER_SHEET,)
    accounts = work.accounts.values()
    adjustable = [(prose(one.anchor), one.target_lbf_ft) for one in accounts if one.yours]
    barred = [prose(one.anchor) for one in accounts if one.owner_by_plan and not one.yours]
    return owner_words(
        adjustable,
        later,
        barred=barred,
        plan_words=prose(work.record.job.schedule),
        system=work.system,
        today=max(days_worked(work.record), default=None),
    )


# Walls.


def _along_times(work: _Work) -> int:
    """Return how many times as large as it is the bow is drawn along every wall; 0 where none is."""
    drawn = []
    for wall in work.record.wall:
        own = [anchor for anchor in work.record.anchor if anchor.wall == wall.name]
        before, after = work.runs(own)
        length_in = record_look.number(wall.length_in)
        if length_in and length_in > 0 and max(len(before), len(after)) > 1:
            drawn.append(along_times(length_in, (*before, *after)))
    return min(drawn, default=0)


def _walls(work: _Work, times: int) -> Iterator[WallSheet]:
    for wall in work.record.wall:
        own = [anchor for anchor in work.record.anchor if anchor.wall == wall.name]
        if not own:
            continue
        before, after = work.runs(own)
        length_in = record_look.number(wall.length_in)
        along = _NOTHING
        if length_in and length_in > 0 and max(len(before), len(after)) > 1:
            title = f"{prose(wall.name)} wall: how far it is bowed in, along it"
            along = along_svg(
                length_in, before, after, work.system, times=times, title=title, found=work.found
            )
        found = (work.since(anchor) for anchor in own)
        yield WallSheet(
            name=prose(wall.name),
            type=prose(wall.type),
            elevation=elevation_of(wall, own, work.system),
            along=along,
            error=next((error_words(one, work.system) for one in (*after, *before)), ""),
            since=tuple(f"{prose(one.anchor)}: {_moved(one)}." for one in found if one is not None),
        )


def _moved(change: Between) -> str:
    """Return the word and by how much, once each."""
    return f"{change.word}; {change.moved}" if change.moved else change.word


# One anchor.


def _card(
    work: _Work, anchor: AnchorDone, scale: ProfileScale | None, drawn: SeriesScale | None
) -> AnchorCard:
    picture = section_of(work.record, anchor, work.system)
    visits = work.visits.get(anchor.id, {})
    before, after = (visits[when].reading if when in visits else None for when in ("before", "after"))
    profile = _NOTHING
    if scale is not None and (before or after):
        title = f"{prose(anchor.id)}: the wall from the side"
        profile = profile_svg(before, after, scale, title, found=work.found)
    series = _NOTHING
    if drawn is not None and anchor.id in work.series:
        title = f"{prose(anchor.id)}: the bow over the years"
        series = series_svg(work.series[anchor.id].points["bow"], drawn, work.system, title)
    return AnchorCard(
        id=prose(anchor.id),
        wall=prose(anchor.wall),
        state=work.state(anchor),
        adjustable=work.adjustable(anchor),
        facts=tuple((label, value) for label, value in _facts(anchor, picture, work.system) if value),
        readings=(
            *((label, value) for label, value in _tightened(work, anchor) if value),
            *_readings(work, anchor),
        ),
        section=section_svg(picture) if picture is not None else _NOTHING,
        profile=profile,
        series=series,
        undrawn="" if picture is not None else _NOT_BUILT if work.day == "install" else _DRAWN_THEN,
    )


def _facts(anchor: AnchorDone, picture: SectionPicture | None, system: UnitSystem) -> Iterator[Pair]:
    at, planned = record_look.inputs(anchor), record_look.planned(anchor)
    yield "Along the wall", record_look.length(record_look.along_in(anchor), system)
    mark_in = record_look.built(anchor, "mark_depth_in")
    if mark_in is not None and "slab_to_top_in" in at:
        up_in = at["slab_to_top_in"] - at.get("grade_to_top_in", 0.0) - mark_in
        yield "Rod comes through", f"{record_look.length(up_in, system)} above the floor"
    setback_in = record_look.built(anchor, "setback_in")
    yield "Out from the wall", _built_or_planned(setback_in, planned.get("setback_in"), system)
    depth_in = record_look.depth_in(anchor)
    yield "Plate below ground", _built_or_planned(depth_in, planned.get("aim_depth_in"), system)
    side_in = record_look.built(anchor, "side_offset_in")
    if side_in is not None and abs(side_in) >= 1 / 8:
        way = "right" if side_in > 0 else "left"
        yield "Plate off the line", f"{record_look.length(abs(side_in), system)} to the {way}, from inside"
    if picture is not None and picture.rod is not None:
        yield "Rod runs down at", record_look.angle(picture.rod.angle_deg)


def _tightened(work: _Work, anchor: AnchorDone) -> Iterator[Pair]:
    system = work.system
    for label, quantity, pulled in (
        ("First tightening", "first_torque_lbf_ft", "pull_in_in"),
        ("After backfill", "second_torque_lbf_ft", "second_pull_in_in"),
        ("Nut found at", TORQUE_FOUND, ""),
        ("Nut left at", TORQUE_LEFT, "nut_came_in"),
    ):
        torque = record_look.torque(record_look.built(anchor, quantity), system)
        pull = record_look.length(record_look.built(anchor, pulled), system)
        parts = [torque, record_look.then(anchor, quantity), f"drew in {pull}" if torque and pull else ""]
        yield label, ", ".join(part for part in parts if part)


def _readings(work: _Work, anchor: AnchorDone) -> Iterator[Pair]:
    visits = work.visits.get(anchor.id, {})
    for when in ("before", "after"):
        if when in visits:
            label = "Wall" if work.day == "readings" else f"Wall, {when} tightening"
            if work.day == "visit" and when == "before":
                label = f"Wall, {_AS_FOUND}"
            yield label, reading_words(visits[when].reading, work.system)
    if "before" in visits and "after" in visits:
        yield "Change that day", _moved(between(visits["before"], visits["after"], work.system))
    since = work.since(anchor)
    if since is not None:
        yield "Since the earlier visit", _moved(since)
    if anchor.id in work.series:
        words = "; ".join(anchor_words(work.series[anchor.id], work.system))
        if words:
            yield "Over the years", words


__all__ = ["AnchorCard", "SheetView", "WallSheet", "sheet_view"]
