"""What the printed sheet says, put together from a record's tables; the template only lays it out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from markupsafe import Markup
from msgspec import Struct
from pydantic import ValidationError

from crewtui.day.figures.tightening_rounds import owner_words
from crewtui.day.state.wall_reading import Between, Visit, between, first_of, last_of, reading_words
from crewtui.day.wall.anchor_account import AnchorAccount, account_words
from crewtui.foreign import prose
from crewtui.job.file.model import LaterTightening
from crewtui.record.house import record_look
from crewtui.record.house.account_of_record import account_of
from crewtui.record.house.visits import Earlier, visits_of_record
from crewtui.record.sheets.sheet_drawings import elevation_of, section_of
from crewtui.record.sheets.sheet_svg import along_svg, profile_svg, section_svg
from crewtui.record.signed.form import AnchorDone, Record
from crewtui.trade.pictures.section import SectionPicture
from crewtui.units import UnitSystem

Pair = tuple[str, str]
_NOTHING: Final = Markup()


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


class WallSheet(Struct, frozen=True, kw_only=True):
    """One wall on the sheet."""

    name: str
    type: str
    elevation: Markup
    along: Markup
    since: tuple[str, ...] = ()
    """Against an earlier visit."""


class SheetView(Struct, frozen=True, kw_only=True):
    """All that both readers see."""

    facts: tuple[Pair, ...]
    walls: tuple[WallSheet, ...]
    summary: tuple[tuple[str, ...], ...]
    anchors: tuple[AnchorCard, ...]
    owner: tuple[str, ...]
    """What the owner may tighten later."""
    first_visit: str
    contacts: tuple[tuple[str, ...], ...]
    earlier: str = ""
    """Which earlier visit the readings are held against."""
    notes: tuple[str, ...] = ()


def sheet_view(record: Record, earlier: Earlier | None = None) -> SheetView:
    """Return the sheet of a record whose signature holds."""
    job, system = record.job, record.job.units
    visits = visits_of_record(record)
    left = earlier.visits if earlier is not None else {}
    accounts = {anchor.id: account_of(record, anchor) for anchor in record.anchor}
    cards = tuple(
        _card(record, anchor, accounts[anchor.id], visits.get(anchor.id, {}), left.get(anchor.id, {}))
        for anchor in record.anchor
    )
    later = _later(record)
    return SheetView(
        facts=tuple(
            (label, prose(said))
            for label, said in (
                ("Site", job.site),
                ("Address", job.address),
                ("Job", job.id),
                ("Planned for", job.date),
                ("Crew lead", job.lead),
                ("Engineer", job.engineer),
                ("Plan", job.plan),
            )
            if said not in (None, "")
        ),
        walls=tuple(_walls(record, visits, left, system)),
        summary=tuple(_summary(anchor, accounts[anchor.id], system) for anchor in record.anchor),
        anchors=cards,
        owner=_owner(record, accounts, later),
        first_visit=record_look.day(later.first_visit) if later is not None else "",
        contacts=tuple(
            tuple(prose(said) for said in (row.role, row.name, row.phone)) for row in record.contacts
        ),
        earlier=_earlier_words(earlier),
        notes=earlier.strange if earlier is not None else (),
    )


def _earlier_words(earlier: Earlier | None) -> str:
    if earlier is None:
        return ""
    dated = f" of {record_look.day(earlier.date)}" if earlier.date else ""
    return f"Held against the visit{dated}. {earlier.trusted}".strip()


# The list of anchors.


def _summary(anchor: AnchorDone, account: AnchorAccount, system: UnitSystem) -> tuple[str, ...]:
    planned = record_look.planned(anchor)
    return (
        prose(anchor.id),
        record_look.length(record_look.along_in(anchor), system),
        _built_or_planned(anchor, "setback_in", planned.get("setback_in"), system),
        _built_or_planned(anchor, "depth_found_in", planned.get("aim_depth_in"), system),
        record_look.torque(_torque(anchor), system),
        account_words(account, system),
    )


def _built_or_planned(anchor: AnchorDone, quantity: str, planned: object, system: UnitSystem) -> str:
    """Return the measured value, or the plan's in brackets."""
    found = record_look.length(record_look.built(anchor, quantity), system)
    if found:
        return found
    plan = record_look.length(planned, system)
    return f"({plan})" if plan else ""


def _torque(anchor: AnchorDone) -> float | None:
    """Return the torque of the last tightening that clicked."""
    for quantity in ("second_torque_lbf_ft", "first_torque_lbf_ft"):
        value = record_look.built(anchor, quantity)
        if value is not None:
            return value
    return None


# What the owner may do.


def _later(record: Record) -> LaterTightening | None:
    """Return the plan's schedule as the record has it; None where there is none, or none that can be read."""
    try:
        return LaterTightening.model_validate(record.tightening)
    except ValidationError:
        return None


def _owner(
    record: Record, accounts: Mapping[str, AnchorAccount], later: LaterTightening | None
) -> tuple[str, ...]:
    adjustable = [(prose(one.anchor), one.target_lbf_ft) for one in accounts.values() if one.yours]
    barred = [prose(one.anchor) for one in accounts.values() if one.owner_by_plan and not one.yours]
    return owner_words(
        adjustable, later, barred=barred, plan_words=prose(record.job.schedule), system=record.job.units
    )


