"""The completion record of a day: plan, values, attempts, holds, deviations, times, as tables to be signed.

Nothing is computed here: what the day holds is laid out, floats to a fixed number of decimals, times to the
second with their offset. What is empty is left out, since TOML has no nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime, time
from typing import Any, Final

from msgspec import Struct, to_builtins

from crewtui import VERSION
from crewtui.day.journal import entries as e
from crewtui.day.state.kind_of_day import kind_of_day
from crewtui.day.state.state import DayState, Deviation, Exposure
from crewtui.day.wall.standing_findings import standing_findings
from crewtui.job.file.model import Job
from crewtui.job.tables.rules import Rule
from crewtui.record.signed import form
from crewtui.record.signed.build_anchor import TypedAt, anchor_done, answers_of, times, values_of, when
from crewtui.record.signed.build_beside import beside_anchors
from crewtui.record.signed.build_holds import holds_of
from crewtui.record.signed.canonical import SIGNATURE, rounded
from crewtui.record.signed.progress import Progress
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, SIGNER, RecordError

GOVERNS: Final = (
    "The program advises a trained lead and designs no anchors. The engineer's plan, the maker's sheet, local"
    " code and the competent person on site govern. A torque is no test of an anchor."
)
"""Stands in every record: what its figures are, and what they are not."""

GREATEST_NAME: Final = 200
"""Letters of a name that signs."""
_LISTED_APART: Final = frozenset(
    {"job", "walls", "anchors", "ticket", "property_line", "lines", "in_ground", "rules", "format"}
)


_SAID_APART: Final = frozenset({"house", "day", "follows"})
"""Of the job card: what the record says in tables of its own."""


class Sources(Struct, frozen=True, kw_only=True):
    """The files that the day rests on."""

    job_file: str
    job_sha256: str
    journal_file: str
    journal_sha256: str
    """Hash of the journal's last line before signing."""


class Revision(Struct, frozen=True, kw_only=True):
    """Which record of the job this is, and which one it replaces, by the hash of its signed bytes."""

    number: int = 1
    before: str = ""
    reason: str = ""

    def __post_init__(self) -> None:
        """Refuse a revision that would not chain."""
        if self.number < 1 or (self.number > 1) != bool(self.before):
            raise RecordError(
                "a first record replaces none, and a later one names the hash of the one before"
            )
        if self.number > 1 and not self.reason.strip():
            raise RecordError("a revision says why it was made")


def build_record(
    state: DayState,
    entries: Sequence[e.Entry],
    *,
    sources: Sources,
    progress: Progress,
    lead: str,
    revision: Revision | None = None,
) -> dict[str, Any]:
    """Return the record's tables, unsigned; RecordError without the lead's typed name."""
    lead = name_typed(lead)
    revision = revision or Revision()
    standing = [entry for entry in entries if entry.n not in state.taken_back]
    typed_at: TypedAt = {entry.n: entry.typed_at for entry in entries}
    shared = state.shared
    record = form.Record(
        kind=RECORD_KIND,
        format=RECORD_FORMAT,
        program=form.WrittenBy(name="crewtui", version=VERSION),
        governs=GOVERNS,
        complete=progress.complete,
        open=tuple(progress.open_steps.get("", ())),
        revision=form.Revised(number=revision.number, before=revision.before or None, reason=revision.reason),
        house=_house(state.job),
        day=kind_of_day(state),
        journal=form.JournalNamed(
            file=sources.journal_file,
            entries=len(entries),
            last_sha256=sources.journal_sha256,
            taken_back=tuple(sorted(state.taken_back)),
        ),
        rule=tuple(_rule(rule) for rule in state.rules.changed),
        value=values_of(shared.as_built, typed_at),
        answer=answers_of(shared.answers, typed_at),
        drift=tuple(
            form.DriftUsed(wall=wall, mean_deg=choice.mean_deg, used=choice.on, entry=choice.n)
            for wall, choice in shared.drift.items()
        ),
        exposed=tuple(_bared(state.job, one) for one in shared.exposed),
        hold=holds_of(state, standing),
        deviation=tuple(_deviation(item, shared.accepted, typed_at) for item in state.deviations),
        finding=tuple(
            form.FindingStood(
                id=one.id,
                wall=one.wall,
                anchor=one.anchor,
                text=f"{one.label}: {one.value}. {one.words}",
                accepted=f"{one.answer.name}: {one.answer.reason}" if one.answer is not None else None,
            )
            for one in standing_findings(state)
        ),
        exposure=tuple(_exposure(entry) for entry in standing if isinstance(entry, e.ExposureEntered)),
        emergency=tuple(
            form.EmergencyCalled(anchor=entry.anchor, note=entry.note, **times(entry))
            for entry in standing
            if isinstance(entry, e.Emergency)
        ),
        counted=tuple(_counted(entry) for entry in standing if isinstance(entry, e.StockCounted)),
        **beside_anchors(state, standing),
        anchor=tuple(
            anchor_done(
                state,
                now,
                still_open=tuple(progress.open_steps.get(now.id, ())),
                figures=dict(progress.figures.get(now.id, {})),
                typed_at=typed_at,
            )
            for now in state.anchors.values()
        ),
        signer=form.Signer(name=lead),
    )
    tables = to_builtins(record, builtin_types=(datetime, date, time))
    card = {
        **state.job.job.model_dump(exclude=set(_SAID_APART)),
        "file": sources.job_file,
        "file_sha256": sources.job_sha256,
    }
    anchors = tables.pop("anchor")
    data = {**tables, "job": card, **_plan(state.job), "anchor": anchors, SIGNER: {"name": lead}}
    del data[SIGNATURE]
    result: dict[str, Any] = _laid_out(data)
    return result


