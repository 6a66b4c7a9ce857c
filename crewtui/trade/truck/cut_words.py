"""From the search's answer to the cut list in inches, and "is there enough on the truck" in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import TYPE_CHECKING

from crewtui.trade.truck.cut_list import CutPiece, CutStock, RodToCut, StockLength, StockUse
from crewtui.trade.truck.rod_ways import to_inches
from crewtui.units import UnitSystem, show_length

if TYPE_CHECKING:
    from crewtui.trade.truck.whole_lengths import WholeList


def lengths_of(
    found: WholeList, rods: Sequence[RodToCut], stock: Sequence[StockLength], kerf: int
) -> tuple[CutStock, ...]:
    """Return each length of stock with its pieces, what is on the truck first, the longest first."""
    taken: list[tuple[int, list[CutPiece]]] = []
    cut: dict[int, list[CutPiece]] = {}
    for rod, way in zip(rods, found.ways, strict=True):
        for number, part in enumerate(way.pieces, start=1):
            piece = CutPiece(
                anchor=rod.anchor, number=number, of=len(way.pieces), length_in=to_inches(part.length)
            )
            if part.kind is not None:
                taken.append((part.kind, [piece]))
            else:
                cut.setdefault(part.length, []).append(piece)
    whole = len(taken)
    taken += [
        (length.kind, [cut[piece].pop(0) for piece in sorted(length.pieces, reverse=True)])
        for length in found.shared
    ]
    left = {place: kind.count for place, kind in enumerate(stock)}
    lengths = []
    for at, (kind, pieces) in enumerate(taken):
        there = left[kind]
        if there is not None:
            left[kind] = there - 1
        used_in = sum(piece.length_in for piece in pieces) + to_inches(kerf) * (len(pieces) - 1)
        rest_in = 0.0 if at < whole else round(stock[kind].length_in - used_in, 6)
        lengths.append(
            CutStock(
                length_in=stock[kind].length_in,
                offcut_stock=stock[kind].offcut,
                missing=there is not None and there <= 0,
                pieces=tuple(pieces),
                cuts=0 if at < whole else len(pieces) - (rest_in <= 0),
                offcut_in=max(0.0, rest_in - to_inches(kerf)),
            )
        )
    return tuple(sorted(lengths, key=lambda length: (length.missing, -length.length_in, length.offcut_in)))


def uses_of(stock: Sequence[StockLength], used: Counter[int]) -> tuple[StockUse, ...]:
    """Return how many of each kind are needed, beside how many are there."""
    return tuple(
        StockUse(
            length_in=kind.length_in,
            offcut=kind.offcut,
            there=kind.count,
            needed=used[place],
            spare=None if kind.count is None else kind.count - used[place],
        )
        for place, kind in enumerate(stock)
    )


def answer_in_words(
    uses: Sequence[StockUse],
    left_out: Sequence[str],
    *,
    least_missing: int,
    seconds: float,
    system: UnitSystem,
) -> tuple[bool | None, str]:
    """Return whether there is enough, None where that cannot be told, and the answer in words."""
    rods = [use for use in uses if not use.offcut or use.needed]
    missing = sum(-use.spare for use in rods if use.spare is not None and use.spare < 0)
    text = "; ".join(_use_words(use, system, proven=least_missing >= missing) for use in rods)
    if missing and least_missing:
        sure = "" if least_missing >= missing else f" At least {least_missing} short, at most {missing}."
        return False, f"Not enough on the truck: {text}.{sure}"
    if missing:
        return None, (
            f"No list from what is on the truck was found in {seconds:.0f} s; short by at most {missing}"
            f" {'length' if missing == 1 else 'lengths'}. Best found: {text}."
        )
    if left_out:
        return None, f"Not known: the rods of {', '.join(left_out)} cannot be made from this stock. {text}."
    if not any(use.needed for use in uses):
        return True, "No rod is left to cut."
    if any(use.spare is None and use.needed for use in rods):
        return None, f"Count the truck: {text}."
    return True, f"Enough on the truck: {text}."


def _use_words(use: StockUse, system: UnitSystem, *, proven: bool) -> str:
    name = f"{'offcut' if use.offcut else 'rods'} of {show_length(use.length_in, system)}"
    if use.spare is None:
        return f"{use.needed} {name} needed, not counted on the truck"
    if use.spare < 0:
        sure = "" if proven else " at most"
        return f"{use.needed} {name} needed, {use.there} there: {-use.spare} short{sure}"
    return f"{use.needed} {name} needed, {use.there} there, {use.spare} spare"


def warnings_of(
    left_out: Sequence[str], uses: Sequence[StockUse], system: UnitSystem, *, proven: bool
) -> tuple[str, ...]:
    """Return what has to be fetched, and which rods cannot be made."""
    sure = "" if proven else "Up to "
    found = [
        f"{sure}{-use.spare} more of {show_length(use.length_in, system)} to be fetched before the last rod."
        for use in uses
        if use.spare is not None and use.spare < 0
    ]
    found += [
        f"The rod of {anchor} cannot be made from this stock: see what its own plan asks for."
        for anchor in left_out
    ]
    return tuple(found)
