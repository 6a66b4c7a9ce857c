"""The job file's examples in millimeters and newton meters, in sizes as a metric yard has them."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from typing import Any, Final

import tomli

from crewtui.job.file.file_keys import Key, by_path
from crewtui.job.file.short_job import inline
from crewtui.units import MM_PER_IN, NM_PER_LBF_FT, UnreadableError, read_length

METRIC: Final[Mapping[str, tuple[str, float]]] = {"in": ("mm", MM_PER_IN), "lbf·ft": ("N·m", NM_PER_LBF_FT)}
"""By a unit of the file: the metric one, and how many of it one is."""
_LARGE: Final = 200.0
_TORQUE: Final = re.compile(r"(\d+(?:\.\d+)?) lbf·ft")


def rounded(value: float) -> float:
    """Return a size as it is made or measured: large ones to 5, small to whole, the least to a tenth."""
    if abs(value) >= _LARGE:
        return float(round(value / 5) * 5)
    return float(round(value)) if abs(value) >= 10 else round(value, 1)  # noqa: PLR2004 - below it tenths count


def in_metric(key: Key, example: str) -> str:
    """Return an example of the file in metric units; what is no measure stays as it is."""
    return inline(_converted(tomli.loads(f"x = {example}")["x"], key.path, key.unit))


def _converted(value: Any, path: str, unit: str) -> Any:
    match value:
        case Mapping():
            inner = ((name, f"{path}.{name}", part) for name, part in value.items())
            return {name: _converted(part, at, _unit(at, unit)) for name, at, part in inner}
        case list():
            return [_converted(part, path, unit) for part in value]
        case str() if value:
            return _text(value, unit)
        case bool():
            return value
        case int() | float() if unit in {"length", "torque"}:
            return _plain(rounded(value * (MM_PER_IN if unit == "length" else NM_PER_LBF_FT)))
    return value


def _text(value: str, unit: str) -> float | str:
    """Return a length in words as millimeters; in other words each torque."""
    if unit == "length":
        with suppress(UnreadableError):
            return _plain(rounded(read_length(value, bare="in") * MM_PER_IN))
    return _TORQUE.sub(lambda found: f"{rounded(float(found[1]) * NM_PER_LBF_FT):g} N·m", value)


def _unit(path: str, outer: str) -> str:
    """Return the unit of a key within a table; a table that is keyed by names has that of its own key."""
    key = by_path().get(path)
    return key.unit if key is not None else outer


def _plain(value: float) -> float | int:
    return int(value) if value.is_integer() else value


__all__ = ["METRIC", "in_metric", "rounded"]
