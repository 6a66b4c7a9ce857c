"""What the entries of a day add up to: every anchor as it stands, and what is true of the job as a whole.

States are never changed: each entry gives a new one that shares what it did not touch, so that whoever keeps
figures or rows can tell by identity whether they still hold.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any, Final, Literal

from msgspec import Struct, field

from crewtui.day.journal.entries import ExposureEntered, HoldOverridden, WallRead, Way
from crewtui.day.state.beside import Beside
from crewtui.job.file.model import Anchor, Job
from crewtui.job.tables.quantities import untrue_by
from crewtui.job.tables.rules import Rules

DeviationKind = Literal["outside limits", "answer", "while held", "override", "site change", "drive", "rule"]

ACCEPT: Final = "accept"
"""The way on that leaves the rod where it is."""
SEARCH: Final = "search"
"""The way on for a rod that did not show: what is found then is still the same drive."""

ASKED_AGAIN: Final[Mapping[str, tuple[str, ...]]] = {
    ACCEPT: (),
    "leave": (),
    "deepen": untrue_by("pit_depth_in"),
    "widen": (*untrue_by("pit_along_rod_in"), "side_offset_in"),
    SEARCH: untrue_by("depth_found_in"),
    "same hole": untrue_by("held_angle_deg"),
    "re-drill": untrue_by("drilled_angle_deg"),
    "lower mark": untrue_by("mark_depth_in"),
    "beside": untrue_by("mark_depth_in"),
    "farther out": untrue_by("setback_in"),
}
"""By kind of way on: the quantities and steps that it makes untrue, and so are asked again."""
HOLD: Final = "hold_angle_deg"
"""The angle to hold that a way on asks for."""
WATCH_MARK: Final = "watch_moved_in"
"""How far the watch mark on the wall has moved, read before each drive."""
LOOSE_FILL: Final = "core with loose fill in it"
"""What a hole may meet that stops the work on the whole job."""
LOOSE_FILL_FOUND: Final = "loose fill found"
PIT_ASKS_AGAIN: Final = frozenset({SEARCH, "deepen", "widen", "farther out"})
"""Ways on after which the pit's entry question stands open again."""


class Measured(Struct, frozen=True, kw_only=True):
    """A value as built, in its quantity's unit, and as it was typed."""

    value: float
    text: str
    step: str
    n: int
    done_at: datetime
    then: str = ""
    reason: str = ""
    outside: bool = False


class Answered(Struct, frozen=True, kw_only=True):
    """The answer to a step that is no value."""

    answer: str
    n: int
    done_at: datetime
    reason: str = ""
    deviates: bool = False


class Drive(Struct, frozen=True, kw_only=True):
    """One rod driven, with the anchor as it stood then: a later set-back must not change where it ran."""

    n: int
    attempt: int
    held_angle_deg: float
    depth_found_in: float | None
    """None: the rod did not show."""
    side_offset_in: float | None
    angle_in_pit_deg: float | None
    straight: bool
    left_out_reason: str
    way: Way | None
    done_at: datetime
    plan: Anchor
    as_built: Mapping[str, Measured]
    aim: Mapping[str, float]
    open: bool = False
    """Its values stand and no way on was taken yet: what is measured still counts for it."""
    held_by: str = ""
    """What its angle was taken by; empty where nobody said."""


Tightening = Literal["first", "second"]
"""Before backfilling, or after it."""
CLICKED: Final = "clicked"
"""The answer after a torque when the wrench clicked."""


class TighteningStep(Struct, frozen=True, kw_only=True):
    """Where one tightening is entered: its step, the torque, and how far the rod came in with it."""

    which: Tightening
    step: str
    torque: str
    came_in: str


TIGHTENINGS: Final[Mapping[Tightening, TighteningStep]] = {
    "first": TighteningStep(
        which="first", step="first-torque", torque="first_torque_lbf_ft", came_in="pull_in_in"
    ),
    "second": TighteningStep(
        which="second", step="second-torque", torque="second_torque_lbf_ft", came_in="second_pull_in_in"
    ),
}


class RoundDone(Struct, frozen=True, kw_only=True):
    """One round of tightening at an anchor, before the last."""

    n: int
    torque_lbf_ft: float
    set_lbf_ft: float
    clicked: bool
    came_in_in: float | None
    done_at: datetime


