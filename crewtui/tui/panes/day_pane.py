"""The day as a whole: before the first anchor, asked once, the ticket, after the last, tomorrow."""

from __future__ import annotations

from typing import ClassVar, Final

from msgspec.structs import replace
from textual.message import Message

from crewtui.day.figures.tightening_rounds import schedule_words
from crewtui.day.safety.hazard_rows import HazardQuestion, questions
from crewtui.day.safety.locates import left_words, ticket_holds
from crewtui.day.session.clock_dates import date_trouble
from crewtui.day.state.conditions import FACTS
from crewtui.day.steps.hand_over import HandOver, hand_over
from crewtui.day.steps.step_rows import StepRow, asked_again
from crewtui.day.wall.anchor_account import account_lines
from crewtui.job.file.model import SETTLED
from crewtui.job.tables.steps import Scope
from crewtui.tui.keys.commands import PaneName, key_item
from crewtui.tui.panes.exposure_rows import ADD_TIME, ask_exposure, exposure_rows, exposure_saying
from crewtui.tui.panes.rods_pane import TRUCK_COUNTED, TRUCK_STEP
from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.dialogs import DO_IT, AskChoice, AskText, confirm
from crewtui.tui.widgets.pages import WordsPage
from crewtui.tui.widgets.pane import NOTHING_HERE, Here, Pane, step_as_row, words_about
from crewtui.tui.widgets.rows import Row
from crewtui.units import count_of

_TITLES: Final[tuple[tuple[Scope, str], ...]] = (
    ("before", "BEFORE THE FIRST ANCHOR"),
    ("after", "AFTER THE LAST ANCHOR"),
    ("hand-over", "LEFT FOR TOMORROW"),
)
_RESPONSES: Final = (
    ("clear", "Clear: nothing of theirs here", ""),
    ("marked", "Marked on the ground", ""),
    ("ongoing", "Still working on it", "holds digging and driving"),
    ("not answered", "No answer", "holds digging and driving"),
)
_SHORT: Final = "short "
_UTILITY, _FACT, _STEP = "utility ", "fact ", "step "
PITS_COVERED: Final = "pits-covered"
LATER, OWNER_SHOWN = "tightening page", "owner-shown"
"""The page of the schedule, and the step at which the owner is told of it."""
DATE: Final = "date"
BRIEFING, FILL_IN, NOTE = "briefing page", "fill in", "note"


_PAGES: Final = {BRIEFING: BRIEFING, FILL_IN: FILL_IN, "no ticket": FILL_IN, "ticket until": FILL_IN}
_BY_THE_CLOCK: Final = (
    "The ticket is counted and every entry stamped by this computer's clock. Set the clock, or go on if the"
    " job is done on another day than planned."
)


_LATER_ROW: Final = Row(key=LATER, label="Tightening: first, after backfill, later", note="Enter")


