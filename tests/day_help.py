"""A job, a clock and an open day for the tests of the day."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

from crewtui.day.journal.entries import AimChanged, HazardAnswered, Signed
from crewtui.day.session.day import Day
from crewtui.day.state.conditions import pit_is_there
from crewtui.day.state.facts import Figures, Limit, PlainFacts
from crewtui.day.state.state import DayState
from crewtui.day.steps.outcomes import NeedsChoice, NeedsReason, Outcome, Refused, Saved
from crewtui.job.file.model import Job
from crewtui.job.tables.hazards import Hazard

MORNING = datetime(2026, 5, 4, 7, 0, tzinfo=timezone(timedelta(hours=-5)))

UTILITIES = (
    {"name": "Electric", "kind": "electric", "response": "marked"},
    {"name": "Gas", "kind": "gas", "response": "clear"},
)


def job_data(anchors: int = 3, **tables: Any) -> dict[str, Any]:
    """Return an invented job of a block wall, in inches."""
    data: dict[str, Any] = {
        "job": {"id": "T-1", "site": "Invented house", "date": "2026-05-04", "lead": "Invented Lead"},
        "walls": [
            {
                "name": "north",
                "type": "block",
                "length": 1400,
                "thickness": 8,
                "slab_to_top": 92,
                "grade_to_top": 10,
                "block_course": 8,
                "block_length": 16,
            }
        ],
        "anchors": [
            {
                "id": f"A-{number}",
                "wall": "north",
                "along": 30 + 60 * (number % 22),
                "setback": 144,
                "drop": 7,
            }
            for number in range(1, anchors + 1)
        ],
        "ground": {"soil_type": "C"},
        "rod": {"diameter": 0.75, "threads_per_inch": 10, "coupling_length": 2.25, "coupling_corners": 1.1},
        "stock": {"rods": [{"length": 80, "count": 20}]},
        "tools": {"pit": "auger", "pit_face": "squared", "pit_depth": 50},
        "ticket": {
            "number": "555-0100",
            "valid_from": datetime(2026, 5, 1, tzinfo=UTC),
            "valid_to": datetime(2026, 5, 20, tzinfo=UTC),
            "utilities": list(UTILITIES),
        },
    }
    for name, values in tables.items():
        data[name] = {**data[name], **values} if isinstance(values, dict) and data.get(name) else values
    return data


def make_job(anchors: int = 3, **tables: Any) -> Job:
    return Job.model_validate(job_data(anchors, **tables))


class Hands:
    """A clock that a test sets."""

    def __init__(self, now: datetime = MORNING) -> None:
        self.now = now

    def __call__(self) -> datetime:
        return self.now

    def on(self, **by: float) -> None:
        self.now += timedelta(**by)


def plain_figures(_: DayState, __: str) -> PlainFacts:
    """Return limits as an ordinary anchor has them."""
    return PlainFacts(
        limits={
            "least_depth_in": Limit(value=36, source="plan"),
            "greatest_depth_in": Limit(value=43.5, source="the pit"),
            "least_angle_deg": Limit(value=4.9),
            "greatest_angle_deg": Limit(value=6.1),
            "least_drilled_angle_deg": Limit(value=4.9),
            "greatest_drilled_angle_deg": Limit(value=6.1),
            "least_setback_in": Limit(value=143),
            "least_pit_depth_in": Limit(value=48),
            "least_lifts": Limit(value=7),
            "least_torque_lbf_ft": Limit(value=80),
            "greatest_torque_lbf_ft": Limit(value=80),
        }
    )


def open_day(
    folder: Path,
    job: Job | None = None,
    *,
    clock: Callable[[], datetime] | None = None,
    figures: Figures | None = plain_figures,
) -> Day:
    """Open a day in the folder; its job file stands there as any bytes, since the job is given."""
    path = folder / "job.toml"
    if not path.exists():
        path.write_text("# invented\n", encoding="utf-8")
    return Day.of(job or make_job(), path, clock=clock or Hands(), figures=figures)


def saved(outcome: Outcome) -> Saved:
    assert isinstance(outcome, Saved), outcome
    return outcome


def refused(outcome: Outcome) -> str:
    assert isinstance(outcome, Refused), outcome
    return outcome.sentence


def asks_reason(outcome: Outcome) -> NeedsReason:
    assert isinstance(outcome, NeedsReason), outcome
    return outcome


def asks_choice(outcome: Outcome) -> NeedsChoice:
    assert isinstance(outcome, NeedsChoice), outcome
    return outcome


def read_watch_marks(day: Day) -> None:
    """Read the watch mark at every anchor: nothing has moved."""
    for anchor in day.state.anchors:
        saved(day.measure(anchor, "watch-mark", "0"))


def drive(day: Day, anchor: str, depth_in: float, held_deg: float = 5.3) -> None:
    """Have a rod driven and found, entered at its steps."""
    saved(day.measure(anchor, "held-angle", f"{held_deg:g}", reason="rock there"))
    saved(day.measure(anchor, "depth-found", f"{depth_in:g} in", reason="rock there"))


def sign(day: Day, hazard: Hazard, anchor: str | None) -> None:
    """Say that a hazard is seen to; one that is seen in the pit, as if the pit were there."""
    if hazard.of_the_pit and not pit_is_there(day.state, anchor):
        day.put(
            HazardAnswered(**day.times(None), hazard=hazard.id, anchor=anchor, in_place=True, initials="IL")
        )
    else:
        saved(day.safety.answer_hazard(hazard.id, in_place=True, initials="IL", anchor=anchor))


def clear_hazards(day: Day) -> None:
    """Answer every hazard of the job and of its anchors, and that nobody goes into a pit."""
    for hazard in day.hazards:
        where: tuple[str | None, ...] = (None,) if hazard.scope == "job" else tuple(day.state.anchors)
        for anchor in where:
            sign(day, hazard, anchor)
    for anchor in day.state.anchors:
        saved(day.safety.answer_pit_entry(anchor, somebody=False))
        for hold in day.standing_holds(anchor):
            if hold.id.endswith(" as it stands"):
                saved(day.safety.release_hold(hold.id, anchor, initials="Invented Engineer"))


def aim_anew(day: Day, anchor: str, values: Mapping[str, float], *, because: str) -> Outcome:
    """Aim an anchor for other values, without advice and without asking who agreed."""
    return day.save(AimChanged(**day.times(None), anchor=anchor, values=dict(values), because=because))


def sign_entry(day: Day, record_sha256: str, *, revision: int, name: str) -> Outcome:
    """Put the entry of a signature into the day, without a record."""
    return day.save(Signed(**day.times(None), record_sha256=record_sha256, revision=revision, name=name))
