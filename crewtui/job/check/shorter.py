"""What a newer form of the job file would shorten: values that all anchors of a wall repeat."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Final

from crewtui.job.check.finding import Finding
from crewtui.job.file.inherit import OWN

_FROM: Final = 3
"""Anchors of a wall, from which on repeating is worth a word."""


def shorter_findings(own: Mapping[str, Any]) -> Iterator[Finding]:
    """Yield a note for each wall whose anchors, as the file has them, repeat the same values."""
    for name, keys in repeated(own).items():
        words = (
            f"All anchors of the wall {name} repeat {', '.join(keys)}: written once under [walls.anchors]"
            " below the wall, they need not stand at each."
        )
        yield Finding("remark", "shorter", words, key="anchors")


def repeated(own: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    """Return by wall the keys that every one of its anchors repeats with the same value."""
    rows = [row for row in own.get("anchors", ()) if isinstance(row, dict)]
    found = {}
    for name in dict.fromkeys(str(row.get("wall")) for row in rows):
        of_wall = [row for row in rows if row.get("wall") == name]
        keys = tuple(
            key
            for key, value in of_wall[0].items()
            if key not in OWN and all(row.get(key) == value for row in of_wall)
        )
        if len(of_wall) >= _FROM and keys:
            found[name] = keys
    return found
