"""What recovery works from and what it hands back: the site, what was found, how the rod ran, a way on."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import Final, Literal

from msgspec import Struct

from crewtui.trade.aim.play import Play, rod_play
from crewtui.trade.aim.rod_line import Section
from crewtui.trade.aim.window import (
    DRIFT_PRIOR_DEG,
    ROD_SPREAD_DEG,
    Window,
    greatest_depth_in,
    pit_depth_for_in,
    window,
)
from crewtui.trade.checks import checked, checked_angle
from crewtui.trade.rod.rod_inputs import STUB_IN
from crewtui.trade.vocabulary import PitKind
from crewtui.trade.wall.block import BLOCK_IN, COURSE_IN, JOINT_IN, BedSide, HeadSide
from crewtui.units import UnitSystem, at_least, at_most, show_length

MeasuredTo = Literal["middle", "top"]
Kind = Literal[
    "accept",
    "drive again",
    "drive flatter",
    "re-drill steeper",
    "re-drill flatter",
    "hole beside",
    "lower mark",
    "higher mark",
    "pit farther out",
    "deepen the pit",
    "widen the pit",
]

FARTHEST_SETBACK_IN: Final = 216.0
"""Past 18 ft a rod driven from a basement is no answer any more: company setting, from memory."""
BENT_ROD_DEG: Final = 0.5
"""Angles in the pit and of the chord may differ so much on a straight rod: company setting, from memory."""
WALL_BETWEEN_IN: Final = 4.0
"""Wall left between an old hole and a fresh one beside it: company setting, from memory."""
NO_RULES: Final[tuple[str, ...]] = ()


def no_opening(_aside_in: float) -> str:
    """Say that nothing is in the way: for a wall without openings."""
    return ""


def no_rules(_pit_depth_in: float) -> tuple[str, ...]:
    """Switch on nothing: for a caller that adds the rules of a pit's depth itself."""
    return NO_RULES


