"""The plan sheet of a visit, on paper: how each anchor was left, what may be turned, what is looked at."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from crewtui.day.figures.tightening_rounds import owner_words, targets_of
from crewtui.day.state.state import AnchorNow, DayState
from crewtui.job.file.model import AsBuilt
from crewtui.record.sheets.plan_sheet import checks, headed, people, ruled, wrapped
from crewtui.units import UnitSystem, show_length, show_torque

_BLANK: Final = "________"


def visit_sheet(state: DayState) -> str:
    """Return the sheet of a visit as text."""
    targets, system = targets_of(state), state.job.job.units
    may = [(now.id, targets.get(now.id)) for now in state.live() if now.plan.owner_adjustable]
    lines = [*headed(state), *people(state), "", ruled("who may turn what, and never past")]
    said = owner_words(
        may, state.job.tightening, plan_words=state.job.job.schedule, system=system, today=state.job.job.date
    )
    for words in said:
        lines += wrapped(words, first="  ", indent="    ")
    lines += ["", *checks(state, "before", None)]
    for now in state.live():
        lines += _anchor(state, now)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _anchor(state: DayState, now: AnchorNow) -> Iterator[str]:
    system = state.job.job.units
    yield ""
    yield from wrapped(
        f"== ANCHOR {now.id}   wall {now.wall}, {show_length(now.plan.along_in, system)} along"
    )
    if now.plan.built is not None:
        for words in built_words(now.plan.built, system):
            yield from wrapped(words, first="  ", indent="    ")
    yield from checks(state, "anchor", now.id)
    for words in blanks(now, system):
        yield from wrapped(words, first="  [ ] ", indent="      ")


def blanks(now: AnchorNow, system: UnitSystem) -> Iterator[str]:
    """Yield what is written down beside the steps: the wall at each height, and how a turned nut was left."""
    heights = now.plan.built.heights_in if now.plan.built is not None else ()
    if heights:
        places = ", ".join(f"{show_length(one, system)} up {_BLANK}" for one in heights)
        yield f"From the line to the wall: {places}"
    if now.plan.owner_adjustable:
        yield f"If it is tightened: left at {_BLANK}  clicked / did not come up  nut came {_BLANK}"


def built_words(built: AsBuilt, system: UnitSystem) -> Iterator[str]:
    """Yield how an anchor was built and left, and how the wall was read there."""
    if built.depth_found_in is not None:
        pieces = " + ".join(show_length(piece, system) for piece in built.pieces_in)
        rod = f"; rod in pieces of {pieces}" if pieces else ""
        yield f"Built: rod {show_length(built.depth_found_in, system)} under the ground at its plate{rod}."
    if built.torque_left_lbf_ft is not None:
        on = f" on {built.left_on}" if built.left_on is not None else ""
        clicked = {True: ", the wrench clicked", False: ", the nut did not come up to it", None: ""}
        yield f"Left{on} at {show_torque(built.torque_left_lbf_ft, system)}{clicked[built.clicked]}."
    for words, found in (
        ("Left open", built.left_open),
        ("Not as planned, accepted by nobody", built.departed),
    ):
        if found:
            yield f"{words}: {'; '.join(found)}."
    if built.heights_in:
        heights = ", ".join(show_length(height, system) for height in built.heights_in)
        off = f", {show_length(built.line_offset_in, system)} off the wall" if built.line_offset_in else ""
        to = f", fixed to {built.fixed_to}" if built.fixed_to else ""
        yield f"Read from a {built.line}{to}{off}, at {heights} up."


__all__ = ["built_words", "visit_sheet"]
