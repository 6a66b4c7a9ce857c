"""The cutting model in whole numbers: rods with their ranges of pieces, stock, and rods that are alike.

All lengths are whole numbers of a millionth of an inch, the tolerance of the whole program and far finer than
a saw. So "fits exactly" means exactly, and no tolerance is needed later.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from msgspec import Struct

PER_INCH: Final = 1_000_000


def to_units(length_in: float) -> int:
    """Return a length in whole units."""
    return round(length_in * PER_INCH)


def to_inches(units: int) -> float:
    """Return whole units as inches."""
    return units / PER_INCH


class Range(Struct, frozen=True):
    """From the least to the greatest length of one piece, in units."""

    low: int
    high: int


class Split(Struct, frozen=True):
    """One way to make a rod: so many pieces, each in its range, in the order driven."""

    ranges: tuple[Range, ...]

    def tightened(self, length: int) -> Split | None:
        """Return the ranges that a piece can really have when all sum to the length; None where none do."""
        low, high = sum(part.low for part in self.ranges), sum(part.high for part in self.ranges)
        if not low <= length <= high or any(part.low > part.high for part in self.ranges):
            return None
        return Split(
            tuple(
                Range(
                    max(part.low, length - (high - part.high)),
                    min(part.high, length - (low - part.low)),
                )
                for part in self.ranges
            )
        )

    @property
    def shape(self) -> tuple[int, ...]:
        """Which pieces have the same range: the number of the first like it, for each."""
        return tuple(self.ranges.index(part) for part in self.ranges)


class RodModel(Struct, frozen=True):
    """One rod to be cut: its length and the ways to split it, in units."""

    length: int
    splits: tuple[Split, ...]


class StockModel(Struct, frozen=True):
    """One length of stock: how many there are, what one costs, and whether these would have to be fetched."""

    length: int
    count: int
    cost: int
    missing: bool
    source: int
    """Place in the list of stock that was asked about."""


class PieceClass(Struct, frozen=True):
    """Pieces that are alike: same group of rods, same way to split, same range."""

    group: int
    split: int
    low: int
    high: int
    per_rod: int
    places: tuple[int, ...]
    """Which pieces of the rod, in the order driven."""


class Group(Struct, frozen=True):
    """Rods that are nearly alike: their ranges are taken together, so the group asks no more than they do."""

    rods: tuple[int, ...]
    total: int
    shortest: int
    longest: int
    splits: int
    classes: tuple[tuple[int, ...], ...]
    """For each way to split, the numbers of its piece classes."""


class Model(Struct, frozen=True):
    """All rods, all stock, the width of the saw cut, and the groups in which the rods are counted."""

    rods: tuple[RodModel, ...]
    stock: tuple[StockModel, ...]
    kerf: int
    groups: tuple[Group, ...]
    classes: tuple[PieceClass, ...]


def build(rods: Sequence[RodModel], stock: Sequence[StockModel], kerf: int, *, step: int = 0) -> Model:
    """Return the model, rods that differ by no more than ``step`` counted together."""
    members = _gather(rods, step)
    groups: list[Group] = []
    classes: list[PieceClass] = []
    for rod_numbers in members:
        groups.append(_group(rods, rod_numbers, len(groups), classes))
    return Model(
        rods=tuple(rods),
        stock=tuple(stock),
        kerf=kerf,
        groups=tuple(groups),
        classes=tuple(classes),
    )


def _gather(rods: Sequence[RodModel], step: int) -> list[list[int]]:
    """Return rods in groups: one shape of splits, and no measure farther apart than the step."""
    members: list[list[int]] = []
    open_groups: dict[object, list[tuple[tuple[int, ...], list[int]]]] = {}
    for number in sorted(range(len(rods)), key=lambda place: _measures(rods[place])):
        rod = rods[number]
        measures = _measures(rod)
        whole = min(len(split.ranges) for split in rod.splits) == 1
        shape = (rod.length if whole else 0, *(split.shape for split in rod.splits))
        for first, group in open_groups.setdefault(shape, []):
            if all(abs(here - there) <= step for here, there in zip(measures, first, strict=True)):
                group.append(number)
                break
        else:
            group = [number]
            open_groups[shape].append((measures, group))
            members.append(group)
    return members


def _measures(rod: RodModel) -> tuple[int, ...]:
    ranges: Iterable[Range] = (part for split in rod.splits for part in split.ranges)
    return (rod.length, *(edge for part in ranges for edge in (part.low, part.high)))


def _group(rods: Sequence[RodModel], numbers: Sequence[int], group: int, classes: list[PieceClass]) -> Group:
    first = rods[numbers[0]]
    by_split: list[tuple[int, ...]] = []
    for split, pattern in enumerate(first.splits):
        own: list[int] = []
        for kind in sorted(set(pattern.shape)):
            places = tuple(place for place, like in enumerate(pattern.shape) if like == kind)
            ranges = [rods[number].splits[split].ranges[place] for number in numbers for place in places]
            own.append(len(classes))
            classes.append(
                PieceClass(
                    group=group,
                    split=split,
                    low=min(part.low for part in ranges),
                    high=max(part.high for part in ranges),
                    per_rod=len(places),
                    places=places,
                )
            )
        by_split.append(tuple(own))
    lengths = [rods[number].length for number in numbers]
    return Group(
        rods=tuple(numbers),
        total=sum(lengths),
        shortest=min(lengths),
        longest=max(lengths),
        splits=len(first.splits),
        classes=tuple(by_split),
    )