class PieceIn(Struct, frozen=True, kw_only=True):
    """One piece of rod in the ground."""

    n: int
    length_in: float


class Truck(Struct, frozen=True, kw_only=True):
    """Rods and offcuts that are left, and since when everything else was counted."""

    rods: Mapping[float, int] = field(default_factory=dict)
    """By length in inches; below zero where more were used than were listed."""
    offcuts: tuple[float, ...] = ()
    """Lengths that lie about: found, left over from a cut, or drawn out of the ground."""
    counted: Mapping[str, int] = field(default_factory=dict)
    """By item: number of the entry that last counted it; what was used before is in that count."""


class Deviation(Struct, frozen=True, kw_only=True):
    """Something that is not as the plan, a limit or a hold would have it, and why."""

    n: int
    kind: DeviationKind
    anchor: str | None
    step: str
    text: str
    reason: str
    done_at: datetime


class Signature(Struct, frozen=True, kw_only=True):
    """A hold or a hazard answered: by whom and when."""

    n: int
    initials: str
    in_place: bool
    note: str
    done_at: datetime


class FindingAnswer(Struct, frozen=True, kw_only=True):
    """Who says that a finding about a wall may stay, and for which value."""

    n: int
    value: str
    name: str
    reason: str
    done_at: datetime


class Holding(Struct, frozen=True, kw_only=True):
    """What was answered to hazards and holds, for the job or for one anchor."""

    hazards: Mapping[str, Signature] = field(default_factory=dict)
    released: Mapping[str, Signature] = field(default_factory=dict)
    overridden: Mapping[str, HoldOverridden] = field(default_factory=dict)


class AnchorNow(Struct, frozen=True, kw_only=True):
    """One anchor as it stands: the plan with the site's changes, and what was done."""

    id: str
    wall: str
    plan: Anchor
    """With what the site changed."""
    planned: Anchor | None
    """As the job file has it; None for one added on site."""
    dropped: str = ""
    """Why it is not set."""
    as_built: Mapping[str, Measured] = field(default_factory=dict)
    answers: Mapping[str, Answered] = field(default_factory=dict)
    drives: tuple[Drive, ...] = ()
    """Every rod driven here; the last one is open while no way on was taken."""
    left_out: Mapping[int, str] = field(default_factory=dict)
    """Why a drive does not count for the drift, by its entry, where that was said afterwards."""
    pieces: tuple[PieceIn, ...] = ()
    """The rod's pieces in the ground, from the leading end."""
    rounds: Mapping[tuple[Tightening, int], RoundDone] = field(default_factory=dict)
    """By first or second tightening and number of the round."""
    readings: Mapping[str, WallRead] = field(default_factory=dict)
    """The wall read before and after tightening, the latest of each."""
    aim: Mapping[str, float] = field(default_factory=dict)
    """Newly aimed for on site, by quantity: it beats the plan, and what is then measured beats it."""
    aim_because: str = ""
    moved_because: str = ""
    """Why it stands elsewhere than planned, and who agreed; empty where it does not, or nobody agreed."""
    held_by: str = ""
    """What the angle held was last taken by."""
    pit_entry: bool | None = None
    """Whether anybody's head or trunk goes below the rim; None is unanswered, and counts as yes."""
    pit_entry_was: bool | None = None
    """What was said of a pit that is another one now."""
    holding: Holding = field(default_factory=Holding)
    deviations: tuple[Deviation, ...] = ()
    first_at: datetime | None = None
    last_at: datetime | None = None

    def value(self, quantity: str) -> float | None:
        """Return the value as built, or None."""
        measured = self.as_built.get(quantity)
        return measured.value if measured is not None else None

    def here(self, quantity: str) -> float | None:
        """Return the value as built, else as newly aimed for, else None; the plan is the caller's."""
        measured = self.as_built.get(quantity)
        return measured.value if measured is not None else self.aim.get(quantity)

    @property
    def next_attempt(self) -> int:
        """Return the number of the next drive: a rod found after a search is of the same drive."""
        return 1 + sum(drive.way is None or drive.way.kind != SEARCH for drive in self.settled)

    @property
    def settled(self) -> tuple[Drive, ...]:
        """Return the drives that a way on was taken for."""
        return tuple(drive for drive in self.drives if not drive.open)

    @property
    def drilled(self) -> bool:
        """Return whether mark or hole is in the wall: the anchor stays where it is along it."""
        return bool(
            self.drives or self.pieces or {"mark_depth_in", "drilled_angle_deg"} & self.as_built.keys()
        )

    @property
    def somebody_in_pit(self) -> bool:
        """Return whether the pit's rules for people apply: unanswered is yes."""
        return self.pit_entry is not False


