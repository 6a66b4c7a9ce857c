"""From numbers of patterns to a cut list: which rod each piece belongs to, and how long exactly it is."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from crewtui.trade.cut_flow import Lengths, Piece
from crewtui.trade.cut_master import Choice, Clock
from crewtui.trade.cut_model import Model
from crewtui.trade.cut_patterns import Pattern

_TRIES: Final = 400
"""Exchanges of two pieces between two rods before a choice of patterns is given up."""


@dataclass(frozen=True, slots=True)
class Slot:
    """A piece as placed: rod, which piece of it, how it is split, and where it is cut from."""

    rod: int
    split: int
    place: int
    bin: int


@dataclass(slots=True)
class Layout:
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


def lay_out(model: Model, choice: Choice, clock: Clock, *, seed: int = 1) -> Layout | None:
    """Return a cut list with these patterns; None if no exchange of pieces was found that fits exactly."""
    chance = random.Random(seed)  # noqa: S311 - which exchange is tried next, nothing secret
    stocks, full, open_slots = _slots(choice)
    slots = _deal(model, choice, open_slots)
    best = lengths_for(model, stocks, full, slots).flow()
    for _ in range(_TRIES):
        if not best.lacking:
            return Layout(stocks, full, slots, list(best.lengths))
        clock.check()
        trial = _exchange(model, slots, best.rods_lacking, chance)
        if trial is None:
            return None
        flow = lengths_for(model, stocks, full, trial).flow()
        if flow.lacking <= best.lacking:
            slots, best = trial, flow
    return None


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
    """Deal the pieces out to rods: the longest first, each to the rod that lacks most per piece still open."""
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


def _exchange(
    model: Model, slots: Sequence[Slot], lacking: Sequence[int], chance: random.Random
) -> list[Slot] | None:
    """Return the slots with two pieces of one class in each other's stock; None where there are none to exchange."""
    group_of = {rod: number for number, group in enumerate(model.groups) for rod in group.rods}
    alike: dict[tuple[int, int, int], list[int]] = {}
    for number, slot in enumerate(slots):
        shape = model.rods[slot.rod].splits[slot.split].shape
        alike.setdefault((group_of[slot.rod], slot.split, shape[slot.place]), []).append(number)
    movable = [
        number
        for numbers in alike.values()
        for number in numbers
        if any(
            slots[other].bin != slots[number].bin and slots[other].rod != slots[number].rod
            for other in numbers
        )
    ]
    if not movable:
        return None
    short = [number for number in movable if slots[number].rod in lacking]
    one = chance.choice(short or movable)
    shape = model.rods[slots[one].rod].splits[slots[one].split].shape
    others = [
        other
        for other in alike[group_of[slots[one].rod], slots[one].split, shape[slots[one].place]]
        if slots[other].bin != slots[one].bin and slots[other].rod != slots[one].rod
    ]
    other = chance.choice(others)
    result = list(slots)
    first, second = slots[one], slots[other]
    result[one] = Slot(first.rod, first.split, first.place, second.bin)
    result[other] = Slot(second.rod, second.split, second.place, first.bin)
    return result


def _taken(model: Model, layout: Layout) -> tuple[list[int], list[bool]]:
    """Return what each stock gives up to pieces and the cuts between them, and whether any of it can be moved."""
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


__all__ = ["Layout", "Pattern", "Slot", "lay_out", "lengths_for", "longest_offcut", "use_up"]
