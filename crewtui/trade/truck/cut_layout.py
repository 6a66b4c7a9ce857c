"""From numbers of patterns to a cut list: which rod each piece belongs to, and how long exactly it is."""

from __future__ import annotations

import math
import random
import time
from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from crewtui.trade.truck.cut_clock import Clock
from crewtui.trade.truck.cut_flow import Lengths, Piece
from crewtui.trade.truck.cut_model import PER_INCH, Model
from crewtui.trade.truck.cut_patterns import Column, Pattern
from crewtui.trade.truck.cut_whole import Choice

_WORSE: Final = PER_INCH / 2
"""How much more length may lack after a change before it is let pass only once in e times."""
_OWN: Final = 0.4
_NEAR: Final = 0.35
_MOVED: Final = 0.3
"""Shares of the changes: to a piece of a rod that lacks, to one beside it; and of these, moves."""


class Slot(Struct, frozen=True):
    """A piece as placed: rod, which piece of it, how it is split, and where it is cut from."""

    rod: int
    split: int
    place: int
    bin: int


class Layout(Struct):
    """A cut list in units: the stock used, which of it is used up, and every piece with its length."""

    stocks: list[int]
    full: list[bool]
    slots: list[Slot]
    lengths: list[int]

    def cuts(self) -> int:
        """Saw cuts of the whole list."""
        return len(self.slots) - sum(self.full)


def lengths_for(model: Model, stocks: Sequence[int], full: Sequence[bool], slots: Sequence[Slot]) -> Lengths:
    """Return the flow of lengths for settled pieces."""
    counts = [0] * len(stocks)
    pieces = []
    for slot in slots:
        part = model.rods[slot.rod].splits[slot.split].ranges[slot.place]
        pieces.append(Piece(slot.rod, slot.bin, part.low, part.high))
        counts[slot.bin] += 1
    room = [
        model.stock[stock].length - model.kerf * (count - 1)
        for stock, count in zip(stocks, counts, strict=True)
    ]
    return Lengths(pieces, [rod.length for rod in model.rods], room, full)


def lay_out(model: Model, choice: Choice, clock: Clock, *, time_s: float) -> Layout | None:
    """Return a cut list from the stock of a choice of patterns; None if none was found in time."""
    stocks, full, open_slots = _slots(choice)
    return settle(model, stocks, full, _deal(model, choice, open_slots), clock, time_s=time_s)


def settle(
    model: Model,
    stocks: Sequence[int],
    full: Sequence[bool],
    slots: Sequence[Slot],
    clock: Clock,
    *,
    time_s: float,
    seed: int = 1,
) -> Layout | None:
    """Return a cut list from this stock and the pieces as they lie; None if none was found in time.

    Where they do not come out exactly for every rod, pieces move or change places, and a change for the worse
    is now and then let pass, the less the worse it is (simulated annealing).
    """
    chance = random.Random(seed)  # noqa: S311 - which change is tried next, nothing secret
    until = time.monotonic() + min(time_s, clock.left_s)
    now = list(slots)
    best = lengths_for(model, stocks, full, now).flow()
    while best.lacking:
        clock.check()
        if time.monotonic() > until or len(stocks) == 1:
            return None
        trial = _change(now, len(stocks), best.rods_lacking, chance)
        if trial is None or not _room_for_least(model, stocks, trial):
            continue
        flow = lengths_for(model, stocks, full, trial).flow()
        worse = max(0, flow.lacking - best.lacking)
        if not worse or chance.random() < math.exp(-worse / _WORSE):
            now, best = trial, flow
    return _without_empty(Layout(list(stocks), list(full), now, list(best.lengths)))


def _without_empty(layout: Layout) -> Layout:
    """Return the cut list without stock that no piece is cut from."""
    used = sorted({slot.bin for slot in layout.slots})
    place = {old: new for new, old in enumerate(used)}
    return Layout(
        [layout.stocks[old] for old in used],
        [layout.full[old] for old in used],
        [Slot(slot.rod, slot.split, slot.place, place[slot.bin]) for slot in layout.slots],
        layout.lengths,
    )


def _slots(choice: Choice) -> tuple[list[int], list[bool], dict[int, list[tuple[int, int]]]]:
    """Return each stock that is cut, whether it is used up, and by class its places with the length meant."""
    stocks: list[int] = []
    full: list[bool] = []
    places: dict[int, list[tuple[int, int]]] = {}
    for pattern, times, totals in choice.patterns:
        for _ in range(times):
            for (number, count), total in zip(pattern.pieces, totals, strict=True):
                meant = total // (times * count)
                places.setdefault(number, []).extend([(meant, len(stocks))] * count)
            stocks.append(pattern.stock)
            full.append(pattern.full)
    return stocks, full, places


