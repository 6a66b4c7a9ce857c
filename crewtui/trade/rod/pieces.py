"""Pieces of one rod: how few, how long, in which order, so that each fits and no joint ends in the wall.

Lengths are counted along the rod from its leading end: a joint stands where the pieces driven before it
add up to. A plan for n pieces is feasible when the intervals in which the joints may stand, carried from
both ends, leave no gap. That test is exact: only a joint's place and each piece's own limits are bound.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from crewtui.units import TOLERANCE_IN

_MOST_PIECES: Final = 40
"""More than any rod has: 40 pieces of the company's least length are 40 ft."""
_SHIFT_STEP_IN: Final = 0.25
_SHIFTS: Final = 240
"""How far another set-back is looked for: 240 steps of a quarter inch, 5 ft."""


class PieceLimits(Struct, frozen=True, kw_only=True):
    """What bounds the pieces of one rod that are still to be driven."""

    needed_in: float
    """The whole rod, from its leading end."""
    driven_in: float
    """What is in the ground already; 0 before the first piece."""
    least_in: float
    first_greatest_in: float
    """Longest piece that can start in the hole; only where nothing is driven."""
    later_greatest_in: float
    joint_least_in: float
    """Nearest that a joint may stand to the leading end."""
    joint_greatest_in: float
    """Farthest that a joint may stand from the leading end: nearer to the tail it meets the wall."""

    @property
    def rest_in(self) -> float:
        """What is still to be driven; 0 where enough is in the ground."""
        return max(0.0, self.needed_in - self.driven_in)

    @property
    def last_least_in(self) -> float:
        """Least length of a last piece that follows a joint, so that the joint stands clear of the wall."""
        return max(self.least_in, self.needed_in - self.joint_greatest_in)

    @property
    def driven_joint_clear(self) -> bool:
        """Whether a joint behind the driven pieces stands clear; true where nothing is driven."""
        low, high = self.joint_least_in, self.joint_greatest_in
        return not self.driven_in or low - TOLERANCE_IN <= self.driven_in <= high + TOLERANCE_IN

    def greatest_in(self, place: int) -> float:
        """Return the longest piece at this place among those still to be driven, counted from 0."""
        return self.first_greatest_in if place == 0 and not self.driven_in else self.later_greatest_in

    def shifted(self, farther_in: float) -> PieceLimits:
        """Return the limits of a rod that reaches so much farther out, its pieces driven on with it."""
        return replace(
            self,
            needed_in=self.needed_in + farther_in,
            joint_greatest_in=self.joint_greatest_in + farther_in,
        )


class ChosenPiece(Struct, frozen=True, kw_only=True):
    """One piece as chosen: its length, and the stock that it is or is cut from."""

    length_in: float
    stock_in: float

    @property
    def cut(self) -> bool:
        """Whether the saw has to touch it."""
        return self.length_in < self.stock_in - TOLERANCE_IN


def joint_windows(limits: PieceLimits, pieces: int) -> tuple[tuple[float, float], ...] | None:
    """Return where the end of each piece may stand, the last excepted; None where so many pieces cannot do.

    One pair for each of the first ``pieces`` - 1, of lengths from the leading end.
    """
    if pieces < 1 or not limits.driven_joint_clear:
        return None
    last_greatest = limits.greatest_in(pieces - 1)
    if last_greatest < limits.least_in - TOLERANCE_IN:
        return None
    if pieces == 1:
        return () if last_greatest >= limits.rest_in - TOLERANCE_IN else None
    low = max(limits.needed_in - last_greatest, limits.joint_least_in)
    high = limits.joint_greatest_in
    windows = [(low, high)]
    for place in range(pieces - 2, 0, -1):
        low = max(low - limits.greatest_in(place), limits.joint_least_in)
        high = min(high - limits.least_in, limits.joint_greatest_in)
        windows.append((low, high))
    windows.reverse()
    reach_low = reach_high = limits.driven_in
    for place, (low, high) in enumerate(windows):
        reach_low = max(reach_low + limits.least_in, low)
        reach_high = min(reach_high + limits.greatest_in(place), high)
        if reach_low > reach_high + TOLERANCE_IN:
            return None
    return tuple(windows)


def fewest_pieces(limits: PieceLimits) -> int | None:
    """Return the fewest pieces still to be driven, 0 where none is; None where no number does."""
    if limits.rest_in <= TOLERANCE_IN:
        return 0
    for pieces in range(1, _MOST_PIECES + 1):
        if joint_windows(limits, pieces) is not None:
            return pieces
        if pieces * limits.least_in > limits.rest_in + 2 * limits.later_greatest_in:
            break
    return None


