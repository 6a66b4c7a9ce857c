"""The crew lead at the keyboard: presses what a person presses, and waits for what a person waits for."""

from __future__ import annotations

import re
from typing import Final

from driver import Terminal

ENTRIES: Final = re.compile(r"(\d+) entr(?:y|ies)")
WHERE: Final = re.compile(r"\S+, [^,]* along")
LIST_FROM: Final = 6
"""Lines of the header and of the tabs, above the list."""
QUESTION: Final = re.compile(r"Esc\s+go back")

OF_ITS_TIME: Final = re.compile(r"\d\d:\d\d(:\d\d)?|[ !](?=r Rods)")
"""Clock times, and how far the cut list has been worked out in the background."""


def looks(terminal: Terminal) -> str:
    """The screen, but for what changes by itself."""
    return OF_ITS_TIME.sub("-", terminal.text)


class Lead:
    """Reads the screen of the day, and works through it with the keyboard alone."""

    def __init__(self, terminal: Terminal) -> None:
        self.terminal = terminal

    # What a person reads.

    @property
    def saved(self) -> int:
        """How many entries the header says are saved; 0 behind a page that hides it."""
        found = ENTRIES.search(self.terminal.text)
        return int(found[1]) if found else 0

    @property
    def row(self) -> str:
        """The row under the cursor, without its cursor sign."""
        return next((line[1:] for line in self.terminal.lines if line.startswith(">")), "")

    @property
    def step(self) -> str:
        """The row under the cursor, without its mark: what it asks, then its limits."""
        return self.row[5:]

    @property
    def asked(self) -> bool:
        """Whether a question is open."""
        return QUESTION.search(self.terminal.text) is not None

    @property
    def place(self) -> str:
        """Which anchor it is, and where: its large letters, and its place along the wall."""
        where = WHERE.search(self.terminal.lines[2])
        return self.letters + (where[0] if where else "")

    @property
    def letters(self) -> str:
        """Which anchor it is, by its large letters: they stand whatever figures the step puts beside them."""
        return " ".join(f"{line:9}"[:9] for line in self.terminal.lines[2:5])

    # What a person does.

    def caught_up(self) -> Lead:
        """Open the page of keys and close it again: all that was pressed before has been dealt with."""
        self.terminal.press("k").until_true(lambda: self.terminal.lines[0].strip() == "Keys", what="the keys")
        self.terminal.press("k").until_true(lambda: self.terminal.lines[0].strip() != "Keys", what="the day")
        self.terminal.painted(quiet_s=0.03)
        return self

    def look_at(self, pane: str) -> Lead:
        """Go to a pane by its key."""
        self.terminal.press(pane).until(f"[{pane} ").painted(quiet_s=0.2)  # A pane is made when first shown.
        return self

    def move(self, key: str) -> Lead:
        """Press a key that moves the cursor, and wait until it has."""
        before = self.row
        self.terminal.press(key)
        self.terminal.until_true(lambda: self.row not in {before, ""}, what=f"another row after {key}")
        self.terminal.painted(quiet_s=0.03)
        return self

    def move_to(self, text: str, key: str = "") -> Lead:
        """Move until the row under the cursor holds the text: towards it if in sight, else by ``key``."""
        for _ in range(120):
            self.terminal.until_true(lambda: self.row != "", what="the cursor")
            if text in self.row:
                return self
            self.move(key or self._towards(text))
        raise AssertionError(f"no row with {text!r}:\n{self.terminal.text}")

    def _towards(self, text: str) -> str:
        lines = self.terminal.lines[LIST_FROM:]
        cursor = next(n for n, line in enumerate(lines) if line.startswith(">"))
        seen = [n for n, line in enumerate(lines) if text in line[6:] and n != cursor]
        return "up" if seen and seen[0] < cursor else "down"

    def next_anchor(self) -> Lead:
        """Go on with the same step at the next anchor."""
        before = self.place
        self.terminal.press("n")
        self.terminal.until_true(lambda: self.place not in {before, ""}, what="the next anchor")
        return self

    def press(self, *keys: str) -> str:
        """Press keys; return "saved" once an entry was saved, or "asked" once a question came."""
        before, was_asked = self.saved, self.asked
        shown = self.terminal.text
        self.terminal.press(*keys)
        self.terminal.until_true(
            lambda: self.saved > before or (self.asked and (not was_asked or self.terminal.text != shown)),
            what=f"an entry or a question after {keys}",
        )
        return "saved" if self.saved > before and not self.asked else "asked"

    def enter(self, text: str) -> str:
        """Type a text and press Enter."""
        return self.press(*text, "enter")
