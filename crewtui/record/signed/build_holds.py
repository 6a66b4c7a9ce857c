"""The answers to holds and hazards in the record, in the order given: a reopened one has several."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final

from crewtui.day.journal import entries as e
from crewtui.day.state.state import DayState
from crewtui.job.file.company_hazards import for_job
from crewtui.record.signed.build_anchor import times
from crewtui.record.signed.form import HoldAnswered

_HOLD_ENTRIES: Final = (
    e.HazardAnswered, e.MomentSigned, e.HoldReleased, e.HoldOverridden, e.PitEntryAnswered, e.FactAnswered,
    e.SoilJudged, e.MarksFaded, e.Reopened,
)  # fmt: skip
_NAMED_EACH_DAY: Final = frozenset({"competent-person", "briefing"})
"""Steps of the morning that name people."""


def holds_of(state: DayState, entries: Iterable[e.Entry]) -> tuple[HoldAnswered, ...]:
    """Return every answer to a hold or a hazard."""
    return tuple(_answered(state, entries))


def _answered(state: DayState, entries: Iterable[e.Entry]) -> Iterator[HoldAnswered]:
    texts = {hazard.id: hazard.text for hazard in for_job(state.job)}
    for entry in entries:
        if isinstance(entry, _HOLD_ENTRIES) or (
            isinstance(entry, e.StepDone) and entry.step in _NAMED_EACH_DAY
        ):
            for one in _each(entry):
                yield HoldAnswered(**_hold(one, texts), anchor=getattr(one, "anchor", None), **times(one))


def _each(entry: e.Entry) -> Iterator[e.Entry]:
    """Yield an answer by itself, and one set of initials as the answers that it signs."""
    if not isinstance(entry, e.MomentSigned):
        yield entry
        return
    for anchor, hazards in ((None, entry.job_hazards), (entry.anchor, entry.anchor_hazards)):
        for hazard in hazards:
            yield e.HazardAnswered(
                n=entry.n,
                done_at=entry.done_at,
                typed_at=entry.typed_at,
                hazard=hazard,
                anchor=anchor,
                in_place=True,
                initials=entry.initials,
                note=f"read out: {entry.moment}",
            )


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
