"""The steps of one anchor, phase by phase; a finished phase is one line that opens again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import ClassVar, Final

from msgspec.structs import replace
from textual.message import Message

from crewtui.day.recovery.way_entries import DEPTH_FOUND
from crewtui.day.state.fold_readings import READ_STEPS, WALL_READ
from crewtui.day.steps.step_card import StepCard, Trial, card_of, earlier_drives, tried
from crewtui.day.steps.step_rows import StepRow
from crewtui.tui.keys.commands import PaneName, key_item
from crewtui.tui.panes.pit_rows import row_of
from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.dialogs import DO_IT, AskChoice, confirm
from crewtui.tui.widgets.pane import NOT_ENTERED, Here, Pane, step_as_row, words_about
from crewtui.tui.widgets.row_layout import MARKS
from crewtui.tui.widgets.rows import Row
from crewtui.units import count_of

YES, NO = "yes", "no"
PHASE: Final = "phase "
_READ_AGAIN: Final = frozenset({"watch-mark"})
"""What is read anew before each drive."""
_DRIVEN: Final = frozenset({"wax", "held-angle", DEPTH_FOUND, "side-offset", "plate-on"})
"""Steps at which a rod may have come up wrong."""
_ALL_THE_SAME: Final = "all the same"


class StepsPane(Pane):
    """Check or type each step straight onto its row."""

    pane: ClassVar[PaneName] = "steps"

    class WhatNow(Message):
        """A rod came up outside its window: every way on is to be shown, for the depth as it was typed."""

        def __init__(self, depth: str) -> None:
            self.depth = depth
            super().__init__()

    class ReadsWall(Message):
        """The wall is to be read at the anchor at hand."""

    def __init__(self) -> None:
        super().__init__()
        self.steps: tuple[StepRow, ...] = ()
        self._drafts_by_anchor: dict[str, dict[str, str]] = {}
        self._opened: set[str] = set()
        """Finished phases that were opened again."""

    def rebuild(self, here: Here) -> None:
        """Show the anchor's steps; what was typed and not saved stays with its anchor."""
        if self.here is not None and self.here.anchor != here.anchor:
            self._drafts_by_anchor[self.here.anchor] = dict(self.drafts)
            self.editing = False
            self.drafts = self._drafts_by_anchor.get(here.anchor, {})
            self._opened.clear()
        self.here = here
        self.steps = here.day.rows(here.anchor)
        stands = self.step_at(self.cursor_key)
        if stands is not None and stands.answered:
            self._opened.add(stands.phase)  # A phase folds once the cursor has gone on, never under it.
        self.set_rows(self._rows())

    def _rows(self) -> Iterator[Row]:
        phases: dict[str, list[StepRow]] = {}
        for step in self.steps:
            phases.setdefault(step.phase, []).append(step)
        for phase, steps in phases.items():
            asked = [step for step in steps if step.mark != "not needed"]
            if not asked:
                continue
            done = all(step.answered for step in asked)
            if done and phase not in self._opened and not any(step.id in self.drafts for step in steps):
                yield self._folded(phase, asked)
                continue
            if done:
                yield Row(key=PHASE + phase, label=phase.upper(), mark="done", tone="done")
            else:
                yield Row(key=PHASE + phase, label=phase.upper(), heading=True)
            yield from map(self._row, steps)

    def _row(self, step: StepRow) -> Row:
        """Return a step's row; beside the depth stands how the drives before came up."""
        row = step_as_row(step)
        if step.id == DEPTH_FOUND and self.here is not None:
            before = earlier_drives(self.here.day.state, self.here.anchor)
            return replace(row, note="; ".join(part for part in (row.note, before) if part))
        return row

    def _folded(self, phase: str, steps: Sequence[StepRow]) -> Row:
        """Return a finished phase on one line, with as many of its values as there is room for."""
        deviates = sum(step.mark == "deviation" for step in steps)
        label = phase.upper()
        room = self.scrollable_content_region.width - MARKS - len(label) - 3
        said: list[str] = []
        for step in steps:
            if step.kind == "value":
                words = f"{step.id.replace('-', ' ')} {step.value.partition(' (')[0]}"
                if len(", ".join((*said, words))) <= room:
                    said.append(words)
        mark, tone = ("!", "deviation") if deviates else ("done", "done")
        return Row(key=PHASE + phase, label=f"{label}  {', '.join(said)}".rstrip(), mark=mark, tone=tone)  # type: ignore[arg-type]

    def on_resize(self) -> None:
        """Fold anew at the width there is."""
        super().on_resize()
        if self.here is not None:
            self.set_rows(self._rows())

    def step_at(self, key: str) -> StepRow | None:
        """Return the step on that row."""
        return next((step for step in self.steps if step.id == key), None)

    def go_to(self, key: str, *, quietly: bool = False) -> None:
        """Put the cursor on that row; a step in a folded phase opens it."""
        step = self.step_at(key)
        if step is not None and not any(row.key == key for row in self.rows):
            self._opened.add(step.phase)
            self.set_rows(self._rows())
        super().go_to(key, quietly=quietly)

    def go_to_next(self) -> None:
        """Put the cursor on the next open step: below the one that was just entered, else the first."""
        ids = [step.id for step in self.steps]
        at = ids.index(self.cursor_key) if self.cursor_key in ids else 0
        below = self.steps[at + 1 :] if self.steps and self.steps[at].answered else ()
        upcoming = next((step for step in below if not step.answered and step.mark != "not needed"), None)
        if upcoming is None:
            upcoming = next((step for step in self.steps if step.is_next), None)
        if upcoming is not None:
            self.go_to(upcoming.id, quietly=True)
            self._fold()

    def go_to_step_now(self) -> None:
        """Put the cursor on the step that is next at the anchor, wherever it stood."""
        upcoming = next((step for step in self.steps if step.is_next), None)
        if upcoming is not None:
            self.go_to(upcoming.id, quietly=True)
            self._fold()

    def _fold(self) -> None:
        """Fold the finished phases again, but for the one that the cursor is in."""
        step = self.step_at(self.cursor_key)
        self._opened &= {step.phase} if step is not None else set()
        self.set_rows(self._rows())

    # What is said.

    @property
    def card(self) -> StepCard | None:
        """The card of the step under the cursor."""
        step = self.step_at(self.cursor_key)
        if step is None or self.here is None:
            return None
        return card_of(step, self.here.day.facts(self.here.anchor), self.here.day.state)

    @property
    def trial(self) -> Trial | None:
        """What is typed under the cursor and not entered."""
        step, text = self.step_at(self.cursor_key), self.drafts.get(self.cursor_key, "")
        if step is None or self.here is None or not text.strip() or step.kind != "value":
            return None
        day = self.here.day
        return tried(step, text, day.facts(self.here.anchor), day.state, self.here.anchor)

    def saying(self) -> Saying:
        """Say what is typed against its limits, what holds the step, how and why."""
        trial, step = self.trial, self.step_at(self.cursor_key)
        if trial is not None:
            unsaved = ("coming", f"{trial.words} NOT SAVED: press Enter.".strip())
            return Saying(lines=(unsaved, *(words_about(step) if step is not None else ())))
        if step is not None:
            return Saying(lines=tuple(words_about(step)))
        phase = self.cursor_key.removeprefix(PHASE)
        done = [s for s in self.steps if s.phase == phase]
        deviations = [f"{s.label}: {s.reason}" for s in done if s.mark == "deviation"]
        said = [("deviation", words) for words in deviations]
        return Saying(
            lines=(("plain", f"{phase.capitalize()} is done, {count_of(len(done), 'line')}."), *said)
        )

    def does(self) -> str:
        """Return what Enter does here."""
        step = self.step_at(self.cursor_key)
        if step is None:
            phase = self.cursor_key.removeprefix(PHASE)
            return f"{'fold' if phase in self._opened else 'open'} {phase}"
        if step.kind == "text":
            return "write it"
        if step.answered or step.mark == "not needed":
            return ""
        if step.mark == "held":
            return "go to what holds it"
        if step.kind == "choice":
            return step.choices[0]
        return "it is done" if step.kind == "check" else "read the wall" if step.id in READ_STEPS else ""

    def typing_does(self) -> str:
        """Return what Enter saves."""
        trial = self.trial
        return f"save {trial.shown}" if trial is not None else super().typing_does()

    def more_keys(self) -> tuple[tuple[str, str], ...]:
        """Return what else can be done on the row."""
        step, card = self.step_at(self.cursor_key), self.card
        if step is None or card is None:
            return (key_item("next_anchor"), key_item("find"))
        found: list[tuple[str, str]] = []
        if step.kind == "value" and step.id != WALL_READ:
            found.append(("0-9", "replace it" if step.answered else "type it"))
        if card.as_planned and step.mark != "held":
            found.append(key_item("as_planned", f"{card.as_planned} as planned"))
        if step.id in _DRIVEN:
            found.append(key_item("what_now"))
        if step.kind == "check":
            found.append(key_item("otherwise", "done anyway" if step.mark == "held" else "not so"))
        elif step.kind == "choice":
            found.append(key_item("otherwise", "another answer"))
        return (*found, key_item("next_anchor"), key_item("readout"), key_item("find"))

    # What is entered.

    def entered(self, key: str, text: str) -> None:
        """Enter a value; one that is there already is replaced only after a question."""
        step = self.step_at(key)
        if step is None or step.kind != "value":
            return
        if not step.answered or key in _READ_AGAIN:
            self._enter(key, text)
            return

        def replaced(choice: str | None) -> None:
            if choice == DO_IT:
                self._enter(key, text)
            else:
                self.refuses(NOT_ENTERED)

        anchor = self.here.anchor if self.here is not None else ""
        question = confirm(
            f"{anchor}: {step.label} is entered",
            f"It stands at {step.value}. The record takes the last one; the journal keeps both.",
            do_it=f"Enter {text} in its place",
        )
        self.app.push_screen(question, replaced)

    def _enter(self, key: str, text: str) -> None:
        step, here = self.step_at(key), self.here
        if step is not None and here is not None:
            found = key == DEPTH_FOUND
            self.wants(
                here.day.measure,
                here.anchor,
                key,
                text,
                takes_reason=True,
                choice_as="then",
                dated=True,
                row=key,
                about=f"{here.anchor}: {step.label}",
                again=(lambda _: self._what_now(text)) if found else None,
            )

    def _what_now(self, depth: str) -> None:
        self.post_message(self.WhatNow(depth))

    def as_planned(self) -> None:
        """Enter that it was measured and is what the plan says, as it stands at the top."""
        step, card = self.step_at(self.cursor_key), self.card
        if step is None or card is None or not card.as_planned:
            why = "it is entered" if step is not None and step.answered else "no plan says what it will be"
            self.refuses(f"= enters a figure of the plan; here {why}.")
        elif step.mark == "held":
            self.refuses("This step is held: h shows what holds it. A value measured all the same is typed.")
        else:
            self._enter(step.id, card.as_planned)

    def chosen(self, key: str) -> None:
        """Do what the bottom line says: done, the good answer, what holds it, a phase opened."""
        step = self.step_at(key)
        if step is None:
            self._turn(key.removeprefix(PHASE))
        elif step.kind == "text":
            self.ask_text(step, self.here.anchor if self.here else None)
        elif step.mark == "not needed":
            self.refuses("This line is not asked here.")
        elif step.answered:
            how = "type to replace it" if step.kind == "value" else "x says that it is not so"
            self.refuses(f"It is entered. {how.capitalize()}; u takes back the last entry.")
        elif step.mark == "held":
            self.post_message(self.Goes(pane="hazards", row=row_of(step.holds[0])))
        elif step.id in READ_STEPS:
            self.post_message(self.ReadsWall())
        elif step.kind == "value":
            self.entered(key, "")
        else:
            self._answer(step, YES if step.kind == "check" else step.choices[0])

    def _turn(self, phase: str) -> None:
        self._opened ^= {phase}
        self.set_rows(self._rows())

    def otherwise(self, key: str) -> None:
        """Answer a check with no, a choice with another answer; what is held, done all the same."""
        step = self.step_at(key)
        if step is None:
            self.refuses("x is for a step: open the phase first, with Enter.")
        elif step.kind == "check" and step.mark == "held":
            self._ask_anyway(step)
        elif step.kind == "check":
            self._answer(step, NO)
        elif step.kind == "choice":
            self._answer(step, "")
        else:
            self.refuses("x is for a check. Type what was measured; w is for a rod that came up wrong.")

    def _ask_anyway(self, step: StepRow) -> None:
        def answered(choice: str | None) -> None:
            if choice is not None:
                self._answer(step, YES if choice == _ALL_THE_SAME else NO)

        choices = (
            (NO, "It is not so", "a deviation, with its reason"),
            (_ALL_THE_SAME, "It was done all the same", "a deviation, with its reason"),
        )
        self.app.push_screen(AskChoice(f"{step.label} is held", step.hold, choices), answered)

    def _answer(self, step: StepRow, answer: str) -> None:
        if self.here is None:
            return
        day, anchor = self.here.day, self.here.anchor
        self.wants(
            day.answer,
            anchor,
            step.id,
            given={"answer": answer or "?"},
            takes_reason=True,
            choice_as="answer",
            dated=True,
            about=f"{anchor}: {step.label}",
        )
