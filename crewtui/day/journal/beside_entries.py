"""What happens beside the anchors, as entries: people, tools, inspections, calls, walks with the owner."""

from __future__ import annotations

from typing import Annotated, Final, Literal

from pydantic import Field, JsonValue

from crewtui.day.journal.entry_parts import Dated, Id, Text, Words
from crewtui.job.tables.walks import WalkName
from crewtui.trade.vocabulary import GroundTrouble

PersonEvent = Literal["in", "out", "break", "back"]
Short = Annotated[Words, Field(max_length=60)]
"""A name by which something is known again: of a person, of what is to be seen."""


class PeopleSeen(Dated):
    """Some came on site, left, went on a break or came back from it."""

    kind: Literal["people"] = "people"
    people: Annotated[tuple[Short, ...], Field(min_length=1, max_length=60)]
    what: PersonEvent


class ToolStarted(Dated):
    """A tool that makes dust or noise was started; time on it is entered when it stops."""

    kind: Literal["tool-started"] = "tool-started"
    tool: Id
    indoors: bool
    who: Text = ""
    """Whose time it is; empty where it counts for everybody."""


class CallMade(Dated):
    """Somebody was called from the site."""

    kind: Literal["call"] = "call"
    who: Short
    about: Text = ""
    said: Text = ""
    """What they answered, with its number where they gave one."""
    anchor: Id | None = None


class GroundFound(Dated):
    """The ground was not as hoped, at the pit or on the drive."""

    kind: Literal["ground-found"] = "ground-found"
    anchor: Id
    what: GroundTrouble
    at: Literal["pit", "drive"]
    depth_in: Annotated[float, Field(ge=0, le=1_200)] | None = None
    """Below the ground where it was met, or along the rod on the drive; None where nobody taped it."""
    note: Text = ""


class InspectionWanted(Dated):
    """The permit or the engineer wants something seen before a step; entered on site."""

    kind: Literal["inspection-wanted"] = "inspection-wanted"
    what: Short
    before: Id
    """The phase or the step that waits for it."""
    wanted_by: Text = ""


class InspectionAsked(Dated):
    """An inspection was asked for."""

    kind: Literal["inspection-asked"] = "inspection-asked"
    what: Short
    of: Text = ""
    """Whom it was asked of, with the number that they gave."""
    expected: Text = ""
    """When they mean to come."""


class InspectionMade(Dated):
    """The inspector came, or did not."""

    kind: Literal["inspection-made"] = "inspection-made"
    what: Short
    came: bool
    passed: bool = False
    name: Text = ""
    found: Text = ""
    anchors: Annotated[tuple[Id, ...], Field(max_length=500)] = ()
    """Those that were seen; none where it was all of them."""


class ChangeAgreed(Dated):
    """Something was done otherwise than agreed, because the owner asked or the site forced it; no prices."""

    kind: Literal["change"] = "change"
    what: Words
    before: Text = ""
    after: Text = ""
    because: Literal["owner asked", "site forced"]
    name: Short
    """Of the owner, or who speaks for them, who said yes."""
    anchor: Id | None = None


class ThingListed(Dated):
    """Something that the job file does not list: a line, an opening, a thing in the ground, whom to call.

    A later one of the same name, at the same wall, stands in the earlier one's place.
    """

    kind: Literal["thing-listed"] = "thing-listed"
    table: Literal["lines", "openings", "in_ground", "contacts", "utilities"]
    values: Annotated[dict[Id, JsonValue], Field(min_length=1)]
    """Fields of the table's model; an opening has its wall besides."""


class PictureKept(Dated):
    """A picture was copied beside the record, unchanged; it was done when it was taken."""

    kind: Literal["picture"] = "picture"
    file: Annotated[Words, Field(max_length=255)]
    """Its name in the job's folder of pictures."""
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    of: Words
    anchor: Id | None = None
    step: Text = ""
    by_camera: bool = True
    """Its time is the camera's; else the file's date."""


NOTHING: Final = "nothing"
"""What is written down of a thing on a walk where there is nothing to say of it."""


class WalkSeen(Dated):
    """One thing on a walk with the owner: where, and how it is or what was shown."""

    kind: Literal["walk-seen"] = "walk-seen"
    walk: WalkName
    thing: Id
    place: Text = ""
    words: Words
    anchor: Id | None = None


class WalkAgreed(Dated):
    """The owner says that a walk is as it was written down."""

    kind: Literal["walk-agreed"] = "walk-agreed"
    walk: WalkName
    name: Short
    questions: Text = ""
    """What the owner asked, and what was answered."""