_Cost = tuple[float, ...]
_Way = tuple[_Cost, tuple[ChosenPiece, ...]]


def choose_pieces(
    limits: PieceLimits, pieces: int, stock_lengths_in: Sequence[float]
) -> tuple[ChosenPiece, ...] | None:
    """Return that many pieces in the order driven: fewest cut before driving, then least stock.

    So a last piece is left whole where the room takes it, and trimmed after tightening. Then what is trimmed
    least, then the longest pieces first.
    """
    windows = joint_windows(limits, pieces)
    if windows is None:
        return None
    stock = sorted(set(stock_lengths_in))
    known: dict[tuple[int, int], _Way | None] = {}

    def cost_of(choice: ChosenPiece, end_in: float, *, last: bool) -> _Cost:
        over_in = max(0.0, end_in - limits.needed_in) if last else 0.0
        return choice.cut, choice.stock_in, over_in

    def best(place: int, at_in: float) -> _Way | None:
        key = (place, round(at_in / TOLERANCE_IN))
        if key in known:
            return known[key]
        last = place == pieces - 1
        found: list[_Way] = []
        for choice in _options(limits, windows, place, at_in, stock):
            end_in = at_in + choice.length_in
            cost, rest = cost_of(choice, end_in, last=last), None if last else best(place + 1, end_in)
            if last:
                found.append((cost, (choice,)))
            elif rest is not None:
                total = tuple(here + there for here, there in zip(cost, rest[0], strict=True))
                found.append((total, (choice, *rest[1])))
        known[key] = min(
            found, key=lambda way: (way[0], tuple(-choice.length_in for choice in way[1])), default=None
        )
        return known[key]

    way = best(0, limits.driven_in)
    return way[1] if way else None


def _options(
    limits: PieceLimits,
    windows: Sequence[tuple[float, float]],
    place: int,
    at_in: float,
    stock: Sequence[float],
) -> Iterator[ChosenPiece]:
    """Yield the pieces worth trying here: each whole length that fits, and the longest and the least cut."""
    least_in, greatest_in = limits.least_in, limits.greatest_in(place)
    last = place == len(windows)
    if last:
        least_in = max(least_in, limits.needed_in - at_in)
    else:
        low, high = windows[place]
        least_in, greatest_in = max(least_in, low - at_in), min(greatest_in, high - at_in)
    if least_in > greatest_in + TOLERANCE_IN:
        return
    for length_in in stock:
        if least_in - TOLERANCE_IN <= length_in <= greatest_in + TOLERANCE_IN:
            yield ChosenPiece(length_in=length_in, stock_in=length_in)
    for cut_in in {least_in} if last else {least_in, greatest_in}:
        source = next((length_in for length_in in stock if length_in >= cut_in + TOLERANCE_IN), None)
        if source is not None:
            yield ChosenPiece(length_in=cut_in, stock_in=source)


def order_for(limits: PieceLimits, lengths_in: Sequence[float]) -> tuple[float, ...] | None:
    """Return an order of the given pieces that fits room and joints, as near the given one as can be.

    None where no order does. Pieces of one length are tried once.
    """
    if not limits.driven_joint_clear and lengths_in:
        return None

    def extend(at_in: float, place: int, left: tuple[float, ...]) -> tuple[float, ...] | None:
        if not left:
            return ()
        for index, length_in in enumerate(left):
            if length_in in left[:index] or length_in > limits.greatest_in(place) + TOLERANCE_IN:
                continue
            end_in = at_in + length_in
            clear = limits.joint_least_in - TOLERANCE_IN <= end_in <= limits.joint_greatest_in + TOLERANCE_IN
            if len(left) > 1 and not clear:
                continue
            rest = extend(end_in, place + 1, left[:index] + left[index + 1 :])
            if rest is not None:
                return (length_in, *rest)
        return None

    return extend(limits.driven_in, 0, tuple(lengths_in))


def farther_out_in(limits: PieceLimits, lengths_in: Sequence[float] = ()) -> float | None:
    """Return how much farther out the rod would have to reach for its joints to stand clear; None past 5 ft.

    With ``lengths_in`` for those pieces, else for pieces cut as they are needed. To a quarter inch, upward.
    """
    total_in = limits.driven_in + sum(lengths_in)
    if limits.last_least_in > limits.later_greatest_in + TOLERANCE_IN:
        return None
    for step in range(1, _SHIFTS + 1):
        shift_in = step * _SHIFT_STEP_IN
        there = limits.shifted(shift_in)
        if lengths_in:
            if total_in < there.needed_in - TOLERANCE_IN:
                return None
            if order_for(there, lengths_in) is not None:
                return shift_in
        elif fewest_pieces(there) is not None:
            return shift_in
    return None