class Site(Struct, frozen=True, kw_only=True):
    """One anchor as it stands: hole, pit, limits, what is left on the truck, the drift known so far."""

    section: Section
    hole_angle_deg: float
    """The hole as drilled."""
    thickness_in: float
    """The wall's own thickness: the length of the hole. A bow lengthens the rod's way, not the hole."""
    rod_diameter_in: float
    hole_diameter_in: float
    pit_kind: PitKind
    pit_along_rod_in: float
    pit_across_in: float
    taped_short_in: float | None = None
    """The seat, short of the pit's middle, where it is not half the pit."""
    pit_depth_in: float
    plate_width_in: float
    plate_height_in: float
    wrench_room_in: float
    """Room below the plate for hand and wrench."""
    least_in: float
    aim_in: float
    band_top_in: float
    """Top of the band for marks, below grade."""
    band_bottom_in: float
    tail_length_in: float
    """What sticks into the room when the drive starts."""
    sag_deg: float = 0.0
    """What its sag takes off at the hole, where the aim is taken by its height."""
    hammer_length_in: float = 0.0
    room_above_mark_in: float | None = None
    """From the mark up to the joists; None where nothing hangs over the room or it is not known."""
    grade_to_top_in: float | None = None
    slab_to_top_in: float | None = None
    along_in: float | None = None
    """The mark's place from the wall's start corner."""
    wall_length_in: float | None = None
    openings_clear: Callable[[float], str] = no_opening
    """Says what the wall plate would lie over with the hole so far aside; empty where nothing."""
    wall_plate_width_in: float | None = None
    wall_between_in: float = WALL_BETWEEN_IN
    """What must be left between an old hole and a fresh one in a wall without cores."""
    block: bool = False
    bed_joint_in: float | None = None
    """From the mark to the nearest bed joint."""
    bed_joint_side: BedSide | None = None
    course_in: float = COURSE_IN
    head_joint_in: float | None = None
    """From the mark to the nearest head joint."""
    head_joint_side: HeadSide | None = None
    block_length_in: float = BLOCK_IN
    greatest_setback_in: float | None = None
    """Farthest middle of a pit that ticket and property allow."""
    greatest_setback_why: str = "the ticket's area and the property line"
    farthest_setback_in: float = FARTHEST_SETBACK_IN
    """Past it the crew does not drive, whatever ticket and property allow."""
    wedges_least_seat_in: Callable[[float, float], float | None] | None = None
    """Least distance to the seat that clears both soil wedges, from the plate's base depth and the fall."""
    rods_left_in: tuple[float, ...] | None = None
    """Lengths left on the truck, one for each rod; None where not counted."""
    couplings_left: int | None = None
    joint_check: Callable[[float], str] | None = None
    """Says what is wrong with the joints after so much more rod is driven; empty where nothing is."""
    drops_shot: tuple[tuple[float, float], ...] = ()
    """Drops shot farther out on this line: (distance from the outer face, drop from grade at the wall)."""
    greatest_pit_depth_in: float | None = None
    """What the auger reaches or the crew digs."""
    rules_at_depth: Callable[[float], Sequence[str]] = no_rules
    """The rules that a pit's depth switches on, by name."""
    drift_mean_deg: float = 0.0
    """The drift expected before this rod, which it has if the miss was chance."""
    drift_sd_deg: float = DRIFT_PRIOR_DEG
    spread_deg: float = ROD_SPREAD_DEG
    bent_rod_deg: float = BENT_ROD_DEG
    """How far the angle seen in the pit may lie from the chord's before the rod counts as bent."""
    rod_total_in: float | None = None
    """The rod as made up: its pieces in the ground and those still to be screwed on; None where not known."""
    tail_least_in: float = STUB_IN
    """What must stay in the room to grip and to screw on to."""
    system: UnitSystem = "imperial"

    def __post_init__(self) -> None:
        checked_angle(self.hole_angle_deg, "The hole's angle")
        for name, value in (
            ("The wall's thickness", self.thickness_in),
            ("The rod's diameter", self.rod_diameter_in),
            ("The hole's diameter", self.hole_diameter_in),
            ("The pit's size along the rod", self.pit_along_rod_in),
            ("The pit's size across", self.pit_across_in),
            ("The pit's depth", self.pit_depth_in),
            ("The plate's width", self.plate_width_in),
            ("The plate's height", self.plate_height_in),
            ("A course", self.course_in),
        ):
            checked(name, value, above=0)
        checked("The drift's uncertainty", self.drift_sd_deg, least=0)
        checked("The spread", self.spread_deg, least=0)
        if self.band_top_in > self.band_bottom_in:
            raise ValueError("The band for marks has its top below its bottom: swap the two depths.")

    @property
    def greatest_in(self) -> float:
        """Deepest rod whose plate fits the pit as it is."""
        return greatest_depth_in(
            self.pit_depth_in, plate_height_in=self.plate_height_in, wrench_room_in=self.wrench_room_in
        )

    @property
    def setback_in(self) -> float:
        """Outer face to the pit's middle."""
        return self.section.seat_in + self.seat_short_in

    @property
    def seat_short_in(self) -> float:
        """The seat, short of the pit's middle."""
        return self.pit_along_rod_in / 2 if self.taped_short_in is None else self.taped_short_in

    @property
    def past_seat_in(self) -> float:
        """The pit past the seat, to its far side."""
        return self.seat_short_in + self.pit_along_rod_in / 2

    @property
    def play(self) -> Play | None:
        """The rod's play in the hole as drilled; None where the rod does not go in."""
        return rod_play(
            self.hole_angle_deg,
            rod_diameter_in=self.rod_diameter_in,
            hole_diameter_in=self.hole_diameter_in,
            hole_length_in=self.thickness_in,
        )

    @property
    def joint_clear_in(self) -> float:
        """Least distance, middle to middle, that keeps the hole out of a bed joint."""
        return JOINT_IN / 2 + self.hole_diameter_in / 2

    @property
    def share(self) -> float:
        """The part of this rod's drift that is expected to come back: sd²/(sd² + spread²)."""
        total = self.drift_sd_deg**2 + self.spread_deg**2
        # share of a miss that is habit: sd²/(sd² + spread²), normal prior and spread
        return self.drift_sd_deg**2 / total if total > 0 else 0.0

    @property
    def sd_after_deg(self) -> float:
        """Uncertainty of the drift once this rod is counted."""
        # σ·τ/√(σ² + τ²) = τ·√share: the posterior of a normal prior
        return self.spread_deg * math.sqrt(self.share)

    def next_drift_deg(self, drift_deg: float) -> float:
        """Return the drift expected of the next rod after one that drifted so."""
        # posterior mean: m + share·(d − m), one more rod seen
        return self.drift_mean_deg + self.share * (drift_deg - self.drift_mean_deg)

    def window(self, section: Section | None = None) -> Window:
        """Return the window of depths in the pit as it is, for this mark or another section."""
        return window(
            section or self.section,
            least_in=self.least_in,
            aim_in=self.aim_in,
            greatest_in=self.greatest_in,
            pit_depth_in=self.pit_depth_in,
            system=self.system,
        )

    def inside(self, depth_in: float) -> bool:
        """Whether a rod at this depth is deep enough and its plate fits the pit as it is."""
        return at_least(depth_in, self.least_in) and at_most(depth_in, self.greatest_in)

    def serves(self, depth_in: float, run_deg: float) -> bool:
        """Whether a rod that lands here is inside and runs downhill to its plate."""
        return run_deg > 0 and self.inside(depth_in)

    def drifts_deg(self, drift_deg: float) -> tuple[float, float, float]:
        """Return the next rod's drift if the miss was chance, if it repeats, and as it is expected."""
        return self.drift_mean_deg, drift_deg, self.next_drift_deg(drift_deg)

    def tape_in(self, mark_depth_in: float) -> tuple[float | None, float | None]:
        """Return a mark down from the wall's top and up from the slab; None where a height is not known."""
        down_in = None if self.grade_to_top_in is None else self.grade_to_top_in + mark_depth_in
        up_in = None if down_in is None or self.slab_to_top_in is None else self.slab_to_top_in - down_in
        return down_in, up_in

    def pit_depth_for_in(self, depth_in: float) -> float:
        """Return the depth of pit that the plate needs on a rod at this depth."""
        return pit_depth_for_in(
            depth_in, plate_height_in=self.plate_height_in, wrench_room_in=self.wrench_room_in
        )

    def switched_on(self, pit_depth_in: float) -> tuple[str, ...]:
        """Return the rules that a deeper pit switches on and the present one does not."""
        now = set(self.rules_at_depth(self.pit_depth_in))
        return tuple(rule for rule in self.rules_at_depth(pit_depth_in) if rule not in now)

    def wedges_meet(self, depth_in: float, *, seat_in: float, fall: float) -> str:
        """Return that the soil wedges meet with a plate at this depth, in words; empty where they do not."""
        if self.wedges_least_seat_in is None:
            return ""
        least_in = self.wedges_least_seat_in(depth_in + self.plate_height_in / 2, fall)
        if least_in is not None and at_least(seat_in, least_in):
            return ""
        needs = (
            "no distance clears them" if least_in is None else f"{show_length(least_in, self.system)} needed"
        )
        seat = show_length(seat_in, self.system)
        return f"The soil wedges would meet with the seat at {seat} ({needs}): ask the engineer."

    def wider_sides_in(self, side_offset_in: float) -> tuple[float, float]:
        """Return how much the pit must grow for the plate, to start and end corner."""
        over_in = (self.plate_width_in - self.pit_across_in) / 2
        return max(0.0, over_in - side_offset_in), max(0.0, over_in + side_offset_in)


