"""The job file as it is by now, and what it has otherwise than the day's plan: field by field, in words."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from crewtui import units
from crewtui.job.file.load import JobFileError, job_bytes, read_job
from crewtui.job.file.model import Job

MOST_SAID: Final = 100
_NAMED_BY: Final = ("id", "name", "number", "utility")
_LISTS: Final = {"walls": "wall", "anchors": "anchor", "lines": "line", "hazards": "hazard"}


class JobOnDisk(Struct, frozen=True, kw_only=True):
    """The job file as it is by now: its job, or why it is none."""

    sha256: str = ""
    job: Job | None = None
    problem: JobFileError | None = None

    @classmethod
    def read(cls, path: Path) -> JobOnDisk:
        """Read the file once; hash and job are of the same bytes."""
        sha256 = ""
        try:
            data = job_bytes(path)
            sha256 = hashlib.sha256(data).hexdigest()
            return cls(sha256=sha256, job=read_job(data, file=path.name))
        except JobFileError as error:
            return cls(sha256=sha256, problem=error)

    @property
    def error(self) -> JobFileError:
        """What is wrong with it, where it is no job."""
        return self.problem or JobFileError([])

    @property
    def trouble(self) -> str:
        """The first thing that is wrong with it, in words."""
        return next(iter(str(self.error).splitlines()), "").rstrip(".")


def plan_changes(opened: Job, edited: Job) -> tuple[str, ...]:
    """Return a sentence for each field that differs; past a hundred, how many more there are."""
    found = tuple(_Words(edited.job.units).of(opened.model_dump(mode="json"), edited.model_dump(mode="json")))
    if len(found) <= MOST_SAID:
        return found
    return (*found[:MOST_SAID], f"and {len(found) - MOST_SAID} more")


class _Words:
    """Says differences in one system of units."""

    def __init__(self, system: units.UnitSystem) -> None:
        self._system = system

    def of(self, was: Any, now: Any, where: str = "", key: str = "") -> Iterator[str]:
        if was == now:
            return
        if isinstance(was or now, Mapping) and isinstance(now or was, Mapping):
            was, now = was or {}, now or {}
            for name in dict.fromkeys((*was, *now)):
                yield from self.of(was.get(name), now.get(name), _place(where, name), name)
        elif _is_named(was) and _is_named(now) and (was or now):
            yield from self._of_list(_by_name(was or ()), _by_name(now or ()), where)
        else:
            yield f"{where}: {self._shown(key, now)}, was {self._shown(key, was)}"

    def _of_list(self, was: Mapping[str, Any], now: Mapping[str, Any], where: str) -> Iterator[str]:
        for name in dict.fromkeys((*was, *now)):
            place = f"{where} {name}".strip()
            if name not in now:
                yield f"{place}: no longer in the plan"
            elif name not in was:
                yield f"{place}: new in the plan"
            else:
                yield from self.of(was[name], now[name], place)
        if list(was) != list(now) and set(was) == set(now):
            yield f"{where}: in another order"

    def _shown(self, key: str, value: Any) -> str:
        """Return a field's value with its unit."""
        if value is None or value in ([], {}, ""):
            return "not given"
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, float | int):
            show = next((show for end, show in _SHOWN.items() if key.endswith(end)), None)
            return show(value, self._system) if show is not None else f"{value:g}"
        if isinstance(value, list):
            return ", ".join(self._shown(key, one) for one in value)
        if isinstance(value, Mapping):
            return " ".join(f"{_bare(name)} {self._shown(name, one)}" for name, one in value.items())
        return str(value)


def _length(value_in: float, system: units.UnitSystem) -> str:
    """Return a length as finely as it was planned: two that differ never read alike."""
    return f"{value_in * units.MM_PER_IN:.6g} mm" if system == "metric" else f"{value_in:.6g} in"


_SHOWN: Final[Mapping[str, Callable[[float, units.UnitSystem], str]]] = {
    "threads_per_in": lambda value, _: f"{value:g} an inch",
    "_in": _length,
    "_deg": lambda value, _: units.show_angle(value),
    "_lbf_ft": units.show_torque,
    "_lb": lambda value, _: f"{value:g} lb",
    "yard_slope": lambda value, _: units.show_slope(value),
}


def _is_named(tables: Any) -> bool:
    """Return whether it is a list of tables that each have a name of their own; a list of none is too."""
    return not tables or (
        isinstance(tables, list)
        and all(isinstance(one, Mapping) and _name(one) for one in tables)
        and len(_by_name(tables)) == len(tables)
    )


def _by_name(tables: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    return {_name(one): one for one in tables}


def _name(table: Mapping[str, Any]) -> str:
    return next((str(table[key]) for key in _NAMED_BY if table.get(key)), "")


def _place(where: str, key: str) -> str:
    """Return where a field stands, as a person says it: ``anchor A-2, setback``."""
    said = _LISTS.get(key) or _bare(key).replace("_", " ")
    return f"{where}, {said}" if where else said


def _bare(key: str) -> str:
    """Return a field's name without its unit, which the value carries."""
    key = key.removesuffix("_per_in")
    return next(
        (key.removesuffix(end) for end in ("_lbf_ft", "_in", "_deg", "_lb") if key.endswith(end)), key
    )