# Walls.


def _walls(
    record: Record,
    visits: Mapping[str, Mapping[str, Visit]],
    left: Mapping[str, Mapping[str, Visit]],
    system: UnitSystem,
) -> Iterator[WallSheet]:
    for wall in record.wall:
        own = [anchor for anchor in record.anchor if anchor.wall == wall.name]
        if not own:
            continue
        read = [visits[anchor.id] for anchor in own if anchor.id in visits]
        before, after = (
            sorted((one[when].reading for one in read if when in one), key=lambda one: one.along_in)
            for when in ("before", "after")
        )
        length_in = record_look.number(wall.length_in)
        along = _NOTHING
        if length_in and length_in > 0 and max(len(before), len(after)) > 1:
            along = along_svg(length_in, before, after, system)
        yield WallSheet(
            name=prose(wall.name),
            type=prose(wall.type),
            elevation=elevation_of(wall, own, system),
            along=along,
            since=tuple(_since(own, visits, left, system)),
        )


def _since(
    own: list[AnchorDone],
    visits: Mapping[str, Mapping[str, Visit]],
    left: Mapping[str, Mapping[str, Visit]],
    system: UnitSystem,
) -> Iterator[str]:
    for anchor in own:
        change = _change(left.get(anchor.id, {}), visits.get(anchor.id, {}), system)
        if change is not None:
            yield f"{prose(change.anchor)}: {change.word}. {change.words[0]}."


def _change(left: Mapping[str, Visit], found: Mapping[str, Visit], system: UnitSystem) -> Between | None:
    old, new = last_of(left), first_of(found)
    return between(old, new, system) if old is not None and new is not None else None


# One anchor.


def _card(
    record: Record,
    anchor: AnchorDone,
    account: AnchorAccount,
    visits: Mapping[str, Visit],
    left: Mapping[str, Visit],
) -> AnchorCard:
    system = record.job.units
    picture = section_of(record, anchor, system)
    before, after = visits.get("before"), visits.get("after")
    return AnchorCard(
        id=prose(anchor.id),
        wall=prose(anchor.wall),
        state=account_words(account, system),
        adjustable=account.yours,
        facts=tuple((label, value) for label, value in _facts(anchor, picture, system) if value),
        readings=(
            *((label, value) for label, value in _tightened(anchor, system) if value),
            *_readings(visits, left, system),
        ),
        section=section_svg(picture) if picture is not None else _NOTHING,
        profile=profile_svg(
            before.reading if before else None, after.reading if after else None, "the wall from the side"
        ),
    )


def _facts(anchor: AnchorDone, picture: SectionPicture | None, system: UnitSystem) -> Iterator[Pair]:
    at, planned = record_look.inputs(anchor), record_look.planned(anchor)
    yield "Along the wall", record_look.length(record_look.along_in(anchor), system)
    mark_in = record_look.built(anchor, "mark_depth_in")
    if mark_in is not None and "slab_to_top_in" in at:
        up_in = at["slab_to_top_in"] - at.get("grade_to_top_in", 0.0) - mark_in
        yield "Rod comes through", f"{record_look.length(up_in, system)} above the floor"
    yield "Out from the wall", _built_or_planned(anchor, "setback_in", planned.get("setback_in"), system)
    yield (
        "Plate below ground",
        _built_or_planned(anchor, "depth_found_in", planned.get("aim_depth_in"), system),
    )
    side_in = record_look.built(anchor, "side_offset_in")
    if side_in is not None and abs(side_in) >= 1 / 8:
        way = "right" if side_in > 0 else "left"
        yield "Plate off the line", f"{record_look.length(abs(side_in), system)} to the {way}"
    if picture is not None and picture.rod is not None:
        yield "Rod runs down at", record_look.angle(picture.rod.angle_deg)


def _tightened(anchor: AnchorDone, system: UnitSystem) -> Iterator[Pair]:
    for label, quantity, pulled in (
        ("First tightening", "first_torque_lbf_ft", "pull_in_in"),
        ("After backfill", "second_torque_lbf_ft", "second_pull_in_in"),
    ):
        torque = record_look.torque(record_look.built(anchor, quantity), system)
        pull = record_look.length(record_look.built(anchor, pulled), system)
        parts = [torque, record_look.then(anchor, quantity), f"drew in {pull}" if torque and pull else ""]
        yield label, ", ".join(part for part in parts if part)


def _readings(visits: Mapping[str, Visit], left: Mapping[str, Visit], system: UnitSystem) -> Iterator[Pair]:
    for when in ("before", "after"):
        if when in visits:
            yield f"Wall, {when} tightening", reading_words(visits[when].reading, system)
    if "before" in visits and "after" in visits:
        change = between(visits["before"], visits["after"], system)
        yield "Change that day", f"{change.word} ({change.words[0].rsplit(':', 1)[0]})"
    since = _change(left, visits, system)
    if since is not None:
        yield "Since the earlier visit", f"{since.word} ({since.words[0].rsplit(':', 1)[0]})"


__all__ = ["AnchorCard", "SheetView", "WallSheet", "sheet_view"]