def _house(job: Job) -> form.HouseNamed | None:
    card = job.job
    return form.HouseNamed(id=card.house, follows=card.follows or None) if card.house else None


def name_typed(lead: str) -> str:
    """Return the name that signs on one line; RecordError where none was typed, or one that is no name."""
    lead = " ".join(lead.split())
    if not lead:
        raise RecordError("a record is signed with a name; type it")
    if len(lead) > GREATEST_NAME:
        raise RecordError(f"a name has at most {GREATEST_NAME} letters; type a shorter one")
    return lead


def _plan(job: Job) -> dict[str, Any]:
    """Return the rest of the job file; tables whose keys are names become lists, so all keys are known."""
    plan = job.model_dump()
    ticket = plan["ticket"]
    if ticket:
        ticket = {**_renamed(ticket, "utilities", "utility"), "area": _by_wall(ticket["area"])}
    return {
        "wall": [_renamed(wall, "openings", "opening") for wall in plan["walls"]],
        **{name: part for name, part in plan.items() if name not in _LISTED_APART},
        "ticket": ticket,
        "property_line": _by_wall(plan["property_line"]),
        "line": plan["lines"],
        "in_ground": plan["in_ground"],
    }


def _renamed(table: Mapping[str, Any], old: str, new: str) -> dict[str, Any]:
    return {new if name == old else name: part for name, part in table.items()}


def _by_wall(runs: Mapping[str, Any]) -> list[dict[str, Any]]:
    return [{"wall": wall, "points_in": points} for wall, points in runs.items()]


def _bared(job: Job, one: Exposure) -> form.LineBared:
    if not one.placed:  # of an older journal: as the record of its day had it
        return form.LineBared(line=one.line, depth_in=one.depth_in)
    wall = next((line.wall for line in job.lines if line.name == one.line), "")
    return form.LineBared(
        line=one.line,
        depth_in=one.depth_in,
        wall=wall,
        along_in=one.along_in,
        out_in=one.out_in,
        entry=one.n or None,
        done_at=one.done_at if one.n else None,
    )


def _rule(rule: Rule) -> form.RuleSet:
    return form.RuleSet(
        key=rule.key,
        value=rule.value,
        default=rule.default,
        label=rule.label,
        said_by=rule.said_by,
        note=rule.note,
        loosened=rule.loosened,
    )


def _deviation(item: Deviation, accepted: Mapping[int, str], typed_at: TypedAt) -> form.Deviated:
    return form.Deviated(
        kind=item.kind,
        anchor=item.anchor,
        step=item.step,
        text=item.text,
        reason=item.reason,
        accepted=accepted.get(item.n),
        **when(item.n, item.done_at, typed_at),
    )


def _exposure(entry: e.ExposureEntered) -> form.ToolTimeListed:
    return form.ToolTimeListed(
        tool=entry.tool,
        hours=entry.hours,
        indoors=entry.indoors,
        level_dba=entry.level_dba,
        who=entry.who,
        by_the_clock=True if entry.started is not None else None,
        **times(entry),
    )


def _counted(entry: e.StockCounted) -> form.StockFound:
    return form.StockFound(item=entry.item, size_in=entry.size_in, count=entry.count, **times(entry))


def _laid_out(value: Any) -> Any:
    """Return the value as TOML holds it: rounded, to the second, and without what is empty."""
    match value:
        case bool() | int() | str():
            return value
        case float():
            return rounded(value)
        case datetime():
            return value.replace(microsecond=0)
        case date() | time():
            return value
        case Mapping():
            laid = {
                key: _laid_out(inner) for key, inner in value.items() if inner is not None and inner != ""
            }
            return {key: inner for key, inner in laid.items() if inner not in ({}, [])}
        case list() | tuple():
            return [_laid_out(inner) for inner in value]
    raise RecordError(f"a record holds no {type(value).__name__}")


__all__ = ["GOVERNS", "RecordError", "Revision", "Sources", "build_record", "name_typed"]
