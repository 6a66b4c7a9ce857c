"""What an anchor's figures are, and the bench on which they are worked out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, Literal, TypeVar

from msgspec import Struct, field

from crewtui.day.figures.line_figures import LineFigures
from crewtui.day.state.facts import Limit
from crewtui.day.state.hold import Hold
from crewtui.day.state.inputs import Inputs
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.trade.aim import rod_line as aiming
from crewtui.trade.aim import window as windows
from crewtui.trade.aim.drift import Drift, NextRod
from crewtui.trade.aim.play import Play
from crewtui.trade.ground import pit as digging
from crewtui.trade.ground import wedges as soil
from crewtui.trade.ground.clearing import Clearing
from crewtui.trade.ground.excavation import PitRule, SlopeBack
from crewtui.trade.ground.in_ground import InGroundVerdict
from crewtui.trade.ground.rods_apart import RodsVerdict
from crewtui.trade.ground.seat import NutFace, NutReach, PlateSeat
from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.trade.rod.stop_mark import StopMark
from crewtui.trade.tightening import tension as steel
from crewtui.trade.tightening import torque as tightening

Subject = Literal["mark", "aim", "rod", "torque", "pit", "wedges", "lines"]
SUBJECTS: Final[tuple[Subject, ...]] = ("mark", "aim", "rod", "torque", "pit", "wedges", "lines")

T = TypeVar("T")


PREDRILL: Final = "pre-drill through the footing with a long bit, where the plan allows it"


class YardFigures(Struct, frozen=True, kw_only=True):
    """What stands in the ground of the yard, and the rods of other walls, as this anchor meets them."""

    things: tuple[InGroundVerdict, ...]
    rods: tuple[RodsVerdict, ...]
    pits: tuple[str, ...]
    """What the pit would be dug into, in words."""
    clearings: tuple[Clearing, ...] = ()
    """What would clear rod and pit, where something holds them."""
    predrill: bool = False
    """Whether a hole through what is in the way is a way too."""

    @property
    def clears(self) -> tuple[str, ...]:
        """Return what would clear it, in words."""
        return (*(way.words for way in self.clearings), *((PREDRILL,) if self.predrill else ()))

    @property
    def words(self) -> tuple[str, ...]:
        """Return what holds, and what would clear it, as sentences."""
        clears = self.clears
        return (*self.stops, *((f"What would clear it: {'; or '.join(clears)}.",) if clears else ()))

    @property
    def stops(self) -> tuple[str, ...]:
        """Return what holds the pit or the drive, in words."""
        held = (
            *(one.words for one in self.things if one.holds),
            *(one.words for one in self.rods if one.holds),
        )
        return (*self.pits, *held)


class AnchorFigures(Struct, frozen=True, kw_only=True):
    """Everything that is worked out for one anchor."""

    anchor: str
    inputs: Inputs
    drift: Drift
    """Of the wall, from its first drives so far; the company's prior where there are none."""
    mark: aiming.MarkInside | None = None
    section: aiming.Section | None = None
    least: windows.LeastDepth | None = None
    greatest_in: float | None = None
    aim_depth_in: float | None = None
    """The depth aimed for: the plan's, else the company's where it lies in the window, else the best."""
    window: windows.Window | None = None
    aim: aiming.Aim | None = None
    """At the angle that the rod should run at."""
    held_angle_deg: float | None = None
    """The angle to hold: the way on that was chosen, else that of the aim less the drift in use."""
    driving_deg: float | None = None
    """The ground is judged for it: the angle read while driving until the rod is found, else that to hold."""
    held_rise_in: float | None = None
    """Height of the rod's tail above the hole, at the angle held; with its sag where it is aimed by."""
    sag_deg: float | None = None
    """How much flatter the rod enters than its tail's height says, held at its end; None with a level."""
    ran_deg: float | None = None
    """The angle that the rod ran at, once it was found; rod and couplings follow it."""
    tail_room: aiming.TailRoom | None = None
    best: windows.BestAim | None = None
    share_aside: float | None = None
    """Share of rods, held square, that come into the pit's width."""
    share: float | None = None
    """Share of first drives expected inside the window, held as figured."""
    deeper: tuple[windows.DeeperPit, ...] = ()
    next_rod: NextRod | None = None
    play: Play | None = None
    rod: RodPlan | None = None
    stop: StopMark | None = None
    """Where the drive stops, on the rod as made up."""
    torque: tightening.TorqueTarget | None = None
    wrench: tightening.WrenchSetting | None = None
    tension: steel.TensionCheck | None = None
    volume: digging.PitVolume | None = None
    lifts: digging.Lifts | None = None
    pit_rules: tuple[PitRule, ...] = ()
    slope_back: SlopeBack | None = None
    seat: PlateSeat | None = None
    """How the plate sits in its pit."""
    nut_face: NutFace | None = None
    nut_reach: NutReach | None = None
    """How the nut in the pit is set."""
    wedges: soil.WedgeCheck | None = None
    lines: LineFigures | None = None
    yard: YardFigures | None = None
    """None where nothing else is known in the ground."""
    said: Mapping[Subject, tuple[str, ...]] = field(default_factory=dict)
    """Warnings by subject, in words."""
    limits: Mapping[str, Limit] = field(default_factory=dict)
    holds: tuple[Hold, ...] = ()
    hints: Mapping[str, str] = field(default_factory=dict)
    """What they say to how a step is done, by step id."""

    @property
    def warnings(self) -> tuple[str, ...]:
        """Return every warning, subject by subject."""
        return tuple(words for subject in SUBJECTS for words in self.said.get(subject, ()))

    @property
    def rod_angle_deg(self) -> float | None:
        """Return the angle that the rod lies at: as it ran once found, else as aimed."""
        if self.ran_deg is not None:
            return self.ran_deg
        return self.aim.angle_deg if self.aim is not None and self.aim.possible else None


class Work:
    """One anchor on the bench: state, inputs, and the sentences on what could not be worked out."""

    def __init__(self, state: DayState, now: AnchorNow, inputs: Inputs) -> None:
        self.state, self.now, self.inputs = state, now, inputs
        self.rules, self.job, self.system = state.rules, state.job, state.job.job.units
        self.said: dict[Subject, list[str]] = {}

    def say(self, subject: Subject, *words: str) -> None:
        """Keep warnings, each once."""
        said = self.said.setdefault(subject, [])
        said.extend(word for word in words if word and word not in said)

    def attempt(self, subject: Subject, work: Callable[[], T]) -> T | None:
        """Return what the work gives, or None, and its sentence among the warnings."""
        try:
            return work()
        except ValueError as error:
            self.say(subject, str(error))
            return None
