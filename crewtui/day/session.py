"""The working day, headless: all that the screens do is an intent of ``Day``, and comes back in words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime
from functools import wraps
from typing import Any, Concatenate, ParamSpec

from pydantic import ValidationError

from crewtui import units
from crewtui.day import entries as e
from crewtui.day import reading
from crewtui.day.conditions import FACTS
from crewtui.day.fold import taken_back
from crewtui.day.holds import Hold, said
from crewtui.day.journal import JournalError
from crewtui.day.opened import OpenDay, Place, system_clock
from crewtui.day.outcomes import (
    AskBackError,
    NeedsChoice,
    NeedsReason,
    Outcome,
    Refused,
    Saved,
    refuse,
)
from crewtui.day.setting_up import filled_in, moved_values
from crewtui.day.state import ACCEPT
from crewtui.job.steps import StepDef

P = ParamSpec("P")

_NOT_TAKEN_BACK = (e.DayOpened, e.Continued, e.TakenBack, e.Emergency)


def _asking(intent: Callable[Concatenate[Day, P], Outcome]) -> Callable[Concatenate[Day, P], Outcome]:
    """Return the intent with what it asks back as its outcome."""

    @wraps(intent)
    def run(self: Day, /, *args: P.args, **kwargs: P.kwargs) -> Outcome:
        try:
            return intent(self, *args, **kwargs)
        except AskBackError as asked:
            return asked.outcome
        except ValidationError as error:
            first = error.errors(include_url=False)[0]
            place = ".".join(str(part) for part in first["loc"])
            return Refused(sentence=f"That cannot be entered ({place}: {first['msg']}).")

    return run


class Day(OpenDay):
    """One open day. Intents return Saved, or what is asked back; a disk that fails raises JournalError."""

    def _save(self, entry: e.Entry) -> Saved:
        placed = self.put(entry)
        return Saved(entry=placed, words=self.wording.say(placed))

    # Steps.

    @_asking
    def answer(
        self,
        anchor: str | None,
        step: str,
        answer: str = "yes",
        *,
        reason: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Answer a check, a choice or a text; what is not the good answer, or is held, asks for a reason."""
        times = self.times(done_at)
        definition = self._step_at(step, anchor)
        deviates = self._judge_answer(definition, answer)
        holds = self.holds_on(step, anchor, done_at=done_at)
        asks = (f"{definition.label}: {answer} is a deviation.",) if deviates else ()
        _ask_reason(reason, asks, holds)
        return self._save(
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
        if step.kind == "choice" and answer not in step.choices:
            raise AskBackError(NeedsChoice(sentence=f"{step.label}: which?", choices=step.choices))
        return step.kind == "choice" and answer != step.choices[0]

    @_asking
    def measure(
        self,
        anchor: str | None,
        step: str,
        text: str,
        *,
        then: str = "",
        reason: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Read a value with its unit and keep it; one outside its limits, or held, asks for a reason."""
        times = self.times(done_at)
        definition = self._step_at(step, anchor)
        if definition.kind != "value":
            raise refuse(f"{definition.label} is not measured: answer it.")
        now = self.state.anchors[anchor] if anchor is not None else None
        value = reading.read_value(definition, text, self.state, now)
        if definition.then and then not in definition.then:
            raise AskBackError(NeedsChoice(sentence=f"{definition.label}: which?", choices=definition.then))
        then_deviates = bool(definition.then) and then != definition.then[0]
        figures = self.hold_facts(anchor).figures
        judged = reading.judge(definition, value, figures, self.state)
        holds = self.holds_on(step, anchor, done_at=done_at)
        asks = [judged.sentence] if judged.outside else []
        asks += [f"{definition.label}: {then} is a deviation."] if then_deviates else []
        _ask_reason(reason, tuple(asks), holds, limit=judged.limit)
        return self._save(
            e.ValueMeasured(
                **times,
                anchor=anchor,
                step=step,
                quantity=definition.quantity,
                value=value,
                text=text,
                then=then,
                then_deviates=then_deviates,
                reason=reason,
                outside=judged.outside,
                limit=judged.limit,
                while_held=tuple(hold.id for hold in holds),
            )
        )

    @_asking
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
                placed = self.put(e.TakenBack(**self.times(None), of=entry.n))
                return Saved(entry=placed, words=f"Taken back: {self.wording.say(entry)}")
        raise refuse("Nothing is left to take back today.")

    # Drives and aims.

    @_asking
    def attempt_drive(
        self,
        anchor: str,
        *,
        depth_found_in: float | None,
        held_angle_deg: float | None = None,
        side_offset_in: float | None = None,
        angle_in_pit_deg: float | None = None,
        way: e.Way | None = None,
        straight: bool = True,
        left_out_reason: str = "",
        reason: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep a drive as an attempt, with the way on that was chosen; its new aim is then every figure's."""
        times = self.times(done_at)
        now = self.anchor(anchor)
        held = held_angle_deg if held_angle_deg is not None else now.here("held_angle_deg")
        if held is None:
            raise refuse("At which angle was the rod held? The way on rests on it.")
        for angle in (held, angle_in_pit_deg or 0.0):
            reading.refuse_no_angle(angle)
        for quantity, value in (("depth_found_in", depth_found_in), ("side_offset_in", side_offset_in)):
            if value is not None:
                reading.refuse_where_it_cannot_be(quantity, value, self.state, now)
        deviates, sentence, limit = self._judge_drive(anchor, depth_found_in, way)
        holds = self.holds_on("depth-found", anchor, done_at=done_at)
        _ask_reason(reason, (sentence,) if deviates else (), holds, limit=limit)
        return self._save(
            e.DriveAttempted(
                **times,
                anchor=anchor,
                attempt=len(now.drives) + 1,
                held_angle_deg=held,
                depth_found_in=depth_found_in,
                side_offset_in=side_offset_in,
                angle_in_pit_deg=angle_in_pit_deg,
                way=way,
                straight=straight,
                left_out_reason=left_out_reason,
                reason=reason,
                deviates=deviates,
                while_held=tuple(hold.id for hold in holds),
            )
        )

    def _judge_drive(self, anchor: str, depth_in: float | None, way: e.Way | None) -> tuple[bool, str, str]:
        """Return whether a rod left where it is deviates, why, and its limits."""
        if way is not None and way.kind != ACCEPT:
            return False, "", ""
        if depth_in is None:
            if way is not None:
                raise refuse(
                    "A rod that did not show cannot be accepted: search for it, or choose another way."
                )
            return False, "", ""
        judged = reading.judge(self.step("depth-found"), depth_in, self.facts(anchor), self.state)
        return judged.outside, judged.sentence, judged.limit

    @_asking
    def change_aim(self, anchor: str, values: Mapping[str, float], *, because: str) -> Outcome:
        """Aim for other values than the plan's from here on."""
        self.anchor(anchor)
        _need(because, "Why? The record keeps the reason.")
        return self._save(
            e.AimChanged(**self.times(None), anchor=anchor, values=dict(values), because=because)
        )

    @_asking
    def accept_drift(self, wall: str, mean_deg: float, *, on: bool = True) -> Outcome:
        """Use a wall's drift in the aim, or stop using it."""
        if wall not in {item.name for item in self.job.walls}:
            raise refuse(f"There is no wall {wall}.")
        return self._save(e.DriftAccepted(**self.times(None), wall=wall, mean_deg=mean_deg, on=on))

    @_asking
    def expose_line(self, line: str, depth: str, *, done_at: datetime | None = None) -> Outcome:
        """Keep the depth of a line laid bare, to its middle below the ground right there."""
        if line not in {item.name for item in self.job.lines}:
            raise refuse(f"There is no line {line} in the job.")
        try:
            depth_in = units.read_length(depth, bare="mm" if self.job.job.units == "metric" else "in")
        except units.UnreadableError as error:
            raise refuse(str(error)) from error
        if depth_in < 0:
            raise refuse("A line's depth is not negative.")
        return self._save(e.LineExposed(**self.times(done_at), line=line, depth_in=depth_in))

    # Anchors on site.

    @_asking
    def move_anchor(self, anchor: str, values: Mapping[str, float], *, reason: str) -> Outcome:
        """Set an anchor elsewhere or otherwise than planned: fields of the job file, with their unit."""
        now = self.anchor(anchor)
        _need(reason, "Why is it changed? The record keeps the reason.")
        moved_values(now.plan, values, self.job)
        return self._save(
            e.AnchorMoved(**self.times(None), anchor=anchor, values=dict(values), reason=reason)
        )

    @_asking
    def add_anchor(self, anchor: str, wall: str, values: Mapping[str, float], *, reason: str) -> Outcome:
        """Add an anchor that the plan does not have."""
        if anchor in self.state.anchors:
            raise refuse(f"There is an anchor {anchor} already.")
        if wall not in {item.name for item in self.job.walls}:
            raise refuse(f"There is no wall {wall}.")
        _need(reason, "Why is it added? The record keeps the reason.")
        moved_values(None, {"along_in": -1.0, **values}, self.job, ident=anchor, wall=wall)
        return self._save(
            e.AnchorAdded(**self.times(None), anchor=anchor, wall=wall, values=dict(values), reason=reason)
        )

    @_asking
    def drop_anchor(self, anchor: str, *, reason: str) -> Outcome:
        """Leave an anchor out; what makes its place safe can still be entered."""
        self.anchor(anchor)
        _need(reason, "Why is it dropped? The record keeps the reason.")
        return self._save(e.AnchorDropped(**self.times(None), anchor=anchor, reason=reason))

    # Holds, hazards, questions.

    def _standing(self, hold: str, anchor: str | None) -> Hold:
        for found in self.standing_holds(anchor):
            if found.id == hold:
                return found
        raise refuse(f"{hold} holds nothing here now.")

    @_asking
    def release_hold(
        self,
        hold: str,
        anchor: str | None,
        *,
        initials: str,
        note: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Say that what a hold asks for is true, with initials or a name; a fact is not signed away."""
        found = self._standing(hold, anchor)
        if found.release == "fact":
            raise refuse(found.sentence)
        who = "a name" if found.release == "name" else "initials"
        _need(initials, f"This is released with {who}.")
        if found.held_by == "hazard":
            return self.answer_hazard(
                hold, in_place=True, initials=initials, anchor=found.anchor, note=note, done_at=done_at
            )
        return self._save(
            e.HoldReleased(
                **self.times(done_at), hold=hold, anchor=found.anchor, initials=initials, note=note
            )
        )

    @_asking
    def override_hold(self, hold: str, anchor: str | None, *, name: str, reason: str) -> Outcome:
        """Set a hold aside where its rule lets it, with who allowed it and why: a deviation."""
        found = self._standing(hold, anchor)
        if found.override == "never":
            raise refuse(f"This is never set aside. {found.way_on}")
        _need(name, "Who allowed it? The record keeps the name.")
        _need(reason, "Why? The record keeps the reason.")
        return self._save(
            e.HoldOverridden(**self.times(None), hold=hold, anchor=found.anchor, name=name, reason=reason)
        )

    @_asking
    def answer_hazard(
        self,
        hazard: str,
        *,
        in_place: bool,
        initials: str,
        anchor: str | None = None,
        note: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Say that what a hazard asks for is in place, or that it is not."""
        found = next((item for item in self.hazards if item.id == hazard), None)
        if found is None:
            raise refuse(f"There is no hazard {hazard}.")
        if found.scope == "anchor" and anchor is None:
            raise refuse(f"{found.text}: this is answered at an anchor.")
        where = anchor if found.scope == "anchor" else None
        if where is not None:
            self.anchor(where)
        _need(initials, "Sign it with your initials." if found.release == "check" else "Sign it with a name.")
        return self._save(
            e.HazardAnswered(
                **self.times(done_at),
                hazard=hazard,
                anchor=where,
                in_place=in_place,
                initials=initials,
                note=note,
            )
        )

    @_asking
    def answer_pit_entry(self, anchor: str, *, somebody: bool, done_at: datetime | None = None) -> Outcome:
        """Say whether anybody's head or trunk goes below this pit's rim."""
        self.anchor(anchor)
        return self._save(e.PitEntryAnswered(**self.times(done_at), anchor=anchor, somebody=somebody))

    @_asking
    def answer_fact(self, fact: str, *, answer: bool, initials: str = "", note: str = "") -> Outcome:
        """Answer a question asked once a job."""
        if fact not in FACTS:
            raise refuse(f"{fact} is not asked.")
        return self._save(
            e.FactAnswered(**self.times(None), fact=fact, answer=answer, initials=initials, note=note)
        )

    @_asking
    def accept_deviation(self, n: int, *, name: str, reason: str) -> Outcome:
        """Have somebody named accept a deviation that stands."""
        if n not in {item.n for item in self.state.deviations}:
            raise refuse(f"Entry {n} is no deviation that stands.")
        _need(name, "Who accepts it?")
        _need(reason, "Why is it accepted?")
        return self._save(e.DeviationAccepted(**self.times(None), of=n, name=name, reason=reason))

    @_asking
    def reopen_inspection(self, because: str) -> Outcome:
        """Have the open pits looked over again, after rain, thaw, vibration or a burst hose."""
        _need(because, "What happened: rain, thaw, vibration, a burst hose?")
        return self._save(e.Reopened(**self.times(None), because=because))

    # The job's own.

    @_asking
    def set_up(self, table: str, values: Mapping[str, Any], *, name: str = "") -> Outcome:
        """Fill in values that the job file does not have; strings are read as people write them."""
        plain = filled_in(self.state, table, name, values)
        return self._save(
            e.SetUp.model_validate({**self.times(None), "table": table, "name": name, "values": plain})
        )

    @_asking
    def answer_utility(self, utility: str, response: str, *, note: str = "") -> Outcome:
        """Fill in what a utility on the ticket answered."""
        ticket = self.job.ticket
        if ticket is None or utility not in {item.name for item in ticket.utilities}:
            raise refuse(f"There is no {utility} on the ticket.")
        listed = [item.model_dump(mode="json") for item in ticket.utilities]
        for item in listed:
            if item["name"] == utility:
                item.update({"response": response, "note": note})
        return self.set_up("ticket", {"utilities": listed})

    @_asking
    def note(self, text: str, *, anchor: str | None = None) -> Outcome:
        """Keep a remark."""
        _need(text, "Type the note.")
        return self._save(e.Note(**self.times(None), anchor=anchor, text=text))

    def emergency(self, anchor: str | None = None) -> Outcome:
        """Keep the time at which the emergency page was opened; it never stands in the page's way."""
        now = self.clock()
        try:
            return self._save(e.Emergency(done_at=now, typed_at=now, anchor=anchor))
        except JournalError as error:
            return Refused(sentence=str(error))

    @_asking
    def record_signed(self, record_sha256: str, *, revision: int, name: str) -> Outcome:
        """Keep that a record was signed and written."""
        return self._save(
            e.Signed(**self.times(None), record_sha256=record_sha256, revision=revision, name=name)
        )


def _is_own_note(entry: e.Entry) -> bool:
    return isinstance(entry, e.Note) and entry.by_program


def _need(text: str, sentence: str) -> None:
    if not e.plain_text(text):
        raise refuse(sentence)


def _ask_reason(reason: str, sentences: tuple[str, ...], holds: tuple[Hold, ...], *, limit: str = "") -> None:
    """Ask for a reason where something deviates or is held and none was given."""
    if e.plain_text(reason) or not (sentences or holds):
        return
    held = (f"Held: {said(holds)}",) if holds else ()
    ask = "Enter it all the same with a reason; it is then a deviation."
    raise AskBackError(NeedsReason(sentence=" ".join((*held, *sentences, ask)), limit=limit, holds=holds))


__all__ = ["Day", "Place", "system_clock"]
