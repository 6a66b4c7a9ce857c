"""A whole day on a job, by keys alone: morning, hazards, every anchor, evening, signature."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from driver import Terminal
from lead import Lead

PASSPHRASE: Final = "four words of wax"  # noqa: S105 - of a key made in the test
NAME: Final = "Pat Sample"
NOTHING_OPEN: Final = "Nothing is open here"
BETWEEN: Final = "left"
"""Does nothing on a row; the same key twice as quickly as a program presses it counts as leaned on."""
HELD: Final = ("HELD", "held")
MEASURED: Final = ("The watch mark", "The drop of")
"""Holds that go by measuring, on the step that asks for it."""
READ_ALOUD: Final = "ask  Before"
"""A moment's page: one set of initials signs every line of it."""
WHO_GOES_IN: Final = "ask  Head or trunk"
ROD_FOUND: Final = "Rod in the pit"
READ_ON_ITS_PAGE: Final = "Bow of"
FIRST_ANSWER: Final = ("down", "up", "enter")
Values = Mapping[str, str | tuple[str, ...]]
"""What is typed onto each step that takes a value, by how its words begin: for all anchors, or for each."""


NOT_SHOWN: Final = ""
"""A rod that does not show in the pit."""
SIGNED: Final = ("The rod passes", "Nobody has said yet")
IN_THE_YARD: Final = ("Stoop", "The pit would be dug into")


