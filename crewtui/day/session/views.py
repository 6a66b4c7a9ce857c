"""What an open day shows: figures, holds, rows, overview, log, where the person is; kept until it changes."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import Final

from msgspec import Struct

from crewtui.day.journal import cursor
from crewtui.day.journal import entries as e
from crewtui.day.journal.chained import Clock, Journal
from crewtui.day.recovery.way_entries import HELD_ANGLE
from crewtui.day.safety.holds import HoldFacts, holds_for, standing
from crewtui.day.safety.locates import ticket_holds
from crewtui.day.session.opened import OpenDay
from crewtui.day.state.facts import FigureFacts, Figures, PlainFacts
from crewtui.day.state.fold import apply
from crewtui.day.state.hold import Hold
from crewtui.day.state.state import DayState
from crewtui.day.steps.pace import Pace, pace
from crewtui.day.steps.step_rows import (
    AnchorRow,
    RowFacts,
    StepRow,
    anchor_row,
    asked_again,
    is_needed,
    next_row,
    step_rows,
)
from crewtui.day.wall.wall_rows import WallView, wall_view
from crewtui.job.file.model import Job
from crewtui.job.tables.steps import Scope

Drives = tuple[tuple[str, int], ...]
"""Which rods were driven: the anchor and the number of the entry."""
_NO_FACTS: Final = PlainFacts()


def _same(first: tuple[object, ...], second: tuple[object, ...]) -> bool:
    """Return whether two tuples hold the very same objects: states are never changed, so identity tells."""
    return len(first) == len(second) and all(a is b for a, b in zip(first, second, strict=True))


class WorkPlace(Struct, frozen=True, kw_only=True):
    """Where the person is: an anchor and a step, or the job's own steps where there is no anchor."""

    anchor: str | None
    step: str | None


class LogLine(Struct, frozen=True, kw_only=True):
    """One entry in words."""

    n: int
    done_at: datetime
    typed_at: datetime
    words: str
    taken_back: bool