class DayPane(Pane):
    """The steps that are asked once a day, and the page for tomorrow."""

    pane: ClassVar[PaneName] = "day"

    class WantsPage(Message):
        """A page is to be opened: the briefing, or the job's values to fill in."""

        def __init__(self, name: str) -> None:
            self.name = name
            super().__init__()

    def __init__(self) -> None:
        super().__init__()
        self.steps: dict[str, StepRow] = {}
        self.questions: dict[str, HazardQuestion] = {}
        self.tomorrow: HandOver | None = None

    def rebuild(self, here: Here) -> None:
        """Show the day's own steps, questions and ticket, and what stands open for tomorrow."""
        self.here = here
        day = here.day
        self.tomorrow = hand_over(day.state, day.clock())
        self.steps = {}
        if day.is_visit:
            self.set_rows(
                [*self._date(here), *self._scope("before", here), _LATER_ROW, *self._job_rows(here)]
            )
            return
        rows = [*self._date(here), *self._truck(here), *self._scope("before", here)]
        rows.insert(
            1 + next(n for n, row in enumerate(rows) if row.key == "title before"),
            Row(key=BRIEFING, label="Briefing page, to read aloud", note="Enter opens it"),
        )
        rows += self._questions(here)
        rows += self._ticket(here)
        rows += exposure_rows(here)
        rows += self._scope("after", here)
        rows.append(_LATER_ROW)
        if self.tomorrow.needed:
            rows += self._scope("hand-over", here)
            rows += self._left(self.tomorrow)
        self.set_rows([*rows, *self._job_rows(here)])

    @staticmethod
    def _job_rows(here: Here) -> list[Row]:
        """Show the job's own pages, and what was found on opening."""
        rows = [
            Row(key="job", label="THE JOB", heading=True),
            Row(key=FILL_IN, label="Fill in or correct the job's values", note="Enter opens it"),
            Row(key=NOTE, label="Write a note for the office", note="Enter opens it"),
        ]
        reports = here.day.reports
        if reports:
            rows.append(Row(key="reports", label="FOUND ON OPENING", heading=True))
            rows += [Row(key=f"report {n}", label=text, tone="deviation") for n, text in enumerate(reports)]
        return rows

    @staticmethod
    def _date(here: Here) -> list[Row]:
        """Show it where the job is not for the day that the computer says."""
        wrong = date_trouble(here.day.state, here.day.clock())
        if not wrong:
            return []
        return [
            Row(key="title date", label="THE DATE", heading=True),
            Row(key=DATE, label=wrong, mark="!", tone="deviation"),
        ]

    @staticmethod
    def _truck(here: Here) -> list[Row]:
        """Show what is short on the truck, over everything else."""
        short = here.loaded.short if here.loaded is not None else ()
        rows = [
            Row(
                key=f"{_SHORT}{line.key}",
                label=f"{line.item[0].upper()}{line.item[1:]}",
                mark="!",
                tone="deviation",
                value=f"{line.there} there",
                note=f"{line.needed} needed, {line.short} short: r",
                note_tone="deviation",
            )
            for line in short
        ]
        return [Row(key="title short", label="SHORT ON THE TRUCK", heading=True), *rows] if rows else []

    def _scope(self, scope: Scope, here: Here) -> list[Row]:
        title = dict(_TITLES)[scope]
        rows = [Row(key=f"title {scope}", label=title, heading=True)]
        waits = scope != "before" and any(one.is_next for one in here.day.rows(None, scope="before"))
        for step in here.day.rows(None, scope=scope):
            key = _STEP + step.id
            step = replace(step, is_next=step.is_next and not waits)  # noqa: PLW2901 - one next at a time
            self.steps[key] = step
            row = step_as_row(step, key=key)
            if step.id in asked_again(here.day.state):
                row = replace(
                    row,
                    mark="ask",
                    tone="coming",
                    note="of an earlier day, or from before it rained: ask again",
                )
            rows.append(row)
        return rows

    def _questions(self, here: Here) -> list[Row]:
        self.questions = {_FACT + one.fact: one for one in questions(here.day.state)}
        rows = [Row(key="title facts", label="ASKED ONCE A JOB", heading=True)]
        rows += [self._question(key, one) for key, one in self.questions.items() if not one.seen]
        rows.append(Row(key="title seen", label="SEEN AT ANY TIME: SAY SO AT ONCE", heading=True))
        rows += [self._question(key, one) for key, one in self.questions.items() if one.seen]
        return rows

    @staticmethod
    def _question(key: str, one: HazardQuestion) -> Row:
        counts = "counts as no until it is seen" if one.seen else "not answered: counts as yes"
        asks = one.answer is None and not one.seen
        return Row(
            key=key,
            label=one.short,
            mark="ask" if asks else "" if one.answer is None else "done",
            tone="coming" if asks else "plain" if one.answer is None else "done",
            value="" if one.answer is None else "yes" if one.answer else "no",
            note=counts if one.answer is None else "",
        )

    def _ticket(self, here: Here) -> list[Row]:
        ticket = here.day.job.ticket
        rows = [Row(key="title ticket", label="LOCATE TICKET", heading=True)]
        if ticket is None:
            return [
                *rows,
                Row(key="no ticket", label="No ticket in the job: fill it in", mark="held", tone="held"),
            ]
        now = here.day.clock()
        wrong = ticket_holds(ticket, now)
        left = left_words(ticket, now)
        rows.append(
            Row(
                key="ticket until",
                label=wrong[0].text if wrong else f"{left[0].upper()}{left[1:]}",
                mark="held" if wrong else "done",
                tone="held" if wrong else "done",
                note="" if wrong else ticket.number,
            )
        )
        for item in ticket.utilities:
            settled = item.settled
            rows.append(
                Row(
                    key=_UTILITY + item.name,
                    label=f"{item.name} ({item.kind})",
                    mark="done" if settled else "held",
                    tone="done" if settled else "held",
                    note=item.response,
                )
            )
        return rows

    def _left(self, page: HandOver) -> list[Row]:
        rows = []
        for item in page.anchors:
            row = Row(
                key=f"left {item.id}",
                label=f"{item.id}: {item.words}",
                mark="open",
                tone="deviation" if item.pit_open or item.rod_in else "plain",
                note=count_of(len(item.pictures), "picture") if item.pictures else "",
            )
            rows.append(row)
        rows += [
            Row(key=f"tomorrow {n}", label=f"Tomorrow: {text}", mark="!", tone="deviation")
            for n, text in enumerate(page.ticket_tomorrow)
        ]
        if page.record_due:
            rows.append(Row(key="tomorrow record", label="Today's record is not signed: c", mark="open"))
        return rows

    def go_to_step(self, step: str) -> None:
        """Put the cursor on one of the day's own steps."""
        self.go_to(_STEP + step, quietly=True)

    def go_to_next(self) -> None:
        """From a step or a question that is answered, go on to the next below that is not."""
        keys = [row.key for row in self.rows]
        at = keys.index(self.cursor_key) if self.cursor_key in keys else 0
        row = self.rows[at]
        group = self.steps if row.key in self.steps else self.questions
        if row.mark == "done" and row.key in group:
            below = (one.key for one in self.rows[at + 1 :] if one.key in group and one.mark != "done")
            self.go_to(next(below, row.key), quietly=True)

    def saying(self) -> Saying:
        """Say what the row asks."""
        step = self.steps.get(self.cursor_key)
        if step is not None:
            lines = tuple(words_about(step))
            if step.id == OWNER_SHOWN:
                lines = (
                    ("coming", "What the owner may do is on the page below: read it out, leave it."),
                    *lines,
                )
            return Saying(lines=lines)
        row, question = self.cursor_row, self.questions.get(self.cursor_key)
        if row is None:
            return Saying()
        if row.key == DATE:
            return Saying(lines=(("deviation", row.label), ("plain", _BY_THE_CLOCK)))
        if question is not None:
            words = row.note or f"Answered: {row.value}. Enter answers anew."
            return Saying(lines=(("plain", question.text), ("quiet", words)))
        if row.key.startswith(_UTILITY):
            number = self._said_by(row.key.removeprefix(_UTILITY)) or "no number written down"
            return Saying(
                lines=(("plain", f"{row.label}: {row.note}"), ("quiet", f"{number[0].upper()}{number[1:]}."))
            )
        said = exposure_saying(self.here, row.key) if self.here is not None else ()
        return Saying(lines=(("plain", f"{row.label} {row.value}".rstrip()), ("quiet", row.note), *said))

    def entered(self, key: str, text: str) -> None:
        """Enter a value."""
        step = self.steps.get(key)
        if step is None or self.here is None:
            return
        if step.kind == "value":
            self.wants(
                self.here.day.measure,
                None,
                step.id,
                text,
                takes_reason=True,
                choice_as="then",
                dated=True,
                row=key,
            )

    def does(self) -> str:
        """Return what Enter does."""
        key, step = self.cursor_key, self.steps.get(self.cursor_key)
        if step is not None:
            return self._step_does(step)
        if key.startswith((_FACT, _UTILITY)):
            return "answer it"
        if key.startswith(_SHORT):
            return "go to Rods"
        return "open it" if key in {LATER, NOTE, ADD_TIME, *_PAGES} else ""

    @staticmethod
    def _step_does(step: StepRow) -> str:
        if step.kind == "text":
            return "write it" if not step.answered else "write it anew"
        if step.answered or step.kind == "value":
            return ""
        return (
            "go to the load-out"
            if step.id == TRUCK_STEP
            else "it is done"
            if step.kind == "check"
            else "answer"
        )

    def more_keys(self) -> tuple[tuple[str, str], ...]:
        """Return what else can be done on the row."""
        step = self.steps.get(self.cursor_key)
        no = (key_item("otherwise"),) if step is not None and step.kind == "check" else ()
        if step is not None and step.kind == "value":
            no = (("0-9", "type it"),)
        return (*no, key_item("earlier"), key_item("inspect_again", "rain, water"), key_item("find"))

    def chosen(self, key: str) -> None:
        """Check, answer or open the row."""
        step = self.steps.get(key)
        if self.here is None:
            return
        if step is not None:
            self._choose_step(step)
        elif key.startswith(_FACT):
            self._ask_fact(key.removeprefix(_FACT))
        elif key.startswith(_UTILITY):
            self._ask_utility(key.removeprefix(_UTILITY))
        elif key.startswith(_SHORT):
            self.post_message(self.Goes(pane="rods", row=key))
        else:
            self._choose_page(key, self.here)

    def _choose_page(self, key: str, here: Here) -> None:
        if key == LATER:
            state = here.day.state
            words = "\n".join((*schedule_words(state), "", "EACH ANCHOR AS IT STANDS", *account_lines(state)))
            self.app.push_screen(WordsPage("Tightening, by the plan", words))
        elif key == ADD_TIME:
            ask_exposure(self)
        elif key == NOTE:
            self.app.push_screen(AskText("A note for the office"), self._noted)
        elif key in _PAGES:
            self.post_message(self.WantsPage(_PAGES[key]))
        elif key == DATE:
            self.refuses(_BY_THE_CLOCK)
        else:
            self.refuses(NOTHING_HERE)

    def _choose_step(self, step: StepRow) -> None:
        if step.kind == "text":
            self.ask_text(step, None)
        elif step.id == TRUCK_STEP and not step.answered:
            self.post_message(self.Goes(pane="rods", row=TRUCK_COUNTED))
        elif step.kind == "check" and not step.answered:
            if step.id == PITS_COVERED and self.tomorrow is not None and self.tomorrow.open_pits:
                self._ask_covered(step, self.tomorrow.open_pits)
            else:
                self._answer(step, "yes")
        elif step.kind == "choice":
            self._answer(step, "?")
        elif step.kind == "value":
            stands = (
                "It is entered. Type to replace it" if step.answered else "Type the reading, such as 3 1/4"
            )
            self.refuses(f"{stands}, then press Enter.")
        else:
            self.refuses("It is entered. x says that it is not so; u takes back the last entry.")

    def _ask_covered(self, step: StepRow, pits: tuple[str, ...]) -> None:
        def answered(choice: str | None) -> None:
            if choice == DO_IT:
                self._answer(step, "yes")

        words = f"Pits that stand open: {', '.join(pits)}. {step.how}"
        self.app.push_screen(
            confirm("Is a cover on each?", words, do_it="On each, held fast and marked"), answered
        )

    def otherwise(self, key: str) -> None:
        """Answer a check with no."""
        step = self.steps.get(key)
        if step is not None and step.kind == "check":
            self._answer(step, "no")
        else:
            super().otherwise(key)

    def _answer(self, step: StepRow, answer: str) -> None:
        if self.here is not None:
            self.wants(
                self.here.day.answer,
                None,
                step.id,
                given={"answer": answer},
                takes_reason=True,
                choice_as="answer",
                dated=True,
            )

    def _ask_fact(self, fact: str) -> None:
        def answered(choice: str | None) -> None:
            if choice is not None and self.here is not None:
                self.wants(self.here.day.safety.answer_fact, fact, given={"answer": choice == "yes"})

        choices = (("yes", "Yes, or not sure", "the rules for it apply"), ("no", "No", ""))
        self.app.push_screen(AskChoice(FACTS[fact][1], "", choices), answered)

    def _ask_utility(self, name: str) -> None:
        def answered(choice: str | None) -> None:
            if choice in SETTLED:
                words = "Its number and who said so, as they gave it. Enter alone where they gave none."
                self.app.push_screen(
                    AskText(
                        f"{name}: {choice}", words, initial=self._said_by(name), needed="", replaces=True
                    ),
                    lambda note: keep(choice, note),
                )
            else:
                keep(choice, "")

        def keep(choice: str | None, note: str | None) -> None:
            if choice is not None and note is not None and self.here is not None:
                self.wants(self.here.day.site.answer_utility, name, choice, given={"note": note})

        self.app.push_screen(AskChoice(f"What did {name} answer?", "", _RESPONSES), answered)

    def _said_by(self, name: str) -> str:
        ticket = self.here.day.job.ticket if self.here is not None else None
        return next((one.note for one in ticket.utilities if one.name == name), "") if ticket else ""

    def _noted(self, text: str | None) -> None:
        if text is not None and self.here is not None:
            self.wants(self.here.day.beside.note, text)