class Found(Struct, frozen=True, kw_only=True):
    """What was measured in the pit after a drive."""

    depth_in: float
    """Below a straightedge across the sod line at the house-side rim."""
    held_angle_deg: float
    """The angle as it was really held; the one called out where nobody measured it."""
    measured_to: MeasuredTo = "middle"
    side_offset_in: float = 0.0
    """From the pit's middle; towards the wall's end corner is positive."""
    seen_angle_deg: float | None = None
    """The angle of the rod as it shows in the pit, if it was read."""

    def middle_in(self, rod_diameter_in: float) -> float:
        """Return the depth to the rod's middle."""
        return self.depth_in + (rod_diameter_in / 2 if self.measured_to == "top" else 0.0)


class Ran(Struct, frozen=True, kw_only=True):
    """How the rod ran, and what of it serves."""

    depth_in: float
    """To the rod's middle."""
    angle_deg: float
    drift_deg: float
    """Angle run less angle held; flatter is negative."""
    tilt_deg: float
    """Angle run less the hole's angle: what the play must explain."""
    side_offset_in: float
    side_deg: float
    line_deg: float
    """The angle that it goes on at: the one seen in the pit if it was read, else the angle run."""
    seen: bool
    """Whether the angle was read in the pit."""
    play: Play | None
    straight_in_section: bool
    """Whether a straight rod can have run so steep or flat in this hole."""
    straight_aside: bool
    """Whether a straight rod in a square hole can have run so far to the side."""
    shows: bool
    """Whether it stands inside the pit's width; if not it counts as not found in this pit."""
    bent: bool
    """Whether the angle seen in the pit tells of a bend: it is not the chord's."""
    deep_enough: bool
    """Whether it is as deep as the window's start: the least depth, or where a level rod arrives."""
    fits_depth: bool
    fits_across: bool
    drop_that_explains_in: float
    """Drop of the ground at which the rod would have run as it was held."""
    check_first: tuple[str, ...]
    warnings: tuple[str, ...]

    @property
    def straight(self) -> bool:
        """Whether a straight rod can have run so in this hole, and nothing seen speaks against it."""
        return self.straight_in_section and self.straight_aside and not self.bent

    @property
    def downhill(self) -> bool:
        """Whether it runs downhill to its plate, by the chord and by what was seen in the pit."""
        return self.angle_deg > 0 and self.line_deg > 0

    @property
    def plate_fits(self) -> bool:
        """Whether the plate fits this pit on this rod."""
        return self.fits_depth and self.fits_across


