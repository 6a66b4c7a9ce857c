"""The cut list as its users see it: what is to be cut, from what, and what comes of it. Lengths in inches."""

from __future__ import annotations

from msgspec import Struct


class PieceRange(Struct, frozen=True, kw_only=True):
    """From the least to the greatest length of one piece."""

    least_in: float
    greatest_in: float


class RodToCut(Struct, frozen=True, kw_only=True):
    """What is still to be driven for one anchor: a length, and the ways to part it, in the order driven."""

    anchor: str
    length_in: float
    splits: tuple[tuple[PieceRange, ...], ...]


class StockLength(Struct, frozen=True, kw_only=True):
    """Rods of one length on the truck, or one kind of offcut lying about."""

    length_in: float
    count: int | None = None
    """None where nobody has counted: as many as it takes."""
    offcut: bool = False
    """Whether it is used if it is there, but never fetched."""


class CutPiece(Struct, frozen=True, kw_only=True):
    """One piece, cut or left whole."""

    anchor: str
    number: int
    """Which of the anchor's pieces still to be driven, in the order driven, from 1."""
    of: int
    length_in: float
    """As driven: a last piece left whole is longer than the rod needs, and trimmed after tightening."""


class CutStock(Struct, frozen=True, kw_only=True):
    """One length of stock and what becomes of it."""

    length_in: float
    offcut_stock: bool
    missing: bool
    """Whether it is not on the truck and has to be fetched."""
    pieces: tuple[CutPiece, ...]
    cuts: int
    offcut_in: float
    """What is left after the last cut; 0 where nothing is."""


class StockUse(Struct, frozen=True, kw_only=True):
    """One kind of stock: what is there, what is needed, what is left."""

    length_in: float
    offcut: bool
    there: int | None
    needed: int
    spare: int | None
    """What is left over; negative where so many are short; None where nobody has counted."""


class CutPlan(Struct, frozen=True, kw_only=True):
    """The cut list, how sure it is, and the answer to "is there enough on the truck"."""

    rods: tuple[RodToCut, ...]
    stock: tuple[StockLength, ...]
    kerf_in: float
    lengths: tuple[CutStock, ...]
    uses: tuple[StockUse, ...]
    cuts: int
    longest_offcut_in: float
    worth_keeping_in: float
    couplings: int
    """Joints of the pieces in the list with each other; a joint to a piece in the ground is not counted."""
    left_out: tuple[str, ...]
    """Anchors whose rod cannot be cut from this stock at all."""
    lengths_proven: bool
    cuts_proven: bool
    least_missing: int
    """So many lengths at least are not on the truck, however the rods are parted: proven."""
    enough: bool | None
    """None where it is not proven, where stock is not counted, or where an anchor is left out."""
    said: str
    """Enough or not, with the spare, in words."""
    warnings: tuple[str, ...]

    @property
    def missing(self) -> int:
        """How many lengths this list takes that are not on the truck."""
        return sum(length.missing for length in self.lengths)

    @property
    def proven(self) -> bool:
        """Whether no list that leaves rods whole takes fewer lengths, nor as few with fewer pieces cut."""
        return self.lengths_proven and self.cuts_proven

    @property
    def state(self) -> str:
        """How sure the list is, in words."""
        if self.proven:
            return "fewest rods"
        if self.lengths_proven:
            return "fewest rods; best cuts found so far"
        return "best found so far"

    def pieces_for(self, anchor: str) -> tuple[float, ...]:
        """Return the pieces of one anchor still to be driven, in the order driven."""
        own = [piece for stock in self.lengths for piece in stock.pieces if piece.anchor == anchor]
        return tuple(piece.length_in for piece in sorted(own, key=lambda piece: piece.number))
