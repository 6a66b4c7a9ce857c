"""The record's form: every table and key with its type, from which builder, reader and schema come.

Lengths are inches, angles degrees, torques lbf·ft, as the names say. ``Always`` marks what this program
always writes; a reader does without it, since an older record may not have it. The plan's own tables are the
job file's models, laid out with lists in place of tables that are keyed by names.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import Annotated, Any, Final, Literal, TypeVar

from msgspec import Meta, Struct, field

from crewtui.trade.vocabulary import DayKind

_T = TypeVar("_T")
Always = Annotated[_T, Meta(extra={"always": True})]
GREATEST_NUMBER: Final = 1e9
Number = Annotated[float, Meta(ge=-GREATEST_NUMBER, le=GREATEST_NUMBER)]
"""A measure or a figure; the journal holds none beyond it."""
Whole = Annotated[int, Meta(ge=0, le=10_000_000)]
Moment = Annotated[datetime, Meta(tz=True)]
"""A time with its offset from UTC."""
Sha256 = Annotated[str, Meta(pattern="^[0-9a-f]{64}$")]
Fields = dict[str, Any]
"""A table of the plan as the job file has it."""

NO_TIME: Final = datetime(1970, 1, 1, tzinfo=UTC)
"""Where a record does not say when."""
Day = date


class Made(Struct, frozen=True, kw_only=True):
    """Something that happened: which entry of the journal says so, when it was done and when it was typed."""

    entry: Always[Whole] = 0
    done_at: Always[Moment] = NO_TIME
    typed_at: Moment | None = None


class EmergencyCalled(Made, frozen=True, kw_only=True):
    """Something happened, and the emergency page was opened for it."""

    anchor: str | None = None
    note: str = ""


class WrittenBy(Struct, frozen=True, kw_only=True):
    """What wrote the record."""

    name: Always[str] = ""
    version: Always[str] = ""


class Revised(Struct, frozen=True, kw_only=True):
    """Which record of the job this is, and which one it replaces, by the hash of its signed bytes."""

    number: Always[Annotated[int, Meta(ge=1, le=100_000)]] = 1
    before: Sha256 | None = None
    reason: str | None = None


class HouseNamed(Struct, frozen=True, kw_only=True):
    """The house, whose id is kept over the years."""

    id: Always[str]
    follows: Annotated[Sha256 | None, Meta(description="Hash of the record that a visit rests on.")] = None


class CardSigned(Struct, frozen=True, kw_only=True):
    """The job card, and the file that it stood in."""

    id: Always[str] = ""
    site: Always[str] = ""
    address: str = ""
    date: Day | None = None
    lead: str = ""
    company: str = ""
    engineer: str = ""
    plan: str = ""
    schedule: str = ""
    units: Literal["imperial", "metric"] = "imperial"
    file: Always[str] = ""
    file_sha256: Always[str] = ""


class JournalNamed(Struct, frozen=True, kw_only=True):
    """The journal that the record is the sum of, as it stood before signing."""

    file: Always[str] = ""
    entries: Always[Whole] = 0
    last_sha256: Always[str] = ""
    taken_back: tuple[Whole, ...] = ()


class OpeningPlanned(Struct, frozen=True, kw_only=True):
    """A window or door of a wall, along it from its start corner and up from the slab."""

    name: str = ""
    start_in: Number | None = None
    end_in: Number | None = None
    bottom_in: Number | None = None
    top_in: Number | None = None


class WallPlanned(Struct, frozen=True, kw_only=True):
    """What a reader needs of a wall; the rest is as in the job file."""

    name: str = ""
    type: str = ""
    length_in: Number | None = None
    thickness_in: Number | None = None
    slab_to_top_in: Number | None = None
    grade_to_top_in: Number | None = None
    block_course_in: Number | None = None
    opening: tuple[OpeningPlanned, ...] = ()


class ContactNamed(Struct, frozen=True, kw_only=True):
    """Whom to call."""

    role: str = ""
    name: str = ""
    phone: str = ""


class RuleSet(Struct, frozen=True, kw_only=True):
    """A limit that the company set in place of the default."""

    key: Always[str] = ""
    value: Number | str | bool | tuple[Any, ...] | None = None
    default: Number | str | bool | tuple[Any, ...] | None = None
    label: Always[str] = ""
    said_by: str | None = None
    note: str | None = None
    loosened: Always[bool] = False


class ValueBuilt(Made, frozen=True, kw_only=True):
    """A value measured on site; the quantity's name ends in its unit."""

    quantity: Always[str] = ""
    value: Always[Number] = 0.0
    source: Always[str] = "as built"
    text: Annotated[str, Meta(description="As it was typed; none where a drive was entered whole.")] = ""
    then: str = ""
    outside_limits: bool | None = None
    reason: str = ""
    step: Always[str] = ""


