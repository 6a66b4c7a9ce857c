"""A job put together from answers, in the order of a proposal: house, walls, anchors, rod, truck, calls.

Headless: a screen shows ``lines``, hands back texts, and writes what ``made`` returns. Nothing is invented:
what nobody gave is not in the file, or is asked for until it is.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any, Final, Literal, get_args

import tomli
from msgspec import Struct, convert
from pydantic import TypeAdapter, ValidationError

from crewtui import units
from crewtui.job.file.fields import UNITS_CONTEXT
from crewtui.job.file.model import Anchor, Rod, Wall
from crewtui.job.file.plain_day import read_day
from crewtui.job.file.short_job import Table
from crewtui.trade.vocabulary import WallType
from crewtui.units import MM_PER_IN, UnitSystem

Kind = Literal["words", "day", "people", "units", "wall type", "length", "torque", "number", "count", "rods"]
MOST_WALLS: Final = 8
MOST_ANCHORS: Final = 60
WALLS: Final = "walls"
"""Under this key stands how many walls are asked about."""
_RODS: Final = re.compile(r"\s*(\d+)\s*(?:of|x|×)\s*(.+?)\s*")
_TITLES: Final = {
    "house": "THE HOUSE", "rod": "THE ROD", "ground": "THE GROUND", "truck": "THE TRUCK",
    "calls": "WHO TO CALL",
}  # fmt: skip
_CALLS: Final = (("office", "office"), ("engineer", "engineer phone"), ("gas leaks", "gas phone"))
_OF_WALL: Final = ("name", "type", "length", "thickness", "slab_to_top", "grade_to_top")
_SHARED: Final = ("setback", "mark_depth", "torque", "least_depth")


class AskedLine(Struct, frozen=True, kw_only=True):
    """One thing asked: where it goes, how it is read, and what it costs that it is not given."""

    key: str
    part: str
    """The heading it stands under."""
    label: str
    kind: Kind
    needed: bool = True
    words: str = ""
    """What it is, or what it costs to leave it out."""


@cache
def _asked() -> Mapping[str, tuple[tuple[str, str, Kind, bool, str], ...]]:
    text = files("crewtui.job.file").joinpath("asked_job.toml").read_text(encoding="utf-8")
    return convert(tomli.loads(text), dict[str, tuple[tuple[str, str, Kind, bool, str], ...]])


def lines(texts: Mapping[str, str]) -> Iterator[AskedLine]:
    """Yield everything that is asked, with as many walls as were asked for."""
    yield from _lines("house", _TITLES["house"])
    for number in range(1, walls_of(texts) + 1):
        yield from _lines("wall", f"WALL {number}", before=f"wall {number} ")
    yield from _lines("rod", _TITLES["rod"], before="rod ")
    for part in ("ground", "truck", "calls"):
        yield from _lines(part, _TITLES[part])


def _lines(table: str, part: str, *, before: str = "") -> Iterator[AskedLine]:
    for key, label, kind, needed, words in _asked()[table]:
        at = f"{before}{key}"
        yield AskedLine(key=at, part=part, label=label, kind=kind, needed=needed, words=words)


def _keys(table: str) -> tuple[str, ...]:
    return tuple(row[0] for row in _asked()[table])


def walls_of(texts: Mapping[str, str]) -> int:
    """Return how many walls are asked about."""
    text = texts.get(WALLS, "1")
    return min(MOST_WALLS, max(1, int(text))) if text.isdigit() else 1


def system_of(texts: Mapping[str, str]) -> UnitSystem:
    """Return the job's units as far as they were said."""
    return "metric" if texts.get("units", "").strip().lower().startswith("m") else "imperial"


def wrong_with(line: AskedLine, text: str, system: UnitSystem, today: date) -> str:
    """Return what is wrong with an answer, in one sentence; empty where it can be read."""
    if not text.strip():
        return ""
    try:
        _read(line, text.strip(), system, today)
    except ValidationError as error:
        return str(error.errors()[0]["msg"]).removeprefix("Value error, ")
    except ValueError as error:
        return str(error)
    return ""


def missing(texts: Mapping[str, str], today: date) -> tuple[AskedLine, ...]:
    """Return what is still needed, or cannot be read, in order."""
    system = system_of(texts)
    return tuple(
        line
        for line in lines(texts)
        if (line.needed and not texts.get(line.key, "").strip())
        or wrong_with(line, texts.get(line.key, ""), system, today)
    )


