"""What is cut from one length of stock, beside every way of filling it, tried one by one."""

from __future__ import annotations

import itertools
import math
import random
import time

import pytest

from crewtui.trade.truck.shared_lengths import PiecePrices, Pricing, SharedLength

KERF = 125


def _fillings(stock: int, pieces: PiecePrices) -> dict[tuple[tuple[int, int], ...], float]:
    """Return every filling of a length and what it is worth."""
    lengths = sorted(pieces.price, reverse=True)
    found = {}
    for counts in itertools.product(*(range(pieces.most[length] + 1) for length in lengths)):
        used = sum(count * (length + KERF) for length, count in zip(lengths, counts, strict=True))
        if used <= stock + KERF and any(counts):
            taken = tuple((length, count) for length, count in zip(lengths, counts, strict=True) if count)
            found[taken] = sum(pieces.price[length] * count for length, count in taken)
    return found


def _worth(shared: SharedLength, pieces: PiecePrices) -> float:
    return sum(pieces.price[length] * count for length, count in shared.pieces)


@pytest.mark.parametrize("seed", range(60))
def test_the_search_finds_the_best_and_every_filling_within_a_gap(seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 - invented lengths and prices
    stock = sorted(chance.sample((36_000, 60_000, 72_000, 96_000, 120_000), chance.randint(1, 3)))
    lengths = [chance.randint(9_000, 70_000) for _ in range(chance.randint(1, 6))]
    pieces = PiecePrices(
        price={length: chance.choice((0.0, 0.25, length / 60_000)) for length in lengths},
        most={length: chance.randint(1, 3) for length in lengths},
    )
    pricing = Pricing(stock, KERF, pieces, until=math.inf)
    for kind, length in enumerate(stock):
        fillings = _fillings(length, pieces)
        most = max(fillings.values(), default=0.0)

        best = pricing.best(kind, 0.01, most_found=5)
        assert pricing.complete
        assert bool(best) == (most > 0.01)
        assert all(fillings[shared.pieces] > 0.01 for shared in best)
        if best:
            assert _worth(best[0], pieces) == pytest.approx(most)

        least = most * chance.choice((0.3, 0.8, 1.0))
        every = {shared.pieces for shared in pricing.every(kind, least, 100_000)}
        full = {
            taken
            for taken, worth in fillings.items()
            if worth >= least - 1e-9 and not any(_holds(other, taken) for other in fillings)
        }
        assert every == full
        by_chance = {shared.pieces for shared in pricing.some(kind, least, 20)}
        assert by_chance <= full
        assert by_chance or not full


def _holds(other: tuple[tuple[int, int], ...], taken: tuple[tuple[int, int], ...]) -> bool:
    """Whether a filling is another one with pieces more."""
    counts = dict(other)
    return other != taken and all(counts.get(length, 0) >= count for length, count in taken)


def test_a_search_that_was_cut_short_says_so() -> None:
    pieces = PiecePrices(
        price=dict.fromkeys(range(9_000, 9_100), 1.0), most=dict.fromkeys(range(9_000, 9_100), 9)
    )
    pricing = Pricing([120_000], KERF, pieces, until=time.monotonic() - 1)
    pricing.every(0, 1.0, 10)
    assert not pricing.complete
