"""Reading a wall: bow, lean and largest inward place from a plumb or laser line; change between visits.

At each anchor the distance from a straight upright line inside the room to the wall is read at three
heights or more. A wall that comes inward comes nearer to the line. Every figure stands beside its
uncertainty, which follows from how finely the tape was read. A wall whose base has slid reads plumb: only a
string line along the base shows that.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from itertools import pairwise
from typing import Final, Literal

from msgspec import Struct

from crewtui.units import TOLERANCE_IN, at_least, at_most

Quantity = Literal["bow", "lean", "largest inward", "base", "offset"]
ChangeWord = Literal["better", "worse", "within the reading error"]

COVERAGE: Final = 2.0
"""Uncertainties are given as twice the standard deviation: about 95 in 100."""
_LEAST_READINGS: Final = 3

BASE_WORDS: Final = (
    "A wall whose base has slid reads plumb. Measure the base from a string line between the corners as well."
)


class Reading(Struct, frozen=True, kw_only=True):
    """Distance from the line to the wall at one height above the slab."""

    height_in: float
    offset_in: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.height_in) and math.isfinite(self.offset_in)):
            raise ValueError("a reading needs a height and a distance, both plain numbers")


class WithDoubt(Struct, frozen=True, kw_only=True):
    """A value and how far it may be off (twice the standard deviation)."""

    value: float
    uncertainty: float


class WallReading(Struct, frozen=True, kw_only=True):
    """The wall at one anchor on one visit."""

    anchor: str
    along_in: float
    readings: tuple[Reading, ...]
    """From the bottom up."""
    resolution_in: float
    repeat_sd_in: float
    bow_in: WithDoubt
    """Chord through top and bottom less the wall, at the middle reading's own height; inward is positive."""
    lean_in: WithDoubt
    """Bottom less top: a top that comes inward is positive."""
    lean: WithDoubt
    """Lean over the height between the two."""
    largest_inward_in: WithDoubt
    """The largest distance inward of the chord, of all heights read."""
    largest_inward_height_in: float
    fitted_lean: WithDoubt
    """Slope of the best straight line through all readings, the same sign as ``lean``."""
    base_in: WithDoubt | None
    """How far the base has come inward of a string line between the corners; None if not measured."""
    warnings: tuple[str, ...]


def _spread(resolution_in: float, repeat_sd_in: float) -> float:
    """Return the standard deviation of one reading: a flat spread of rounding, r/√12, and that of repeats."""
    # a reading rounded to a step has the sd step/√12 (GUM F.2.2.1, from memory), joined with that of repeats
    return math.hypot(resolution_in / math.sqrt(12.0), repeat_sd_in)


LEAST_REPEATS: Final = 3
_T_95: Final = (12.71, 4.30, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26)
"""Student's t for 95 %, of 1 to 9 degrees of freedom: GUM (JCGM 100:2008), table G.2, from memory."""


def repeat_sd_in(readings_in: Sequence[float]) -> float:
    """Return the spread of one place read again, each time with the line set up anew; inches.

    So few readings show their spread only roughly: it is widened so that twice of it still holds 95 of 100
    (GUM G.3.2). ValueError for fewer than three readings, or one that is none.
    """
    if len(readings_in) < LEAST_REPEATS:
        raise ValueError(f"one place is read at least {LEAST_REPEATS} times, the line set up anew each time")
    if not all(math.isfinite(one) and one >= 0 for one in readings_in):
        raise ValueError("each repeated reading is a distance, zero or more")
    free = len(readings_in) - 1
    # s·t/2, with s by n − 1: GUM 4.2.2
    return statistics.stdev(readings_in) * _T_95[min(free, len(_T_95)) - 1] / COVERAGE


def read_wall(
    anchor: str,
    readings: Sequence[Reading],
    *,
    along_in: float = 0.0,
    resolution_in: float,
    repeat_sd_in: float = 0.0,
    base_from_string_in: float | None = None,
    string_to_wall_line_in: float | None = None,
) -> WallReading:
    """Return bow, lean and largest inward place at one anchor, each with twice its standard deviation.

    ``resolution_in`` is how finely the tape was read; rounding is taken as independent from reading to
    reading. ``repeat_sd_in`` adds the spread of readings of one place taken again, where somebody has
    measured it.

    The lowest and the highest reading carry the chord; the middle one is the reading nearest to half height
    between them. ``base_from_string_in`` is read from the string to the wall at its base here,
    ``string_to_wall_line_in`` the string's own distance from the wall at the corners (equal at both): the
    base has slid by their difference.
    """
    ordered = _ordered(readings)
    if not (math.isfinite(resolution_in) and resolution_in > 0):
        raise ValueError("say how finely the tape was read, for example to 1/8 in")
    if not (math.isfinite(repeat_sd_in) and repeat_sd_in >= 0):
        raise ValueError("the spread of repeated readings must be zero or more")
    bottom, top = ordered[0], ordered[-1]
    height_in = top.height_in - bottom.height_in
    sd_in = _spread(resolution_in, repeat_sd_in)
    inner = ordered[1:-1]
    middle = min(inner, key=lambda one: abs(one.height_in - (bottom.height_in + top.height_in) / 2.0))
    bows = {one: _bow(bottom, top, one, sd_in) for one in inner}
    largest = max(inner, key=lambda one: bows[one].value)
    base = _base(base_from_string_in, string_to_wall_line_in, sd_in)
    lean_in = bottom.offset_in - top.offset_in
    # the difference of two readings: √2 of one
    lean_uncertainty_in = COVERAGE * sd_in * math.sqrt(2.0)
    return WallReading(
        anchor=anchor,
        along_in=along_in,
        readings=ordered,
        resolution_in=resolution_in,
        repeat_sd_in=repeat_sd_in,
        bow_in=bows[middle],
        lean_in=WithDoubt(value=lean_in, uncertainty=lean_uncertainty_in),
        lean=WithDoubt(value=lean_in / height_in, uncertainty=lean_uncertainty_in / height_in),
        largest_inward_in=bows[largest],
        largest_inward_height_in=largest.height_in,
        fitted_lean=_fit(ordered, sd_in),
        base_in=base,
        warnings=() if base is not None else (BASE_WORDS,),
    )


