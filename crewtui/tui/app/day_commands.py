"""What the keys of the day's screen do: going about, undo, pages, questions."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Final, TypeVar

from textual import events
from textual.screen import Screen

from crewtui.day.journal.chained import JournalError
from crewtui.day.recovery.way_entries import DEPTH_FOUND
from crewtui.day.session.day import Day
from crewtui.day.state.wall_reading import Visit
from crewtui.day.steps.calculators import readout
from crewtui.tui.app.carrying import Carrier
from crewtui.tui.keys.commands import PANES, PaneName, command_of, elsewhere
from crewtui.tui.pages.whole_words import whole_words
from crewtui.tui.panes.figures_pane import FiguresPane
from crewtui.tui.panes.ground_pane import GroundPane
from crewtui.tui.panes.hazards_pane import HazardsPane
from crewtui.tui.panes.pit_rows import row_of
from crewtui.tui.panes.steps_pane import StepsPane
from crewtui.tui.panes.wall_pane import WallPane
from crewtui.tui.questions.reason_questions import ask_to_leave, ask_what_happened, ask_when_done
from crewtui.tui.questions.site_changes import SiteChange
from crewtui.tui.widgets.chrome import KeyBar
from crewtui.tui.widgets.dialogs import AskText
from crewtui.tui.widgets.pages import ReadoutPage, Shout, keys_page, log_page
from crewtui.tui.widgets.pane import Here, Intent, Pane
from crewtui.tui.widgets.rows import STARTS_TYPING, RowList

if TYPE_CHECKING:
    from crewtui.tui.app.truck_work import TruckWork

P = TypeVar("P", bound=Pane)
NOTHING_DONE: Final = ("", "-")
"""No step was entered that the cursor went on from: its id, and where the cursor went."""


class DayCommands(Screen[None]):
    """The commands; the screen itself says where things stand."""

    day: Day
    pane: PaneName
    anchor_id: str
    wrong: str
    said: str
    alarm: str
    carrier: Carrier
    truck: TruckWork
    _just_done: tuple[str, str]

    if TYPE_CHECKING:

        @property
        def here(self) -> Here: ...  # noqa: D102 - the screen says what it is
        @property
        def steps_pane(self) -> StepsPane: ...  # noqa: D102 - the same
        @property
        def in_front(self) -> Pane | GroundPane: ...  # noqa: D102 - the same
        def pane_at(self, kind: type[P]) -> P: ...  # noqa: D102 - the same
        def go(self, *, anchor: str = "", pane: PaneName | None = None) -> None: ...  # noqa: D102 - the same
        def _say(self) -> None: ...
        def _repaint(self) -> None: ...
        def _read_wall(self, anchor: str, earlier: Mapping[str, Visit]) -> None: ...

    # Commands.

    def action_press(self, name: str) -> None:
        """Do a command, or say where it does something."""
        command = command_of(name)
        if command.works_in(self.pane):
            getattr(self, f"action_{name}")()
        else:
            self.refuse(elsewhere(name))

    def refuse(self, sentence: str) -> None:
        """Say why a key did nothing: a silent key is taken for a fault."""
        self.wrong, self.said = sentence, ""
        self._say()

    def nothing_took(self, event: events.Key) -> None:
        """Say of a key that nothing took what it is for."""
        if event.key in {"enter", "ctrl+j"}:
            self.refuse("Nothing is entered on the drawing: f has its figures, s its steps.")
        if event.is_printable and event.character is not None:
            digit = event.character in STARTS_TYPING
            what = "Nothing is typed on this line." if digit else f"{event.character} is no key of this page."
            if digit and isinstance(self.in_front, Pane):
                self.in_front.typed_in_vain()
            self.refuse(f"{what} ? shows the keys that work here.")

    def action_as_planned(self) -> None:
        """Enter the planned figure as measured."""
        self.steps_pane.as_planned()

    def action_show(self, name: PaneName) -> None:
        """Go to a pane; from a held step to what holds it."""
        step = self.steps_pane.step_at(self.steps_pane.cursor_key) if self.pane == "steps" else None
        self.go(pane=name)
        if name == "hazards" and step is not None and step.holds:
            self.pane_at(HazardsPane).go_to(row_of(step.holds[0]), quietly=True)
            self._say()

    def action_turn(self, by: int) -> None:
        """Go to the pane after or before."""
        names = [name for name, _, _ in PANES]
        self.go(pane=names[(names.index(self.pane) + by) % len(names)])

    def action_next_anchor(self) -> None:
        """Go to the same step at the next anchor; where nothing is open here, to what is open elsewhere."""
        if self.pane == "steps" and self.day.next_step(self.anchor_id) is None:
            elsewhere = self.day.open_elsewhere(self.anchor_id)
            if elsewhere:
                self.go(anchor=elsewhere, pane="steps")
                return
        self._to_anchor(1)

    def action_previous_anchor(self) -> None:
        """Go to the same step at the anchor before."""
        self._to_anchor(-1)

    def _to_anchor(self, by: int) -> None:
        order = [now.id for now in self.day.state.live()]
        if not order:
            return
        pane = self.steps_pane
        step = pane.cursor_key if pane.step_at(pane.cursor_key) is not None else ""
        done, came_to = self._just_done
        if step == came_to:
            step = done
        at = order.index(self.anchor_id) if self.anchor_id in order else 0
        to = order[(at + by) % len(order)]
        if by > 0 and self.pane == "steps" and step:
            to = self.day.same_step_next_anchor(step, self.anchor_id) or to
        self.go(anchor=to)
        if step:
            self.steps_pane.go_to(step, quietly=True)
            self.day.remember(self.anchor_id, step)
        self.said = f"Now at {to}." if to != order[at] else ""
        self._repaint()

    def action_take_back(self) -> None:
        """Take back the last entry."""
        self.carrier.carry_out(Intent(method=self.day.take_back))

    def action_otherwise(self) -> None:
        """Say that it is not as the row says."""
        pane = self.in_front
        if isinstance(pane, Pane):
            pane.otherwise(pane.cursor_key)

    def action_read_wall(self) -> None:
        """Read the wall at this anchor."""
        if not self.day.state.anchors[self.anchor_id].dropped:
            self._read_wall(self.anchor_id, self.pane_at(WallPane).earlier.get(self.anchor_id, {}))

    def on_steps_pane_reads_wall(self) -> None:
        """Read the wall at this anchor."""
        self.action_read_wall()

    def action_what_now(self) -> None:
        """Take what was found in the pit, and show every way on."""
        self._what_now()

    def on_steps_pane_what_now(self, message: StepsPane.WhatNow) -> None:
        """Show every way on for the depth that was typed onto its step."""
        self.steps_pane.clear_draft(DEPTH_FOUND)
        self._what_now(message.depth)

    def _what_now(self, depth: str = "") -> None:
        from crewtui.tui.pages.rod_page import WhatNow  # noqa: PLC0415 - not needed for the first screen

        self.app.push_screen(WhatNow(self.here, depth=depth), self._what_now_done)

    def _what_now_done(self, intent: Intent | None) -> None:
        if intent is not None:
            self.steps_pane.clear_draft(DEPTH_FOUND)
            self.carrier.carry_out(intent)

    def action_rounds(self) -> None:
        """Tighten round by round along the wall."""
        from crewtui.tui.pages.rounds_page import RoundsPage  # noqa: PLC0415 - not needed for the first screen

        def left(to: tuple[str, str] | None) -> None:
            self.go(anchor=to[0], pane="steps") if to is not None else self.go()
            if to is not None:
                self.steps_pane.go_to(to[1], quietly=True)
                self._say()

        self.app.push_screen(RoundsPage(self.here, self.carrier.carry_out), left)

    def action_site_change(self) -> None:
        """Move, add or drop an anchor."""
        SiteChange(self.app, self.here, self.carrier.carry_out).ask()

    def action_readout(self) -> None:
        """Show the figures that are called out, in big digits."""
        shouts = [Shout(label=label, text=text) for label, text in readout(self.day.state, self.anchor_id)]
        self.app.push_screen(ReadoutPage(f"{self.anchor_id}: read it out, have it read back", shouts))

    def action_earlier(self) -> None:
        """Say when the next entry, or a run of them, was really done; in a run the same key ends it."""
        if self.carrier.run:
            self.carrier.done_at, self.carrier.run = None, False
            self.said = "Entries are dated by the clock again."
            self._repaint()
            return

        def answered(done_at: datetime, run: bool) -> None:
            self.carrier.done_at, self.carrier.run = done_at, run
            which = "Every entry until t again" if run else "The next entry"
            self.said = f"{which} is dated {done_at:%Y-%m-%d %H:%M}."
            self._repaint()

        ask_when_done(self.app, self.day.clock, answered)

    def action_note(self) -> None:
        """Write a note at this anchor."""
        from crewtui.tui.questions.beside_questions import ask_note  # noqa: PLC0415 - not needed for the first screen

        ask_note(self.app, self.here, self.carrier.carry_out)

    def action_tool(self) -> None:
        """Stop the tool that runs, or start one."""
        from crewtui.tui.questions.beside_questions import ask_tool  # noqa: PLC0415 - not needed for the first screen

        ask_tool(self.app, self.here, self.carrier.carry_out)

    def action_ground_met(self) -> None:
        """Ask what was met in the ground at this anchor."""
        from crewtui.tui.questions.ground_questions import ask_ground  # noqa: PLC0415 - not for the first screen

        ask_ground(self.app, self.here, self.carrier.carry_out)

    def action_job_values(self) -> None:
        """Open the job's values, and what can be added to its lists."""
        from crewtui.tui.pages.fill_in_page import FillIn  # noqa: PLC0415 - not needed for the first screen

        self.app.push_screen(FillIn(self.day), lambda _: self.go())

    def action_beside(self) -> None:
        """Enter what happened beside the anchors."""
        from crewtui.tui.questions.beside_questions import BesideQuestions  # noqa: PLC0415 - not needed for the first screen

        BesideQuestions(self.app, self.here, self.carrier.carry_out).ask()

    def action_inspect_again(self) -> None:
        """Have the open pits looked over again."""
        ask_what_happened(self.app, self.day, self.carrier.carry_out)

    def action_why(self) -> None:
        """Show all the words about the row under the cursor."""
        pane = self.in_front
        row = pane.cursor_row if isinstance(pane, Pane) else None
        title = "" if row is not None else f"{self.anchor_id}: what the drawing shows"
        self.app.push_screen(whole_words(row, pane.saying(), title=title))

    def action_find(self) -> None:
        """Find a command, a step, an anchor, a hazard, a figure, a person by its words."""
        from crewtui.tui.pages.find_page import FindLine, FindPage  # noqa: PLC0415 - not needed for the first screen

        def found(one: FindLine | None) -> None:
            if one is None:
                return
            if one.pane is not None:
                self.go(anchor=one.anchor, pane=one.pane)
            front = self.in_front
            if one.row and isinstance(front, Pane):
                front.go_to(one.row, quietly=True)
                self._say()
            if one.action:
                self.call_later(self.run_action, one.action)

        self.app.push_screen(FindPage(self.pane, self.here), found)

    def action_log(self) -> None:
        """Show everything entered."""
        self.app.push_screen(log_page(self.day.log(1000)))

    def action_save_copy(self) -> None:
        """Ask for a folder, and save a copy of the day there."""

        def answered(folder: str | None) -> None:
            if folder is None:
                return
            self.said = self.wrong = ""
            try:
                self.said = self.day.save_copy(folder)
            except JournalError as error:
                self.wrong = str(error)
            self._repaint()

        words = "The journal with all that was entered goes there. The day goes on here."
        self.app.push_screen(
            AskText("Save a copy of the day where?", words, label="Folder, such as a stick's:"), answered
        )

    def action_look(self) -> None:
        """Change the look."""
        self.app.change_look()  # type: ignore[attr-defined]

    def action_keys(self) -> None:
        """Explain the keys."""
        front = self.in_front
        row = front.cursor_row if isinstance(front, Pane) else None
        here = row.label if row is not None else ""
        self.app.push_screen(keys_page(self.query_one(KeyBar).items, here))

    def action_leave(self) -> None:
        """Close the program, after a question."""
        drafts = sum(len(pane.drafts) for pane in self.query(RowList) if not isinstance(pane, FiguresPane))
        ask_to_leave(self.app, drafts)