def made(texts: Mapping[str, str], today: date) -> Table:
    """Return the job of these answers; ValueError with a sentence where one lacks or they do not fit."""
    lacks = missing(texts, today)
    if lacks:
        raise ValueError(f"{lacks[0].part.capitalize()}: {lacks[0].label.lower()} is still to be given.")
    system = system_of(texts)
    given = ((line, texts.get(line.key, "").strip()) for line in lines(texts))
    read = {line.key: _read(line, text, system, today) for line, text in given if text}
    card = {key: read[key] for key in _keys("house") if key in read} | {"units": system}
    walls = [_wall(read, number, system) for number in range(1, walls_of(texts) + 1)]
    names = [wall["name"] for wall in walls]
    if len(set(names)) < len(names):
        raise ValueError("Two walls have the same name: give each its own.")
    ids = [one["id"] for wall in walls for one in wall["anchors"]["each"]]
    if len(set(ids)) < len(ids):
        raise ValueError("Two walls begin with the same letter, which names their anchors: rename one.")
    job: Table = {"format": 1, "job": card, "walls": walls}
    if "frost" in read:
        job["ground"] = {"frost_depth": read["frost"]}
    job["rod"] = {key: read[f"rod {key}"] for key in _keys("rod")}
    if "rods" in read:
        job["stock"] = {"rods": read["rods"]}
    contacts = [{"role": role, "phone": read[key]} for role, key in _CALLS if key in read]
    return job | ({"contacts": contacts} if contacts else {})


def _wall(read: Mapping[str, Any], number: int, system: UnitSystem) -> Table:
    mine = {key: read[at] for key in _keys("wall") if (at := f"wall {number} {key}") in read}
    first, spacing, length = (_length(mine[key], system) for key in ("first", "spacing", "length"))
    count = mine["count"]
    if first + spacing * (count - 1) > length:
        raise ValueError(
            f"The last anchor of the wall {mine['name']} would stand past its end: first place, spacing and"
            " count do not fit its length."
        )
    begins = str(mine["name"])[:1].upper()
    bare = MM_PER_IN if system == "metric" else 1.0
    places = [_plain((first + spacing * at) * bare) for at in range(count)]
    each = [{"id": f"{begins}{at}", "along": along} for at, along in enumerate(places, start=1)]
    shared: Table = {key: mine[key] for key in _SHARED if key in mine}
    wall: Table = {key: mine[key] for key in _OF_WALL}
    return wall | {"anchors": shared | {"each": each}}


def _plain(value: float) -> float | int:
    rounded = round(value, 3)
    return int(rounded) if float(rounded).is_integer() else rounded


def _length(value: str, system: UnitSystem) -> float:
    return units.read_length(value, bare="mm" if system == "metric" else "in")


# How an answer is read.


def _read(line: AskedLine, text: str, system: UnitSystem, today: date) -> Any:
    read: Mapping[str, Callable[[], Any]] = {
        "day": lambda: read_day(text, today),
        "people": lambda: [name.strip() for name in text.split(",") if name.strip()],
        "units": lambda: _one_of(text, ("imperial", "metric")),
        "wall type": lambda: _one_of(text, get_args(WallType)),
        "count": lambda: _count(text),
        "number": lambda: _threads(text),
        "rods": lambda: _rods(text, system),
        "length": lambda: _checked(line.key, text, system),
        "torque": lambda: _checked(line.key, text, system),
    }
    return read[line.kind]() if line.kind in read else text


def _one_of(text: str, words: tuple[str, ...]) -> str:
    fits = [word for word in words if word.startswith(text.lower())]
    if len(fits) != 1:
        raise ValueError(f'"{text}" is none of {", ".join(words)}.')
    return fits[0]


def _count(text: str) -> int:
    if not text.isdigit() or not 0 < int(text) <= MOST_ANCHORS:
        raise ValueError(f'"{text}" is no number of anchors: 1 to {MOST_ANCHORS}.')
    return int(text)


def _threads(text: str) -> float | int:
    try:
        number = float(text)
    except ValueError:
        raise ValueError(f'"{text}" is no number.') from None
    annotation = Rod.model_fields["threads_per_in"].rebuild_annotation()
    return _plain(TypeAdapter(annotation).validate_python(number))


def _rods(text: str, system: UnitSystem) -> list[Table]:
    found = []
    for part in (part for part in text.split(",") if part.strip()):
        matched = _RODS.fullmatch(part)
        if matched is None:
            raise ValueError(f'"{part.strip()}" is no rods: write how many of what length, as 10 of 90.')
        _length(matched[2], system)
        bare = re.fullmatch(r"\d+(\.\d+)?", matched[2])
        found.append({"length": _plain(float(matched[2])) if bare else matched[2], "count": int(matched[1])})
    return found


def _checked(key: str, text: str, system: UnitSystem) -> str:
    """Return a measure as it was typed, judged as the job file's models do."""
    name = key.rpartition(" ")[2]
    for model in (Wall, Anchor, Rod):
        for field, info in model.model_fields.items():
            if (info.alias or field) == name:
                TypeAdapter(info.rebuild_annotation()).validate_python(text, context={UNITS_CONTEXT: system})
                return text
    if _length(text, system) <= 0:
        raise ValueError("A length is more than 0.")
    return text


__all__ = [
    "MOST_WALLS",
    "WALLS",
    "AskedLine",
    "lines",
    "made",
    "missing",
    "system_of",
    "walls_of",
    "wrong_with",
]
