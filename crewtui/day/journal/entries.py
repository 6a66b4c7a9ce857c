"""What can happen on a day, as entries: each one true, dated twice, and never edited afterwards.

``done_at`` says when the thing was done and ``typed_at`` when it was entered, since the outside crew reports
at lunch.
``n`` and ``prev`` are given by the journal, which chains each line to the one before.
"""

from __future__ import annotations

from functools import cache
from typing import Annotated, Final, Literal

from pydantic import Field, JsonValue, TypeAdapter

from crewtui.day.journal.beside_entries import (
    CallMade,
    ChangeAgreed,
    GroundFound,
    InspectionAsked,
    InspectionMade,
    InspectionWanted,
    PeopleSeen,
    PictureKept,
    ThingListed,
    ToolStarted,
    WalkAgreed,
    WalkSeen,
)
from crewtui.day.journal.entry_parts import (
    Angle,
    AtAnchor,
    Dated,
    EntryPart,
    HoldIds,
    Id,
    Length,
    Plain,
    Plan,
    Sha256,
    Text,
    Value,
    Words,
)

FORMAT: Final = 2
"""Version of the journal's format; a program refuses a newer one and reads every older one.

From 2 on each line carries its own check, and the first entry keeps the plan that the day works with.
"""


class DayOpened(Dated):
    """The first entry of a journal, and again on each further day and with each other program or job file."""

    kind: Literal["day-opened"] = "day-opened"
    format: Annotated[int, Field(ge=1)] = FORMAT
    program: Id
    job: Id
    job_sha256: Sha256
    """Of the job file with the plan that the day works with."""
    plan: Plan | None = None
    """That plan as it was checked, where no entry before keeps it."""


class PlanChosen(Dated):
    """The job file was edited while the day was under way: which plan the day goes on with, says the lead."""

    kind: Literal["plan-chosen"] = "plan-chosen"
    job_sha256: Sha256
    """Of the job file as it was edited."""
    plan: Plan | None = None
    """The edited plan as it was checked; none where the day goes on with the plan that it opened."""
    changes: Annotated[tuple[Text, ...], Field(max_length=200)] = ()
    """What the edited plan has otherwise, in words."""
    name: Words
    reason: Text = ""


class Continued(Dated):
    """The first entry of a further journal file, begun since the one before is damaged."""

    kind: Literal["continued"] = "continued"
    format: Annotated[int, Field(ge=1)] = FORMAT
    file: Annotated[Plain, Field(min_length=1, max_length=255)]
    """The damaged file's name; it stays as it was found."""
    damaged_line: Annotated[int, Field(ge=1)]
    why: Text


class StepDone(Dated):
    """A check, a choice or a text was answered."""

    kind: Literal["step-done"] = "step-done"
    anchor: Id | None = None
    step: Id
    answer: Words
    reason: Text = ""
    deviates: bool = False
    """The answer is not the good one."""
    while_held: HoldIds = ()
    """The holds that stood when it was entered all the same."""


class ValueMeasured(Dated):
    """A value was measured; ``value`` is in the quantity's own unit, ``text`` is what was typed."""

    kind: Literal["value-measured"] = "value-measured"
    anchor: Id | None = None
    step: Id
    quantity: Id
    value: Value
    text: Text
    then: Text = ""
    """The answer asked after the value, such as clicked."""
    then_deviates: bool = False
    reason: Text = ""
    outside: bool = False
    limit: Text = ""
    """The limits in words, as they stood."""
    while_held: HoldIds = ()


class RoundTightened(AtAnchor):
    """A nut was brought to its share of the torque in one round along the wall, before the last one."""

    kind: Literal["round-tightened"] = "round-tightened"
    tightening: Literal["first", "second"]
    """Before backfilling, or after it."""
    round: Annotated[int, Field(ge=1, le=20)]
    of: Annotated[int, Field(ge=1, le=20)]
    torque_lbf_ft: Value
    """Meant at the nut."""
    set_lbf_ft: Value
    """What the wrench was set to."""
    clicked: bool
    came_in_in: Length | None = None
    """How far the nut's mark on the rod has come in since before the first round, where it was taped."""
    reason: Text = ""
    deviates: bool = False
    while_held: HoldIds = ()


