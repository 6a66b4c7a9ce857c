"""The day's screen: the panes, which of them are in front, and what the keys do."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, ClassVar, Final

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.css.query import NoMatches
from textual.screen import Screen

from crewtui.day.journal.chained import JournalError
from crewtui.day.journal.entries import StepDone, TakenBack, ValueMeasured
from crewtui.day.session.day import DEPTH_FOUND, Day
from crewtui.day.state.wall_reading import Visit
from crewtui.day.steps.calculators import readout
from crewtui.day.steps.outcomes import Outcome, Refused, Saved
from crewtui.tui.app.carrying import Carrier
from crewtui.tui.app.summaries import banner_for, tabs_for
from crewtui.tui.app.truck_work import TruckWork
from crewtui.tui.keys.arrangement import arrange, too_small
from crewtui.tui.keys.bindings import bindings
from crewtui.tui.keys.commands import COMMANDS, PANES, TYPING, PaneName, footer_items
from crewtui.tui.pages.whole_words import whole_words
from crewtui.tui.panes.anchors_pane import AnchorsPane
from crewtui.tui.panes.day_pane import BRIEFING, DayPane
from crewtui.tui.panes.figures_pane import FiguresPane
from crewtui.tui.panes.ground_pane import GroundPane
from crewtui.tui.panes.hazards_pane import HazardsPane
from crewtui.tui.panes.record_pane import RecordPane
from crewtui.tui.panes.rods_pane import RodsPane
from crewtui.tui.panes.steps_pane import StepsPane
from crewtui.tui.panes.wall_pane import WallPane
from crewtui.tui.questions.reason_questions import ask_to_leave, ask_what_happened, ask_when_done
from crewtui.tui.questions.site_changes import SiteChange
from crewtui.tui.widgets.chrome import BannerView, KeyBar, PaneBar, Saying, SayingView
from crewtui.tui.widgets.elevation_widget import ElevationView
from crewtui.tui.widgets.pages import ReadoutPage, Shout, WordsPage, keys_page, log_page
from crewtui.tui.widgets.pane import Here, Intent, Pane
from crewtui.tui.widgets.rows import RowList

if TYPE_CHECKING:
    from crewtui.record.signed.hand_in import HandedIn

_NOTHING_DONE: Final = ("", "-")
"""No step was entered that the cursor went on from: its id, and where the cursor went."""


class DayScreen(Screen[None]):
    """Every pane of the day under one banner, one row of panes and one row of keys."""

    BINDINGS: ClassVar[list[BindingType]] = list(bindings())
    AUTO_FOCUS = None
    DEFAULT_CSS = """
    DayScreen #body { height: 1fr; }
    DayScreen #anchors { width: 1fr; }
    DayScreen #main, DayScreen #side { width: 1fr; height: 1fr; }
    DayScreen .pane { height: 1fr; }
    DayScreen.-wide #anchors { width: 22; border-right: solid $rule; }
    DayScreen.-wide #side { width: 40; border-left: solid $rule; }
    DayScreen.-wide.-drawing #side { width: 1fr; }
    DayScreen #elevation { height: 50%; min-height: 8; max-height: 24; border-bottom: solid $rule; }
    DayScreen #ground { border-top: solid $rule; }
    """

    def __init__(self, day: Day) -> None:
        super().__init__()
        self.day = day
        self.pane: PaneName = "steps"
        self.anchor_id = ""
        self.wrong = ""
        self.said = ""
        self.alarm = ""
        self._just_done = _NOTHING_DONE
        self.truck = TruckWork(self)

    def compose(self) -> ComposeResult:
        """Lay out the screen."""
        yield BannerView()
        yield PaneBar()
        with Horizontal(id="body"):
            yield AnchorsPane()
            with Vertical(id="main"):
                yield ElevationView(id="elevation")
                for make in (StepsPane, RodsPane, HazardsPane, WallPane, DayPane, RecordPane):
                    yield make()
            with Vertical(id="side"):
                yield FiguresPane()
                yield GroundPane()
        yield SayingView()
        yield KeyBar()

    def on_mount(self) -> None:
        """Stand where the person was."""
        self.carrier = Carrier(self.app, self._told)
        place = self.day.here()
        first = next(iter(self.day.state.live()), None)
        self.anchor_id = place.anchor or (
            first.id if first is not None else next(iter(self.day.state.anchors))
        )
        self.go(pane="steps" if place.anchor else "day")
        if place.anchor and place.step:
            self.steps_pane.go_to(place.step, quietly=True)
        elif place.step:
            self.query_one(DayPane).go_to_step(place.step)
        self.said = self.day.reports[0] if self.day.reports else ""
        self._repaint()
        self.call_after_refresh(self._ask_about_plan)

    # The panes.

    @property
    def here(self) -> Here:
        """The day at the anchor that the lead works at."""
        return Here(self.day, self.anchor_id, self.truck.latest, self.truck.failed)

    @property
    def steps_pane(self) -> StepsPane:
        """The steps."""
        return self.query_one(StepsPane)

    @property
    def figures_pane(self) -> FiguresPane:
        """The figures."""
        return self.query_one(FiguresPane)

    def pane_of(self, name: PaneName) -> Pane | GroundPane:
        """Return the pane of that name."""
        found = self.query_one(f"#{name}")
        assert isinstance(found, Pane | GroundPane)  # noqa: S101 - every pane is one of the two
        return found

    @property
    def in_front(self) -> Pane | GroundPane:
        """The pane that the keys go to."""
        return self.pane_of(self.pane)

    def go(self, *, anchor: str = "", pane: PaneName | None = None) -> None:
        """Go to an anchor, to a pane, or both."""
        if anchor and anchor != self.anchor_id:
            self.anchor_id = anchor
            self.wrong = self.said = ""
        if pane is not None and pane != self.pane:
            self.pane = pane
            self.wrong = self.said = ""
        self._arrange()
        self.rebuild()
        self.set_focus(self.in_front)
        if anchor and pane == "steps":
            self.steps_pane.go_to_next()
        self._repaint()

    def _arrange(self) -> None:
        """Put the panes in front that fit: one, or three side by side."""
        found = arrange(self.pane, columns=self.size.width, rows=self.size.height)
        self.set_class(found.wide, "-wide")
        self.set_class(self.pane == "ground", "-drawing")
        for name, _, _ in PANES:
            self.pane_of(name).display = name in found.shown
        self.query_one("#elevation").display = found.elevation
        self.query_one("#main").display = found.main
        self.query_one("#side").display = found.side

    def on_resize(self) -> None:
        """Arrange the panes anew, unless nothing of them shows."""
        if self.anchor_id and not too_small(*self.size):
            self._arrange()
            self.rebuild()
            self._repaint()

    def rebuild(self) -> None:
        """Build the panes in sight anew from the day."""
        self.truck.follow(self.day.state)
        here = self.here
        for name, _, _ in PANES:
            pane = self.pane_of(name)
            if pane.display and not isinstance(pane, GroundPane):
                pane.rebuild(here)
        self._redraw()

    def _redraw(self) -> None:
        ground = self.query_one(GroundPane)
        if ground.display:
            figures = self.figures_pane
            same = figures.here is not None and figures.here.anchor == self.anchor_id
            ground.rebuild(self.here, figures.typed_values if same else None)

    def _repaint(self) -> None:
        """Say on every line what is true now."""
        try:
            self.query_one(BannerView).banner = banner_for(self)
        except NoMatches:
            return
        self.query_one(PaneBar).tabs = tabs_for(self)
        self._show_keys()
        self._say()

    def _show_keys(self) -> None:
        front = self.in_front
        typing = isinstance(front, Pane) and front.editing
        bar = self.query_one(KeyBar)
        bar.room_for = footer_items(self.pane)
        bar.items = TYPING if typing else bar.room_for

    def _say(self) -> None:
        lines = self.in_front.saying().lines
        if self.wrong:
            lines = (("held", self.wrong), *lines)
        elif self.said:
            lines = (("done", self.said), *lines)
        self.query_one(SayingView).saying = Saying(lines=lines)

    # What comes from the panes.

    def on_row_list_cursor_moved(self, message: RowList.CursorMoved) -> None:
        """Say what the row under the cursor means; in the list of anchors, go there."""
        self.wrong = self.said = ""
        if isinstance(message.rows, AnchorsPane):
            self.go(anchor=message.key)
        elif isinstance(message.rows, StepsPane):
            self._just_done = _NOTHING_DONE
            self.day.remember(self.anchor_id, message.key)
        self._say()

    def on_row_list_typed(self, message: RowList.Typed) -> None:
        """Follow what is typed."""
        self.wrong = self.said = ""
        if isinstance(message.rows, FiguresPane):
            message.rows.refigure()
            self._redraw()
        self._show_keys()
        self._say()

    def on_row_list_entered(self, message: RowList.Entered) -> None:
        """Hand a typed text to its pane."""
        if isinstance(message.rows, Pane):
            message.rows.entered(message.key, message.text)

    def on_row_list_chosen(self, message: RowList.Chosen) -> None:
        """Hand Enter to its pane."""
        if isinstance(message.rows, Pane):
            message.rows.chosen(message.key)

    def on_truck_work_done(self, message: TruckWork.Done) -> None:
        """Show the truck as it was worked out."""
        if self.truck.take(message):
            for pane in (self.query_one(RodsPane), self.query_one(DayPane), self.query_one(FiguresPane)):
                if pane.display:
                    pane.rebuild(self.here)
            self._repaint()

    def on_truck_work_failed(self, message: TruckWork.Failed) -> None:
        """Say that there is no cut list; the day goes on."""
        if self.truck.give_up(message):
            self.wrong = message.words
            self.rebuild()
            self._repaint()

    def on_unmount(self) -> None:
        """Leave nothing running."""
        self.truck.call_off()

    def on_pane_goes(self, message: Pane.Goes) -> None:
        """Go where a pane leads."""
        self.go(anchor=message.anchor, pane=message.pane)
        if message.row and isinstance(self.in_front, Pane):
            self.in_front.go_to(message.row, quietly=True)
            self._say()

    def on_pane_wants(self, message: Pane.Wants) -> None:
        """Enter what a pane wants entered."""
        self.carrier.carry_out(message.intent, message.pane)

    def on_record_pane_wants_to_sign(self, message: RecordPane.WantsToSign) -> None:
        """Sign the day as it stands, once it is said which plan counts."""
        self.day.look_at_job_file()
        if self._ask_about_plan():
            return
        from crewtui.tui.questions.signing import Signing  # noqa: PLC0415 - not needed for the first screen

        Signing(self.app, self.day, message.seen, done=self._signed).ask()

    def on_wall_pane_wants_reading(self, message: WallPane.WantsReading) -> None:
        """Read the wall at an anchor."""
        self._read_wall(message.anchor, message.earlier)

    def _ask_about_plan(self) -> bool:
        """Ask which plan counts where the job file was edited; whether it was."""
        if not self.day.plan_changes():
            return False
        from crewtui.tui.questions.plan_question import PlanQuestion  # noqa: PLC0415 - hardly ever needed

        return PlanQuestion(self.app, self.day, self.carrier.carry_out).ask()

    def _read_wall(self, anchor: str, earlier: Mapping[str, Visit]) -> None:
        from crewtui.tui.pages.readings_page import Readings  # noqa: PLC0415 - not needed for the first screen

        def read(words: str | None) -> None:
            self.said = f"Saved: {words}" if words else ""
            self.rebuild()
            self._repaint()

        self.app.push_screen(Readings(self.day, anchor, earlier=earlier), read)

    def on_day_pane_wants_page(self, message: DayPane.WantsPage) -> None:
        """Open the briefing, or the job's values."""
        from crewtui.tui.pages.briefing_page import briefing_page  # noqa: PLC0415 - not needed for the first screen
        from crewtui.tui.pages.fill_in_page import FillIn  # noqa: PLC0415 - the same

        if message.name == BRIEFING:
            self.app.push_screen(briefing_page(self.here))
        else:
            self.app.push_screen(FillIn(self.day), lambda _: self.go())

    def _signed(self, result: HandedIn | str) -> None:
        if isinstance(result, str):
            self.wrong = result
        else:
            from crewtui.tui.questions.signing import signed_page  # noqa: PLC0415 - the same

            self.app.push_screen(signed_page(result))
        self.rebuild()
        self._repaint()

    def _told(self, result: Outcome | JournalError, intent: Intent, pane: Pane | None) -> None:
        self.wrong = self.said = ""
        self._stand_somewhere()
        if isinstance(result, Saved):
            self.alarm = ""
            self.said = f"Saved: {result.words}"
            if pane is not None and intent.row:
                pane.clear_draft(intent.row)
            if not self.day.state.anchors[self.anchor_id].dropped or pane is None:
                self.rebuild()
            if isinstance(result.entry, TakenBack):
                self._go_to_taken_back(result.entry)
            else:
                self._move_on(pane)
        elif isinstance(result, Refused):
            self.wrong = result.sentence
        elif isinstance(result, JournalError):
            self.alarm = self.wrong = str(result)
        else:
            self.wrong = result.sentence
        self._repaint()

    def _stand_somewhere(self) -> None:
        """Go to another anchor where this one is gone: its adding was taken back, or the plan is another."""
        anchors = self.day.state.anchors
        if self.anchor_id not in anchors:
            self.anchor_id = next((now.id for now in self.day.state.live()), next(iter(anchors)))

    def turn_day(self) -> None:
        """Say that a new day has begun, where it has, and ask again what is renewed daily."""
        try:
            words = self.day.turn_day()
        except JournalError as error:
            self._not_saved(error)
            return
        if words:
            self.said, self.wrong = words, ""
            self.rebuild()
            self._repaint()

    def _not_saved(self, error: JournalError) -> None:
        self.alarm = self.wrong = str(error)
        self._repaint()

    def _go_to_taken_back(self, entry: TakenBack) -> None:
        """Show the step whose entry was taken back, so that what is right is typed onto it and no other."""
        gone = next(one for one in self.day.journal.entries if one.n == entry.of)
        if not isinstance(gone, ValueMeasured | StepDone):
            return
        said = self.said
        if gone.anchor is None:
            self.go(pane="day")
            self.query_one(DayPane).go_to_step(gone.step)
        elif gone.anchor in {now.id for now in self.day.state.live()}:
            self.go(anchor=gone.anchor, pane="steps")
            self.steps_pane.go_to(gone.step, quietly=True)
        self.said = said  # Going elsewhere clears what was said; what was taken back is said there.

    def _move_on(self, pane: Pane | None) -> None:
        """After something is entered, go on to what is next open."""
        if isinstance(pane, HazardsPane | DayPane) and pane is self.in_front:
            pane.go_to_next()
        elif isinstance(pane, StepsPane) and pane is self.in_front:
            step = pane.step_at(pane.cursor_key)
            if step is not None and step.answered:
                pane.go_to_next()
                self._just_done = (step.id, pane.cursor_key)
                self.day.remember(self.anchor_id, pane.cursor_key)

    def emergency(self, what: str, *, opened_at: datetime) -> None:
        """Enter what the emergency page was opened for; said as saved only where it is."""
        self.carrier.carry_out(
            Intent(
                method=self.day.emergency,
                args=(what,),
                given={"anchor": self.anchor_id or None, "opened_at": opened_at},
            )
        )

    # Commands.

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Whether a command does something in the pane in front."""
        del parameters
        named = [command for command in COMMANDS if command.name == action]
        return not named or any(command.works_in(self.pane) for command in named)

    def action_show(self, name: PaneName) -> None:
        """Go to a pane; from a held step to what holds it."""
        step = self.steps_pane.step_at(self.steps_pane.cursor_key) if self.pane == "steps" else None
        self.go(pane=name)
        if name == "hazards" and step is not None and step.holds:
            self.query_one(HazardsPane).go_to(step.holds[0].id, quietly=True)
            self._say()

    def action_turn(self, by: int) -> None:
        """Go to the pane after or before."""
        names = [name for name, _, _ in PANES]
        self.go(pane=names[(names.index(self.pane) + by) % len(names)])

    def action_next_anchor(self) -> None:
        """Go to the same step at the next anchor."""
        self._to_anchor(1)

    def action_previous_anchor(self) -> None:
        """Go to the same step at the anchor before."""
        self._to_anchor(-1)

    def _to_anchor(self, by: int) -> None:
        order = [now.id for now in self.day.state.live()]
        if not order:
            return
        step = self.steps_pane.cursor_key
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
            self._read_wall(self.anchor_id, self.query_one(WallPane).earlier.get(self.anchor_id, {}))

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

    def action_site_change(self) -> None:
        """Move, add or drop an anchor."""
        SiteChange(self.app, self.here, self.carrier.carry_out).ask()

    def action_readout(self) -> None:
        """Show the figures that are called out, in big digits."""
        shouts = [Shout(label=label, text=text) for label, text in readout(self.day.state, self.anchor_id)]
        self.app.push_screen(ReadoutPage(f"{self.anchor_id}: read it out, have it read back", shouts))

    def action_earlier(self) -> None:
        """Say when the next entry was really done."""

        def answered(done_at: datetime) -> None:
            self.carrier.done_at = done_at
            self.said = f"The next entry is dated {done_at:%Y-%m-%d %H:%M}."
            self._repaint()

        ask_when_done(self.app, self.day.clock, answered)

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
        """Find a command by its words."""
        from crewtui.tui.pages.find_page import FindPage, Found  # noqa: PLC0415 - not needed for the first screen

        def found(one: Found | None) -> None:
            if one is None:
                return
            if one.pane is not None:
                self.go(pane=one.pane)
            if one.action:
                self.call_later(self.run_action, one.action)

        self.app.push_screen(FindPage(self.pane), found)

    def action_log(self) -> None:
        """Show everything entered."""
        self.app.push_screen(log_page(self.day.log(1000)))

    def action_look(self) -> None:
        """Change the look."""
        self.app.change_look()  # type: ignore[attr-defined]

    def action_keys(self) -> None:
        """Explain the keys."""
        self.app.push_screen(keys_page())

    def action_leave(self) -> None:
        """Close the program, after a question."""
        drafts = sum(len(pane.drafts) for pane in self.query(RowList) if not isinstance(pane, FiguresPane))
        ask_to_leave(self.app, drafts)

    def show_page(self, page: WordsPage) -> None:
        """Open a page of words over the day."""
        self.app.push_screen(page)
