"""The few ways to make one rod: whole lengths of stock, and at most one piece cut to measure.

Lengths are whole millionths of an inch, the tolerance of the whole program and far finer than a saw, so that
"fits exactly" means exactly. Where room or joints let no such way be, the pieces before the measured one are
what a crew cuts without thinking: a length of stock parted evenly, or the longest that the room takes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from msgspec import Struct

from crewtui.trade.truck.cut_list import PieceRange, RodToCut, StockLength

PER_INCH: Final = 1_000_000
_EVEN_PARTS: Final = (2, 3, 4)
_MIXED_KEPT: Final = 12
"""Ways with more than one piece cut that are kept for one rod: those that waste least."""
_MOST_WAYS: Final = 400
"""Ways listed for one rod and one number of pieces; a rod of the trade has a dozen."""


def to_units(length_in: float) -> int:
    """Return a length in whole units."""
    return round(length_in * PER_INCH)


def to_inches(units: int) -> float:
    """Return whole units as inches."""
    return units / PER_INCH


class WayPiece(Struct, frozen=True):
    """One piece of a way: a whole length of stock of this kind, or a piece cut to this length."""

    length: int
    kind: int | None = None
    """Place in the list of stock; None for a piece that is cut."""


class RodWay(Struct, frozen=True):
    """One way to make a rod, its pieces in the order driven."""

    pieces: tuple[WayPiece, ...]

    @property
    def cut(self) -> tuple[int, ...]:
        """Lengths of the pieces that the saw touches before driving."""
        return tuple(piece.length for piece in self.pieces if piece.kind is None)

    @property
    def whole(self) -> tuple[int, ...]:
        """Kinds of the whole lengths."""
        return tuple(piece.kind for piece in self.pieces if piece.kind is not None)


class PiecePlaces(Struct, frozen=True):
    """A rod in so many pieces, in units: each place's least and greatest length, and what they sum to."""

    low: tuple[int, ...]
    high: tuple[int, ...]
    length: int

    @classmethod
    def of(cls, split: Sequence[PieceRange], length_in: float, longest: int) -> PiecePlaces | None:
        """Return the places of one way to split a rod; None where no lengths in them sum to the rod's."""
        low = tuple(to_units(part.least_in) for part in split)
        high = tuple(min(longest, to_units(part.greatest_in)) for part in split)
        length, slack = to_units(length_in), len(split) + 1
        if any(least > most for least, most in zip(low, high, strict=True)):
            return None
        if not sum(low) - slack <= length <= sum(high) + slack:
            return None
        return cls(low, high, min(max(length, sum(low)), sum(high)))


def ways_of(
    rod: RodToCut, stock: Sequence[StockLength], kerf: int, *, more_pieces: int = 0, mixed: bool = False
) -> tuple[RodWay, ...]:
    """Return the ways to make a rod in its fewest pieces, and in up to so many more; none where none is.

    ``mixed`` asks for ways with more than one piece cut even where plain ones serve.
    """
    lengths = [to_units(kind.length_in) for kind in stock]
    longest = max(lengths, default=0)
    found: dict[tuple[tuple[int, ...], tuple[int, ...]], RodWay] = {}
    tried = 0
    for split in rod.splits:
        places = PiecePlaces.of(split, rod.length_in, longest)
        if places is None:
            continue
        if tried > more_pieces:
            break
        tried += 1
        for way in _ways(places, lengths, kerf, wide=mixed):
            found.setdefault((tuple(sorted(way.whole)), tuple(sorted(way.cut))), way)
    return tuple(found.values())


def _ways(places: PiecePlaces, lengths: Sequence[int], kerf: int, *, wide: bool) -> Iterator[RodWay]:
    whole = [WayPiece(length, kind) for kind, length in enumerate(lengths)]
    plain = list(_filled(places, [whole] * len(places.low)))
    yield from plain
    if plain and not wide:
        return
    parts = {(length - kerf * (count - 1)) // count for length in lengths for count in _EVEN_PARTS}
    standard = [
        [*whole, *(WayPiece(part) for part in sorted({*parts, high}, reverse=True))] for high in places.high
    ]
    mixed = sorted(_filled(places, standard), key=lambda way: _share(way, lengths, kerf))[:_MIXED_KEPT]
    yield from mixed
    if not plain and not mixed:
        yield _spread(places)


def _share(way: RodWay, lengths: Sequence[int], kerf: int) -> float:
    """Return how many lengths of stock a way takes if each piece is cut beside others of its own length."""
    return len(way.whole) + sum(
        min(1 / ((length + kerf) // (piece + kerf)) for length in lengths if length >= piece)
        for piece in way.cut
    )


def _filled(places: PiecePlaces, choices: Sequence[Sequence[WayPiece]]) -> Iterator[RodWay]:
    """Yield the ways of these pieces: the last left whole, or one place cut to what is left."""
    count = len(places.low)
    fitting = [
        [piece for piece in choices[at] if places.low[at] <= piece.length <= places.high[at]]
        for at in range(count)
    ]
    given = 0
    for measured in range(count - 1, -1, -1):
        others = [fitting[at] for at in range(count) if at != measured]
        for chosen in _runs(others, alike=_alike(places, measured)):
            for piece in _closing(places, measured, chosen, choices[measured]):
                yield RodWay((*chosen[:measured], piece, *chosen[measured:]))
                given += 1
                if given >= _MOST_WAYS:
                    return


def _closing(
    places: PiecePlaces, measured: int, chosen: Sequence[WayPiece], choices: Sequence[WayPiece]
) -> Iterator[WayPiece]:
    """Yield what can stand in the measured place: at the end of the rod a whole length may be longer."""
    rest = places.length - sum(piece.length for piece in chosen)
    low, high = places.low[measured], places.high[measured]
    if rest < low:
        return
    last = measured == len(places.low) - 1
    exact = False
    for piece in choices:
        if piece.kind is not None and piece.length <= high and (piece.length == rest or last):
            if piece.length >= rest:
                yield piece
            exact = exact or piece.length == rest
    if rest <= high and not exact:
        yield WayPiece(rest)


def _alike(places: PiecePlaces, measured: int) -> list[bool]:
    """Return for each place but the measured one whether it is bound like the one before it."""
    bounds = [
        (low, high)
        for at, (low, high) in enumerate(zip(places.low, places.high, strict=True))
        if at != measured
    ]
    return [at > 0 and bounds[at] == bounds[at - 1] for at in range(len(bounds))]


def _runs(fitting: Sequence[Sequence[WayPiece]], *, alike: Sequence[bool]) -> Iterator[tuple[WayPiece, ...]]:
    """Yield a piece for each place; places bound alike take theirs in one order only."""

    def extend(at: int, first: int) -> Iterator[tuple[WayPiece, ...]]:
        if at == len(fitting):
            yield ()
            return
        start = first if alike[at] else 0
        for number in range(start, len(fitting[at])):
            for rest in extend(at + 1, number):
                yield (fitting[at][number], *rest)

    yield from extend(0, 0)


def _spread(places: PiecePlaces) -> RodWay:
    """Return every place cut: as long as can be, from the leading end."""
    left = places.length - sum(places.low)
    pieces = []
    for low, high in zip(places.low, places.high, strict=True):
        more = min(left, high - low)
        left -= more
        pieces.append(WayPiece(low + more))
    return RodWay(tuple(pieces))
