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
    ("record", "c", "Close"),
)
"""Name, key and title of each pane, in the order of the day."""
PANE_HELP: Final[Mapping[PaneName, str]] = {
    "anchors": "Every anchor: how far it is, what is next, what holds it; the pace of the day.",
    "steps": "The steps of one anchor, phase by phase: check them, type values.",
    "figures": "Mark, aim, rod and torque of the anchor, worked out as you type.",
    "ground": "The section drawn to scale: wall, ground, rod, pit, frost, lines; Enter: the yard from above.",
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
        label="do it",
        help="What the bottom line says it does on this row: done, save, open, sign, go there.",
    ),
    Command(
        name="as_planned",
        keys=("equals_sign",),
        label="as planned",
        panes=_on("steps"),
        help="Measured, and it is what the plan says: enter the figure that stands at the top.",
    ),
    Command(
        name="otherwise",
        keys=("x",),
        label="not so",
        panes=_on("steps", "day", "hazards"),
        help="Not as the line says, or another answer: say what is, and why. Kept as a deviation.",
    ),
    Command(
        name="what_now",
        keys=("w",),
        label="came up wrong",
        panes=_AT_ANCHOR,
        help="The rod came up wrong: type what was found in the pit and see every way on.",
    ),
    Command(
        name="next_anchor",
        keys=("n",),
        label="next anchor",
        panes=_WITH_LIST,
        help="Same step, next anchor; with nothing open here, what is open there.",
    ),
    Command(
        name="previous_anchor",
        keys=("p",),
        label="anchor before",
        panes=_WITH_LIST,
        help="Same step, the anchor before.",
    ),
    Command(
        name="readout",
        keys=("b",),
        label="bigger",
        panes=_AT_ANCHOR,
        help="The figures over the whole screen: angle, tail, mark, stop mark, wrench. Same key back.",
    ),
    Command(
        name="read_wall",
        keys=("i",),
        label="read the wall",
        panes=_on("anchors", "steps", "wall"),
        help="Read the wall at this anchor from an upright line, before or after tightening.",
    ),
    Command(
        name="rounds",
        keys=("z",),
        label="rounds",
        panes=_on("anchors", "steps", "figures"),
        help="Tighten round by round along the wall: what to set the wrench to, clicked or not.",
    ),
    Command(
        name="earlier",
        keys=("t",),
        label="was earlier",
        panes=_on("steps", "day"),
        help="When it was really done: 11:30 for the next entry, all 11:30 for a run; same key ends the run.",
    ),
    Command(
        name="site_change",
        keys=("m",),
        label="move, add, drop",
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
        name="inspect_again",
        keys=("o",),
        label="rain",
        help="Rain, thaw, shaking, a burst hose: open pits are looked at again. Marks faded: renewed.",
    ),
    Command(
        name="ground_met",
        keys=("colon",),
        label="ground met",
        panes=_WITH_LIST,
        help="Rock, roots, water, fill or an old pit: the ways on with figures, and a text to read out.",
    ),
    Command(
        name="note",
        keys=("plus",),
        label="note",
        help="A line of words at this anchor, for the wall, the job or the owner.",
    ),
    Command(
        name="tool",
        keys=("semicolon",),
        label="tool on, off",
        help="Start the clock of a tool that makes dust or noise; the same key stops it.",
    ),
    Command(
        name="beside",
        keys=("asterisk",),
        label="people, calls",
        help="People in and out, inspections, calls, walks with the owner, pictures, changes agreed.",
    ),
    Command(
        name="job_values",
        keys=("less_than_sign",),
        label="job's values",
        help="Add a line, an opening, a footing, a number to call; fill in or correct the job's values.",
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
        name="save_copy",
        keys=("greater_than_sign",),
        label="save a copy",
        help="Save a copy of the day elsewhere: on a stick, or where this disk is full.",
    ),
    Command(
        name="look",
        keys=("l",),
        label="look",
        help="Change between the sun look and the basement look.",
    ),
    Command(
        name="emergency",
        keys=("exclamation_mark", "e"),
        label="EMERGENCY",
        help="A line was struck, somebody is hurt: what to do, whom to call. ! works while typing too.",
    ),
    Command(
        name="find",
        keys=("slash",),
        label="find",
        help="A few letters of a step, anchor, hazard, figure, person or command: Enter goes there.",
    ),
    Command(name="keys", keys=("question_mark", "k"), label="keys", help="This page."),
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
    "equals_sign": "=",
    "greater_than_sign": ">",
    "less_than_sign": "<",
    "colon": ":",
    "slash": "/",
    "plus": "+",
    "semicolon": ";",
    "asterisk": "*",
    "enter": "Enter",
    "space": "Space",
}


def key_word(key: str) -> str:
    """Return a key as it is printed on the keyboard."""
    return KEY_WORDS.get(key, key)


def command_of(name: str) -> Command:
    """Return the command of that name."""
    return next(command for command in COMMANDS if command.name == name)


def key_item(name: str, label: str = "") -> tuple[str, str]:
    """Return a command's key and label as they stand at the bottom."""
    command = command_of(name)
    return key_word(command.keys[0]), label or command.label


FIXED: Final = tuple(key_item(name) for name in ("take_back", "keys", "emergency"))
"""The keys that never move, at the right end of the bottom line."""
FIXED_TYPING: Final = ((" ", " " * len(FIXED[0][1])), *FIXED[1:])
"""The same while something is typed, where letters are part of it."""


def elsewhere(name: str) -> str:
    """Say what a command does and where, for the key pressed where it does nothing."""
    command = command_of(name)
    where = ", ".join(title for pane, _, title in PANES if command.works_in(pane))
    return f"{key_word(command.keys[0])} is {command.label}: it works in {where}."