class PieceDriven(EntryPart):
    """One piece of rod as it went in, and what it was cut from."""

    length_in: Annotated[float, Field(gt=0, le=1_200)]
    stock_in: Annotated[float, Field(gt=0, le=1_200)]
    """The rod or offcut that it is or was cut from."""
    offcut: bool = False
    """Whether that was an offcut."""


class PiecesDriven(AtAnchor):
    """Pieces of rod went into the ground, in the order driven, behind those that are there already."""

    kind: Literal["pieces-driven"] = "pieces-driven"
    pieces: Annotated[tuple[PieceDriven, ...], Field(min_length=1, max_length=40)]
    reason: Text = ""
    while_held: HoldIds = ()


class Way(EntryPart):
    """The way on chosen after a drive: its kind, its words and the values that it sets, by quantity."""

    kind: Id
    words: Words
    values: dict[Id, Value] = Field(default_factory=dict)


class WayTaken(AtAnchor):
    """What is done about a rod that was driven: how it was held and where it came up are values before it."""

    kind: Literal["way-taken"] = "way-taken"
    way: Way
    found: bool = True
    """No: the rod did not show."""
    angle_in_pit_deg: Angle | None = None
    """As seen on the rod in the pit, where it was read."""
    straight: bool = True
    left_out_reason: Text = ""
    """Why its drift does not count, such as a rock."""
    reason: Text = ""
    deviates: bool = False
    while_held: HoldIds = ()


class DriveAttempted(AtAnchor):
    """A drive as older journals have it, values and way on in one; it is read, and written no more."""

    kind: Literal["drive-attempted"] = "drive-attempted"
    attempt: Annotated[int, Field(ge=1, le=1000)]
    held_angle_deg: Angle
    depth_found_in: Length | None = None
    side_offset_in: Length | None = None
    angle_in_pit_deg: Angle | None = None
    way: Way | None = None
    straight: bool = True
    left_out_reason: Text = ""
    """Why its drift does not count, such as a rock."""
    reason: Text = ""
    deviates: bool = False
    while_held: HoldIds = ()


class DriveLeftOut(AtAnchor):
    """A drive does not count for the drift of its wall, or counts again."""

    kind: Literal["drive-left-out"] = "drive-left-out"
    of: Annotated[int, Field(ge=1)]
    """Number of the entry that says where the rod came up."""
    reason: Text = ""
    """Why, such as a rock; empty lets it count again."""


class AimChanged(AtAnchor):
    """Another mark, angle, set-back or pit than the plan's is aimed for."""

    kind: Literal["aim-changed"] = "aim-changed"
    values: Annotated[dict[Id, Value], Field(min_length=1)]
    because: Words
    advised: bool = False
    """The program advised it, in the words of ``because``."""
    agreed_by: Text = ""
    """Who agreed that the plan's or the company's value is left."""


class DriftAccepted(Dated):
    """The lead uses the wall's drift in the aim, or stops using it."""

    kind: Literal["drift-accepted"] = "drift-accepted"
    wall: Id
    mean_deg: Angle
    on: bool


class DeviationAccepted(Dated):
    """Somebody named accepts what stands as a deviation."""

    kind: Literal["deviation-accepted"] = "deviation-accepted"
    of: Annotated[int, Field(ge=1)]
    name: Words
    reason: Words


class FindingAnswered(Dated):
    """Somebody named says that a finding about a wall may stay as it is."""

    kind: Literal["finding-answered"] = "finding-answered"
    finding: Annotated[Plain, Field(min_length=1, max_length=200)]
    value: Text
    """What it read when it was answered; another value asks again."""
    anchor: Id | None = None
    name: Words
    reason: Words


class HoldReleased(Dated):
    """What a hold asks for is true, says somebody with initials."""

    kind: Literal["hold-released"] = "hold-released"
    hold: Id
    anchor: Id | None = None
    initials: Words
    note: Text = ""


class HoldOverridden(Dated):
    """A hold is set aside, where the rule lets it, by somebody named; a deviation."""

    kind: Literal["hold-overridden"] = "hold-overridden"
    hold: Id
    anchor: Id | None = None
    name: Words
    reason: Words


class HazardAnswered(Dated):
    """What a hazard asks for is in place, or is not."""

    kind: Literal["hazard-answered"] = "hazard-answered"
    hazard: Id
    anchor: Id | None = None
    in_place: bool
    initials: Words
    note: Text = ""


