"""The last touches to a cut list: last pieces left whole where that costs nothing, one long offcut."""

from __future__ import annotations

from collections.abc import Sequence

from crewtui.trade.truck.rod_ways import PiecePlaces, RodWay, WayPiece
from crewtui.trade.truck.whole_lengths import CutLength, TruckKind, WholeList


def finished(
    found: WholeList, places: Sequence[Sequence[PiecePlaces]], kinds: Sequence[TruckKind], kerf: int
) -> WholeList:
    """Return the list with its last touches; ``places`` bound each rod by its number of pieces."""
    _leave_whole(found, places, kinds)
    _longest_offcut(found.shared, kinds, kerf)
    return found


def _leave_whole(
    found: WholeList, places: Sequence[Sequence[PiecePlaces]], kinds: Sequence[TruckKind]
) -> None:
    """Leave a last piece whole that has its length of stock to itself, if the room takes it."""
    alone = [length for length in found.shared if len(length.pieces) == 1]
    for number, way in enumerate(found.ways):
        last = way.pieces[-1]
        high = next((own.high[-1] for own in places[number] if len(own.high) == len(way.pieces)), 0)
        if last.kind is not None:
            continue
        length = next(
            (one for one in alone if one.pieces == [last.length] and kinds[one.kind].length <= high), None
        )
        if length is not None:
            found.ways[number] = RodWay((*way.pieces[:-1], WayPiece(kinds[length.kind].length, length.kind)))
            alone.remove(length)
            found.shared.remove(length)


def _longest_offcut(shared: Sequence[CutLength], kinds: Sequence[TruckKind], kerf: int) -> None:
    """Move pieces out of the length that then has most left, into room that others have."""

    def left(length: CutLength) -> int:
        return kinds[length.kind].length - sum(piece + kerf for piece in length.pieces)

    best: tuple[int, int, list[tuple[int, CutLength]]] = (max(map(left, shared), default=0), -1, [])
    for at, length in enumerate(shared):
        room = {id(other): left(other) + kerf for other in shared if other is not length}
        moves: list[tuple[int, CutLength]] = []
        for piece in sorted(length.pieces, reverse=True):
            fitting = [other for other in shared if other is not length and room[id(other)] >= piece + kerf]
            if fitting and len(moves) < len(length.pieces) - 1:
                into = min(fitting, key=lambda other: room[id(other)])
                room[id(into)] -= piece + kerf
                moves.append((piece, into))
        offcut = left(length) + sum(piece + kerf for piece, _ in moves)
        if offcut > best[0]:
            best = (offcut, at, moves)
    _, at, moves = best
    for piece, into in moves:
        shared[at].pieces.remove(piece)
        into.pieces.append(piece)
