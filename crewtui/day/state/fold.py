"""Adding entries up: the state that a list of entries gives, and the next state after one more.

Folding never fails: an entry that fits nothing in this job file is counted as unplaced and stays in the
journal.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import UTC, datetime, time, timedelta
from types import MappingProxyType
from typing import Any, Final

from msgspec.structs import replace
from pydantic import ValidationError

from crewtui.day.journal import entries as e
from crewtui.day.journal.beside_entries import ThingListed
from crewtui.day.state.fold_beside import BESIDE_HANDLERS, exposure
from crewtui.day.state.fold_readings import wall_read
from crewtui.day.state.fold_steps import (
    aimed,
    anchor_of,
    ask_again,
    ask_pit_entry_again,
    deviation,
    driven,
    measured,
    step_done,
    tightened,
    way_taken,
    with_anchor,
    with_shared,
    without_hold,
)
from crewtui.day.state.fold_truck import counted, pieces_driven, rods_back, set_up, truck_of
from crewtui.day.state.site_fields import (
    UnfitError,
    changed,
    job_with,
    job_with_listed,
    only_missing,
    planned_values,
)
from crewtui.day.state.state import (
    LOOSE_FILL_FOUND,
    AnchorNow,
    DayState,
    Deviation,
    DriftChoice,
    Exposure,
    FindingAnswer,
    Holding,
    Shared,
    Signature,
)
from crewtui.job.file.model import Anchor, Job
from crewtui.job.tables.quantities import in_words, untrue_by
from crewtui.job.tables.rules import Rules

WEATHER: Final = ("rain", "thaw", "frost", "heat", "cold")
"""Of what reopens the pits: those that turn the weather too."""
BACK_A_LITTLE: Final = timedelta(minutes=5)
"""A clock that is set right goes back by no more."""


def start(job: Job, rules: Rules) -> DayState:
    """Return the state before any entry."""
    anchors = {
        plan.id: AnchorNow(id=plan.id, wall=plan.wall, plan=plan, planned=plan) for plan in job.anchors
    }
    return DayState(
        shared=Shared(job=job, rules=rules, truck=truck_of(job), exposed=_exposed_before(job)),
        anchors=MappingProxyType(anchors),
    )


def _exposed_before(job: Job) -> tuple[Exposure, ...]:
    """Return where the job file says that lines were laid bare before the day: no entry says so."""
    began = datetime.combine(job.job.date, time.min, UTC)
    return tuple(
        Exposure(
            n=0,
            line=line.name,
            depth_in=spot.depth_in,
            along_in=spot.along_in,
            out_in=spot.out_in,
            anchor=None,
            done_at=began,
        )
        for line in job.lines
        for spot in line.exposed
    )


def fold(job: Job, rules: Rules, entries: Iterable[e.Entry]) -> DayState:
    """Return the state that the entries add up to, without those taken back."""
    listed = tuple(entries)
    gone = taken_back(listed)
    state = start(job, rules)
    for entry in listed:
        if entry.n not in gone:
            state = apply(state, entry)
    return replace(state, taken_back=gone, last_n=listed[-1].n if listed else 0)


def taken_back(entries: Iterable[e.Entry]) -> frozenset[int]:
    """Return the numbers of the entries that no longer count; a taking back can itself be taken back."""
    gone: set[int] = set()
    for entry in reversed(tuple(entries)):
        if isinstance(entry, e.TakenBack) and entry.n not in gone and entry.of < entry.n:
            gone.add(entry.of)
    return frozenset(gone)


def apply(state: DayState, entry: e.Entry) -> DayState:
    """Return the state after one more entry that is no taking back."""
    try:
        state = with_entry(state, entry)
    except (UnfitError, ValidationError):
        unplaced = (*state.shared.unplaced, entry.n)
        state = replace(state, shared=replace(state.shared, unplaced=unplaced))
    return replace(state, last_n=entry.n)


def with_entry(state: DayState, entry: e.Entry) -> DayState:
    """Return the state with what an entry says; UnfitError or pydantic's own where it fits nothing."""
    handler = _HANDLERS.get(type(entry))
    return state if handler is None else rods_back(state, handler(state, entry))