class MomentSigned(Dated):
    """The hazards of one moment were read out and are in place: one set of initials for all of them."""

    kind: Literal["moment-signed"] = "moment-signed"
    moment: Id
    anchor: Id | None = None
    """Where those that are answered at each anchor were signed."""
    job_hazards: Annotated[tuple[Id, ...], Field(max_length=200)] = ()
    anchor_hazards: Annotated[tuple[Id, ...], Field(max_length=200)] = ()
    initials: Words


class PitEntryAnswered(AtAnchor):
    """Whether anybody's head or trunk goes below the rim of this pit.

    That test is this program's own and stands in no rule; kneeling at the rim and reaching in is not entry.
    """

    kind: Literal["pit-entry-answered"] = "pit-entry-answered"
    somebody: bool


class FactAnswered(Dated):
    """A question asked once a job, such as whether bad air is to be expected."""

    kind: Literal["fact-answered"] = "fact-answered"
    fact: Id
    answer: bool
    initials: Text = ""
    note: Text = ""


class AnchorMoved(AtAnchor):
    """An anchor stands elsewhere than planned; ``values`` are job-file fields with their unit in the name."""

    kind: Literal["anchor-moved"] = "anchor-moved"
    values: Annotated[dict[Id, Value], Field(min_length=1)]
    reason: Words
    agreed_by: Text = ""
    """Who agreed to a move that was advised: what is advised, agreed to and done is no deviation."""


class AnchorAdded(AtAnchor):
    """An anchor that the plan does not have."""

    kind: Literal["anchor-added"] = "anchor-added"
    wall: Id
    values: dict[Id, Value]
    reason: Words


class AnchorDropped(AtAnchor):
    """A planned anchor that is not set."""

    kind: Literal["anchor-dropped"] = "anchor-dropped"
    reason: Words


class LineExposed(Dated):
    """A line in the ground was laid bare at one place and its depth measured there.

    An entry of an older journal has no place: nothing in it says where the hole was, so that it stands for no
    anchor's stretch of the line, and the line is asked for again where it is met.
    """

    kind: Literal["line-exposed"] = "line-exposed"
    line: Words
    depth_in: Length
    along_in: Length | None = None
    """Where it was laid bare, along the wall that the line is measured from; and how far out from it."""
    out_in: Length | None = None
    anchor: Id | None = None
    """The anchor at which it was entered."""


class HeightRead(EntryPart):
    """The distance from the line to the wall at one height above the slab."""

    height_in: Length
    offset_in: Length


class WallRead(AtAnchor):
    """The wall read at an anchor, from a plumb or laser line inside."""

    kind: Literal["wall-read"] = "wall-read"
    when: Literal["before", "after"]
    """Before or after tightening."""
    line: Literal["plumb line", "laser line"]
    heights: Annotated[tuple[HeightRead, ...], Field(min_length=3, max_length=60)]
    resolution_in: Annotated[float, Field(gt=0, le=12)]
    """How finely the tape was read."""
    repeats_in: Annotated[tuple[Length, ...], Field(max_length=10)] = ()
    """One place read again, the line set up anew each time; empty where nobody did."""
    repeat_sd_in: Annotated[float, Field(ge=0, le=12)] = 0.0
    """The spread that line and block face bring along: of those, else the company's; 0 for neither."""
    line_offset_in: Length | None = None
    """How far off the wall the line is fixed."""
    fixed_to: Text = ""
    """The point that it is fixed to, if that stays: single distances compare only from the same line."""
    base_from_string_in: Length | None = None
    """From a string line between the corners to the wall at its base."""
    string_at_corners_in: Length | None = None
    """From that string to the wall at the corners, the same at both."""


class SoilJudged(Dated):
    """The competent person judged the soil of the pits."""

    kind: Literal["soil-judged"] = "soil-judged"
    soil_type: Literal["rock", "A", "B", "C"]
    undisturbed: bool = False
    """The ground at the pits was never dug before."""
    name: Words


class ExposureEntered(Dated):
    """Time on one tool that makes dust or noise."""

    kind: Literal["exposure"] = "exposure"
    tool: Id
    hours: Annotated[float, Field(gt=0, le=24)]
    indoors: bool = True
    level_dba: Annotated[float, Field(ge=40, le=150)] | None = None
    """At the ear, as measured; the company's figure for the tool where it was not."""
    who: Text = ""
    """Whose time it was; empty where it counts for everybody."""
    started: Annotated[int, Field(ge=1)] | None = None
    """Number of the entry that started the tool, where it ran by the clock."""


