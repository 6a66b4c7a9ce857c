"""The working day, headless: all that the screens do is an intent of ``Day``, and comes back in words."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any, Final

from crewtui.day.journal import entries as e
from crewtui.day.journal.chained import Clock, Journal
from crewtui.day.recovery.way_entries import DEPTH_FOUND
from crewtui.day.session.aim_intents import AimIntents
from crewtui.day.session.beside_intents import BesideIntents
from crewtui.day.session.hold_intents import HoldIntents
from crewtui.day.session.inspection_intents import InspectionIntents
from crewtui.day.session.intents import ask_reason, asking
from crewtui.day.session.line_intents import LineIntents
from crewtui.day.session.opened import system_clock
from crewtui.day.session.photo_intents import PhotoIntents
from crewtui.day.session.plan_intents import PlanIntents
from crewtui.day.session.rod_intents import RodIntents
from crewtui.day.session.site_intents import SiteIntents
from crewtui.day.session.tightening_intents import TighteningIntents
from crewtui.day.session.truck_intents import TruckIntents
from crewtui.day.session.views import ViewedDay, WorkPlace
from crewtui.day.session.walk_intents import WalkIntents
from crewtui.day.session.wall_intents import WallIntents
from crewtui.day.state.facts import Figures
from crewtui.day.state.fold import fold, taken_back
from crewtui.day.state.fold_readings import READINGS, WALL_READ
from crewtui.day.state.fold_steps import PRIVATE_LINES, PRIVATE_LINES_STEP
from crewtui.day.state.state import Answered
from crewtui.day.steps import typed_value
from crewtui.day.steps.outcomes import AskBackError, NeedsChoice, NeedsSure, Outcome, Saved, refuse
from crewtui.day.steps.step_rows import CLOSED_STEP, entered
from crewtui.day.steps.visit_word import WORD_STEP, doubt_of
from crewtui.job.file.model import Job
from crewtui.job.tables.steps import StepDef

_NAMED_LEFT = 2
"""So many open steps are named where an anchor is closed before its time."""
_NOT_TAKEN_BACK = (e.DayOpened, e.Continued, e.TakenBack, e.Emergency)


_BOW_ALONE: Final = (
    "A bow typed alone cannot be held against a later reading. Go back: Enter with nothing typed reads the"
    " wall at three heights."
)


class Day(ViewedDay):
    """One open day: what its steps take in, and a part for each subject.

    Intents return Saved, or what is asked back; a disk that fails raises JournalError.
    """

    def __init__(
        self, *, job_path: Path, job: Job, journal: Journal, clock: Clock, figures: Figures | None
    ) -> None:
        super().__init__(job_path=job_path, job=job, journal=journal, clock=clock, figures=figures)
        self.aim = AimIntents(self)
        self.rods = RodIntents(self)
        self.truck = TruckIntents(self)
        self.tightening = TighteningIntents(self)
        self.walls = WallIntents(self)
        self.ground = LineIntents(self)
        self.safety = HoldIntents(self)
        self.inspections = InspectionIntents(self)
        self.walks = WalkIntents(self)
        self.beside = BesideIntents(self)
        self.site = SiteIntents(self)
        self.job_file = PlanIntents(self)
        self.pictures = PhotoIntents(self)

    # Steps.

    @asking
    def answer(
        self,
        anchor: str | None,
        step: str,
        answer: str = "yes",
        *,
        reason: str = "",
        sure: bool = False,
        done_at: datetime | None = None,
    ) -> Outcome:
        """Answer a check, a choice or a text; what is not the good answer, or is held, asks for a reason.

        An answer that turns another one round asks whether it is so.
        """
        times = self.times(done_at)
        definition = self._step_at(step, anchor)
        stands = entered(self.state, definition, anchor)
        turned = isinstance(stands, Answered) and stands.deviates and answer != stands.answer
        if isinstance(stands, Answered) and turned and definition.kind == "check" and not sure:
            because = f": {stands.reason}" if stands.reason else ""
            raise AskBackError(
                NeedsSure(
                    sentence=f'{definition.label} stands as "{stands.answer}"{because}. Is it "{answer}" now?'
                )
            )
        deviates = self._judge_answer(definition, answer)
        if step == WORD_STEP and anchor is not None and not sure:
            doubt = doubt_of(self.state.anchors[anchor], answer)
            if doubt:
                raise AskBackError(NeedsSure(sentence=doubt))
        left: tuple[str, ...] = ()
        if anchor is not None and step == CLOSED_STEP and not self.state.anchors[anchor].dropped:
            left = self._left_at(anchor)
            deviates = bool(left) is (answer == definition.choices[0])
        holds = self.holds_on(step, anchor, done_at=done_at)
        asks = (self._answer_words(definition, answer, left),) if deviates else ()
        better = "Write everybody's initials" if deviates and definition.one_each else ""
        ask_reason(reason, asks, holds, better=better)
        return self.save(
            e.StepDone(
                **times,
                anchor=anchor,
                step=step,
                answer=answer,
                reason=reason,
                deviates=deviates,
                while_held=tuple(hold.id for hold in holds),
            )
        )

    def _step_at(self, step: str, anchor: str | None) -> StepDef:
        definition = self.step(step)
        if anchor is not None and not (definition.makes_safe and anchor in self.state.anchors):
            self.anchor(anchor)
        if (definition.scope == "anchor") != (anchor is not None):
            where = "at an anchor" if definition.scope == "anchor" else "once for the job"
            raise refuse(f"{definition.label} is answered {where}.")
        return definition

    def _judge_answer(self, step: StepDef, answer: str) -> bool:
        """Return whether the answer deviates; AskBackError where it is no answer to this step."""
        if step.kind == "value":
            raise refuse(f"{step.label} is measured: type its value.")
        if not answer.strip():
            raise refuse(f"{step.label}: type an answer.")
        if step.kind == "check":
            if answer not in {"yes", "no"}:
                raise refuse(f"{step.label} is answered yes or no.")
            return answer == "no"
        if step.id == PRIVATE_LINES_STEP and not PRIVATE_LINES.get(answer, True):
            self.safety.refuse_no_private_lines()
        if step.one_each:
            return len(answer.split()) < len(self.job.job.everybody)
        if step.kind == "choice" and answer not in step.choices:
            raise AskBackError(NeedsChoice(sentence=f"{step.label}: which?", choices=step.choices))
        return step.kind == "choice" and not step.either and answer != step.choices[0]

    def _left_at(self, anchor: str) -> tuple[str, ...]:
        """Return the steps before an anchor's last that are asked there and not entered."""
        rows = self.rows(anchor)
        return tuple(
            row.label
            for row in rows
            if row.id != CLOSED_STEP and not row.answered and row.mark != "not needed"
        )

    def _answer_words(self, step: StepDef, answer: str, left: tuple[str, ...]) -> str:
        if left:
            more = f" and {len(left) - _NAMED_LEFT} more" if len(left) > _NAMED_LEFT else ""
            return (
                f"Not entered at this anchor: {'; '.join(left[:_NAMED_LEFT])}{more}."
                f' An anchor that is not finished is "{step.choices[1]}".'
            )
        if not step.one_each:
            return f"{step.label}: {answer} is a deviation."
        crew = self.job.job.everybody
        return f"Initials of {len(answer.split())} for {len(crew)} people: {', '.join(crew)}."

    @asking
    def measure(
        self,
        anchor: str | None,
        step: str,
        text: str,
        *,
        then: str = "",
        reason: str = "",
        sure: bool = False,
        done_at: datetime | None = None,
    ) -> Outcome:
        """Read a value with its unit and keep it.

        One outside its limits, or held, asks for a reason; one far from the plan asks whether it is so.
        """
        times = self.times(done_at)
        definition = self._step_at(step, anchor)
        if definition.kind != "value":
            raise refuse(f"{definition.label} is not measured: answer it.")
        if step == WALL_READ:
            raise refuse("The wall is read from an upright line at three heights or more: i opens the page.")
        now = self.state.anchors[anchor] if anchor is not None else None
        value = typed_value.read_value(definition, text, self.state, now)
        if definition.then and then not in definition.then:
            raise AskBackError(NeedsChoice(sentence=f"{definition.label}: which?", choices=definition.then))
        then_deviates = bool(definition.then) and then != definition.then[0]
        figures = self.hold_facts(anchor).figures
        judged = typed_value.judge(definition, value, figures, self.state)
        far = typed_value.asked_once(definition, value, self.state, now)
        if far and not (sure or reason or judged.outside):
            raise AskBackError(NeedsSure(sentence=far))
        given: dict[str, Any] = {
            **times,
            "anchor": anchor,
            "step": step,
            "quantity": definition.quantity,
            "value": value,
            "text": text,
            "then": then,
            "then_deviates": then_deviates,
            "reason": reason,
            "outside": judged.outside,
            "limit": judged.limit,
        }
        holds = self.holds_with(e.ValueMeasured(**given))
        asks = [f"{judged.sentence} {figures.hints.get(step, '')}".rstrip()] if judged.outside else []
        asks += [f"{definition.label}: {then} is a deviation."] if then_deviates else []
        if step == READINGS and now is not None and not now.readings:
            asks.append(_BOW_ALONE)
        better = "See every way on first" if judged.outside and step == DEPTH_FOUND else ""
        ask_reason(reason, tuple(asks), holds, limit=judged.limit, better=better)
        return self.save(e.ValueMeasured(**given, while_held=tuple(hold.id for hold in holds)))

    @asking
    def take_back(self, n: int | None = None) -> Outcome:
        """Take back an entry, the last one unless told; Saved.words says which."""
        gone = taken_back(self.journal.entries)
        for entry in reversed(self.journal.entries):
            if isinstance(entry, e.Signed) and entry.n not in gone:
                raise refuse(
                    "What is signed is not taken back: enter what is right, and sign a new revision."
                )
            if isinstance(entry, _NOT_TAKEN_BACK) or _is_own_note(entry) or entry.n in gone:
                if entry.n == n:
                    raise refuse("That entry cannot be taken back.")
                if isinstance(entry, e.DayOpened) and entry.n == self.state.shared.day_began_n:
                    break
                continue
            if n in {None, entry.n}:
                self._refuse_what_others_rest_on(entry)
                placed = self.put(e.TakenBack(**self.times(None), of=entry.n))
                return Saved(entry=placed, words=f"Undone: {self.wording.say(entry)}")
        raise refuse("Nothing is left to take back today.")

    def _refuse_what_others_rest_on(self, entry: e.Entry) -> None:
        """Refuse to take back what a later entry needs, such as the anchor that it was entered at."""
        if isinstance(entry, e.PlanChosen) or entry.n == self.state.last_n:
            return
        back = e.TakenBack(**self.times(None), n=self.state.last_n + 1, of=entry.n)
        after = fold(self.plan, self.rules, (*self.journal.entries, back)).shared.unplaced
        left = next((n for n in after if n not in self.state.shared.unplaced), None)
        if left is not None:
            words = self.wording.say(self.journal.entries[left - 1])
            raise refuse(f"Another entry rests on it; take that back first: {words}.")


def _is_own_note(entry: e.Entry) -> bool:
    return isinstance(entry, e.Note) and entry.by_program


__all__ = ["Day", "WorkPlace", "system_clock"]
