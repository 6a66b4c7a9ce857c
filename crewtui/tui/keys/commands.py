"""Every command of the day's screen, once: keys, footer, help and key card all read this table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal

from msgspec import Struct

PaneName = Literal["anchors", "steps", "figures", "ground", "hazards", "wall", "day", "rods", "record"]

PANES: Final[tuple[tuple[PaneName, str, str], ...]] = (
    ("anchors", "a", "Anchors"),
    ("steps", "s", "Steps"),
    ("figures", "f", "Figures"),
    ("ground", "g", "Ground"),
    ("rods", "r", "Rods"),
    ("hazards", "h", "Hazards"),
    ("wall", "v", "Wall"),
    ("day", "d", "Day"),
    ("record", "c", "Complete"),
)
"""Name, key and title of each pane, in the order of the day."""
PANE_HELP: Final[Mapping[PaneName, str]] = {
    "anchors": "Every anchor: how far it is, what is next, what holds it; the pace of the day.",
    "steps": "The steps of one anchor, phase by phase: check them, type values.",
    "figures": "Mark, aim, rod and torque of the anchor, worked out as you type.",
    "ground": "The section drawn to scale: wall, ground, rod, pit, frost, lines in the ground.",
    "rods": "The anchor's rod in its pieces, the cut list, the truck counted off.",
    "hazards": "What must be in place, what holds until it is, and the rule it comes from.",
    "wall": "Corners, spacing, openings, block; readings of bow and lean.",
    "day": "The day so far; before the first anchor, the ticket, after the last, tomorrow.",
    "record": "What is open, what deviates; signing the record.",
}
"""What each pane is for, in one sentence."""


class Command(Struct, frozen=True, kw_only=True):
    """One thing that a key does."""

    name: str
    """Name of the action on the screen, without arguments."""
    keys: tuple[str, ...]
    """The framework's key names; the first is the one shown."""
    label: str
    """Two or three words for the footer."""
    help: str
    """One sentence."""
    panes: frozenset[PaneName] | None = None
    """Where it works; everywhere if None."""

    def works_in(self, pane: PaneName) -> bool:
        """Whether the key does something while that pane is in front."""
        return self.panes is None or pane in self.panes


def _on(*panes: PaneName) -> frozenset[PaneName]:
    return frozenset(panes)


_AT_ANCHOR: Final = _on("steps", "figures", "ground", "rods")
_WITH_LIST: Final = _AT_ANCHOR | _on("anchors", "hazards")

COMMANDS: Final[tuple[Command, ...]] = (
    Command(
        name="choose",
        keys=("enter", "space"),
        label="done",
        panes=_on("steps", "day"),
        help="On a check: it is done. On a value: type it, then Enter saves it.",
    ),
    Command(
        name="choose",
        keys=("enter", "space"),
        label="in place",
        panes=_on("hazards"),
        help="What the line asks for is in place: say so, with initials.",
    ),
    Command(
        name="choose",
        keys=("enter", "space"),
        label="work here",
        panes=_on("anchors"),
        help="Go to the steps of the anchor under the cursor.",
    ),
    Command(
        name="choose",
        keys=("enter", "space"),
        label="measured",
        panes=_on("figures"),
        help="On a result: it was measured so, enter it. On an input: type another value, see what follows.",
    ),
    Command(
        name="choose",
        keys=("enter", "space"),
        label="driven, counted",
        panes=_on("rods"),
        help="The next piece is driven in, or so many are there, as the row says; or type what is.",
    ),
    Command(
        name="choose",
        keys=("enter", "space"),
        label="open",
        panes=_on("record"),
        help="Open the line under the cursor; the last one signs.",
    ),
    Command(
        name="choose",
        keys=("enter", "space"),
        label="open, read",
        panes=_on("wall"),
        help="A reading: read the wall there. A finding: go to its anchor. The first line: the drawing.",
    ),
    Command(
        name="read_wall",
        keys=("i",),
        label="read",
        panes=_on("anchors", "steps", "wall"),
        help="Read the wall at this anchor from an upright line, before or after tightening.",
    ),
    Command(
        name="otherwise",
        keys=("x",),
        label="no",
        panes=_on("steps", "day", "hazards"),
        help="Not as the line says: say what is, and why. Kept as a deviation.",
    ),
    Command(
        name="what_now",
        keys=("w",),
        label="what now",
        panes=_AT_ANCHOR,
        help="The rod is through: type what was found in the pit and see every way on.",
    ),
    Command(
        name="next_anchor",
        keys=("n",),
        label="next anchor",
        panes=_WITH_LIST,
        help="Same step, next anchor.",
    ),
    Command(
        name="previous_anchor",
        keys=("p",),
        label="back",
        panes=_WITH_LIST,
        help="Same step, the anchor before.",
    ),
    Command(
        name="earlier",
        keys=("t",),
        label="when",
        panes=_on("steps", "day"),
        help="Say when it was really done, for the next entry (the outside crew reports at lunch).",
    ),
    Command(
        name="site_change",
        keys=("m",),
        label="site",
        panes=_on("anchors", "steps"),
        help="Move, add or drop an anchor, with a reason.",
    ),
    Command(
        name="take_back",
        keys=("u",),
        label="undo",
        help="Take back the last entry; it stays in the journal as taken back.",
    ),
    Command(
        name="readout",
        keys=("b",),
        label="big",
        panes=_AT_ANCHOR,
        help="Big digits: angle, tail height, mark. Same key back.",
    ),
    Command(
        name="inspect_again",
        keys=("o",),
        label="rain",
        help="Rain, thaw, shaking, a burst hose: open pits are looked at again. Marks faded: renewed.",
    ),
    Command(
        name="why",
        keys=("y",),
        label="why",
        help="All the words about the line under the cursor, whole: how, why, its limits, its rule.",
    ),
    Command(
        name="log",
        keys=("j",),
        label="journal",
        help="Everything entered, the newest first, with what was taken back.",
    ),
    Command(
        name="look",
        keys=("l",),
        label="look",
        help="Change between the sun look and the basement look.",
    ),
    Command(
        name="emergency",
        keys=("e", "exclamation_mark"),
        label="EMERGENCY",
        help="A line was struck, somebody is hurt: what to do, whom to call. ! works while typing too.",
    ),
    Command(
        name="find",
        keys=("slash",),
        label="find",
        help="Type a few letters of what is wanted, choose it from the list, Enter does it.",
    ),
    Command(name="keys", keys=("k", "question_mark"), label="keys", help="This page."),
    Command(
        name="leave",
        keys=("q",),
        label="leave",
        help="Close the program. All that shows as saved is on the disk.",
    ),
)

KEY_WORDS: Final = {
    "exclamation_mark": "!",
    "question_mark": "?",
    "slash": "/",
    "enter": "Enter",
    "space": "Space",
}


def key_word(key: str) -> str:
    """Return a key as it is printed on the keyboard."""
    return KEY_WORDS.get(key, key)


TYPING: Final = (("Enter", "save"), ("Esc", "drop it"), ("!", "EMERGENCY"), ("?", "keys"))
"""What keys do while a value is typed: letters are part of it."""


def footer_items(pane: PaneName) -> tuple[tuple[str, str], ...]:
    """Return (key, label) of everything that works in that pane."""
    return tuple((key_word(c.keys[0]), c.label) for c in COMMANDS if c.works_in(pane))