# Anchors on site.


def _moved(state: DayState, entry: e.AnchorMoved) -> DayState:
    now = anchor_of(state, entry.anchor)
    plan = changed(now.plan, entry.values)
    if {"along_in", "setback_in"} & entry.values.keys() and "drop_in" not in entry.values:
        plan = plan.model_copy(update={"drop_in": None})
    now = ask_again(now, untrue_by(*entry.values))
    kept = without_hold(now.aim, entry.values)
    aim = {name: value for name, value in kept.items() if name not in entry.values}
    text = f"changed on site: {in_words(entry.values, state.job.job.units)}"
    agreed = f"{entry.reason}; agreed by {entry.agreed_by}" if entry.agreed_by else ""
    found = () if agreed else (deviation(entry, "site change", step="", text=text, reason=entry.reason),)
    place = {"along_in", "setback_in"} & entry.values.keys()
    readings = {} if "along_in" in entry.values else now.readings
    now = replace(
        now,
        plan=plan,
        aim=aim,
        readings=readings,
        deviations=(*now.deviations, *found),
        moved_because=agreed or now.moved_because,
    )
    if place:
        now = ask_pit_entry_again(now)
    return with_anchor(state, now, entry)


def _added(state: DayState, entry: e.AnchorAdded) -> DayState:
    if entry.anchor in state.anchors or entry.wall not in {wall.name for wall in state.job.walls}:
        raise UnfitError(f"{entry.anchor} cannot be added on {entry.wall}")
    plan = Anchor.model_validate({"id": entry.anchor, "wall": entry.wall, **planned_values(entry.values)})
    found = deviation(entry, "site change", step="", text="added on site", reason=entry.reason)
    now = AnchorNow(id=plan.id, wall=plan.wall, plan=plan, planned=None, deviations=(found,))
    return with_anchor(state, now, entry)


def _dropped(state: DayState, entry: e.AnchorDropped) -> DayState:
    now = anchor_of(state, entry.anchor)
    found = deviation(entry, "site change", step="", text="dropped on site", reason=entry.reason)
    return with_anchor(state, replace(now, dropped=entry.reason, deviations=(*now.deviations, found)), entry)


# Holds, hazards, facts.


def _hold(
    state: DayState,
    entry: e.Entry,
    anchor: str | None,
    change: Callable[[Holding], Holding],
    *found: Deviation,
) -> DayState:
    if anchor is None:
        shared = state.shared
        return with_shared(state, holding=change(shared.holding), deviations=(*shared.deviations, *found))
    now = anchor_of(state, anchor)
    now = replace(now, holding=change(now.holding), deviations=(*now.deviations, *found))
    return with_anchor(state, now, entry)


def _finding(state: DayState, entry: e.FindingAnswered) -> DayState:
    answer = FindingAnswer(
        n=entry.n, value=entry.value, name=entry.name, reason=entry.reason, done_at=entry.done_at
    )
    return with_shared(state, findings={**state.shared.findings, entry.finding: answer})


def _released(state: DayState, entry: e.HoldReleased) -> DayState:
    signed = Signature(
        n=entry.n, initials=entry.initials, in_place=True, note=entry.note, done_at=entry.done_at
    )
    return _hold(
        state, entry, entry.anchor, lambda had: replace(had, released={**had.released, entry.hold: signed})
    )


def _overridden(state: DayState, entry: e.HoldOverridden) -> DayState:
    text = f"{entry.hold} set aside by {entry.name}"
    found = deviation(entry, "override", step="", text=text, reason=entry.reason)
    return _hold(
        state,
        entry,
        entry.anchor,
        lambda had: replace(had, overridden={**had.overridden, entry.hold: entry}),
        found,
    )


