"""The names of conditions that steps and hazards may stand under; what each means is worked out by the day.

Several are joined by "and". Any depth of a pit may be named besides those of the regulations: ``pit 3 ft or
more`` is inclusive, ``pit over 3 ft`` is not.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Final, NamedTuple

from crewtui.units import MM_PER_IN

NAMES: Final = frozenset({
    "block wall", "poured wall", "clay tile wall", "bowed wall", "bow past the company's limit",
    "somebody in the pit", "nobody in the pit", "hand pit", "auger pit", "pit left open overnight",
    "pit below a footing", "seat to be taped", "soil not rock", "bad air expected", "sign of cave-in",
    "water in the pit",
    "frost given", "coupling used", "private lines", "lines known", "ticket given", "indoor chipping",
    "respirator asked for", "noise over the dose", "loose fill found", "owner adjustable",
    "covers over wall plates ordered",
    "first torque did not come up", "second torque did not come up",
    "rod came in before or did not come up", "nut may be turned", "nut turned", "wall read after tightening",
})  # fmt: skip
_INCHES: Final = {"in": 1.0, "ft": 12.0, "mm": 1 / MM_PER_IN, "cm": 10 / MM_PER_IN, "m": 1000 / MM_PER_IN}
_PIT: Final = re.compile(r"pit (?:(over) )?(\d{1,4}(?:\.\d{1,3})?) (in|ft|mm|cm|m)(?: (or more))?")


class PitDepth(NamedTuple):
    """A depth of the pit as a condition."""

    limit_in: float
    inclusive: bool


def pit_depth(name: str) -> PitDepth | None:
    """Return the depth that a condition names, or None where it names none."""
    found = _PIT.fullmatch(name)
    if found is None or bool(found[1]) == bool(found[4]):
        return None
    return PitDepth(float(found[2]) * _INCHES[found[3]], inclusive=bool(found[4]))


def split(when: str) -> tuple[str, ...]:
    """Return the names that must all be true."""
    return tuple(when.split(" and ")) if when else ()


def unknown(names: Iterable[str]) -> tuple[str, ...]:
    """Return those of the names that are no condition."""
    return tuple(name for name in names if name not in NAMES and pit_depth(name) is None)


__all__ = ["NAMES", "PitDepth", "pit_depth", "split", "unknown"]