class WayFigured(Struct, frozen=True, kw_only=True):
    """One way on, figured twice: if the miss was chance, and if the drift repeats."""

    kind: Kind
    possible: bool
    sure: bool
    """Both landings lie inside the window, and nothing that they rest on is an estimate."""
    why_not: str
    """Why it cannot be done here; empty where it can."""
    words: str
    cautions: tuple[str, ...]
    lands_if_chance_in: float | None
    lands_if_drift_repeats_in: float | None
    share: float | None
    """Share of new drives that land inside, in depth only; None where the estimator does not know."""
    held_angle_deg: float | None
    """The angle to hold at a new drive; None where the rod stays."""
    tail_rise_in: float | None
    mark_depth_in: float
    down_from_top_in: float | None
    up_from_slab_in: float | None
    seat_in: float
    setback_in: float
    drop_in: float | None
    """None: to be shot there first."""
    pit_depth_in: float
    pit_across_in: float
    switched_on: tuple[str, ...]
    """Rules that the new depth of pit switches on."""
    new_hole_in2: float
    """New opening in the wall, mean of both faces."""
    digging_in3: float
    extra_rod_in: float
    hole_aside_in: float = 0.0
    """Where the hole lies beside the anchor's line; towards the wall's end corner is positive."""
    asks_engineer: bool = False
    """Whether the rod would stay as nobody but the engineer lets it stay."""
    place: str = ""
    """Why it stands where it stands in the list."""

    @property
    def new_drive(self) -> bool:
        """Whether a rod is driven again."""
        return self.held_angle_deg is not None


__all__ = [
    "BENT_ROD_DEG", "FARTHEST_SETBACK_IN", "NO_RULES", "WALL_BETWEEN_IN", "Found", "Kind", "MeasuredTo",
    "Ran", "Site", "WayFigured", "no_opening", "no_rules",
]  # fmt: skip
