"""The completion record of a day: plan, values, attempts, holds, deviations, times, as tables to be signed.

Nothing is computed here: what the day holds is laid out, floats to a fixed number of decimals, times to the
second with their offset. What is empty is left out, since TOML has no nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime, time
from typing import Any, Final

from msgspec import Struct, field

from crewtui import VERSION
from crewtui.day.figures.wall_drift import angle_run_deg
from crewtui.day.journal import entries as e
from crewtui.day.state.inputs import inputs_for
from crewtui.day.state.state import AnchorNow, Answered, DayState, Deviation, Drive, Measured, drives_of
from crewtui.day.steps.step_rows import EACH_DAY
from crewtui.job.file.company_hazards import for_job
from crewtui.job.file.model import Job
from crewtui.job.tables import steps
from crewtui.job.tables.rules import Rule
from crewtui.record.signed.canonical import rounded
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, SIGNER, RecordError

GOVERNS: Final = (
    "The program advises a trained lead and designs no anchors. The engineer's plan, the maker's sheet, local"
    " code and the competent person on site govern. A torque is no test of an anchor."
)
"""Stands in every record: what its figures are, and what they are not."""

_LISTED_APART: Final = frozenset(
    {"job", "walls", "anchors", "ticket", "property_line", "lines", "rules", "format"}
)
_HOLD_ENTRIES: Final = (
    e.HazardAnswered, e.HoldReleased, e.HoldOverridden, e.PitEntryAnswered, e.FactAnswered, e.SoilJudged,
    e.MarksFaded, e.Reopened,
)  # fmt: skip


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


class Progress(Struct, frozen=True, kw_only=True):
    """What is open: for each anchor that is not done, and for the job under ``""``, its open steps."""

    open_steps: Mapping[str, Sequence[str]] = field(default_factory=dict)
    figures: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    """For each anchor the figures that were worked to, by name."""

    @property
    def complete(self) -> bool:
        """Whether nothing is open."""
        return not any(self.open_steps.values())


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
    lead = " ".join(lead.split())
    if not lead:
        raise RecordError("a record is signed with a name; type it")
    revision = revision or Revision()
    standing = [entry for entry in entries if entry.n not in state.taken_back]
    typed_at = {entry.n: entry.typed_at for entry in entries}
    shared = state.shared
    data = {
        "kind": RECORD_KIND,
        "format": RECORD_FORMAT,
        "program": {"name": "crewtui", "version": VERSION},
        "governs": GOVERNS,
        "complete": progress.complete,
        "open": list(progress.open_steps.get("", ())),
        "revision": {"number": revision.number, "before": revision.before, "reason": revision.reason},
        "job": {**state.job.job.model_dump(), "file": sources.job_file, "file_sha256": sources.job_sha256},
        "journal": {
            "file": sources.journal_file,
            "entries": len(entries),
            "last_sha256": sources.journal_sha256,
            "taken_back": sorted(state.taken_back),
        },
        **_plan(state.job),
        "rule": [_rule(rule) for rule in state.rules.changed],
        "value": [_value(name, value, typed_at) for name, value in shared.as_built.items()],
        "answer": [_answer(name, answer, typed_at) for name, answer in shared.answers.items()],
        "drift": [
            {"wall": wall, "mean_deg": choice.mean_deg, "used": choice.on, "entry": choice.n}
            for wall, choice in shared.drift.items()
        ],
        "exposed": [{"line": line, "depth_in": depth_in} for line, depth_in in shared.exposed.items()],
        "hold": list(_holds(state, standing)),
        "deviation": [_deviation(item, shared.accepted, typed_at) for item in state.deviations],
        "note": [_note(entry) for entry in standing if isinstance(entry, e.Note)],
        "exposure": [_exposure(entry) for entry in standing if isinstance(entry, e.ExposureEntered)],
        "emergency": [_times(entry) for entry in standing if isinstance(entry, e.Emergency)],
        "anchor": [_anchor(state, now, progress, typed_at) for now in state.anchors.values()],
        SIGNER: {"name": lead},
    }
    result: dict[str, Any] = _laid_out(data)
    return result


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
    }


def _renamed(table: Mapping[str, Any], old: str, new: str) -> dict[str, Any]:
    return {new if name == old else name: part for name, part in table.items()}


def _by_wall(runs: Mapping[str, Any]) -> list[dict[str, Any]]:
    return [{"wall": wall, "points_in": points} for wall, points in runs.items()]


def _rule(rule: Rule) -> dict[str, Any]:
    return {
        "key": rule.key,
        "value": rule.value,
        "default": rule.default,
        "label": rule.label,
        "said_by": rule.said_by,
        "note": rule.note,
        "loosened": rule.loosened,
    }


def _anchor(
    state: DayState, now: AnchorNow, progress: Progress, typed_at: Mapping[int, datetime]
) -> dict[str, Any]:
    still_open = list(progress.open_steps.get(now.id, ()))
    done = "dropped" if now.dropped else "open" if still_open else "complete"
    return {
        "id": now.id,
        "wall": now.wall,
        "state": done,
        "open": still_open,
        "dropped_because": now.dropped,
        "added_on_site": True if now.planned is None else None,
        "first_at": now.first_at,
        "last_at": now.last_at,
        "planned": _planned(now),
        "changed_on_site": _changed(now),
        "aim": {**now.aim, "because": now.aim_because} if now.aim else {},
        "figure": dict(progress.figures.get(now.id, {})),
        "input": [] if now.dropped else list(_inputs(state, now)),
        "value": [_value(name, value, typed_at) for name, value in now.as_built.items()],
        "answer": [_answer(name, answer, typed_at) for name, answer in now.answers.items()],
        "attempt": [_attempt(state, now.id, drive, typed_at) for drive in drives_of(now)],
        "reading": [_reading(entry) for entry in now.readings.values()],
    }


def _inputs(state: DayState, now: AnchorNow) -> Iterator[dict[str, Any]]:
    """Yield what the figures rest on, each with where it comes from."""
    for item in inputs_for(state, now.id).values():
        if item.value is not None:
            yield {
                "quantity": item.key,
                "value": item.value,
                "source": item.source,
                "said_by": item.said_by,
            }


def _planned(now: AnchorNow) -> dict[str, Any]:
    plan = (now.planned or now.plan).model_dump()
    return {name: value for name, value in plan.items() if name not in {"id", "wall"}}


def _changed(now: AnchorNow) -> dict[str, Any]:
    if now.planned is None:
        return {}
    before = now.planned.model_dump()
    return {name: value for name, value in now.plan.model_dump().items() if value != before[name]}


def _value(quantity: str, value: Measured, typed_at: Mapping[int, datetime]) -> dict[str, Any]:
    return {
        "quantity": quantity,
        "value": value.value,
        "source": "as built",
        "text": value.text,
        "then": value.then,
        "outside_limits": value.outside or None,
        "reason": value.reason,
        "step": value.step,
        **_when(value.n, value.done_at, typed_at),
    }


def _answer(step: str, answer: Answered, typed_at: Mapping[int, datetime]) -> dict[str, Any]:
    return {
        "step": step,
        "label": _label(step),
        "answer": answer.answer,
        "deviates": answer.deviates or None,
        "reason": answer.reason,
        **_when(answer.n, answer.done_at, typed_at),
    }


def _attempt(state: DayState, anchor: str, drive: Drive, typed_at: Mapping[int, datetime]) -> dict[str, Any]:
    way, run_deg = drive.way, angle_run_deg(state, anchor, drive)
    return {
        "attempt": drive.attempt,
        "held_angle_deg": drive.held_angle_deg,
        "found": drive.depth_found_in is not None,
        "depth_found_in": drive.depth_found_in,
        "side_offset_in": drive.side_offset_in,
        "angle_in_pit_deg": drive.angle_in_pit_deg,
        "angle_run_deg": run_deg,
        "drift_deg": None if run_deg is None else run_deg - drive.held_angle_deg,
        "straight": drive.straight,
        "left_out_reason": drive.left_out_reason,
        "way": {"kind": way.kind, "words": way.words, **way.values} if way else {},
        **_when(drive.n, drive.done_at, typed_at),
    }


def _reading(entry: e.WallRead) -> dict[str, Any]:
    return {
        "when": entry.when,
        "line": entry.line,
        "fixed_to": entry.fixed_to,
        "line_offset_in": entry.line_offset_in,
        "heights_in": [one.height_in for one in entry.heights],
        "offsets_in": [one.offset_in for one in entry.heights],
        "resolution_in": entry.resolution_in,
        "base_from_string_in": entry.base_from_string_in,
        "string_at_corners_in": entry.string_at_corners_in,
        **_times(entry),
    }


def _deviation(
    item: Deviation, accepted: Mapping[int, str], typed_at: Mapping[int, datetime]
) -> dict[str, Any]:
    return {
        "kind": item.kind,
        "anchor": item.anchor,
        "step": item.step,
        "text": item.text,
        "reason": item.reason,
        "accepted": accepted.get(item.n),
        **_when(item.n, item.done_at, typed_at),
    }


def _holds(state: DayState, entries: Iterable[e.Entry]) -> Iterator[dict[str, Any]]:
    """Yield every answer to a hold or a hazard, in the order given: a reopened one has several."""
    texts = {hazard.id: hazard.text for hazard in for_job(state.job)}
    for entry in entries:
        if isinstance(entry, _HOLD_ENTRIES) or (isinstance(entry, e.StepDone) and entry.step in EACH_DAY):
            yield {**_hold(entry, texts), "anchor": getattr(entry, "anchor", None), **_times(entry)}


def _hold(entry: e.Entry, texts: Mapping[str, str]) -> dict[str, Any]:  # noqa: PLR0911 - a kind each
    match entry:
        case e.HazardAnswered():
            said = "in place" if entry.in_place else "not in place"
            return {
                "id": entry.hazard,
                "said": said,
                "by": entry.initials,
                "note": entry.note,
                "text": texts.get(entry.hazard, ""),
            }
        case e.HoldReleased():
            return {"id": entry.hold, "said": "released", "by": entry.initials, "note": entry.note}
        case e.HoldOverridden():
            return {
                "id": entry.hold,
                "said": "set aside",
                "by": entry.name,
                "note": entry.reason,
                "text": texts.get(entry.hold, ""),
            }
        case e.PitEntryAnswered():
            return {"id": "pit entry", "said": "somebody goes in" if entry.somebody else "nobody goes in"}
        case e.FactAnswered():
            said = "yes" if entry.answer else "no"
            return {"id": entry.fact, "said": said, "by": entry.initials, "note": entry.note}
        case e.SoilJudged():
            ground = "never dug before" if entry.undisturbed else ""
            return {"id": "soil", "said": entry.soil_type, "by": entry.name, "note": ground}
        case e.MarksFaded():
            return {"id": "marks-on-ground", "said": "asked for again", "note": entry.because}
        case e.Reopened():
            return {"id": "inspection", "said": "asked for again", "note": entry.because}
        case e.StepDone():
            return {"id": entry.step, "said": "answered", "by": entry.answer, "note": entry.reason}
    raise TypeError(f"{type(entry).__name__} is no answer to a hold")


def _exposure(entry: e.ExposureEntered) -> dict[str, Any]:
    return {
        "tool": entry.tool,
        "hours": entry.hours,
        "indoors": entry.indoors,
        "level_dba": entry.level_dba,
        "who": entry.who,
        **_times(entry),
    }


def _note(entry: e.Note) -> dict[str, Any]:
    return {
        "anchor": entry.anchor,
        "text": entry.text,
        "by_program": entry.by_program or None,
        **_times(entry),
    }


def _label(step: str) -> str:
    return next((each.label for each in steps.load() if each.id == step), "")


def _times(entry: e.Entry) -> dict[str, Any]:
    return {"entry": entry.n, "done_at": entry.done_at, "typed_at": entry.typed_at}


def _when(n: int, done_at: datetime, typed_at: Mapping[int, datetime]) -> dict[str, Any]:
    return {"entry": n, "done_at": done_at, "typed_at": typed_at.get(n)}


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


__all__ = ["GOVERNS", "Progress", "RecordError", "Revision", "Sources", "build_record"]
