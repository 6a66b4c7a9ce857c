"""The day's screen: the panes, which of them are in front, and what the keys do."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, ClassVar, Final, TypeVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical

from crewtui.day.journal.chained import JournalError
from crewtui.day.journal.entries import StepDone, TakenBack, ValueMeasured, WayTaken
from crewtui.day.session.day import Day
from crewtui.day.state.hold import Hold
from crewtui.day.state.wall_reading import Visit
from crewtui.day.steps.outcomes import Outcome, Saved
from crewtui.tui.app.carrying import Carrier
from crewtui.tui.app.day_commands import NOTHING_DONE, DayCommands
from crewtui.tui.app.summaries import anchors_for, header_for, keys_for, show_beside, tabs_for
from crewtui.tui.app.truck_work import TruckWork
from crewtui.tui.keys.arrangement import Arrangement, arrange, too_small
from crewtui.tui.keys.bindings import bindings
from crewtui.tui.keys.commands import FIXED, FIXED_TYPING, PaneName
from crewtui.tui.panes.anchors_pane import AnchorsPane
from crewtui.tui.panes.day_pane import BRIEFING, DayPane
from crewtui.tui.panes.figures_pane import FiguresPane
from crewtui.tui.panes.ground_pane import GroundPane
from crewtui.tui.panes.hazards_pane import HazardsPane, released_at
from crewtui.tui.panes.record_pane import RecordPane
from crewtui.tui.panes.rods_pane import RodsPane
from crewtui.tui.panes.steps_pane import StepsPane
from crewtui.tui.panes.wall_pane import WallPane
from crewtui.tui.widgets.beside_view import BesideView
from crewtui.tui.widgets.chrome import AnchorBar, KeyBar, PaneBar, Saying, SayingView
from crewtui.tui.widgets.elevation_widget import ElevationView
from crewtui.tui.widgets.header import HeaderView
from crewtui.tui.widgets.pane import Here, Intent, Pane
from crewtui.tui.widgets.rows import RowList
from crewtui.units import count_of

if TYPE_CHECKING:
    from crewtui.record.signed.hand_in import HandedIn

P = TypeVar("P", bound=Pane)
_KINDS: Final[Mapping[PaneName, type[Pane | GroundPane]]] = {
    "anchors": AnchorsPane, "steps": StepsPane, "figures": FiguresPane, "ground": GroundPane,
    "rods": RodsPane, "hazards": HazardsPane, "wall": WallPane, "day": DayPane, "record": RecordPane,
}  # fmt: skip


class DayScreen(DayCommands):
    """The pane in front under the step's card and one row of tabs, its drawing beside it, one row of keys."""

    BINDINGS: ClassVar[list[BindingType]] = list(bindings())
    AUTO_FOCUS = None
    DEFAULT_CSS = """
    DayScreen #body { height: 1fr; }
    DayScreen #main { width: 1fr; height: 1fr; }
    DayScreen .pane { height: 1fr; }
    DayScreen #elevation { height: 50%; min-height: 8; max-height: 24; border-bottom: solid $rule; }
    """

    def __init__(self, day: Day) -> None:
        super().__init__()
        self.day = day
        self.pane: PaneName = "steps"
        self.anchor_id = ""
        self.wrong = ""
        self.said = ""
        self.alarm = ""
        self._just_done = NOTHING_DONE
        self._arranged: Arrangement | None = None
        self.truck = TruckWork(self)

    def compose(self) -> ComposeResult:
        """Lay out the screen; a pane is made when it is first shown."""
        yield HeaderView()
        yield AnchorBar()
        yield PaneBar()
        with Horizontal(id="body"):
            with Vertical(id="main"):
                yield ElevationView(id="elevation")
            yield BesideView()
        yield SayingView()
        bar = KeyBar()
        bar.fixed = FIXED
        yield bar

    def on_mount(self) -> None:
        """Stand where the person was."""
        self.carrier = Carrier(self.app, self._told, to_hold=self._to_hold)
        place = self.day.here()
        first = next(iter(self.day.state.live()), None)
        self.anchor_id = place.anchor or (
            first.id if first is not None else next(iter(self.day.state.anchors))
        )
        self.go(pane="steps" if place.anchor else "day")
        if place.anchor and place.step:
            self.steps_pane.go_to(place.step, quietly=True)
        elif place.step:
            self.pane_at(DayPane).go_to_step(place.step)
        self.said = self.day.reports[0] if self.day.reports else ""
        self._open_the_morning()
        self._repaint()
        self.call_after_refresh(self._ask_about_plan)

    def _open_the_morning(self) -> None:
        """On a later day, before anything is entered: show what is asked again, all of it in one place."""
        again = self.day.morning()
        if again:
            self.go(pane="day")
            self.pane_at(DayPane).go_to_step(again[0].id)
            lines = count_of(len(again), "line")
            today = f"{self.day.clock():%a %Y-%m-%d}"
            self.said = f"{today}, a new day: {lines} to ask again, first this one. All else stands."

    # The panes.

    @property
    def here(self) -> Here:
        """The day at the anchor that the lead works at."""
        return Here(self.day, self.anchor_id, self.truck.latest, self.truck.failed)

    @property
    def steps_pane(self) -> StepsPane:
        """The steps."""
        return self.pane_at(StepsPane)

    @property
    def figures_pane(self) -> FiguresPane:
        """The figures."""
        return self.pane_at(FiguresPane)

    def pane_at(self, kind: type[P]) -> P:
        """Return the pane of that kind, made now if it was not shown before."""
        found = self.pane_of(kind.pane)
        assert isinstance(found, kind)  # noqa: S101 - each name has its kind
        return found

    def pane_of(self, name: PaneName) -> Pane | GroundPane:
        """Return the pane of that name, made now if it was not shown before."""
        for found in self.query(f"#{name}"):
            assert isinstance(found, Pane | GroundPane)  # noqa: S101 - every pane is one of the two
            return found
        made = _KINDS[name]()
        made.display = False
        self.query_one("#main").mount(made)
        if isinstance(made, Pane):
            made.rebuild(self.here)
        return made

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
        front = self.in_front
        if isinstance(front, Pane):
            front.rebuild(self.here)
        self._arrange()
        self.rebuild()
        self.set_focus(front)
        if anchor and pane == "steps":
            self.steps_pane.go_to_next()
        self._repaint()

    def _arrange(self) -> None:
        """Put the pane in front, and beside it what there is room for."""
        front = self.in_front
        needs = front.needs_columns if isinstance(front, Pane) else self.size.width
        found = arrange(self.pane, columns=self.size.width, rows=self.size.height, needs=needs)
        for pane in self.query(".pane"):
            pane.display = pane is front
        self.query_one("#elevation").display = found.elevation
        self.query_one(AnchorBar).display = found.anchors
        beside = self.query_one(BesideView)
        beside.display = bool(found.beside)
        beside.styles.width = found.beside + 1
        self.query_one(SayingView).styles.height = found.words
        self._arranged = found

    def on_resize(self) -> None:
        """Arrange the panes anew, unless nothing of them shows."""
        if self.anchor_id and not too_small(*self.size):
            self.rebuild()
            self._arrange()
            self._draw_beside()
            self._repaint()

    def rebuild(self) -> None:
        """Build the pane in front anew from the day."""
        self.truck.follow(self.day.state)
        front = self.in_front
        if isinstance(front, Pane):
            front.rebuild(self.here)
        self._draw_beside()

    def _draw_beside(self) -> None:
        """Draw what stands beside the pane in front, following what is typed."""
        typed = self._typed_values()
        front, columns = self.in_front, self._arranged.beside if self._arranged is not None else 0
        if isinstance(front, GroundPane):
            front.rebuild(self.here, typed)
        if columns:
            show_beside(self, columns, typed)

    def _typed_values(self) -> dict[str, float]:
        """Return what is typed into the steps and the figures of this anchor, by input."""
        typed: dict[str, float] = {}
        for pane in self.query(FiguresPane):
            if (
                pane.here is not None
                and pane.here.anchor == self.anchor_id
                and self.pane in {"figures", "ground"}
            ):
                typed |= pane.typed_values
        trial = self.steps_pane.trial if self.pane == "steps" else None
        if trial is not None and trial.value is not None:
            typed[trial.quantity] = trial.value
        return typed

    def _repaint(self) -> None:
        """Say on every line what is true now."""
        if not self.is_mounted:
            return
        self.query_one(HeaderView).header = header_for(self)
        self.query_one(AnchorBar).anchors = anchors_for(self)
        self.query_one(PaneBar).tabs = tabs_for(self)
        self._show_keys()
        self._say()

    def _show_keys(self) -> None:
        front = self.in_front
        bar = self.query_one(KeyBar)
        typing = isinstance(front, Pane) and front.editing
        bar.fixed = FIXED_TYPING if typing else FIXED
        bar.items = keys_for(self)

    def _say(self) -> None:
        self.query_one(HeaderView).header = header_for(self)
        self._show_keys()
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
            self._just_done = NOTHING_DONE
            if message.rows.step_at(message.key) is not None:
                self.day.remember(self.anchor_id, message.key)
        self._say()

    def on_row_list_typed(self, message: RowList.Typed) -> None:
        """Follow what is typed."""
        self.wrong = self.said = ""
        if isinstance(message.rows, FiguresPane):
            message.rows.refigure()
        self._draw_beside()
        self._say()

    def on_row_list_entered(self, message: RowList.Entered) -> None:
        """Hand a typed text to its pane."""
        if isinstance(message.rows, Pane):
            message.rows.entered(message.key, message.text)

    def on_row_list_chosen(self, message: RowList.Chosen) -> None:
        """Hand Enter to its pane."""
        if isinstance(message.rows, Pane) and not message.rows.enter_is_of_a_number(message.key):
            message.rows.chosen(message.key)

    def on_truck_work_done(self, message: TruckWork.Done) -> None:
        """Show the truck as it was worked out."""
        if self.truck.take(message):
            front = self.in_front
            if isinstance(front, RodsPane | DayPane | FiguresPane):
                front.rebuild(self.here)
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

    def _to_hold(self, hold: Hold) -> None:
        """Go to where what holds a step is released."""
        pane, row = released_at(hold)
        self.go(pane=pane)
        if isinstance(self.in_front, Pane):
            self.in_front.go_to(row, quietly=True)
        self._say()

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

    def on_record_pane_wants_draft(self) -> None:
        """Write the owner's sheet as the day stands."""
        from crewtui.record.sheets.leave_sheet import SheetError, write_draft  # noqa: PLC0415 - hardly ever

        self.wrong = self.said = ""
        try:
            self.said = f"Written: {write_draft(self.day)}"
        except SheetError as error:
            self.wrong = f"{error}."
        self._repaint()

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
            if words and self.pane == "steps":
                self.steps_pane.go_to_next()
            self._repaint()

        self.app.push_screen(Readings(self.day, anchor, earlier=earlier), read)

    def on_day_pane_wants_page(self, message: DayPane.WantsPage) -> None:
        """Open the briefing, or the job's values."""
        from crewtui.tui.pages.briefing_page import briefing_page  # noqa: PLC0415 - not needed for the first screen

        if message.name == BRIEFING:
            self.app.push_screen(briefing_page(self.here))
        else:
            self.action_job_values()

    def _signed(self, result: HandedIn | str) -> None:
        if isinstance(result, str):
            self.wrong = result
        else:
            from crewtui.record.sheets.leave_sheet import final_words  # noqa: PLC0415 - the same
            from crewtui.tui.questions.signing import signed_page  # noqa: PLC0415 - the same

            self.app.push_screen(signed_page(result, final_words(self.day, result)))
        self.rebuild()
        self._repaint()

    def _told(self, result: Outcome | JournalError, intent: Intent, pane: Pane | None) -> None:
        self.wrong = self.said = ""
        self._stand_somewhere()
        if isinstance(result, Saved):
            self.alarm = ""
            undone = isinstance(result.entry, TakenBack)
            self.said = result.words if undone else f"Saved: {result.words}"
            if pane is not None and intent.row:
                pane.clear_draft(intent.row)
            if not self.day.state.anchors[self.anchor_id].dropped or pane is None:
                self.rebuild()
            if isinstance(result.entry, TakenBack):
                self._go_to_taken_back(result.entry)
            elif isinstance(result.entry, WayTaken) and self.pane == "steps":
                self.steps_pane.go_to_step_now()
            else:
                self._move_on(pane)
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
            self._open_the_morning()
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
            self.pane_at(DayPane).go_to_step(gone.step)
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
                method=self.day.site.emergency,
                args=(what,),
                given={"anchor": self.anchor_id or None, "opened_at": opened_at},
            )
        )
