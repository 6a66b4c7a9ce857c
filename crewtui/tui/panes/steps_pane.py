"""The steps of one anchor, phase by phase."""

from __future__ import annotations

from typing import ClassVar, Final

from textual.message import Message

from crewtui.day.session.day import DEPTH_FOUND
from crewtui.day.steps.step_rows import StepRow
from crewtui.tui.keys.commands import PaneName
from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.dialogs import DO_IT, confirm
from crewtui.tui.widgets.pane import NOT_ENTERED, Here, Pane, step_as_row, words_about
from crewtui.tui.widgets.rows import Row

YES, NO = "yes", "no"
_READ_AGAIN: Final = frozenset({"watch-mark"})
"""What is read anew before each drive."""


class StepsPane(Pane):
    """Check or type each step straight onto its row."""

    pane: ClassVar[PaneName] = "steps"

    class WhatNow(Message):
        """A rod came up outside its window: every way on is to be shown, for the depth as it was typed."""

        def __init__(self, depth: str) -> None:
            self.depth = depth
            super().__init__()

    def __init__(self) -> None:
        super().__init__()
        self.steps: tuple[StepRow, ...] = ()
        self._drafts_by_anchor: dict[str, dict[str, str]] = {}

    def rebuild(self, here: Here) -> None:
        """Show the anchor's steps; what was typed and not saved stays with its anchor."""
        if self.here is not None and self.here.anchor != here.anchor:
            self._drafts_by_anchor[self.here.anchor] = dict(self.drafts)
            self.editing = False
            self.drafts = self._drafts_by_anchor.get(here.anchor, {})
        self.here = here
        self.steps = here.day.rows(here.anchor)
        rows: list[Row] = []
        phase = ""
        for step in self.steps:
            if step.phase != phase:
                phase = step.phase
                rows.append(Row(key=f"phase {phase}", label=phase.upper(), heading=True))
            rows.append(step_as_row(step))
        self.set_rows(rows)

    def step_at(self, key: str) -> StepRow | None:
        """Return the step on that row."""
        return next((step for step in self.steps if step.id == key), None)

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

    def saying(self) -> Saying:
        """Say what holds the step, its limits, how and why."""
        step = self.step_at(self.cursor_key)
        return Saying(lines=tuple(words_about(step))) if step is not None else Saying()

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

    def chosen(self, key: str) -> None:
        """Check the step, or take its good answer; a value is typed, not chosen."""
        step = self.step_at(key)
        if step is None:
            return
        if step.kind == "text":
            self.ask_text(step, self.here.anchor if self.here else None)
        elif step.answered:
            return
        elif step.kind == "check":
            self._answer(step, YES)
        elif step.kind == "choice":
            self._answer(step, "")
        else:
            self.entered(key, "")

    def otherwise(self, key: str) -> None:
        """Answer a check with no, or a choice with another of its answers."""
        step = self.step_at(key)
        if step is None:
            return
        if step.kind == "check":
            self._answer(step, NO)
        elif step.kind == "choice":
            self._answer(step, "")

    def _answer(self, step: StepRow, answer: str) -> None:
        if self.here is None:
            return
        day, anchor = self.here.day, self.here.anchor
        given = {"answer": answer or "?"}
        self.wants(
            day.answer,
            anchor,
            step.id,
            given=given,
            takes_reason=True,
            choice_as="answer",
            dated=True,
            about=f"{anchor}: {step.label}",
        )
