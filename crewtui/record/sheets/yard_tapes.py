"""Where the buried plates lie, for whoever stands in the yard: two tapes to each, and the plan that shows it.

The wall's length is taken inside; the corners that one sees from the yard lie outside it by the thickness of
the side walls, taken to be as thick as this one. Facing the house, the start corner is on the right.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Final

from markupsafe import Markup
from msgspec import Struct

from crewtui.foreign import prose
from crewtui.record.house import record_look
from crewtui.record.sheets.svg import Drawing, letter_in
from crewtui.record.signed.form import AnchorDone, WallPlanned
from crewtui.trade.aim.rod_line import seat_from_setback_in
from crewtui.units import UnitSystem

_THICKNESS_IN: Final = 8.0
_PLATE_IN: Final = 12.0
_TALLEST_SHARE: Final = 0.55
"""The plan is drawn no taller than this share of its width, or the page would be full of lawn."""


class Tape(Struct, frozen=True, kw_only=True):
    """One buried plate: where it lies, and what two tapes held level from the corners read to its middle."""

    anchor: str
    along_in: float
    out_in: float
    plate_width_in: float
    left_in: float
    """From the corner on the left, facing the house."""
    right_in: float


def tapes(wall: WallPlanned, own: Sequence[AnchorDone]) -> tuple[Tape, ...]:
    """Return a line for each plate of a wall that is in the ground, from left to right facing the house."""
    length_in = record_look.number(wall.length_in)
    if not length_in or length_in <= 0:
        return ()
    thick_in = thickness_in(wall)
    found = []
    for anchor in own:
        place = plate_place(anchor)
        if place is None:
            continue
        along_in, out_in = place
        found.append(
            Tape(
                anchor=anchor.id,
                along_in=along_in,
                out_in=out_in,
                plate_width_in=record_look.inputs(anchor).get("plate_width_in", _PLATE_IN),
                left_in=math.hypot(length_in + thick_in - along_in, out_in),
                right_in=math.hypot(thick_in + along_in, out_in),
            )
        )
    return tuple(sorted(found, key=lambda one: -one.along_in))


def thickness_in(wall: WallPlanned) -> float:
    """Return how thick a wall is, and with it the walls at its corners."""
    found = record_look.number(wall.thickness_in)
    return found if found is not None and found > 0 else _THICKNESS_IN


def plate_place(anchor: AnchorDone) -> tuple[float, float] | None:
    """Return where a buried plate lies, along the wall and out from it; None while it is not built."""
    if anchor.state == "dropped":
        return None
    seat = anchor.seat
    if seat is not None and seat.along_in is not None and seat.out_in is not None:
        return seat.along_in, seat.out_in
    along_in, at = record_look.along_in(anchor), record_look.inputs(anchor)
    setback_in = record_look.built(anchor, "setback_in") or at.get("setback_in")
    if along_in is None or setback_in is None or record_look.depth_in(anchor) is None:
        return None
    try:
        out_in = seat_from_setback_in(setback_in, pit_along_rod_in=at.get("pit_along_rod_in", _PLATE_IN))
    except ValueError:
        return None
    return along_in + (record_look.built(anchor, "side_offset_in") or 0.0), out_in


def yard_svg(
    wall: WallPlanned, found: Sequence[Tape], open_pits: Sequence[str], *, printed_in: float = 4.2
) -> Markup:
    """Return the yard from above, house at the top: plates, rods, open pits, corners to tape from."""
    length_in = record_look.number(wall.length_in)
    if not length_in or not found:
        return Markup()
    thick_in = thickness_in(wall)
    wide_in = length_in + 2 * thick_in
    letter = letter_in(wide_in * 1.04, printed_in=printed_in)
    over_in = thick_in + letter * 1.7
    deep_in = max(one.out_in for one in found)
    squeeze = min(1.0, wide_in * _TALLEST_SHARE / (deep_in + over_in + letter * 4))
    at = Drawing(
        -wide_in * 0.02,
        -over_in,
        wide_in * 1.04,
        over_in + deep_in * squeeze + letter * 4,
        printed_in=printed_in,
        label=f"{prose(wall.name)} wall: where the buried plates lie, seen from above",
    )
    at.box(0, -thick_in, wide_in, thick_in, fill="gray", pt=1.2)
    at.words(wide_in / 2, -thick_in - letter * 0.5, "the house", anchor="middle")
    for x, name, anchor in ((0.0, "left corner", "start"), (wide_in, "right corner", "end")):
        at.dot(x, 0, filled=True)
        at.words(x, -thick_in - letter * 0.5, name, anchor=anchor, bold=True)
    places = [(thick_in + length_in - one.along_in, one.out_in * squeeze, one) for one in found]
    x, y, _ = places[len(places) // 2]
    at.run([(0.0, 0.0), (x, y), (wide_in, 0.0)], pt=0.6, dash="6 3")
    for x, y, one in places:
        at.line(x, 0, x, y, pt=1.6)
        at.box(x - one.plate_width_in / 2, y, one.plate_width_in, at.pt(3.5), fill="black", pt=0.4)
        if one.anchor in open_pits:
            half_in = max(one.plate_width_in, letter * 4) / 2
            at.box(x - half_in, y - letter * 1.2, 2 * half_in, letter * 3.2, pt=1.8)
        at.words(x, y + letter * 1.6, one.anchor, anchor="middle", bold=True)
    for x, y, one in places:
        if one.anchor in open_pits:
            at.words(x, y + letter * 3.2, "OPEN PIT", anchor="middle", bold=True)
    return at.svg()


def tape_rows(
    found: Sequence[Tape], own: Sequence[AnchorDone], system: UnitSystem
) -> Iterator[tuple[str, ...]]:
    """Yield anchor, both tapes and the depth of the rod at the plate, in words."""
    depths = {anchor.id: record_look.depth_in(anchor) for anchor in own}
    for one in found:
        lengths = (one.left_in, one.right_in, depths[one.anchor])
        yield (prose(one.anchor), *(record_look.length(value, system) for value in lengths))


__all__ = ["Tape", "plate_place", "tape_rows", "tapes", "thickness_in", "yard_svg"]
