"""Lengths for pieces whose rod and stock are settled: a flow from rods to stock within each piece's range.

Every rod sends out its length through its pieces; every length of stock takes in no more than it holds, or
exactly that much where it is to be used up. Whole numbers go in and come out, so nothing is rounded.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence

from msgspec import Struct


class Piece(Struct, frozen=True):
    """One piece: from which rod, from which length of stock, and its range."""

    rod: int
    bin: int
    low: int
    high: int


class Flow(Struct, frozen=True):
    """Lengths found, and how much could not be placed; 0 when the lengths serve."""

    lengths: tuple[int, ...]
    lacking: int
    rods_lacking: tuple[int, ...]


class _Network:
    """Maximum flow by layers (Dinic)."""

    def __init__(self, nodes: int) -> None:
        self.head: list[int] = []
        self.room: list[int] = []
        self.edges: list[list[int]] = [[] for _ in range(nodes)]

    def add(self, start: int, end: int, room: int) -> int:
        edge = len(self.head)
        self.head += [end, start]
        self.room += [room, 0]
        self.edges[start].append(edge)
        self.edges[end].append(edge + 1)
        return edge

    def _layers(self, source: int, sink: int) -> list[int]:
        layer = [-1] * len(self.edges)
        layer[source] = 0
        queue = deque([source])
        while queue:
            node = queue.popleft()
            for edge in self.edges[node]:
                end = self.head[edge]
                if self.room[edge] and layer[end] < 0:
                    layer[end] = layer[node] + 1
                    queue.append(end)
            if layer[sink] >= 0:
                break
        return layer

    def push(self, source: int, sink: int, most: int) -> int:
        """Push up to ``most`` from source to sink; return how much went."""
        pushed = 0
        while pushed < most:
            layer = self._layers(source, sink)
            if layer[sink] < 0:
                break
            at = [0] * len(self.edges)
            while pushed < most:
                step = self._path(source, sink, most - pushed, layer, at)
                if not step:
                    break
                pushed += step
        return pushed

    def _path(self, source: int, sink: int, most: int, layer: list[int], at: list[int]) -> int:
        """Push along one path of the layers; return how much went, 0 when there is none left."""
        path: list[int] = []
        node = source
        while node != sink:
            edges = self.edges[node]
            while at[node] < len(edges):
                edge = edges[at[node]]
                end = self.head[edge]
                if self.room[edge] and layer[end] == layer[node] + 1:
                    break
                at[node] += 1
            else:
                if node == source:
                    return 0
                node = self.head[path.pop() ^ 1]
                at[node] += 1
                continue
            path.append(edge)
            node = end
        step = min(most, *(self.room[edge] for edge in path))
        for edge in path:
            self.room[edge] -= step
            self.room[edge ^ 1] += step
        return step


class Lengths:
    """Lengths of all pieces, found once, then pushed about to leave one stock as much unused as can be."""

    def __init__(
        self, pieces: Sequence[Piece], rods: Sequence[int], bins: Sequence[int], full: Sequence[bool]
    ) -> None:
        """``rods`` and ``bins`` are lengths to send out and to hold; ``full`` marks stock to be used up."""
        self.pieces, self.rods, self.bins, self.full = pieces, rods, bins, full
        count = len(rods) + len(bins)
        self.source, self.sink, self.from_all, self.to_all = count, count + 1, count + 2, count + 3
        net = self.net = _Network(count + 4)
        need = [0] * (count + 4)
        self.rod_edges = [net.add(self.from_all, rod, length) for rod, length in enumerate(rods)]
        self.total = sum(rods)
        need[self.source] = -self.total
        self.piece_edges = []
        for piece in pieces:
            self.piece_edges.append(net.add(piece.rod, len(rods) + piece.bin, piece.high - piece.low))
            need[piece.rod] -= piece.low
            need[len(rods) + piece.bin] += piece.low
        self.bin_edges = []
        for number, room in enumerate(bins):
            least = room if full[number] else 0
            self.bin_edges.append(net.add(len(rods) + number, self.sink, room - least))
            need[len(rods) + number] -= least
            need[self.sink] += least
        self.back = net.add(self.sink, self.source, self.total)
        wanted = self.total
        for node, surplus in enumerate(need):
            if surplus > 0:
                net.add(self.from_all, node, surplus)
                wanted += surplus
            elif surplus < 0:
                net.add(node, self.to_all, -surplus)
        self.lacking = wanted - net.push(self.from_all, self.to_all, wanted)

    def flow(self) -> Flow:
        """Return the lengths as they stand."""
        lacking = tuple(rod for rod, edge in enumerate(self.rod_edges) if self.net.room[edge])
        lengths = tuple(
            piece.low + self.net.room[edge + 1]
            for piece, edge in zip(self.pieces, self.piece_edges, strict=True)
        )
        return Flow(lengths, self.lacking, lacking)

    def used(self, number: int) -> int:
        """Return how much of a length of stock its pieces take."""
        least = self.bins[number] if self.full[number] else 0
        return least + self.net.room[self.bin_edges[number] + 1]

    def empty(self, number: int) -> int:
        """Push pieces out of one length of stock into others as far as can be; return what stays in it."""
        edge = self.bin_edges[number]
        room, back = self.net.room[edge], self.net.room[edge + 1]
        self.net.room[edge] = self.net.room[edge + 1] = 0
        moved = self.net.push(len(self.rods) + number, self.sink, back)
        self.net.room[edge], self.net.room[edge + 1] = room + moved, back - moved
        return self.used(number)