class MarksFaded(Dated):
    """The marks on the ground can no longer be read everywhere: they are renewed before work goes on."""

    kind: Literal["marks-faded"] = "marks-faded"
    because: Text = ""


class Reopened(Dated):
    """The pits are to be looked over again: rain, thaw, vibration, a burst hose."""

    kind: Literal["reopened"] = "reopened"
    because: Words


class Emergency(Dated):
    """Something happened: the emergency page was opened, and what for was said on leaving it."""

    kind: Literal["emergency"] = "emergency"
    anchor: Id | None = None
    note: Text = ""


class Note(Dated):
    """A remark, by the lead or by the program."""

    kind: Literal["note"] = "note"
    anchor: Id | None = None
    wall: Id | None = None
    text: Words
    for_owner: bool = False
    """It stands on the owner's sheet too."""
    by_program: bool = False


class SetUp(Dated):
    """Values filled in on a site whose job file does not have them: fields of one table of the job file."""

    kind: Literal["setup"] = "setup"
    table: Literal["job", "wall", "anchor", "ground", "rod", "stock", "tools", "ticket", "permit"]
    name: Text = ""
    """Which wall or anchor."""
    values: Annotated[dict[Id, JsonValue], Field(min_length=1)]
    replaces: Annotated[tuple[Text, ...], Field(max_length=50)] = ()
    """What of the plan it replaces, in words."""
    agreed_by: Text = ""
    reason: Text = ""


class StockCounted(Dated):
    """Something on the truck was counted: so many are there now, whatever was listed or used before."""

    kind: Literal["stock-counted"] = "stock-counted"
    item: Literal[
        "rods", "offcuts", "couplings", "plates", "wall_plates", "nuts", "washers", "sleeves", "caps",
        "covers", "tags", "wax", "tampers", "ground_sheets", "plate_covers",
    ]  # fmt: skip
    size_in: Annotated[tuple[Annotated[float, Field(gt=0, le=1_200)], ...], Field(max_length=2)] = ()
    """A rod's or an offcut's length; a plate's width along the wall and height up it."""
    count: Annotated[int, Field(ge=0, le=100_000)]


class Signed(Dated):
    """A record was signed and written."""

    kind: Literal["signed"] = "signed"
    record_sha256: Sha256
    revision: Annotated[int, Field(ge=1)]
    name: Text = ""


class TakenBack(Dated):
    """An earlier entry no longer counts; taking this one back makes it count again."""

    kind: Literal["taken-back"] = "taken-back"
    of: Annotated[int, Field(ge=1)]


Entry = (
    DayOpened | PlanChosen | Continued
    | StepDone | ValueMeasured | WayTaken | DriveAttempted | DriveLeftOut | PiecesDriven | RoundTightened
    | AimChanged | DriftAccepted | DeviationAccepted | HoldReleased | HoldOverridden | HazardAnswered
    | MomentSigned | FindingAnswered
    | PitEntryAnswered | FactAnswered | AnchorMoved | AnchorAdded | AnchorDropped | LineExposed
    | WallRead | SoilJudged | ExposureEntered | MarksFaded | Reopened | Emergency | Note | SetUp
    | StockCounted | Signed | TakenBack
    | CallMade | ChangeAgreed | GroundFound | InspectionAsked | InspectionMade | InspectionWanted | PeopleSeen
    | PictureKept | ToolStarted
    | ThingListed | WalkAgreed | WalkSeen
)  # fmt: skip


KEEP_A_PLAN: Final = (DayOpened, PlanChosen)
"""Entries that may be as long as a plan."""


@cache
def _adapter() -> TypeAdapter[Entry]:
    """Return the reader of every kind; built at the first line that is read, since that takes a while."""
    return TypeAdapter(Annotated[Entry, Field(discriminator="kind")])


def to_line(entry: Entry) -> bytes:
    """Return the entry as one line of JSON in UTF-8, without its line ending."""
    return entry.model_dump_json().encode("utf-8")


def from_line(line: bytes) -> Entry:
    """Read one line of JSON; ValueError if it is no entry."""
    return _adapter().validate_json(line)