class DriftChoice(Struct, frozen=True, kw_only=True):
    """Whether the lead uses a wall's drift in the aim."""

    mean_deg: float
    on: bool
    n: int


class Exposure(Struct, frozen=True, kw_only=True):
    """One place where a line in the ground was laid bare; an older journal's entry has none."""

    n: int
    line: str
    depth_in: float
    along_in: float | None
    out_in: float | None
    anchor: str | None
    done_at: datetime

    @property
    def placed(self) -> bool:
        """Return whether it is known where the line was laid bare."""
        return self.along_in is not None and self.out_in is not None


class Shared(Struct, frozen=True, kw_only=True):
    """What is true of the job as a whole."""

    job: Job
    """The job file with what was filled in on site; its anchors are as planned."""
    rules: Rules
    drafts: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    """By table: values filled in on site for a table that still lacks others, such as a ticket's number."""
    answers: Mapping[str, Answered] = field(default_factory=dict)
    findings: Mapping[str, FindingAnswer] = field(default_factory=dict)
    """By finding about a wall."""
    as_built: Mapping[str, Measured] = field(default_factory=dict)
    holding: Holding = field(default_factory=Holding)
    facts: Mapping[str, bool] = field(default_factory=dict)
    drift: Mapping[str, DriftChoice] = field(default_factory=dict)
    exposed: tuple[Exposure, ...] = ()
    """Where lines in the ground were laid bare, in the order entered."""
    deviations: tuple[Deviation, ...] = ()
    accepted: Mapping[int, str] = field(default_factory=dict)
    """By number of the deviating entry: who accepted it and why."""
    exposures: tuple[ExposureEntered, ...] = ()
    """Time on tools that make dust or noise, of every day."""
    moved: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    """By wall, then by anchor: how far the watch mark had moved when last read there, in inches."""
    truck: Truck = field(default_factory=Truck)
    beside: Beside = field(default_factory=Beside)
    notes: tuple[tuple[int, str], ...] = ()
    emergencies: tuple[datetime, ...] = ()
    day_began_n: int = 0
    """Number of the entry that opened the latest day."""
    day_began_at: datetime | None = None
    reopened_n: int = 0
    """Number of the entry that last asked for the pits to be looked over again."""
    reopened_because: str = ""
    weather_n: int = 0
    """Number of the entry that last said that the weather has turned."""
    fill_n: int = 0
    """Number of the entry that last said that loose fill came out of the wall."""
    faded_n: int = 0
    """Number of the entry that last said that the marks on the ground have faded."""
    signed_n: int = 0
    revision: int = 0
    record_sha256: str = ""
    unplaced: tuple[int, ...] = ()
    """Entries that fit no anchor or table of this job file; they stay in the journal."""


class DayState(Struct, frozen=True, kw_only=True):
    """The whole day as it stands."""

    shared: Shared
    anchors: Mapping[str, AnchorNow]
    taken_back: frozenset[int] = frozenset()
    last_n: int = 0

    @property
    def job(self) -> Job:
        """Return the job file with what was filled in on site."""
        return self.shared.job

    @property
    def rules(self) -> Rules:
        """Return the shop's rules for this job."""
        return self.shared.rules

    def live(self) -> Iterator[AnchorNow]:
        """Yield the anchors that are to be set, in the plan's order, then those added."""
        return (now for now in self.anchors.values() if not now.dropped)

    @property
    def deviations(self) -> tuple[Deviation, ...]:
        """Return every deviation that stands, in the order it was entered."""
        found = [*self.shared.deviations]
        for now in self.anchors.values():
            found.extend(now.deviations)
        return tuple(sorted(found, key=lambda deviation: deviation.n))