def _hazard(state: DayState, entry: e.HazardAnswered) -> DayState:
    signed = Signature(
        n=entry.n, initials=entry.initials, in_place=entry.in_place, note=entry.note, done_at=entry.done_at
    )
    return _hold(
        state, entry, entry.anchor, lambda had: replace(had, hazards={**had.hazards, entry.hazard: signed})
    )


def _moment(state: DayState, entry: e.MomentSigned) -> DayState:
    signed = Signature(
        n=entry.n, initials=entry.initials, in_place=True, note=entry.moment, done_at=entry.done_at
    )

    def with_these(hazards: tuple[str, ...]) -> Callable[[Holding], Holding]:
        return lambda had: replace(had, hazards={**had.hazards, **dict.fromkeys(hazards, signed)})

    if entry.job_hazards:
        state = _hold(state, entry, None, with_these(entry.job_hazards))
    if entry.anchor is not None and entry.anchor_hazards:
        state = _hold(state, entry, entry.anchor, with_these(entry.anchor_hazards))
    return state


def _pit_entry(state: DayState, entry: e.PitEntryAnswered) -> DayState:
    return with_anchor(state, replace(anchor_of(state, entry.anchor), pit_entry=entry.somebody), entry)


def _left_out(state: DayState, entry: e.DriveLeftOut) -> DayState:
    now = anchor_of(state, entry.anchor)
    return with_anchor(state, replace(now, left_out={**now.left_out, entry.of: entry.reason}), entry)


def _fact(state: DayState, entry: e.FactAnswered) -> DayState:
    found = entry.fact == LOOSE_FILL_FOUND and entry.answer
    fill_n = entry.n if found else state.shared.fill_n
    return with_shared(state, facts={**state.shared.facts, entry.fact: entry.answer}, fill_n=fill_n)


# The job as a whole.


def _drift(state: DayState, entry: e.DriftAccepted) -> DayState:
    choice = DriftChoice(mean_deg=entry.mean_deg, on=entry.on, n=entry.n)
    return with_shared(state, drift={**state.shared.drift, entry.wall: choice})


def _accepted(state: DayState, entry: e.DeviationAccepted) -> DayState:
    said = f"{entry.name}: {entry.reason}"
    return with_shared(state, accepted={**state.shared.accepted, entry.of: said})


def _exposed(state: DayState, entry: e.LineExposed) -> DayState:
    found = Exposure(
        n=entry.n,
        line=entry.line,
        depth_in=entry.depth_in,
        along_in=entry.along_in,
        out_in=entry.out_in,
        anchor=entry.anchor,
        done_at=entry.done_at,
    )
    kept = tuple(one for one in state.shared.exposed if not _same_spot(one, found))
    return with_shared(state, exposed=(*kept, found))


def _same_spot(one: Exposure, other: Exposure) -> bool:
    """Return whether two entries are about the same hole: the later one then stands for it."""
    return (one.line, one.along_in, one.out_in) == (other.line, other.along_in, other.out_in)


def _reopened(state: DayState, entry: e.Reopened) -> DayState:
    weather_n = entry.n if entry.because in WEATHER else state.shared.weather_n
    return with_shared(state, reopened_n=entry.n, reopened_because=entry.because, weather_n=weather_n)


def _faded(state: DayState, entry: e.MarksFaded) -> DayState:
    return with_shared(state, faded_n=entry.n)


def _soil(state: DayState, entry: e.SoilJudged) -> DayState:
    values = {"soil_type": entry.soil_type, "undisturbed": entry.undisturbed}
    return with_shared(state, job=job_with(state.job, "ground", "", values))


def _emergency(state: DayState, entry: e.Emergency) -> DayState:
    return with_shared(state, emergencies=(*state.shared.emergencies, entry.done_at))