def _deal(model: Model, choice: Choice, places: dict[int, list[tuple[int, int]]]) -> list[Slot]:
    """Deal the pieces out to rods: the longest first, to the rod that lacks most per piece still open."""
    slots: list[Slot] = []
    for number, group in enumerate(model.groups):
        rods = sorted(group.rods, key=lambda rod: model.rods[rod].length)
        start = 0
        for split in range(group.splits):
            count = len(rods) if group.splits == 1 else choice.by_split[number, split]
            own = rods[start : start + count]
            start += count
            open_places = {
                (rod, part): list(model.classes[part].places) for rod in own for part in group.classes[split]
            }
            rest = {rod: model.rods[rod].length for rod in own}
            left = {rod: sum(model.classes[part].per_rod for part in group.classes[split]) for rod in own}
            dealt = sorted(
                ((meant, at, part) for part in group.classes[split] for meant, at in places.get(part, ())),
                reverse=True,
            )
            for meant, at, part in dealt:
                takers = [rod for rod in own if open_places[rod, part]]
                rod = max(takers, key=lambda rod: rest[rod] / left[rod])
                slots.append(Slot(rod, split, open_places[rod, part].pop(0), at))
                rest[rod] -= meant
                left[rod] -= 1
    return slots


def _change(
    slots: Sequence[Slot], bins: int, lacking: Sequence[int], chance: random.Random
) -> list[Slot] | None:
    """Return the slots with one piece moved or two exchanged, most often near a rod that lacks length."""
    touched = {slot.bin for slot in slots if slot.rod in lacking}
    own = [number for number, slot in enumerate(slots) if slot.rod in lacking]
    near = [number for number, slot in enumerate(slots) if slot.bin in touched]
    draw = chance.random()
    pool = own if draw < _OWN else near if draw < _OWN + _NEAR else range(len(slots))
    one = chance.choice(pool or range(len(slots)))
    first = slots[one]
    result = list(slots)
    if chance.random() < _MOVED:
        target = chance.randrange(bins)
        if target == first.bin:
            return None
        result[one] = Slot(first.rod, first.split, first.place, target)
        return result
    other = chance.randrange(len(slots))
    second = slots[other]
    if second.bin == first.bin:
        return None
    result[one] = Slot(first.rod, first.split, first.place, second.bin)
    result[other] = Slot(second.rod, second.split, second.place, first.bin)
    return result


def _room_for_least(model: Model, stocks: Sequence[int], slots: Sequence[Slot]) -> bool:
    """Return whether every stock holds its pieces at their least."""
    least = [-model.kerf] * len(stocks)
    for slot in slots:
        part = model.rods[slot.rod].splits[slot.split].ranges[slot.place]
        least[slot.bin] += part.low + model.kerf
    return all(used <= model.stock[stock].length for used, stock in zip(least, stocks, strict=True))


def columns_of(model: Model, layout: Layout) -> list[Column]:
    """Return the patterns of a cut list, in the classes of this model."""
    group_of = {rod: number for number, group in enumerate(model.groups) for rod in group.rods}
    class_of = {
        (part.group, part.split, place): number
        for number, part in enumerate(model.classes)
        for place in part.places
    }
    held: list[dict[int, tuple[int, int]]] = [{} for _ in layout.stocks]
    for slot, length in zip(layout.slots, layout.lengths, strict=True):
        number = class_of[group_of[slot.rod], slot.split, slot.place]
        count, total = held[slot.bin].get(number, (0, 0))
        held[slot.bin][number] = (count + 1, total + length)
    columns = []
    for stock, pieces in zip(layout.stocks, held, strict=True):
        ordered = sorted(pieces.items())
        pattern = Pattern(stock, tuple((number, count) for number, (count, _) in ordered), full=False)
        columns.append(Column(pattern, tuple(total for _, (_, total) in ordered)))
    return columns


def _taken(model: Model, layout: Layout) -> tuple[list[int], list[bool]]:
    """Return what pieces and the cuts between them take of each stock, and whether any of it can be moved."""
    taken = [-model.kerf] * len(layout.stocks)
    growing = [False] * len(layout.stocks)
    for slot, length in zip(layout.slots, layout.lengths, strict=True):
        part = model.rods[slot.rod].splits[slot.split].ranges[slot.place]
        taken[slot.bin] += length + model.kerf
        growing[slot.bin] |= part.low < part.high
    return taken, growing


def use_up(model: Model, layout: Layout) -> Layout:
    """Return the same pieces with more of the stock used up, where lengths can be moved so."""
    taken, growing = _taken(model, layout)
    full = [use == model.stock[stock].length for use, stock in zip(taken, layout.stocks, strict=True)]
    best = Layout(layout.stocks, full, layout.slots, layout.lengths)
    for number, grows in enumerate(growing):
        if best.full[number] or not grows:
            continue
        full = list(best.full)
        full[number] = True
        flow = lengths_for(model, best.stocks, full, best.slots).flow()
        if not flow.lacking:
            best = Layout(best.stocks, full, best.slots, list(flow.lengths))
    return best


def longest_offcut(model: Model, layout: Layout) -> Layout:
    """Return the same pieces with one offcut as long as lengths can be moved to make it."""
    taken, growing = _taken(model, layout)
    left_over = [model.stock[stock].length - use for use, stock in zip(taken, layout.stocks, strict=True)]
    best, most = layout, max(left_over, default=0)
    for number, grows in enumerate(growing):
        if layout.full[number] or not grows:
            continue
        before = left_over[number]
        lengths = lengths_for(model, layout.stocks, layout.full, layout.slots)
        used = sum(
            length for slot, length in zip(layout.slots, layout.lengths, strict=True) if slot.bin == number
        )
        left = before + used - lengths.empty(number)
        if left > most:
            most = left
            best = Layout(layout.stocks, layout.full, layout.slots, list(lengths.flow().lengths))
    return best