class StepAnswered(Made, frozen=True, kw_only=True):
    """The answer to a step that is no value."""

    step: Always[str] = ""
    label: str = ""
    answer: Always[str] = ""
    deviates: bool | None = None
    reason: str = ""


class DriftUsed(Struct, frozen=True, kw_only=True):
    """The drift of a wall's rods, and whether it was used in the aim."""

    wall: Always[str] = ""
    mean_deg: Always[Number] = 0.0
    used: Always[bool] = False
    entry: Always[Whole] = 0


class LineBared(Struct, frozen=True, kw_only=True):
    """A line in the ground laid bare: how deep its middle lies, and where, along a wall and out from it."""

    line: Always[str] = ""
    depth_in: Always[Number] = 0.0
    wall: str = ""
    along_in: Number | None = None
    out_in: Number | None = None
    entry: Whole | None = None
    done_at: Moment | None = None


class HoldAnswered(Made, frozen=True, kw_only=True):
    """An answer to a hold or a hazard."""

    id: Always[str] = ""
    said: str = ""
    by: str = ""
    note: str = ""
    text: str = ""
    anchor: str | None = None


class Deviated(Made, frozen=True, kw_only=True):
    """Something that is not as the plan, a limit or a hold would have it."""

    kind: Always[str] = ""
    anchor: str | None = None
    step: str = ""
    text: Always[str] = ""
    reason: str = ""
    accepted: Annotated[str | None, Meta(description="Who accepted it, and why.")] = None


class FindingStood(Struct, frozen=True, kw_only=True):
    """Something about a wall that is against a limit: who says that it may stay, or nobody."""

    id: str
    wall: Always[str] = ""
    anchor: str = ""
    text: Always[str] = ""
    accepted: str | None = None


class Noted(Made, frozen=True, kw_only=True):
    """A remark."""

    anchor: str | None = None
    wall: str | None = None
    text: Always[str] = ""
    for_owner: Annotated[bool | None, Meta(description="It stands on the owner's sheet too.")] = None
    by_program: bool | None = None


class ToolTimeListed(Made, frozen=True, kw_only=True):
    """Time on a tool that makes dust or noise."""

    tool: Always[str] = ""
    hours: Always[Number] = 0.0
    indoors: Always[bool] = True
    level_dba: Number | None = None
    who: str = ""
    by_the_clock: bool | None = None


class StockFound(Made, frozen=True, kw_only=True):
    """Something on the truck, counted: so many were there then."""

    item: Always[str] = ""
    size_in: tuple[Number, ...] = ()
    count: Always[Whole] = 0


class MaterialUsed(Struct, frozen=True, kw_only=True):
    """What the job took, beside what the job file lists, what was counted first and what is left."""

    item: Always[str] = ""
    size_in: tuple[Number, ...] = ()
    planned: Whole | None = None
    received: Whole | None = None
    used: Whole | None = None
    back: Whole | None = None


class HoursWorked(Made, frozen=True, kw_only=True):
    """Time of one person on site, or of the crew on one phase or anchor."""

    who: str = ""
    anchor: str | None = None
    hours: Always[Number] = 0.0
    at_work_on: str = ""
    began: Moment | None = None
    ended: Moment | None = None
    """None where nobody said that they left."""


class InspectionListed(Made, frozen=True, kw_only=True):
    """What the permit or the engineer wants to see: asked for, come, passed or not."""

    of: Always[str] = ""
    by: str = ""
    found: str = ""
    anchor: str | None = None
    before: Annotated[str, Meta(description="The phase or the step that waits for it.")] = ""
    said: Annotated[
        str, Meta(description='"wanted", "asked for", "passed", "not passed" or "nobody came".')
    ] = ""
    anchors: tuple[str, ...] = ()


class GroundListed(Made, frozen=True, kw_only=True):
    """Ground that was not as hoped, where it was met."""

    anchor: Always[str] = ""
    what: Always[str] = ""
    at: Always[Literal["pit", "drive"]] = "pit"
    depth_in: Number | None = None
    note: str = ""