class ViewedDay(OpenDay):
    """The day as screens read it."""

    def __init__(
        self, *, job_path: Path, job: Job, journal: Journal, clock: Clock, figures: Figures | None
    ) -> None:
        super().__init__(job_path=job_path, job=job, journal=journal, clock=clock, figures=figures)
        self._facts: dict[str, tuple[tuple[object, ...], Drives, FigureFacts]] = {}
        self._tallies: dict[str, tuple[tuple[object, ...], AnchorRow]] = {}
        self._drives: tuple[DayState | None, Mapping[str, Drives]] = (None, {})
        self._rows: dict[str, tuple[tuple[object, ...], tuple[str, ...], tuple[StepRow, ...]]] = {}
        self._walls: dict[str, tuple[tuple[object, ...], WallView]] = {}

    # Figures.

    def facts(self, anchor: str) -> FigureFacts:
        """Return what the figures say of an anchor; kept until something that they rest on changes.

        They rest on the anchor, the job, what is known of lines and soil, the drives on the same wall, and
        where the rods of other walls run.
        """
        now, shared = self.state.anchors[anchor], self.state.shared
        token = (
            now,
            shared.job,
            shared.drift,
            shared.exposed,
            shared.facts,
            *self._round_the_corner(now.wall),
        )
        drives = self._drives_by_wall().get(now.wall, ())
        kept = self._facts.get(anchor)
        if kept is not None and _same(kept[0], token) and kept[1] == drives:
            return kept[2]
        found = self._compute(anchor)
        self._facts[anchor] = (token, drives, found)
        return found

    def _round_the_corner(self, wall: str) -> tuple[object, ...]:
        """Return the anchors of the other walls; none where the job has one."""
        if len(self.state.job.walls) == 1:
            return ()
        return tuple(other for other in self.state.anchors.values() if other.wall != wall)

    def _drives_by_wall(self) -> Mapping[str, Drives]:
        """Return which drives there are on each wall; read once for each state."""
        if self._drives[0] is not self.state:
            found: dict[str, Drives] = {}
            for now in self.state.anchors.values():
                for drive in now.drives:
                    found[now.wall] = (*found.get(now.wall, ()), (now.id, drive.n))
            self._drives = (self.state, found)
        return self._drives[1]

    def _compute(self, anchor: str, state: DayState | None = None) -> FigureFacts:
        figures = self._figures if self._figures is not None else _all_figures()
        try:
            return figures(self.state if state is None else state, anchor)
        except (ValueError, ArithmeticError) as error:
            hold = Hold(
                id="no-figures",
                text=f"The figures of {anchor} cannot be computed: {error}",
                steps=("drill", "drive"),
                held_by="figures",
                way_on="Check the values entered here, and the plan.",
                anchor=anchor,
            )
            return PlainFacts(holds=(hold,), warnings=(hold.text,))

    def wall(self, name: str) -> WallView:
        """Return what there is to say of a wall's layout; kept until an anchor on it or the job changes."""
        token = (self.state.shared, *(now for now in self.state.anchors.values() if now.wall == name))
        kept = self._walls.get(name)
        if kept is not None and len(kept[0]) == len(token) and _same(kept[0], token):
            return kept[1]
        found = wall_view(self.state, name)
        self._walls[name] = (token, found)
        return found

    # Holds.

    def hold_facts(self, anchor: str | None, *, done_at: datetime | None = None) -> HoldFacts:
        """Return what holds are judged on at an anchor, or for the job's own steps, now or as it was then."""
        figures = self.facts(anchor) if anchor is not None else PlainFacts()
        return HoldFacts(
            state=self.state, hazards=self.hazards, now=self.clock(), done_at=done_at, figures=figures
        )

    def standing_holds(self, anchor: str | None) -> tuple[Hold, ...]:
        """Return every hold that stands at an anchor, or for the job's own steps."""
        return standing(self.hold_facts(anchor), anchor)

    def holds_on(self, step: str, anchor: str | None, *, done_at: datetime | None = None) -> tuple[Hold, ...]:
        """Return what holds a step now, or held it when it was done."""
        return holds_for(self.hold_facts(anchor, done_at=done_at), self.step(step), anchor)

    def holds_with(self, entry: e.ValueMeasured) -> tuple[Hold, ...]:
        """Return what holds a value's step, the ground judged as the rod runs with that value.

        So an angle that is held too flat over a line is stopped when it is typed, and a mended one is not.
        """
        holds = self.holds_on(entry.step, entry.anchor, done_at=entry.done_at)
        if entry.anchor is None or entry.step != HELD_ANGLE:
            return holds
        after = apply(self.state, entry)
        facts = HoldFacts(
            state=after,
            hazards=self.hazards,
            now=self.clock(),
            done_at=entry.done_at,
            figures=self._compute(entry.anchor, after),
        )
        ground = tuple(
            hold for hold in holds_for(facts, self.step(entry.step), entry.anchor) if hold.of_ground
        )
        return (*(hold for hold in holds if not hold.of_ground), *ground)

    # Rows.

    def rows(self, anchor: str | None, *, scope: Scope | None = None) -> tuple[StepRow, ...]:
        """Return the steps of an anchor, or with None the day's own of one scope, as rows."""
        key = anchor if anchor is not None else f"\n{scope}"
        troubles = tuple(hold.id for hold in ticket_holds(self.job.ticket, self.clock()))
        figures = self.facts(anchor) if anchor is not None else _NO_FACTS
        token = (self.state.anchors.get(anchor or ""), self.state.shared, figures)
        kept = self._rows.get(key)
        if kept is not None and _same(kept[0], token) and kept[1] == troubles:
            return kept[2]
        facts = RowFacts(state=self.state, figures=figures, holds=self.standing_holds(anchor))
        steps = self.steps_of("anchor" if anchor is not None else scope or "before")
        found = step_rows(facts, steps, anchor)
        self._rows[key] = (token, troubles, found)
        return found

    def overview(self, *, held: bool = True) -> tuple[AnchorRow, ...]:
        """Return a line for every anchor, dropped ones too.

        Without ``held`` nothing is said of holds and no figure is computed, for a first screen of many.
        """
        return tuple(self.anchor_row(ident, held=held) for ident in self.state.anchors)

    def anchor_row(self, anchor: str, *, held: bool = True) -> AnchorRow:
        """Return one anchor's line of the overview."""
        now = self.state.anchors[anchor]
        if held:
            return anchor_row(now, self.rows(anchor))
        token = (now, self.state.shared)
        kept = self._tallies.get(anchor)
        if kept is not None and _same(kept[0], token):
            return kept[1]
        plain = RowFacts(state=self.state, figures=_NO_FACTS)
        found = anchor_row(now, step_rows(plain, self.steps_of("anchor"), anchor))
        self._tallies[anchor] = (token, found)
        return found

    def next_step(self, anchor: str | None, *, scope: Scope | None = None) -> StepRow | None:
        """Return the next step of an anchor, or of the day's own steps of one scope."""
        return next_row(self.rows(anchor, scope=scope))

    def open_elsewhere(self, anchor: str) -> str:
        """Return the next anchor, round the job, where a step is open; empty if none is."""
        rows = self.overview(held=False)
        at = next((n + 1 for n, row in enumerate(rows) if row.id == anchor), 0)
        return next((row.id for row in (*rows[at:], *rows[:at]) if row.next_step and row.id != anchor), "")

    def same_step_next_anchor(self, step: str, anchor: str) -> str | None:
        """Return the next anchor, round the job, at which this step is still open; None if none is."""
        found = self.step(step)
        order = [now.id for now in self.state.live()]
        start = order.index(anchor) + 1 if anchor in order else 0
        for ident in (*order[start:], *order[:start]):
            row = next((row for row in self.rows(ident) if row.id == step), None)
            if (
                ident != anchor
                and row is not None
                and not row.answered
                and is_needed(self.state, found, ident)
            ):
                return ident
        return None

    def log(self, limit: int = 200) -> tuple[LogLine, ...]:
        """Return the latest entries in words, the newest first."""
        lines = (
            LogLine(
                n=entry.n,
                done_at=entry.done_at,
                typed_at=entry.typed_at,
                words=self.wording.say(entry),
                taken_back=entry.n in self.state.taken_back,
            )
            for entry in reversed(self.journal.entries)
        )
        return tuple(islice(lines, limit))

    def pace(self) -> Pace:
        """Return how quickly today's anchors go, and when the rest would be done."""
        began = self.state.shared.day_began_n
        stamps = tuple(
            (anchor, entry.done_at)
            for entry in self.journal.entries[max(0, began - 1) :]
            if entry.n not in self.state.taken_back
            and isinstance(anchor := getattr(entry, "anchor", None), str)
        )
        return pace(self.state, self.overview(held=False), stamps, self.clock())

    # Where the person is.

    def morning(self) -> tuple[StepRow, ...]:
        """Return the steps that a later morning asks again, in order, while nothing is entered yet."""
        if self.journal.entries[-1].n != self.state.shared.day_began_n:
            return ()
        again = asked_again(self.state)
        return tuple(row for row in self.rows(None, scope="before") if row.id in again)

    def remember(self, anchor: str | None, step: str | None) -> None:
        """Keep the cursor in a file of its own, which is no part of the truth and may be lost."""
        cursor.keep(self.journal.path, self.state.last_n, anchor, step)

    def here(self) -> WorkPlace:
        """Return where the person was: the kept cursor, else the last entry's anchor and its next step."""
        kept = cursor.kept(self.journal.path, self.state.last_n)
        if kept is not None and self._knows(*kept):
            return WorkPlace(anchor=kept[0], step=kept[1])
        for entry in reversed(self.journal.entries):
            if entry.n in self.state.taken_back:
                continue
            anchor = getattr(entry, "anchor", None)
            if (
                isinstance(anchor, str)
                and anchor in self.state.anchors
                and not self.state.anchors[anchor].dropped
            ):
                upcoming = self.next_step(anchor)
                return WorkPlace(anchor=anchor, step=upcoming.id if upcoming is not None else None)
        upcoming = self.next_step(None, scope="before")
        if upcoming is not None:
            return WorkPlace(anchor=None, step=upcoming.id)
        first = next(self.state.live(), None)
        return WorkPlace(anchor=first.id if first is not None else None, step=None)

    def _knows(self, anchor: str | None, step: str | None) -> bool:
        return (anchor is None or anchor in self.state.anchors) and (step is None or step in self._step_by_id)


def _all_figures() -> Figures:
    from crewtui.day.figures.of_anchor import figures_for  # noqa: PLC0415 - its arithmetic is not needed to open a day

    return figures_for
