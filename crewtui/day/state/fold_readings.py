"""Adding up readings of the wall: the latest before and after tightening, and the bow that the step asks."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from msgspec.structs import replace

from crewtui.day.journal import entries as e
from crewtui.day.state.fold_steps import anchor_of, with_anchor
from crewtui.day.state.site_fields import UnfitError
from crewtui.day.state.state import DayState, Measured
from crewtui.day.state.wall_reading import When, station

WALL_READ: Final = "wall-read"
"""The step of a visit that a reading before tightening answers."""
READINGS: Final = "readings"
"""The step that a reading after tightening answers."""
READ_STEPS: Final = (WALL_READ, READINGS)
"""The steps that a wall read at three heights answers."""
STEPS: Final[Mapping[When, tuple[str, str]]] = {
    "before": (WALL_READ, "bow_found_in"),
    "after": (READINGS, "bow_after_in"),
}
"""The step that a reading answers, and its quantity."""


def wall_read(state: DayState, entry: e.WallRead) -> DayState:
    """Take in a reading: it answers the step that asks for the bow, before tightening on a visit only."""
    now = anchor_of(state, entry.anchor)
    try:
        reading = station(entry)
    except ValueError as error:
        raise UnfitError(str(error)) from error
    as_built = now.as_built
    step, quantity = STEPS[entry.when]
    if entry.when == "after" or state.job.job.day == "visit":
        bow = Measured(
            value=reading.bow_in.value,
            text="from the readings",
            step=step,
            n=entry.n,
            done_at=entry.done_at,
        )
        as_built = {**as_built, quantity: bow}
    now = replace(now, readings={**now.readings, entry.when: entry}, as_built=as_built)
    return with_anchor(state, now, entry)
