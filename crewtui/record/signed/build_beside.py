"""What stands beside the anchors in the record: notes, calls, hours, inspections, walks with the owner."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from crewtui.day.journal import beside_entries as b
from crewtui.day.journal import entries as e
from crewtui.day.safety.inspections import inspections
from crewtui.day.state.crew_hours import person_hours, phase_hours
from crewtui.day.state.state import DayState
from crewtui.day.truck.material import material
from crewtui.job.tables import walks
from crewtui.record.signed import form
from crewtui.record.signed.build_anchor import times


def beside_anchors(state: DayState, standing: Sequence[e.Entry]) -> Mapping[str, Any]:
    """Return the tables by their names."""
    return {
        "note": tuple(_note(entry) for entry in standing if isinstance(entry, e.Note)),
        "call": tuple(_call(entry) for entry in standing if isinstance(entry, b.CallMade)),
        "ground_found": tuple(_ground(one) for one in standing if isinstance(one, b.GroundFound)),
        "hours": tuple(_hours(state, standing)),
        "material": tuple(_material(state, standing)),
        "inspection": tuple(_inspections(state, standing)),
        "walk": tuple(_walked(entry) for entry in standing if isinstance(entry, b.WalkSeen)),
        "photograph": tuple(_picture(entry) for entry in standing if isinstance(entry, b.PictureKept)),
        "change": tuple(_change(entry) for entry in standing if isinstance(entry, b.ChangeAgreed)),
        "owner_yes": tuple(_yes(entry) for entry in standing if isinstance(entry, b.WalkAgreed)),
    }


def _note(entry: e.Note) -> form.Noted:
    return form.Noted(
        anchor=entry.anchor,
        wall=entry.wall,
        text=entry.text,
        for_owner=entry.for_owner or None,
        by_program=entry.by_program or None,
        **times(entry),
    )


def _call(entry: b.CallMade) -> form.CallListed:
    return form.CallListed(
        who=entry.who, about=entry.about, said=entry.said, anchor=entry.anchor, **times(entry)
    )


def _ground(entry: b.GroundFound) -> form.GroundListed:
    return form.GroundListed(
        anchor=entry.anchor,
        what=entry.what,
        at=entry.at,
        depth_in=entry.depth_in,
        note=entry.note,
        **times(entry),
    )


def _hours(state: DayState, standing: Sequence[e.Entry]) -> Iterator[form.HoursWorked]:
    """Yield everybody's time, and how long each phase took where anybody's time was entered."""
    people = state.shared.beside.people
    if not people:
        return
    by_n = {entry.n: entry for entry in standing}
    for one in person_hours(people, standing[-1].done_at):
        yield form.HoursWorked(
            who=one.who,
            hours=one.hours,
            at_work_on="on site",
            began=one.began,
            ended=None if one.still_here else one.ended,
            **times(by_n[one.n]),
        )
    for phase in phase_hours(standing):
        yield form.HoursWorked(hours=phase.hours, at_work_on=phase.phase, **times(by_n[phase.n]))


def _material(state: DayState, standing: Sequence[e.Entry]) -> Iterator[form.MaterialUsed]:
    for line in material(state, standing):
        yield form.MaterialUsed(
            item=line.item,
            size_in=line.size_in,
            planned=line.ordered,
            received=line.received,
            used=line.used,
            back=line.back,
        )


def _inspections(state: DayState, standing: Sequence[e.Entry]) -> Iterator[form.InspectionListed]:
    before = {one.what: one.before for one in inspections(state)}
    for entry in standing:
        match entry:
            case b.InspectionWanted():
                said, by, found = "wanted", entry.wanted_by, ""
            case b.InspectionAsked():
                said, by, found = "asked for", entry.of, entry.expected
            case b.InspectionMade():
                said = "passed" if entry.passed else "not passed" if entry.came else "nobody came"
                by, found = entry.name, entry.found
            case _:
                continue
        yield form.InspectionListed(
            of=entry.what,
            before=before.get(entry.what, ""),
            anchors=entry.anchors if isinstance(entry, b.InspectionMade) else (),
            said=said,
            by=by,
            found=found,
            **times(entry),
        )


def _change(entry: b.ChangeAgreed) -> form.Changed:
    return form.Changed(
        what=entry.what,
        before=entry.before,
        after=entry.after,
        because=entry.because,
        yes_by=entry.name,
        anchor=entry.anchor,
        **times(entry),
    )


def _picture(entry: b.PictureKept) -> form.PhotographTaken:
    return form.PhotographTaken(
        file=entry.file,
        sha256=entry.sha256,
        of=entry.of,
        anchor=entry.anchor,
        step=entry.step,
        by_camera=None if entry.by_camera else False,
        **times(entry),
    )


def _walked(entry: b.WalkSeen) -> form.WalkedOver:
    return form.WalkedOver(
        walk=entry.walk,
        thing=entry.thing,
        label=next((one.label for one in walks.load() if one.id == entry.thing), ""),
        place=entry.place,
        words=entry.words,
        anchor=entry.anchor,
        **times(entry),
    )


_YES_TO: Mapping[walks.WalkName, str] = {
    "before": "the walk before the work",
    "leaving": "the walk on leaving",
}


def _yes(entry: b.WalkAgreed) -> form.OwnersYes:
    return form.OwnersYes(to=_YES_TO[entry.walk], name=entry.name, questions=entry.questions, **times(entry))
