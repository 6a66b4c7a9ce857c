"""Adding up readings of the wall: the latest before and after tightening, and the bow that the step asks."""

from __future__ import annotations

from typing import Final

from msgspec.structs import replace

from crewtui.day.journal import entries as e
from crewtui.day.state.fold_steps import anchor_of, with_anchor
from crewtui.day.state.site_fields import UnfitError
from crewtui.day.state.state import DayState, Measured
from crewtui.day.state.wall_reading import station

STEP: Final = "readings"
QUANTITY: Final = "bow_after_in"


def wall_read(state: DayState, entry: e.WallRead) -> DayState:
    """Take in a reading; the one after tightening answers the step that asks for the bow."""
    now = anchor_of(state, entry.anchor)
    try:
        reading = station(entry)
    except ValueError as error:
        raise UnfitError(str(error)) from error
    as_built = now.as_built
    if entry.when == "after":
        bow = Measured(
            value=reading.bow_in.value,
            text="from the readings",
            step=STEP,
            n=entry.n,
            done_at=entry.done_at,
        )
        as_built = {**as_built, QUANTITY: bow}
    now = replace(now, readings={**now.readings, entry.when: entry}, as_built=as_built)
    return with_anchor(state, now, entry)
