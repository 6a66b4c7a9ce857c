"""What pages and tables ask of a record: a value as built, an answer, what figures rest on, and the words.

The record was read by its types; the plan's own tables may still hold anything, and are looked at.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Final

from crewtui import units
from crewtui.job.tables import quantities
from crewtui.record.signed.form import AnchorDone, ValueBuilt
from crewtui.units import UnitSystem

_LARGEST: Final = 1e6
"""No length, angle or torque of a record is larger; what is, is left out."""


def number(value: object) -> float | None:
    """Return a plain number within reason, or None."""
    if not isinstance(value, int | float) or isinstance(value, bool):
        return None
    found = float(value)
    return found if math.isfinite(found) and abs(found) <= _LARGEST else None


def text(value: object) -> str:
    """Return a string of the record; nothing for anything that is none."""
    return value if isinstance(value, str) else ""


def built(anchor: AnchorDone, quantity: str) -> float | None:
    """Return a value as built, or None."""
    value = _value(anchor, quantity)
    return number(value.value) if value is not None else None


def depth_in(anchor: AnchorDone) -> float | None:
    """Return how deep the rod lies at the plate, as built then or on the day that it was set."""
    found = built(anchor, "depth_found_in")
    before = anchor.planned.get("built")
    if found is not None or not isinstance(before, Mapping):
        return found
    return number(before.get("depth_found_in"))


def then(anchor: AnchorDone, quantity: str) -> str:
    """Return the answer asked after a value, such as clicked."""
    value = _value(anchor, quantity)
    return value.then if value is not None else ""


def _value(anchor: AnchorDone, quantity: str) -> ValueBuilt | None:
    return next((value for value in anchor.value if value.quantity == quantity), None)


def answered(anchor: AnchorDone, step: str) -> str:
    """Return the answer to a step, or nothing."""
    return next((one.answer for one in anchor.answer if one.step == step), "")


def inputs(anchor: AnchorDone) -> dict[str, float]:
    """Return what the figures of an anchor rest on, by quantity."""
    found = ((one.quantity, number(one.value)) for one in anchor.input)
    return {quantity: value for quantity, value in found if value is not None}


def planned(anchor: AnchorDone) -> Mapping[str, Any]:
    """Return the plan's values with what the site changed."""
    return {**anchor.planned, **anchor.changed_on_site}


def along_in(anchor: AnchorDone) -> float | None:
    """Return the anchor's place along the wall."""
    found = inputs(anchor).get("along_in")
    return found if found is not None else number(planned(anchor).get("along_in"))


_KEYED: Final = re.compile(r"\b([a-z][a-z0-9_]*_(?:in|deg|lbf_ft)) (-?\d+(?:\.\d+)?)\b")


def labeled(words: str, system: UnitSystem) -> str:
    """Return a record's words with each value that stands there by its key said with its label and unit."""
    return _KEYED.sub(lambda found: quantities.in_words({found[1]: float(found[2])}, system), words)


def length(value: object, system: UnitSystem) -> str:
    """Return a length in words, nothing where it is none."""
    found = number(value)
    return units.show_length(found, system) if found is not None else ""


def angle(value: object) -> str:
    """Return an angle in words, nothing where it is none."""
    found = number(value)
    return units.show_angle(found) if found is not None else ""


def torque(value: object, system: UnitSystem) -> str:
    """Return a torque in words, nothing where it is none."""
    found = number(value)
    return units.show_torque(found, system) if found is not None else ""


def moment(value: object) -> str:
    """Return a time as a sheet shows it, nothing where it is none."""
    return f"{value:%Y-%m-%d %H:%M}" if isinstance(value, datetime) else ""


def day(value: object) -> str:
    """Return a day, nothing where it is none."""
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d}"
    return f"{value:%Y-%m-%d}" if isinstance(value, date) else ""