def _base(here_in: float | None, corners_in: float | None, sd_in: float) -> WithDoubt | None:
    """Return the slide of the base from its distances to the string, None if it was not measured."""
    if here_in is None and corners_in is None:
        return None
    if here_in is None or corners_in is None:
        raise ValueError(
            "the base needs both distances: from the string here, and from the string at the corners"
        )
    # the difference of two readings: √2 of one
    return WithDoubt(value=corners_in - here_in, uncertainty=COVERAGE * sd_in * math.sqrt(2.0))


def _ordered(readings: Sequence[Reading]) -> tuple[Reading, ...]:
    ordered = tuple(sorted(readings, key=lambda one: one.height_in))
    if len(ordered) < _LEAST_READINGS:
        raise ValueError("read the wall at three heights at least: bottom, middle and top")
    for lower, upper in pairwise(ordered):
        if upper.height_in - lower.height_in <= TOLERANCE_IN:
            raise ValueError("two readings stand at the same height: take one of them out")
    return ordered


def _bow(bottom: Reading, top: Reading, middle: Reading, sd_in: float) -> WithDoubt:
    """Return the chord less the wall at the middle's height, and its uncertainty by the three readings."""
    share = (middle.height_in - bottom.height_in) / (top.height_in - bottom.height_in)
    chord_in = bottom.offset_in + share * (top.offset_in - bottom.offset_in)
    # chord − middle: variances (1 − p)² + p² + 1 of three readings alike (GUM 5.1.2, from memory)
    spread = math.sqrt((1.0 - share) ** 2 + share**2 + 1.0)
    return WithDoubt(value=chord_in - middle.offset_in, uncertainty=COVERAGE * sd_in * spread)


def _fit(readings: Sequence[Reading], sd_in: float) -> WithDoubt:
    """Return the lean of the least-squares line of offset over height, with the spread of its slope."""
    count = len(readings)
    mean_height = math.fsum(one.height_in for one in readings) / count
    mean_offset = math.fsum(one.offset_in for one in readings) / count
    square = math.fsum((one.height_in - mean_height) ** 2 for one in readings)
    mixed = math.fsum((one.height_in - mean_height) * (one.offset_in - mean_offset) for one in readings)
    # least squares: slope = Σ(x − x̄)(y − ȳ)/Σ(x − x̄)², its sd = sd/sqrt(Σ(x − x̄)²)
    return WithDoubt(value=-mixed / square, uncertainty=COVERAGE * sd_in / math.sqrt(square))


class WallProfile(Struct, frozen=True, kw_only=True):
    """The wall as a whole, from its start corner on."""

    stations: tuple[WallReading, ...]
    largest_bow_at: str
    largest_lean_at: str
    largest_base_at: str | None
    warnings: tuple[str, ...]


def profile(stations: Sequence[WallReading]) -> WallProfile:
    """Return the readings of a wall in their order along it, and where bow, lean and slide are largest."""
    if not stations:
        raise ValueError("there is no reading of this wall yet")
    ordered = tuple(sorted(stations, key=lambda one: one.along_in))
    with_base = [one for one in ordered if one.base_in is not None]
    missing = tuple(one.anchor for one in ordered if one.base_in is None)
    warnings = (f"{BASE_WORDS} Missing at {', '.join(missing)}.",) if missing else ()
    return WallProfile(
        stations=ordered,
        largest_bow_at=max(ordered, key=lambda one: one.largest_inward_in.value).anchor,
        largest_lean_at=max(ordered, key=lambda one: one.lean.value).anchor,
        largest_base_at=max(with_base, key=_base_value).anchor if with_base else None,
        warnings=warnings,
    )


def _base_value(station: WallReading) -> float:
    return -math.inf if station.base_in is None else station.base_in.value


