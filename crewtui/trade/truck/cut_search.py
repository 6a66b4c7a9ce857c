"""The search for a cut list: fewest lengths (or least of them), then fewest cuts, then the longest offcut.

Each aim is bounded from below and met from above. Rods that are nearly alike are counted together first:
that asks no more than the rods do, so a bound so found holds; then ever finer, until bound and list meet.
"""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from itertools import islice
from typing import Final

from msgspec import Struct, field
from msgspec.structs import replace

from crewtui.trade.truck.cut_clock import Clock, OutOfTimeError
from crewtui.trade.truck.cut_layout import Layout, Slot, columns_of, lay_out, longest_offcut, settle, use_up
from crewtui.trade.truck.cut_master import Aim, Master
from crewtui.trade.truck.cut_model import PER_INCH, RodModel, StockModel, build
from crewtui.trade.truck.cut_whole import Choice

_STEPS: Final = (4 * PER_INCH, PER_INCH, PER_INCH // 4, 0)
"""How far rods may differ and be counted together, coarse to fine."""
_QUICK_S: Final = 0.7
_CUTS_S: Final = 3.0
"""Time for the fewest cuts, at most: a cut more costs a minute, a length more a drive."""
_MOST_CHOICES: Final = 4000
_OTHER_STOCK: Final = 3
"""Choices of quite other stock that are tried before one length at a time is changed."""
_MOST_PATTERNS: Final = 1500
"""Of one stock, before the list of all patterns that may still serve is given up."""
_REACH_BITS: Final = 4_000_000
"""Largest sum of costs for which all sums that stock can have are listed."""


class Answer(Struct):
    """The best cut list found, and which of its aims are proven."""

    layout: Layout
    proven: set[Aim] = field(default_factory=set)
    offcut_proven: bool = False


def first_answer(rods: Sequence[RodModel], stock: Sequence[StockModel], kerf: int) -> Layout:
    """Return a cut list at once: pieces as long as can be, the longest first, each where it first fits."""
    pieces: list[tuple[int, int, int]] = []
    for number, rod in enumerate(rods):
        ranges = rod.splits[0].ranges
        rest = rod.length - sum(part.low for part in ranges)
        for place, part in enumerate(ranges):
            grown = min(rest, part.high - part.low)
            rest -= grown
            pieces.append((part.low + grown, number, place))
    pieces.sort(key=lambda piece: (-piece[0], piece[1], piece[2]))
    order = sorted(range(len(stock)), key=lambda place: (stock[place].missing, stock[place].cost))
    left = [kind.count for kind in stock]
    layout = Layout([], [], [], [])
    free: list[int] = []
    for length, rod_number, place in pieces:
        at = next((number for number, room in enumerate(free) if room >= length), None)
        if at is None:
            kind = next(kind for kind in order if left[kind] and stock[kind].length >= length)
            left[kind] -= 1
            at = len(free)
            free.append(stock[kind].length)
            layout.stocks.append(kind)
        free[at] -= length + kerf
        layout.slots.append(Slot(rod_number, 0, place, at))
        layout.lengths.append(length)
    layout.full = [room == -kerf for room in free]
    return layout


def stock_choices(
    stock: Sequence[StockModel], needed: int, kerf: int, *, most: int
) -> Iterator[tuple[int, ...]]:
    """Yield choices of stock, most of the longest first, that hold what is needed and no more than ``most``.

    No more than a few thousand of them.
    """
    order = sorted(range(len(stock)), key=lambda kind: -stock[kind].length)

    def extend(place: int, room: int, chosen: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if room >= needed:
            yield tuple(sorted(chosen))
            return
        if place == len(order):
            return
        kind = order[place]
        piece = stock[kind].length + kerf
        fits = min(stock[kind].count, (most - room) // piece, -((room - needed) // piece))
        for count in range(fits, -1, -1):
            yield from extend(place + 1, room + count * piece, chosen + (kind,) * count)

    return islice(extend(0, 0, ()), _MOST_CHOICES)


class Search:
    """One job: the best list so far, and what is known of the best there can be."""

    def __init__(
        self, rods: Sequence[RodModel], stock: Sequence[StockModel], kerf: int, clock: Clock
    ) -> None:
        self.rods, self.stock, self.kerf, self.clock = rods, stock, kerf, clock
        self.aims: tuple[Aim, ...] = ("missing", "cost", "cuts") if self._limited else ("cost", "cuts")
        self.exact = build(rods, stock, kerf)
        self.answer = Answer(use_up(self.exact, first_answer(rods, stock, kerf)))
        self.masters: dict[int, Master] = {}

    @property
    def _limited(self) -> bool:
        return any(kind.missing for kind in self.stock)

    def value(self, aim: Aim, layout: Layout) -> int:
        """Return what a cut list comes to by one aim."""
        if aim == "cuts":
            return layout.cuts()
        return self._worth(aim, layout.stocks)

    def run(self) -> Answer:
        """Return the best list found until it is proven, or until time is over."""
        kept: list[tuple[Aim, int]] = []
        try:
            for aim in self.aims:
                if aim == "cuts":
                    self.clock.until = min(self.clock.until, time.monotonic() + _CUTS_S)
                if self._settle(aim, kept):
                    self.answer.proven.add(aim)
                kept.append((aim, self.value(aim, self.answer.layout)))
        except OutOfTimeError:
            pass
        self._finish()
        return self.answer

    def _settle(self, aim: Aim, kept: list[tuple[Aim, int]]) -> bool:
        """Better the list by one aim, level by level; return whether it is proven.

        First each level with the patterns that its bound comes upon, then with every pattern that may serve.
        """
        floor = 0
        for wide in (False, True):
            if wide and self._press(aim, floor, self.clock.left_s / 3):
                return True
            groups = 0
            for step in _STEPS:
                master = self._master(step, kept)
                if len(master.model.groups) == groups:
                    continue
                groups = len(master.model.groups)
                if not wide:
                    best = self.value(aim, self.answer.layout)
                    floor = max(floor, self._reachable(aim, master.bound(aim, best)))
                if floor < self.value(aim, self.answer.layout):
                    floor = max(floor, self._close(aim, master, floor, wide=wide))
                if floor >= self.value(aim, self.answer.layout):
                    return True
        return aim != "cuts" and self._press(aim, floor, self.clock.left_s)

    def _master(self, step: int, kept: list[tuple[Aim, int]]) -> Master:
        if step not in self.masters:
            model = build(self.rods, self.stock, self.kerf, step=step)
            self.masters[step] = Master(model, self.clock)
            self.masters[step].open_with_single_pieces()
        master = self.masters[step]
        master.kept = list(kept)
        master.add(columns_of(master.model, self.answer.layout))
        return master

    def _close(self, aim: Aim, master: Master, floor: int, *, wide: bool) -> int:
        """Choose among the patterns known or, if ``wide``, all that may better the list; return the floor."""
        best = self.value(aim, self.answer.layout)
        whole = wide and master.widen(aim, self._next_lower(aim, best), _MOST_PATTERNS)
        time_s = max(_QUICK_S, self.clock.left_s / 3) if wide else _QUICK_S
        choice, least = master.choose(aim, floor=floor, time_s=time_s)
        self._take(aim, master, choice)
        if not (whole and least):
            return floor
        return max(floor, min(best, best if choice is None else self._value_of(aim, master, choice)))

    def _value_of(self, aim: Aim, master: Master, choice: Choice) -> int:
        return sum(times * master.worth(aim, pattern) for pattern, times, _ in choice.patterns)

    def _take(self, aim: Aim, master: Master, choice: Choice | None) -> None:
        if choice is None or self._value_of(aim, master, choice) >= self.value(aim, self.answer.layout):
            return
        layout = lay_out(master.model, choice, self.clock, time_s=_QUICK_S)
        if layout is not None:
            self.answer.layout = use_up(self.exact, layout)

    def _press(self, aim: Aim, floor: int, time_s: float) -> bool:
        """Better the list from itself: other stock, or more of it used up; return whether it is proven."""
        until = time.monotonic() + time_s
        starts = self._starts(aim, floor)
        seed = 0
        while time.monotonic() < until:
            best = self.value(aim, self.answer.layout)
            start = None if best <= floor else next(starts, None)
            if start is None:
                break
            seed += 1
            share_s = min(_QUICK_S, until - time.monotonic())
            found = settle(
                self.exact, start.stocks, start.full, start.slots, self.clock, time_s=share_s, seed=seed
            )
            if found is not None and self.value(aim, found) < best:
                self.answer.layout = use_up(self.exact, found)
                starts = self._starts(aim, floor)
        return self.value(aim, self.answer.layout) <= floor

    def _starts(self, aim: Aim, floor: int) -> Iterator[Layout]:
        """Yield lists that would be better than the best, if only their pieces came out."""
        layout = self.answer.layout
        held = [-self.kerf] * len(layout.stocks)
        for slot, length in zip(layout.slots, layout.lengths, strict=True):
            held[slot.bin] += length + self.kerf
        left = [self.stock[kind].length - use for kind, use in zip(layout.stocks, held, strict=True)]
        by_left = sorted(range(len(left)), key=lambda number: -left[number])
        if aim == "cuts":
            loose = [number for number in reversed(by_left) if not layout.full[number]]
            for number in loose if len(loose) > 1 else ():
                full = list(layout.full)
                full[number] = True
                yield Layout(layout.stocks, full, layout.slots, layout.lengths)
            return
        tried: set[tuple[int, ...]] = set()
        for _ in range(_OTHER_STOCK):
            other = self._with_other_stock(aim, floor, tried)
            if other is not None:
                yield other
        best = self._worth(aim, layout.stocks)
        for number in by_left:
            for kind in self._cheaper(layout.stocks, number):
                stocks = list(layout.stocks)
                stocks[number] = kind
                if floor <= self._worth(aim, stocks) < best:
                    yield Layout(stocks, [False] * len(stocks), layout.slots, layout.lengths)

    def _cheaper(self, stocks: Sequence[int], number: int) -> list[int]:
        """Return the kinds of stock still there that are cheaper than one listed, the dearest first."""
        kinds = [
            kind
            for kind, stock in enumerate(self.stock)
            if stocks.count(kind) < stock.count
            and (stock.missing, stock.cost)
            < (self.stock[stocks[number]].missing, self.stock[stocks[number]].cost)
        ]
        return sorted(kinds, key=lambda kind: -self.stock[kind].cost)

    def _with_other_stock(self, aim: Aim, floor: int, tried: set[tuple[int, ...]]) -> Layout | None:
        """Return the pieces dealt out to other stock, better by the aim: the roomiest not tried yet."""
        layout = self.answer.layout
        lengths = [self.stock[kind].length for kind in layout.stocks]
        needed = sum(layout.lengths) + self.kerf * len(layout.slots)
        best = self.value(aim, layout)
        choices = [
            kinds
            for kinds in stock_choices(self.stock, needed, self.kerf, most=max(lengths) + sum(lengths))
            if kinds not in tried and floor <= self._worth(aim, kinds) < best
        ]
        if not choices:
            return None
        kinds = max(choices, key=lambda kinds: (sum(self.stock[kind].length for kind in kinds), -len(kinds)))
        tried.add(kinds)
        free = [self.stock[kind].length for kind in kinds]
        slots = list(layout.slots)
        for number in sorted(range(len(slots)), key=lambda number: -layout.lengths[number]):
            at = max(range(len(free)), key=free.__getitem__)
            free[at] -= layout.lengths[number] + self.kerf
            slots[number] = replace(slots[number], bin=at)
        return Layout(list(kinds), [False] * len(kinds), slots, layout.lengths)

    def _worth(self, aim: Aim, kinds: Sequence[int]) -> int:
        if aim == "missing":
            return sum(self.stock[kind].missing for kind in kinds)
        return sum(self.stock[kind].cost for kind in kinds)

    def _reachable(self, aim: Aim, floor: int) -> int:
        """Return the least sum of costs, from the floor up, that any choice of stock can have."""
        sums = self._sums(aim)
        return floor if sums is None else floor + ((sums >> floor) & -(sums >> floor)).bit_length() - 1

    def _next_lower(self, aim: Aim, value: int) -> int:
        sums = self._sums(aim)
        return value - 1 if sums is None else (sums & ((1 << value) - 1)).bit_length() - 1

    def _sums(self, aim: Aim) -> int | None:
        """Return the sums of costs that stock can have, as the bits of a number; None where it is no use."""
        most = self.value("cost", self.answer.layout)
        if aim != "cost" or most > _REACH_BITS or len({kind.cost for kind in self.stock}) < 2:  # noqa: PLR2004 - one
            return None
        sums, mask = 1, (1 << (most + 1)) - 1
        for kind in self.stock:
            for _ in range(min(kind.count, most // kind.cost)):
                grown = (sums | (sums << kind.cost)) & mask
                if grown == sums:
                    break
                sums = grown
        return sums

    def _finish(self) -> None:
        """Leave one offcut as long as the same pieces allow."""
        layout = self.answer.layout = longest_offcut(self.exact, self.answer.layout)
        self.answer.offcut_proven = self.answer.proven >= set(self.aims) and layout.full.count(False) <= 1