def _note(state: DayState, entry: e.Note) -> DayState:
    return with_shared(state, notes=(*state.shared.notes, (entry.n, entry.text)))


def is_another_day(began: datetime | None, at: datetime) -> bool:
    """Return whether a day that began then is over, or still to come: by the date on the clock of each.

    A clock that is set back by minutes over midnight turns no day.
    """
    return began is None or (at.date() != began.date() and not timedelta() < began - at <= BACK_A_LITTLE)


def _opened(state: DayState, entry: e.DayOpened) -> DayState:
    if not is_another_day(state.shared.day_began_at, entry.done_at):
        return state
    return with_shared(state, day_began_n=entry.n, day_began_at=entry.done_at)


def _plan_chosen(state: DayState, entry: e.PlanChosen) -> DayState:
    text = "went on with an edited job file" if entry.plan is not None else "an edited job file was not used"
    found = deviation(entry, "site change", step="", text=text, reason=f"{entry.name}: {entry.reason}")
    return with_shared(state, deviations=(*state.shared.deviations, found))


def _signed(state: DayState, entry: e.Signed) -> DayState:
    return with_shared(state, signed_n=entry.n, revision=entry.revision, record_sha256=entry.record_sha256)


def _set_up(state: DayState, entry: e.SetUp) -> DayState:
    found: tuple[Deviation, ...] = ()
    if entry.replaces:
        text = f"{'; '.join(entry.replaces)}; agreed by {entry.agreed_by}"
        found = (deviation(entry, "site change", step="", text=text, reason=entry.reason),)
    if entry.table == "anchor":
        now = anchor_of(state, entry.name)
        plan = Anchor.model_validate(
            {**now.plan.model_dump(), **entry.values, "id": now.id, "wall": now.wall}
        )
        return with_anchor(state, replace(now, plan=plan, deviations=(*now.deviations, *found)), entry)
    if found:
        state = with_shared(state, deviations=(*state.shared.deviations, *found))
    drafts = dict(state.shared.drafts)
    values = {**drafts.pop(entry.table, {}), **entry.values}
    try:
        job = job_with(state.job, entry.table, entry.name, values)
    except ValidationError as error:
        if not only_missing(error):
            raise
        return with_shared(state, drafts={**drafts, entry.table: values})
    return set_up(with_shared(state, job=job, drafts=drafts), entry)


def _thing_listed(state: DayState, entry: ThingListed) -> DayState:
    return with_shared(state, job=job_with_listed(state.job, entry.table, entry.values))


_HANDLERS: Final[Mapping[type, Callable[[DayState, Any], DayState]]] = {
    e.DayOpened: _opened,
    e.PlanChosen: _plan_chosen,
    e.StepDone: step_done,
    e.ValueMeasured: measured,
    e.RoundTightened: tightened,
    e.WayTaken: way_taken,
    e.DriveAttempted: driven,
    e.DriveLeftOut: _left_out,
    e.PiecesDriven: pieces_driven,
    e.AimChanged: aimed,
    e.DriftAccepted: _drift,
    e.DeviationAccepted: _accepted,
    e.HoldReleased: _released,
    e.HoldOverridden: _overridden,
    e.HazardAnswered: _hazard,
    e.FindingAnswered: _finding,
    e.MomentSigned: _moment,
    e.PitEntryAnswered: _pit_entry,
    e.FactAnswered: _fact,
    e.AnchorMoved: _moved,
    e.AnchorAdded: _added,
    e.AnchorDropped: _dropped,
    e.LineExposed: _exposed,
    e.WallRead: wall_read,
    e.SoilJudged: _soil,
    e.ExposureEntered: exposure,
    e.MarksFaded: _faded,
    e.Reopened: _reopened,
    e.Emergency: _emergency,
    e.Note: _note,
    e.SetUp: _set_up,
    ThingListed: _thing_listed,
    e.StockCounted: counted,
    e.Signed: _signed,
    **BESIDE_HANDLERS,
}