class CallListed(Made, frozen=True, kw_only=True):
    """Somebody called from the site."""

    who: Always[str] = ""
    about: str = ""
    said: str = ""
    anchor: str | None = None


class WalkedOver(Made, frozen=True, kw_only=True):
    """One thing on a walk with the owner: before the work, or on leaving."""

    walk: Always[Literal["before", "leaving"]] = "before"
    thing: Always[str] = ""
    label: str = ""
    place: str = ""
    words: Always[str] = ""
    anchor: str | None = None


class Changed(Made, frozen=True, kw_only=True):
    """Something done otherwise than agreed, and the owner's yes to it."""

    what: Always[str] = ""
    before: str = ""
    after: str = ""
    because: Always[Literal["owner asked", "site forced"]] = "owner asked"
    yes_by: Always[str] = ""
    anchor: str | None = None


class OwnersYes(Made, frozen=True, kw_only=True):
    """The owner's word, with their name: that a walk is as it was written down."""

    to: Always[str] = ""
    name: Always[str] = ""
    questions: str = ""


class PhotographTaken(Made, frozen=True, kw_only=True):
    """A picture beside the record, known by its hash."""

    file: Always[str] = ""
    sha256: Always[Sha256]
    of: str = ""
    anchor: str | None = None
    step: str = ""
    by_camera: Annotated[bool | None, Meta(description="False: its time is the file's date.")] = None


class InputUsed(Struct, frozen=True, kw_only=True):
    """What the figures of an anchor rest on."""

    quantity: Always[str] = ""
    value: Always[Number] = 0.0
    source: Always[str] = ""
    said_by: str | None = None


class AttemptMade(Made, frozen=True, kw_only=True):
    """A rod driven: how it was held, where it came up, and the way on."""

    attempt: Always[Whole] = 0
    held_angle_deg: Always[Number] = 0.0
    found: Always[bool] = False
    depth_found_in: Number | None = None
    side_offset_in: Number | None = None
    angle_in_pit_deg: Number | None = None
    angle_run_deg: Number | None = None
    drift_deg: Number | None = None
    straight: Always[bool] = True
    left_out_reason: str = ""
    held_by: str = ""
    way: dict[str, Number | str] = field(default_factory=dict)


class PieceInGround(Struct, frozen=True, kw_only=True):
    """A piece of rod as it went in, from the leading end; each but the first has a coupling before it."""

    length_in: Always[Number] = 0.0
    entry: Always[Whole] = 0


class TorqueSet(Made, frozen=True, kw_only=True):
    """A tightening: what the wrench was set at, whether it clicked, and how far the nut came."""

    tightening: Always[Literal["first", "second"]] = "first"
    """Before backfilling, or after it."""
    round: Always[Annotated[int, Meta(ge=1, le=100)]] = 1
    of: Whole | None = None
    torque_lbf_ft: Always[Number] = 0.0
    """At the nut."""
    set_lbf_ft: Number | None = None
    """What the wrench was set to; with an extension it is less."""
    clicked: bool | None = None
    said: str = ""
    """The answer asked after the value, in its own words."""
    pull_in_in: Number | None = None


class WallHeightsRead(Made, frozen=True, kw_only=True):
    """The wall read from an upright line inside."""

    when: Always[str] = ""
    line: Always[str] = ""
    fixed_to: str = ""
    line_offset_in: Number | None = None
    heights_in: Always[tuple[Number, ...]] = ()
    offsets_in: Always[tuple[Number, ...]] = ()
    resolution_in: Always[Number] = 0.0
    repeats_in: tuple[Number, ...] = ()
    repeat_sd_in: Number | None = None
    base_from_string_in: Number | None = None
    string_at_corners_in: Number | None = None


class BowFound(Struct, frozen=True, kw_only=True):
    """The inward bow at an anchor, and whether it was typed on its step or read from an upright line."""

    when: Always[Literal["before", "after"]]
    bow_in: Always[Number]
    how: Always[Literal["typed", "read"]]
    entry: Always[Whole] = 0


class SeatFound(Struct, frozen=True, kw_only=True):
    """Where the plate sits in the ground, from the wall's start corner and its outer face."""

    along_in: Number | None = None
    out_in: Number | None = None
    below_ground_in: Number | None = None
    drop_in: Number | None = None


