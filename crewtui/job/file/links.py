"""What the parts of a job file say of each other: names given twice, and walls that there are not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any, Final

from crewtui.job.file.model import ENDS_FIRST, TWO_FALLS
from crewtui.job.file.problems import Problem, listed, named, nearest, path_of, shown

_UNIQUE: Final = (("walls", "name", "wall"), ("anchors", "id", "anchor"), ("lines", "name", "line"))
_ON_A_WALL: Final = ("anchors", "lines", "footings", "in_ground")


def link_problems(table: Mapping[str, Any], file: str) -> Iterator[Problem]:
    """Say every name that is given twice and every wall that is named and not described."""
    for where, key, kind in _UNIQUE:
        yield from _twice(table, file, where, key, kind)
    yield from _at_odds(table, file)
    walls = [name for _, name in _names(table, "walls", "name")]
    if not walls:
        return
    for where in _ON_A_WALL:
        for place, name in _names(table, where, "wall"):
            if name not in walls:
                yield _no_wall(table, file, (where, place, "wall"), name, walls)
    yield from _corners(table, file, walls)
    for parts, areas in (
        (("property_line",), table.get("property_line")),
        (("ticket", "area"), _area(table)),
    ):
        if isinstance(areas, dict):
            for name in areas:
                if name not in walls:
                    yield _no_wall(table, file, (*parts, name), name, walls)


def _corners(table: Mapping[str, Any], file: str, walls: list[str]) -> Iterator[Problem]:
    """Say every corner that is shared with no wall, or with its own."""
    rows = table.get("walls")
    for place, row in enumerate(rows if isinstance(rows, list) else ()):
        corners = row.get("corners") if isinstance(row, dict) else None
        for at, corner in enumerate(corners if isinstance(corners, list) else ()):
            name = corner.get("wall") if isinstance(corner, dict) else None
            if not isinstance(name, str):
                continue
            parts = ("walls", place, "corners", at, "wall")
            if name.strip() not in walls:
                yield _no_wall(table, file, parts, name, walls)
            elif name.strip() == str(row.get("name", "")).strip():
                words = "A wall shares a corner with another wall, not with itself: name the other one."
                yield Problem(
                    file=file,
                    key=path_of(parts),
                    value=shown(name),
                    message=words,
                    where=named(table, parts[:2]),
                )


def _at_odds(table: Mapping[str, Any], file: str) -> Iterator[Problem]:
    """Say what the models say as well, but only once nothing else is wrong with the same table."""
    anchors = table.get("anchors")
    for place, row in enumerate(anchors if isinstance(anchors, list) else ()):
        if isinstance(row, dict) and "drop" in row and "yard_slope" in row:
            parts = ("anchors", place)
            yield Problem(
                file=file, key=path_of(parts), value=shown(row), message=TWO_FALLS, where=named(table, parts)
            )
    ticket = table.get("ticket")
    if isinstance(ticket, dict):
        ends = [ticket.get(key) for key in ("valid_from", "valid_to")]
        first, last = (t if isinstance(t, datetime) and t.tzinfo else None for t in ends)
        if first and last and last <= first:
            yield Problem(file=file, key="ticket", value=shown(ticket), message=ENDS_FIRST)


def _area(table: Mapping[str, Any]) -> Any:
    ticket = table.get("ticket")
    return ticket.get("area") if isinstance(ticket, dict) else None


def _names(table: Mapping[str, Any], where: str, key: str) -> list[tuple[int, str]]:
    """Return place and name of each table of a list that has one, with the blanks at its ends taken off."""
    rows = table.get(where)
    if not isinstance(rows, list):
        return []
    return [
        (place, row[key].strip())
        for place, row in enumerate(rows)
        if isinstance(row, dict) and isinstance(row.get(key), str)
    ]


def _twice(table: Mapping[str, Any], file: str, where: str, key: str, kind: str) -> Iterator[Problem]:
    seen: dict[str, int] = {}
    for place, name in _names(table, where, key):
        first = seen.setdefault(name, place)
        if first != place:
            yield Problem(
                file=file,
                key=path_of((where, place, key)),
                value=shown(name),
                message=f"{where}[{first}] is called {shown(name)} as well; give each {kind} its own name.",
                where=named(table, (where, place)),
            )


def _no_wall(
    table: Mapping[str, Any], file: str, parts: tuple[str | int, ...], name: str, walls: list[str]
) -> Problem:
    near = nearest(name, walls)
    hint = (
        f'did you mean "{near}"?' if near else f"the file has {listed(shown(w)[1:-1] for w in walls[:12])}."
    )
    return Problem(
        file=file,
        key=path_of(parts),
        value=shown(name),
        message=f"There is no wall {shown(name)}; {hint}",
        nearest=near,
        where=named(table, parts) if parts[0] != "walls" else "",
    )