class WorkingDay:
    """The lead's day: looks at each row, and does what it asks for."""

    def __init__(
        self, lead: Lead, values: Values, *, crew: str, wrong: Mapping[int, tuple[str, str]] | None = None
    ) -> None:
        self.lead, self.values, self.crew = lead, values, crew
        self.wrong = dict(wrong or {})
        """By the anchor's number: where its first rod comes up, and the way on that is then taken."""
        self.steps: list[tuple[str, bool]] = []
        """What the first anchor asked for, in order: the words of each step, and whether it asked back."""

    @property
    def terminal(self) -> Terminal:
        """Where it is played."""
        return self.lead.terminal

    def morning(self) -> None:
        """The day's own steps; what is asked for the whole job: no, but for the owner's own lines."""
        self._press("enter", NAME, "enter", BETWEEN, "enter", self.crew, "enter", entries=2)
        some = ("enter", "down", "enter")
        self._press(BETWEEN, "enter", BETWEEN, *some, BETWEEN, "enter", BETWEEN, "3", "enter", entries=4)
        self.terminal.press(BETWEEN, "enter").until("[r ").until("Not counted")
        self.terminal.painted(quiet_s=0.2)  # A pane is made when first shown.
        assert self.lead.press("enter") == "asked"
        self._press("down", "enter", entries=1)
        self.lead.look_at("d").move_to("Bad air")
        self._press(*(BETWEEN, "enter", "down", "enter") * 4, entries=4)

    def hazards(self) -> None:
        """See to every hold at the anchor, from the first row to the last."""
        lead = self.lead.look_at("h")
        self.terminal.press("end")
        last = lead.caught_up().row[5:40]
        self.terminal.press("home")
        lead.caught_up()
        while True:
            row = lead.row
            if row.startswith(READ_ALOUD) or (row.startswith(HELD) and not row[5:].startswith(MEASURED)):
                self._sign()
                if lead.row[5:40] != row[5:40]:
                    continue
            elif row.startswith(WHO_GOES_IN):
                self._nobody_goes_in()
            if row[5:40] == last:
                return
            lead.move("down")
            self._look()

    def _sign(self) -> None:
        """Sign the row under the cursor: with the name that is offered, else with initials."""
        before = self.lead.saved
        self.lead.press(BETWEEN, "enter")
        keys = ("down", "enter") if "Go back" in self.terminal.text else (*self.crew[:2], "enter")
        self.terminal.press(*keys)
        self.until_saved(before + 1)

    def pit(self) -> None:
        """Say that nobody goes into this pit either; the rest has been seen to for the whole job."""
        self.lead.look_at("h").terminal.press("home")
        self.lead.caught_up().move_to(WHO_GOES_IN.split(maxsplit=1)[1])
        self._nobody_goes_in()

    def _nobody_goes_in(self) -> None:
        self._press(BETWEEN, "enter", "down", "enter", entries=1)

    def anchor(self, number: int, *, steps: int | None = None) -> None:
        """Work through what is open at the anchor in front, row by row, or so many steps of it."""
        lead, most = self.lead, len(self.steps) + steps if steps is not None else 10**6
        self._look()
        while NOTHING_OPEN not in self.terminal.text and len(self.steps) < most:
            if self.terminal.lines[1].strip().startswith(HELD):
                self._by_what_holds()
                continue
            self.terminal.until_true(self._at_next, what="the cursor on the step that is next")
            if NOTHING_OPEN in self.terminal.text:
                return
            before, step = lead.saved, lead.step.strip()
            if number in self.wrong and step.startswith(ROD_FOUND):
                self._came_up_wrong(*self.wrong.pop(number))
                continue
            asked = lead.press(BETWEEN, *self._keys(step, number)) == "asked"
            if asked:
                self.terminal.press(*FIRST_ANSWER)
            self.until_saved(before + 1)
            if number == 0:
                self.steps.append((step, asked))

    def _came_up_wrong(self, found: str, way: str) -> None:
        """Type where the rod came up, or that it does not show, and take a way on."""
        lead, before = self.lead, self.lead.saved
        if found == NOT_SHOWN:
            self.terminal.press("w").until("Depth found").painted(quiet_s=0.2)
            lead.move_to("The rod does not show", "down")
            self.terminal.press("enter").until("Search by hand")
            self._look()
        else:
            assert lead.press(BETWEEN, *found, "enter") == "asked"
            self.terminal.press(BETWEEN, "enter").until("WAYS ON").painted(quiet_s=0.2)
        self.terminal.press("home")
        self._look()
        lead.move_to(way, "down")
        self.terminal.press("enter")
        self.until_saved(before + 1)

    def _by_what_holds(self) -> None:
        """See to the line or the thing in the ground that holds the next step."""
        lead = self.lead.look_at("h")
        if lead.row.startswith(WHO_GOES_IN):
            self._nobody_goes_in()
        elif lead.row[5:].startswith(SIGNED):
            self._sign()
        elif lead.row[5:].startswith(IN_THE_YARD):
            self._moved_along()
            self.pit()
            self.lead.look_at("a").terminal.press("enter").until("[s ")
            self._look()
            return
        else:
            assert "marks)" in lead.row, self.terminal.text
            self._press(*self.values.get("Laid bare", "18"), "enter", entries=1)
            if lead.row.startswith(HELD) and "marks)" in lead.row:
                self._aimed_anew()
        self.lead.look_at("s")
        self._look()

    def _aimed_anew(self) -> None:
        """Take the aim that clears the line, agreed to by the competent person."""
        self.terminal.press(BETWEEN, "enter").until("What releases it")
        self.terminal.press("down", "enter").until("Do it")
        self.terminal.press("down", "enter").until("Who agreed")
        self._press("down", "enter", entries=1)

    def _moved_along(self) -> None:
        """Take the way on that moves the anchor along the wall, agreed to by the competent person."""
        self.terminal.press("enter").until("Ways on", ">     ").painted(quiet_s=0.2)
        while not any(">     Moved along" in line for line in self.terminal.lines):
            shown = self.terminal.text
            self.terminal.press("down").until_true(
                lambda shown=shown: self.terminal.text != shown, what="another way on"
            )
            self._look()
        self.terminal.press("enter").until("Do it")
        self.terminal.press("down", "enter").until("Who agreed")
        self._press("down", "enter", entries=1)

    def _at_next(self) -> bool:
        """Whether the header and the row under the cursor name the same step, or nothing is open."""
        label, step = self.terminal.lines[0].strip(), self.lead.step.strip()
        return NOTHING_OPEN in self.terminal.text or bool(label and step and step.startswith(label[:12]))

    def anchor_at_once(self, number: int) -> int:
        """Type all that the first anchor asked for without a pause; return how many entries that makes."""
        keys: list[str] = []
        for step, asked in self.steps:
            keys += [BETWEEN, *self._keys(step, number), *(FIRST_ANSWER if asked else ())]
        self.terminal.press(*keys)
        return len(self.steps)

    def to_anchor(self, ident: str) -> None:
        """Go to an anchor's next open step, by the list of anchors."""
        self.lead.look_at("a").move_to(f" {ident} ", "down")
        self.terminal.press("enter").until("[s ")
        self._look()

    def evening(self) -> None:
        """What is done after the last anchor."""
        self.lead.look_at("d").move_to("No pit open")
        self._press(*[BETWEEN, "enter"] * 4, entries=4)

    def sign(self) -> str:
        """Sign the day as it stands; return what the page says then."""
        terminal = self.lead.look_at("c").terminal
        terminal.press("end", "enter").until("Sign the")
        terminal.press("down", "enter").until("Name of the lead")
        terminal.press(BETWEEN, "enter").until("A new passphrase")
        terminal.type(PASSPHRASE).press("enter").until("again")
        terminal.type(PASSPHRASE).press("enter").until("signed and on the disk")
        return re.sub(r"\s+", " ", terminal.painted().text)

    def leave(self) -> int:
        """Leave the program; return its exit code."""
        self.terminal.press("q").until("Leave?").press("down", "enter")
        return self.terminal.ended()

    def _keys(self, step: str, number: int) -> list[str]:
        """Return what enters a step: its value; of a wall to be read, its page, three distances, saved."""
        found = next((value for begins, value in self.values.items() if step.startswith(begins)), "")
        value = found if isinstance(found, str) else found[number]
        if step.startswith(READ_ON_ITS_PAGE):
            return [
                "enter",
                *(key for offset in value.split(",") for key in (*offset, "enter")),
                BETWEEN,
                "enter",
            ]
        return [*value, "enter"]

    def _press(self, *keys: str, entries: int) -> None:
        before = self.lead.saved
        self.terminal.press(*keys)
        self.until_saved(before + entries)

    def until_saved(self, entries: int) -> None:
        """Wait until the day says that so many are saved, and nothing is asked any more."""
        self.terminal.until_true(
            lambda: self.lead.saved >= entries and not self.lead.asked,
            what=f"{entries} entries, and no question",
        )
        self._look()

    def _look(self) -> None:
        """Take in the whole screen."""
        self.terminal.painted(quiet_s=0.03)