class AnchorDone(Struct, frozen=True, kw_only=True):
    """One anchor, as planned and as built."""

    id: str
    wall: Always[str] = ""
    state: Always[Literal["complete", "open", "dropped"]] = "open"
    open: tuple[str, ...] = ()
    dropped_because: str = ""
    added_on_site: bool | None = None
    first_at: Moment | None = None
    last_at: Moment | None = None
    planned: Fields = field(default_factory=dict)
    changed_on_site: Fields = field(default_factory=dict)
    moved_because: str = ""
    aim: dict[str, Number | str] = field(default_factory=dict)
    figure: dict[str, Number] = field(default_factory=dict)
    input: tuple[InputUsed, ...] = ()
    value: tuple[ValueBuilt, ...] = ()
    answer: tuple[StepAnswered, ...] = ()
    attempt: tuple[AttemptMade, ...] = ()
    piece: tuple[PieceInGround, ...] = ()
    couplings: Whole | None = None
    seat: SeatFound | None = None
    torque: tuple[TorqueSet, ...] = ()
    bow: tuple[BowFound, ...] = ()
    reading: tuple[WallHeightsRead, ...] = ()


class Signer(Struct, frozen=True, kw_only=True):
    """Who signed, with which key and when."""

    name: Always[str] = ""
    key_id: Always[str] = ""
    public_key: Always[str] = ""
    signed_at: Always[Moment] = NO_TIME


class SignatureMade(Struct, frozen=True, kw_only=True):
    """The one table that is not signed."""

    algorithm: Always[Literal["Ed25519"]] = "Ed25519"
    form: Always[str] = ""
    key_id: Always[str] = ""
    value: Always[str] = ""


class Record(Struct, frozen=True, kw_only=True):
    """The completion record of a day."""

    kind: Always[str] = ""
    format: Always[int] = 2
    program: Always[WrittenBy] = field(default_factory=WrittenBy)
    governs: Always[str] = ""
    complete: Always[bool] = False
    open: tuple[str, ...] = ()
    revision: Always[Revised] = field(default_factory=Revised)
    house: HouseNamed | None = None
    day: Annotated[DayKind | None, Meta(description="The kind of day; none in format 1.")] = None
    job: Always[CardSigned] = field(default_factory=CardSigned)
    journal: Always[JournalNamed] = field(default_factory=JournalNamed)
    wall: tuple[WallPlanned, ...] = ()
    ground: Fields = field(default_factory=dict)
    rod: Fields = field(default_factory=dict)
    stock: Fields = field(default_factory=dict)
    tools: Fields = field(default_factory=dict)
    ticket: Fields = field(default_factory=dict)
    permit: Fields = field(default_factory=dict)
    property_line: tuple[Fields, ...] = ()
    line: tuple[Fields, ...] = ()
    footings: tuple[Fields, ...] = ()
    in_ground: tuple[Fields, ...] = ()
    contacts: tuple[ContactNamed, ...] = ()
    tightening: Fields = field(default_factory=dict)
    hazards: tuple[Fields, ...] = ()
    rule: tuple[RuleSet, ...] = ()
    value: tuple[ValueBuilt, ...] = ()
    answer: tuple[StepAnswered, ...] = ()
    drift: tuple[DriftUsed, ...] = ()
    exposed: tuple[LineBared, ...] = ()
    hold: tuple[HoldAnswered, ...] = ()
    deviation: tuple[Deviated, ...] = ()
    finding: tuple[FindingStood, ...] = ()
    note: tuple[Noted, ...] = ()
    exposure: tuple[ToolTimeListed, ...] = ()
    emergency: tuple[EmergencyCalled, ...] = ()
    counted: tuple[StockFound, ...] = ()
    material: tuple[MaterialUsed, ...] = ()
    hours: tuple[HoursWorked, ...] = ()
    inspection: tuple[InspectionListed, ...] = ()
    call: tuple[CallListed, ...] = ()
    ground_found: tuple[GroundListed, ...] = ()
    walk: tuple[WalkedOver, ...] = ()
    owner_yes: tuple[OwnersYes, ...] = ()
    change: tuple[Changed, ...] = ()
    photograph: tuple[PhotographTaken, ...] = ()
    anchor: Always[tuple[AnchorDone, ...]] = ()
    signer: Always[Signer] = field(default_factory=Signer)
    signature: Always[SignatureMade] = field(default_factory=SignatureMade)
