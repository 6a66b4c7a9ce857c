"""The job file as models: what the office may write, and what each key means.

The file's keys are the plain names (``setback``); inside the program the same values carry their unit
(``setback_in``). Models are frozen: the plan is read only.
"""

from __future__ import annotations

from typing import Annotated, Final, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from crewtui.job.file.fields import (
    AngleDeg,
    Count,
    Day,
    Instant,
    LengthIn,
    NonNegativeLengthIn,
    PlainNumber,
    PositiveLengthIn,
    SlopeDropPerRun,
    TorqueLbfFt,
)
from crewtui.job.tables.hazards import HazardGroup, HazardOverride, HazardRelease, HazardScope
from crewtui.job.tables.steps import phase_or_step
from crewtui.trade.vocabulary import (
    AimBy,
    DayCount,
    DayKind,
    InGroundKind,
    LineKind,
    PitFace,
    PitKind,
    SoilName,
    SoilType,
    WallType,
)
from crewtui.units import UnitSystem

TWO_FALLS: Final = (
    "Drop and yard_slope both say how the ground falls; keep drop if it was measured at this pit,"
    " or yard_slope if the yard is a plane."
)
ENDS_FIRST: Final = "The ticket ends before it begins; valid_to must come after valid_from."

Name = Annotated[str, Field(min_length=1, max_length=200)]
Ident = Annotated[str, Field(min_length=1, max_length=24, pattern=r"^[^\s/\\][^/\\]*$")]
Text = Annotated[str, Field(max_length=4_000)]
Response = Literal["clear", "marked", "not answered", "ongoing"]
SETTLED: Final = ("clear", "marked")
"""The responses after which nobody waits for a utility any more."""
Point = tuple[LengthIn, LengthIn]
"""Seen from above, in the wall's own frame, in inches: along the wall from its start corner, and out from the
outer face."""
Area = Annotated[tuple[Point, ...], Field(min_length=3)]
DayLimit = Annotated[Count, Field(le=3_660)]
HazardId = Annotated[str, Field(min_length=2, max_length=40, pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$")]


class _Part(BaseModel):
    """A table of the job file: read only, and nothing in it that is not known."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", populate_by_name=True, str_strip_whitespace=True, defer_build=True
    )


class JobCard(_Part):
    """Who, where and when."""

    id: Ident
    site: Name
    date: Day
    lead: Name
    crew: tuple[Name, ...] = ()
    company: Text = ""
    """The company that does the work, as the owner's sheet names it."""
    units: UnitSystem = "imperial"
    address: Text = ""
    competent_person: Text = ""
    engineer: Text = ""
    plan: Text = ""
    """The engineer's plan that governs: its title, date and revision."""
    schedule: Text = ""
    """What the plan says of later tightening by the owner."""
    earlier_record: Text = ""
    """File name of the record of the visit before, to compare readings with."""
    earlier_records: tuple[Name, ...] = ()
    """File names of all earlier records of the house, for the series."""
    house: Annotated[str, Field(max_length=40)] = ""
    """The house's own id, kept over the years from job to job."""
    day: DayKind = "install"
    follows: Annotated[str, Field(pattern="^([0-9a-f]{64})?$")] = ""
    """Hash of the record that a visit's job was written from."""
    notes: Text = ""

    @property
    def everybody(self) -> tuple[Name, ...]:
        """Who is on the job: the lead and the crew, each once."""
        return tuple(dict.fromkeys((self.lead, *self.crew)))


class Opening(_Part):
    """A window, door, pipe or column in the wall that an anchor must keep clear of."""

    name: Name
    start_in: LengthIn = Field(alias="from")
    end_in: LengthIn = Field(alias="to")
    bottom_in: NonNegativeLengthIn = Field(default=0.0, alias="bottom")
    """Height of its lower edge above the slab."""
    top_in: NonNegativeLengthIn | None = Field(default=None, alias="top")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.end_in <= self.start_in:
            raise ValueError("An opening must end past its beginning: to must be more than from.")
        if self.top_in is not None and self.top_in <= self.bottom_in:
            raise ValueError("An opening's top must lie over its bottom.")
        return self


class WallCorner(_Part):
    """A corner that this wall shares with another: it places the two in one plan of the yard."""

    wall: Ident
    """The other wall."""
    here_in: LengthIn = Field(default=0.0, alias="here")
    """The outer corner's place along this wall."""
    there_in: LengthIn | None = Field(default=None, alias="there")
    """Its place along the other; that wall's far end where this one begins here, else its beginning."""
    turn_deg: Annotated[PlainNumber, Field(ge=-180, le=180)] = Field(alias="turn")
    """How far the house turns there: 90 at a plain outside corner, -90 at an inside one."""
    top_lower_in: LengthIn = Field(default=0.0, alias="top_lower")
    """How far this wall's top lies below the other's."""


class WallStretch(_Part):
    """A stretch of a wall where footing or grade stand at another height."""

    start_in: LengthIn = Field(alias="from")
    end_in: LengthIn = Field(alias="to")
    base_to_grade_in: PositiveLengthIn | None = Field(default=None, alias="base_to_grade")
    grade_to_top_in: NonNegativeLengthIn | None = Field(default=None, alias="grade_to_top")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.end_in <= self.start_in:
            raise ValueError("A stretch must end past its beginning: to must be more than from.")
        return self


class Wall(_Part):
    """One wall. The three heights are slab to top, grade to top, and base to grade."""

    name: Ident
    type: WallType
    length_in: PositiveLengthIn = Field(alias="length")
    thickness_in: PositiveLengthIn = Field(alias="thickness")
    slab_to_top_in: PositiveLengthIn = Field(alias="slab_to_top")
    grade_to_top_in: NonNegativeLengthIn = Field(alias="grade_to_top")
    """Height of the wall's top above outside grade; an anchor may have its own."""
    base_to_grade_in: PositiveLengthIn | None = Field(default=None, alias="base_to_grade")
    """Retained height, from the base of the wall (footing) to grade: Hw of the wedges."""
    block_course_in: PositiveLengthIn | None = Field(default=None, alias="block_course")
    block_length_in: PositiveLengthIn | None = Field(default=None, alias="block_length")
    joist_clearance_in: NonNegativeLengthIn | None = Field(default=None, alias="joist_clearance")
    """From the top of the wall up (positive) to the underside of what hangs over the room."""
    stands_behind: Text = ""
    plate_covers: bool | None = None
    """Whether a cover over each wall plate is ordered; nothing said is no."""
    openings: tuple[Opening, ...] = ()
    corners: tuple[WallCorner, ...] = ()
    """Corners shared with other walls; a line or rod of one is then known to the other."""
    stretches: tuple[WallStretch, ...] = ()
    """Steps in the footing or the grade."""

    def stretch_at(self, along_in: float) -> WallStretch | None:
        """Return the stretch that a place along the wall lies in, or None."""
        return next((one for one in self.stretches if one.start_in <= along_in <= one.end_in), None)


class PlateSize(_Part):
    """Width along the wall, height up the wall."""

    width_in: PositiveLengthIn = Field(alias="width")
    height_in: PositiveLengthIn = Field(alias="height")
    weight_lb: Annotated[PlainNumber, Field(gt=0, le=1000)] | None = None


class AsBuilt(_Part):
    """What earlier records of the house say of an anchor, carried over into the job of a visit."""

    depth_found_in: PositiveLengthIn | None = Field(default=None, alias="depth")
    """Ground to the rod's middle at the plate."""
    pieces_in: tuple[PositiveLengthIn, ...] = Field(default=(), alias="pieces")
    """The rod as it went in, from the leading end; each but the first has a coupling before it."""
    torque_left_lbf_ft: TorqueLbfFt | None = Field(default=None, alias="torque_left")
    clicked: bool | None = None
    """Whether the wrench clicked at that torque; None where no record says."""
    left_on: Day | None = None
    left_open: tuple[Text, ...] = ()
    """What its last record leaves to do."""
    departed: tuple[Text, ...] = ()
    """What is not as planned, accepted by nobody."""
    accepted: tuple[Text, ...] = ()
    """What is not as planned, and who accepted it."""
    line: Literal["plumb line", "laser line"] = "plumb line"
    """What the wall was read from, where, and how: it is set up the same way again."""
    fixed_to: Text = ""
    line_offset_in: PositiveLengthIn | None = Field(default=None, alias="line_offset")
    heights_in: tuple[NonNegativeLengthIn, ...] = Field(default=(), alias="heights")
    """Heights over the slab at which the wall was read."""
    resolution_in: PositiveLengthIn | None = Field(default=None, alias="read_to")


class Anchor(_Part):
    """One anchor as planned."""

    id: Ident
    wall: Ident
    along_in: LengthIn = Field(alias="along")
    """Place along the wall from its start corner, as seen from inside, to the mark."""
    setback_in: PositiveLengthIn | None = Field(default=None, alias="setback")
    """Outer wall face to the middle of the pit; the company's rule if absent."""
    mark_depth_in: PositiveLengthIn | None = Field(default=None, alias="mark_depth")
    """Middle of the hole below grade at the inner face; the middle of the company's band if absent."""
    grade_to_top_in: NonNegativeLengthIn | None = Field(default=None, alias="grade_to_top")
    drop_in: LengthIn | None = Field(default=None, alias="drop")
    """Drop from grade at the wall to the ground at the pit; never assumed."""
    yard_slope: SlopeDropPerRun | None = None
    """Slope of a yard that is a plane, in place of ``drop``."""
    bow_in: LengthIn = Field(default=0.0, alias="bow")
    """Inward bow at the mark: lengthens the rod's way through the wall."""
    bed_joint_in: NonNegativeLengthIn | None = Field(default=None, alias="bed_joint")
    """From the mark to the nearest bed joint."""
    bed_joint_side: Literal["above", "below"] | None = None
    """Where that bed joint lies, seen from the mark."""
    head_joint_in: NonNegativeLengthIn | None = Field(default=None, alias="head_joint")
    """From the mark to the nearest head joint."""
    head_joint_side: Literal["start", "end"] | None = None
    """Towards which corner that head joint lies."""
    plate: PlateSize | None = None
    wall_plate: PlateSize | None = None
    least_depth_in: PositiveLengthIn | None = Field(default=None, alias="least_depth")
    aim_depth_in: PositiveLengthIn | None = Field(default=None, alias="aim_depth")
    torque_lbf_ft: TorqueLbfFt | None = Field(default=None, alias="torque")
    free_room_in: PositiveLengthIn | None = Field(default=None, alias="free_room")
    """Inside, square to the wall: inner face to the first thing in the way."""
    obstacle: Text = ""
    """What stands outside between wall and pit (deck, walk, drive)."""
    obstacle_reach_in: PositiveLengthIn | None = Field(default=None, alias="obstacle_reach")
    """How far out it reaches from the outer face; the pit must lie past it."""
    owner_adjustable: bool = False
    built: AsBuilt | None = None

    @model_validator(mode="after")
    def _agrees(self) -> Self:
        if self.drop_in is not None and self.yard_slope is not None:
            raise ValueError(TWO_FALLS)
        if self.obstacle_reach_in is not None and not self.obstacle:
            raise ValueError("Obstacle_reach is given and obstacle is not; say what stands there.")
        return self


class Ground(_Part):
    """The ground that the pits are dug in."""

    frost_depth_in: NonNegativeLengthIn | None = Field(default=None, alias="frost_depth")
    soil: SoilName | None = None
    """Named as in tables of swell."""
    soil_type: SoilType | None = None
    """As the competent person judged it; C until judged."""
    undisturbed: bool = False
    """The competent person says that the ground at the pits was never dug before: else A and rock are B."""
    friction_angle_deg: AngleDeg | None = Field(default=None, alias="friction_angle")


class Rod(_Part):
    """The threaded rod and its coupling, by the maker's sheet."""

    diameter_in: PositiveLengthIn = Field(alias="diameter")
    threads_per_in: Annotated[PlainNumber, Field(gt=0, le=80)] = Field(alias="threads_per_inch")
    steel: Text = ""
    yield_ksi: Annotated[PlainNumber, Field(gt=0, le=300)] | None = None
    coupling_length_in: PositiveLengthIn = Field(alias="coupling_length")
    coupling_corners_in: PositiveLengthIn = Field(alias="coupling_corners")
    nut_height_in: PositiveLengthIn | None = Field(default=None, alias="nut_height")
    plate_thickness_in: PositiveLengthIn | None = Field(default=None, alias="plate_thickness")
    wall_plate_thickness_in: PositiveLengthIn | None = Field(default=None, alias="wall_plate_thickness")
    washer_thickness_in: PositiveLengthIn | None = Field(default=None, alias="washer_thickness")
    coated: Text = ""
    """Wax, grease or plain: what the torque meets."""
    hardware_takes_deg: Annotated[AngleDeg, Field(ge=0, le=45)] | None = Field(
        default=None, alias="hardware_takes"
    )
    """How far off square a nut may bear without a beveled or swiveling washer, by the maker's sheet."""


class RodStock(_Part):
    """Rods of one length on the truck."""

    length_in: PositiveLengthIn = Field(alias="length")
    count: Count


class PlateStock(_Part):
    """Plates of one size on the truck."""

    width_in: PositiveLengthIn = Field(alias="width")
    height_in: PositiveLengthIn = Field(alias="height")
    count: Count


class Stock(_Part):
    """What is on the truck."""

    rods: tuple[RodStock, ...] = ()
    couplings: Count | None = None
    plates: tuple[PlateStock, ...] = ()
    wall_plates: tuple[PlateStock, ...] = ()
    nuts: Count | None = None
    washers: Count | None = None
    sleeves: Count | None = None
    caps: Count | None = None
    plate_covers: Count | None = None
    """Covers that go over the wall plates, where they are ordered."""
    covers: Count | None = None
    tags: Count | None = None
    wax: Count | None = None
    tampers: Count | None = None
    ground_sheets: Count | None = None
    saw_kerf_in: NonNegativeLengthIn | None = Field(default=None, alias="saw_kerf")


class Tools(_Part):
    """The tools that set limits."""

    pit: PitKind = "auger"
    pit_along_rod_in: PositiveLengthIn | None = Field(default=None, alias="pit_along_rod")
    """Size of the pit along the rod, house side to far side; an auger's diameter."""
    pit_across_in: PositiveLengthIn | None = Field(default=None, alias="pit_across")
    pit_face: PitFace | None = None
    """How the house side of an augered pit is left; figured as squared where nobody says."""
    pit_depth_in: PositiveLengthIn | None = Field(default=None, alias="pit_depth")
    hole_diameter_in: PositiveLengthIn | None = Field(default=None, alias="hole_diameter")
    sleeve_inside_in: PositiveLengthIn | None = Field(default=None, alias="sleeve_inside")
    hammer_length_in: NonNegativeLengthIn | None = Field(default=None, alias="hammer_length")
    """Hammer and driver, along the rod."""
    aim_by: AimBy | None = None
    """What the rod's angle is taken by: a tail that is held at its end sags, a level at the wall does not."""
    long_socket_in: PositiveLengthIn | None = Field(default=None, alias="long_socket")
    """A long socket or handle that sets the nut in the pit: how much it adds to an arm's reach."""
    wrench_least_lbf_ft: TorqueLbfFt | None = Field(default=None, alias="wrench_least")
    wrench_greatest_lbf_ft: TorqueLbfFt | None = Field(default=None, alias="wrench_greatest")
    wrench_length_in: PositiveLengthIn | None = Field(default=None, alias="wrench_length")
    """Middle of the square drive to the middle of the grip."""
    extension_in: NonNegativeLengthIn | None = Field(default=None, alias="extension")
    extension_angle_deg: AngleDeg = Field(default=0.0, alias="extension_angle")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        least, greatest = self.wrench_least_lbf_ft, self.wrench_greatest_lbf_ft
        if least is not None and greatest is not None and greatest <= least:
            raise ValueError("Wrench_greatest must be over wrench_least.")
        return self


class UtilityResponse(_Part):
    """One utility on the ticket and what it answered."""

    name: Name
    kind: LineKind = "other"
    response: Response
    note: Text = ""
    """The number that it gave, who said so, anything added."""

    @property
    def settled(self) -> bool:
        """Whether it has answered for good."""
        return self.response in SETTLED


class Ticket(_Part):
    """The locate ticket."""

    number: Name
    valid_from: Instant
    valid_to: Instant
    counted_in: DayCount | None = None
    """How the state counts the ticket's life."""
    life: DayLimit | None = None
    """How long the ticket is good from ``valid_from``; the earlier of this and ``valid_to`` counts."""
    called_at: Instant | None = None
    """When the office called for it."""
    notice: DayLimit | None = None
    """How long the state wants to wait after the call; the later of this and ``valid_from`` counts."""
    notice_counted_in: DayCount | None = None
    holidays: tuple[Day, ...] = ()
    """Days that are no working days of the state's count."""
    utilities: tuple[UtilityResponse, ...] = ()
    area: dict[str, Area] = {}
    """By wall: the corners of the area that the ticket covers."""
    private_lines_asked: Text = ""
    """What the owner said of private lines, if the office asked."""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.valid_to <= self.valid_from:
            raise ValueError(ENDS_FIRST)
        return self


class WantedSeen(_Part):
    """Something that is to be seen before a step is done."""

    what: Annotated[str, Field(min_length=1, max_length=60)]
    before: str = "backfill"
    """The phase or the step that waits for it."""

    @field_validator("before")
    @classmethod
    def _waits(cls, before: str) -> str:
        return phase_or_step(before)


class Permit(_Part):
    """The building permit, and what its office or the engineer wants to see."""

    number: Name
    issued_by: Text = ""
    inspections: Annotated[tuple[WantedSeen, ...], Field(max_length=40)] = ()


class SpotExposed(_Part):
    """A place where a line was laid bare before the day: it shows the line there, and nowhere else."""

    along_in: LengthIn = Field(alias="along")
    out_in: LengthIn = Field(alias="out")
    depth_in: NonNegativeLengthIn = Field(alias="depth")
    """To its middle below the ground right there."""


class BuriedLine(_Part):
    """A line known in the yard: a run of points seen from above."""

    name: Name
    kind: LineKind
    wall: Ident
    points: Annotated[tuple[Point, ...], Field(min_length=2)]
    width_in: NonNegativeLengthIn = Field(default=0.0, alias="width")
    depth_in: NonNegativeLengthIn | None = Field(default=None, alias="depth")
    """To its middle below the ground right there, once exposed and measured."""
    private: bool = False
    exposed: Annotated[tuple[SpotExposed, ...], Field(max_length=50)] = ()


class NearFooting(_Part):
    """The footing of a deck or a neighbor near a pit."""

    name: Name
    wall: Ident
    along_in: LengthIn = Field(alias="along")
    out_in: LengthIn = Field(alias="out")
    bottom_depth_in: NonNegativeLengthIn = Field(alias="bottom_depth")


class ThingInGround(_Part):
    """A footing, frost wall, window well, drain tile or root zone, by its outline seen from above."""

    name: Name
    kind: InGroundKind
    wall: Ident
    outline: Area
    top_depth_in: NonNegativeLengthIn = Field(default=0.0, alias="top_depth")
    """Its top below the ground right there."""
    base_depth_in: PositiveLengthIn | None = Field(default=None, alias="base_depth")
    """Its underside below the ground right there; counted as reaching down for good while nobody knows."""

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.base_depth_in is not None and self.base_depth_in <= self.top_depth_in:
            raise ValueError("Its base must lie below its top: base_depth must be more than top_depth.")
        return self


class Contact(_Part):
    """Whom to call."""

    role: Name
    name: Text = ""
    phone: Name


class LaterTightening(_Part):
    """What the plan says the owner may tighten later; the anchors are those that say so."""

    said_by: Name
    """The plan, or the maker's sheet, and whoever signed it."""
    when: Name
    """At which visits."""
    turn: Text = ""
    """By how much a visit, in words."""
    step_torque_lbf_ft: TorqueLbfFt | None = Field(default=None, alias="step_torque")
    """The most that one visit adds."""
    greatest_torque_lbf_ft: TorqueLbfFt | None = Field(default=None, alias="greatest_torque")
    """Never past it, nor past an anchor's own target."""
    first_visit: Day | None = None
    stop_when: Text = ""


class RuleOverride(_Part):
    """A company's own limit in place of the default, and who said so."""

    value: PlainNumber | str
    said_by: Name
    note: Text = ""


class CompanyHazard(_Part):
    """A hazard that the company adds, or one of the program's own that it makes stricter."""

    id: HazardId
    said_by: Name
    text: Annotated[str, Field(max_length=100)] = ""
    """What must be true; needed for one that is added."""
    why: Annotated[str, Field(max_length=200)] = ""
    group: HazardGroup | None = None
    when: Name | None = None
    """Names of conditions joined by "and"; always where absent."""
    scope: HazardScope | None = None
    holds: tuple[Name, ...] = ()
    """Phases or step ids that wait for it; none for a warning only."""
    release: HazardRelease | None = None
    override: HazardOverride | None = None
    source: Annotated[str, Field(max_length=200)] = ""


class Job(_Part):
    """One job file."""

    format: Literal[1] = 1
    job: JobCard
    walls: Annotated[tuple[Wall, ...], Field(min_length=1)]
    anchors: Annotated[tuple[Anchor, ...], Field(min_length=1, max_length=500)]
    ground: Ground = Ground()
    rod: Rod
    stock: Stock = Stock()
    tools: Tools = Tools()
    ticket: Ticket | None = None
    permit: Permit | None = None
    property_line: dict[str, tuple[Point, ...]] = {}
    """By wall: the run of the property line, seen from above."""
    lines: tuple[BuriedLine, ...] = ()
    footings: tuple[NearFooting, ...] = ()
    in_ground: Annotated[tuple[ThingInGround, ...], Field(max_length=200)] = ()
    contacts: tuple[Contact, ...] = ()
    hazards: Annotated[tuple[CompanyHazard, ...], Field(max_length=60)] = ()
    tightening: LaterTightening | None = None
    rules: dict[str, RuleOverride] = {}

    def wall(self, name: str) -> Wall:
        """Return the wall of that name; KeyError if there is none."""
        for wall in self.walls:
            if wall.name == name:
                return wall
        raise KeyError(name)

    def anchor(self, ident: str) -> Anchor:
        """Return the planned anchor of that id; KeyError if there is none."""
        for anchor in self.anchors:
            if anchor.id == ident:
                return anchor
        raise KeyError(ident)