class Change(Struct, frozen=True, kw_only=True):
    """One quantity between two visits."""

    quantity: Quantity
    before: WithDoubt
    after: WithDoubt
    change: WithDoubt
    """After less before, and how far that may be off; positive is inward."""
    word: ChangeWord
    height_in: float | None = None
    """For an offset, the height where it was read."""


class Comparison(Struct, frozen=True, kw_only=True):
    """One anchor between two visits."""

    anchor: str
    changes: tuple[Change, ...]
    word: ChangeWord
    """Worse if any is worse, else better if any is better."""
    warnings: tuple[str, ...]


def compare(before: WallReading, after: WallReading, *, same_fixed_line: bool = False) -> Comparison:
    """Compare two visits at one anchor: bow, lean, slide of the base if both have it.

    A change no larger than its uncertainty is within the reading error. Nearer to straight is better. Raw
    offsets are compared only where both visits read from the same fixed line, and only at the same heights.
    """
    if before.anchor != after.anchor:
        raise ValueError(f"{before.anchor} and {after.anchor} are two anchors: compare each with itself")
    changes = [
        _change("bow", before.bow_in, after.bow_in),
        _change("lean", before.lean, after.lean),
        _change("largest inward", before.largest_inward_in, after.largest_inward_in),
    ]
    warnings: list[str] = []
    if not _same_heights(before, after):
        warnings.append("The heights read differ between the visits: bow and lean compare only roughly.")
    if before.base_in is not None and after.base_in is not None:
        changes.append(_change("base", before.base_in, after.base_in))
    else:
        warnings.append(BASE_WORDS)
    if same_fixed_line:
        changes += _offsets(before, after)
    else:
        warnings.append("The line was set up anew: single distances are not compared, only bow and lean.")
    return Comparison(
        anchor=after.anchor, changes=tuple(changes), word=_overall(changes), warnings=tuple(warnings)
    )


def _same_heights(before: WallReading, after: WallReading) -> bool:
    return len(before.readings) == len(after.readings) and all(
        abs(one.height_in - other.height_in) <= TOLERANCE_IN
        for one, other in zip(before.readings, after.readings, strict=True)
    )


def _change(quantity: Quantity, before: WithDoubt, after: WithDoubt) -> Change:
    change = after.value - before.value
    # independent doubts add in squares
    uncertainty = math.hypot(before.uncertainty, after.uncertainty)
    word: ChangeWord = "within the reading error"
    if not at_most(abs(change), uncertainty):
        word = "better" if abs(after.value) < abs(before.value) else "worse"
    return Change(
        quantity=quantity,
        before=before,
        after=after,
        change=WithDoubt(value=change, uncertainty=uncertainty),
        word=word,
    )


def _offsets(before: WallReading, after: WallReading) -> list[Change]:
    """Compare single distances from one fixed line: a smaller one has come inward, which is worse."""
    changes = []
    for old in before.readings:
        new = next(
            (one for one in after.readings if abs(one.height_in - old.height_in) <= TOLERANCE_IN), None
        )
        if new is None:
            continue
        inward = old.offset_in - new.offset_in
        was = WithDoubt(
            value=old.offset_in, uncertainty=COVERAGE * _spread(before.resolution_in, before.repeat_sd_in)
        )
        now = WithDoubt(
            value=new.offset_in, uncertainty=COVERAGE * _spread(after.resolution_in, after.repeat_sd_in)
        )
        uncertainty = math.hypot(was.uncertainty, now.uncertainty)
        word: ChangeWord = "within the reading error"
        if not at_most(abs(inward), uncertainty):
            word = "worse" if inward > 0 else "better"
        changes.append(
            Change(
                quantity="offset",
                before=was,
                after=now,
                change=WithDoubt(value=inward, uncertainty=uncertainty),
                word=word,
                height_in=old.height_in,
            )
        )
    return changes


def _overall(changes: Sequence[Change]) -> ChangeWord:
    words = {one.word for one in changes}
    if "worse" in words:
        return "worse"
    return "better" if "better" in words else "within the reading error"


PLUMB_WORDS: Final = (
    "Tolerance for new masonry as it is laid (TMS 602). It is no limit for a bowed wall; the engineer's is."
)


def new_masonry_plumb_in(height_in: float) -> float:
    """Return how far new masonry may be out of plumb: 1/4 in in 10 ft, 3/8 in in 20 ft, 1/2 in at most.

    Source: TMS 602. Shown only as what it is, with ``PLUMB_WORDS``.
    """
    if not (math.isfinite(height_in) and height_in > 0):
        raise ValueError(f"the height must be over zero; it is {height_in:g}")
    if at_most(height_in, 120.0):
        return 0.25
    return 0.375 if at_most(height_in, 240.0) else 0.5


def needs_engineer(largest_inward: WithDoubt, *, limit_in: float | None) -> bool | None:
    """Tell whether an inward bow reaches the company's limit; None where the company has set none.

    There is no published figure: the limit is a company setting that carries an engineer's name. A bow that
    reaches the limit within its uncertainty counts as reaching it.
    """
    if limit_in is None:
        return None
    return at_least(largest_inward.value + largest_inward.uncertainty, limit_in)
