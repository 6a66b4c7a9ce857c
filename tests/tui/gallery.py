"""Every screen there is, opened by keys on a day that is half done: for what must be true of all of them."""

from __future__ import annotations

import shutil
from collections.abc import AsyncIterator, Callable, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from fixed_clock import SAMPLES, Watch
from textual.pilot import Pilot
from textual.strip import Strip

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.day.steps.outcomes import NeedsChoice, NeedsReason, Outcome, Saved
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.widgets.rows import RowList

STANDS: Final[Mapping[str, tuple[str, ...]]] = {
    "anchors": ("a",),
    "steps": ("s",),
    "steps, typing": ("at pit-depth", "5", "6"),
    "steps, refused": ("n", "1", "3", "enter"),
    "steps, deviation": ("p", "at depth-found"),
    "figures": ("f",),
    "figures, typing": ("f", "at input drop_in", "7"),
    "ground": ("g",),
    "rods": ("r",),
    "hazards": ("h",),
    "wall": ("v",),
    "wall, wrong": ("v", "at gap N3 N4"),
    "day": ("d",),
    "day, the end": ("d", "end"),
    "record": ("c",),
    "what now": ("s", "w", "3", "3"),
    "what now, a way": ("s", "w", "3", "3", "enter"),
    "read the wall": ("s", "i", "4"),
    "wall page": ("v", "at drawing page", "enter"),
    "readout": ("s", "b"),
    "keys": ("k",),
    "journal": ("j",),
    "emergency": ("exclamation_mark",),
    "briefing": ("d", "at briefing page", "enter"),
    "tightening": ("d", "at tightening page", "enter"),
    "fill in": ("d", "at fill in", "enter"),
    "note": ("d", "at note", "enter"),
    "rain": ("o",),
    "earlier": ("s", "t"),
    "site": ("a", "m"),
    "leave": ("q",),
    "find": ("s", "slash", "r", "e"),
    "why": ("h", "y"),
    "a choice": ("n", "at core", "enter"),
    "a reason": ("s", "at marks", "2", "enter"),
    "initials": ("h", "at marks-on-ground", "enter"),
    "a name": ("h", "at inspection", "enter"),
    "replaced": ("s", "at setback", "1", "5", "7", "enter"),
    "far from the plan": ("n", "at thickness", "7", "6", "enter"),
    "measured": ("f", "home", "enter"),
    "too few initials": ("d", "at step briefing", "enter", "P", "S", "enter"),
    "closed too early": ("at closed", "enter", "enter"),
    "the ways on first": ("at depth-found", "3", "3", "enter"),
    "sign": ("c", "at sign", "enter"),
}
"""What to press for each; ``at KEY`` puts the cursor on that row."""


REASON: Final = "as the engineer said on the phone"
GOOD: Final = {
    "setback": "156", "drop": "7", "marks": "1/4", "pit-depth": "54", "pit-size": "14", "mark-depth": "28",
    "core": "core", "thickness": "8 3/8", "drilled-angle": "6.4", "watch-mark": "0", "held-angle": "6.4",
    "depth-found": "40", "side-offset": "0", "threads": "6", "first-torque": "80", "pull-in": "1/8",
    "backfilled": "7", "second-torque": "80", "second-pull-in": "0", "closed": "tag fixed",
}  # fmt: skip
"""What is entered at an anchor where all goes well."""


SHALLOW: Final = (("N1", "closed"), ("N2", "depth-found"), ("N3", "marks"))
"""How far each anchor is on the day that is half done."""


def half_done(folder: Path, sample: str = "block-wall", upto: Sequence[tuple[str, str]] = SHALLOW) -> Day:
    """Open a day on which N1 is done, N2 was driven shallow, N3 is marked, N4 and N5 are not begun."""
    job = folder / f"{sample}.toml"
    shutil.copy(SAMPLES / job.name, job)
    watch = Watch()
    day = Day.open(job, clock=watch, figures=figures_for)

    def enter(outcome: Outcome) -> None:
        assert isinstance(outcome, Saved), outcome
        watch.go_on(minutes=3)

    enter(day.answer(None, "competent-person", "Pat Sample"))
    enter(day.answer(None, "ticket", "yes", reason="seen on paper"))
    for hazard in day.hazards:
        if hazard.scope == "job" and hazard.group != day.hazards[-1].group:
            enter(day.safety.answer_hazard(hazard.id, in_place=True, initials="PS"))
    for anchor, last in upto:
        for step in day.steps_of("anchor"):
            shallow = anchor == "N2" and step.id == "depth-found"
            enter_step(day, anchor, step.id, "33" if shallow else GOOD.get(step.id, "yes"), enter)
            if step.id == last:
                break
    return day


def enter_step(day: Day, anchor: str, step: str, text: str, enter: Callable[[Outcome], None]) -> None:
    row = next((row for row in day.rows(anchor) if row.id == step), None)
    if row is None or row.mark == "not needed":
        return
    if step == "readings":
        heights = (("4 in", "6 in"), ("46 in", "5 1/2 in"), ("88 in", "6 in"))
        enter(day.walls.read_wall(anchor, "after", heights, resolution="1/16 in"))
        return
    method = day.measure if row.kind == "value" else day.answer
    given: dict[str, Any] = {}
    outcome = method(anchor, step, text)
    while not isinstance(outcome, Saved):
        if isinstance(outcome, NeedsChoice) and not given.get("then"):
            given["then"] = outcome.choices[0]
        else:
            assert isinstance(outcome, NeedsReason), outcome
            given["reason"] = REASON
        outcome = method(anchor, step, text, **given)
    enter(outcome)


async def stand(pilot: Pilot[int], keys: tuple[str, ...]) -> None:
    """Press these keys, and wait until all of it shows."""
    for key in keys:
        if key.startswith("at "):
            rows = pilot.app.focused
            assert isinstance(rows, RowList)
            rows.go_to(key.removeprefix("at "))
            assert rows.cursor_key == key.removeprefix("at "), [row.key for row in rows.rows]
        else:
            await pilot.press(key)
    await pilot.pause()


async def walk(pilot: Pilot[int], names: Iterable[str] = STANDS) -> AsyncIterator[str]:
    """Open every screen in turn; yields its name while it is open."""
    for name in names:
        screen = day_screen(pilot)
        while pilot.app.screen is not screen:
            pilot.app.pop_screen()
            await pilot.pause()
        screen.steps_pane.clear_drafts()
        screen.figures_pane.clear_drafts()
        screen.go(anchor="N3", pane="steps")
        screen.steps_pane.go_to_next()
        await pilot.pause()
        await stand(pilot, STANDS[name])
        yield name


async def truck_worked_out(pilot: Pilot[int]) -> None:
    """Wait until the cut list is there, so that nothing changes by itself any more."""
    truck = day_screen(pilot).truck
    while truck.latest is None or truck.latest.working:
        await pilot.pause(0.02)


def day_screen(pilot: Pilot[int]) -> DayScreen:
    """Return the day's screen, whatever stands over it."""
    return next(screen for screen in pilot.app.screen_stack if isinstance(screen, DayScreen))


def painted(pilot: Pilot[int]) -> list[Strip]:
    """Return the screen as it is painted, line by line."""
    return pilot.app.screen._compositor.render_strips()


def text_of(strips: Iterable[Strip]) -> list[str]:
    """Return the characters alone, without the blanks at the end of each line."""
    return [strip.text.rstrip() for strip in strips]
