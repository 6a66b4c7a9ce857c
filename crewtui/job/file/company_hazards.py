"""The company's own hazards: added to the program's, or making one of those stricter, never looser."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from msgspec.structs import replace
from pydantic import TypeAdapter, ValidationError

from crewtui.job.file.model import CompanyHazard, Job
from crewtui.job.file.problems import Problem, listed, nearest, path_of, shown
from crewtui.job.tables import condition_names
from crewtui.job.tables.hazards import Hazard, load
from crewtui.job.tables.steps import PHASES
from crewtui.job.tables.steps import load as load_steps

_ONLY_ADDED: Final = ("text", "why", "group", "when", "scope")
_COMPANY: Final = "a rule of the company"


def for_job(job: Job) -> tuple[Hazard, ...]:
    """Return every hazard of the job in the order in which it is met; ValueError for one that cannot be."""
    found = list(load())
    for row in job.hazards:
        fault = next(iter(_faults(row)), None)
        if fault is not None:
            raise ValueError(f"The hazard {row.id}: {fault[1]}")
        at = next((n for n, one in enumerate(found) if one.id == row.id), None)
        if at is not None:
            found[at] = _stricter(found[at], row)
        else:
            added = _added(row)
            same = [n for n, one in enumerate(found) if one.group == added.group]
            found.insert(same[-1] + 1 if same else len(found), added)
    return tuple(found)


def _stricter(had: Hazard, row: CompanyHazard) -> Hazard:
    return replace(
        had,
        holds=tuple(dict.fromkeys((*had.holds, *row.holds))),
        release=row.release or had.release,
        override=row.override or had.override,
        said_by=row.said_by,
    )


def _added(row: CompanyHazard) -> Hazard:
    return Hazard(
        id=row.id,
        group=row.group or "the wall",
        text=row.text.rstrip("."),
        why=row.why,
        when=row.when or "",
        scope=row.scope or "job",
        holds=row.holds,
        release=row.release or "check",
        override=row.override or "never",
        source=row.source or f"{_COMPANY}, {row.said_by}",
        mark="common practice, no source",
        edition=_COMPANY,
        said_by=row.said_by,
    )


def _faults(row: CompanyHazard) -> Iterator[tuple[str, str]]:
    """Yield what is wrong with one, as key and sentence."""
    had = next((one for one in load() if one.id == row.id), None)
    if had is not None:
        yield from _looser(had, row)
    else:
        for key in ("text", "group"):
            if not getattr(row, key):
                yield key, f"{key} is missing; a hazard that is added says it."
    names = condition_names.unknown(condition_names.split(row.when or ""))
    for name in names:
        near = nearest(name, condition_names.NAMES)
        hint = f'did you mean "{near}"?' if near else "docs/job-file.md lists those that there are."
        yield "when", f"There is no condition {shown(name)}; {hint}"
    steps = load_steps()
    known = {*PHASES, *(step.id for step in steps)}
    for name in row.holds:
        if name not in known:
            near = nearest(name, known)
            hint = f'did you mean "{near}"?' if near else f"phases are {listed(PHASES)}."
            yield "holds", f"There is no phase or step {shown(name)}; {hint}"
        elif not any(name in {step.id, step.phase} and not step.makes_safe for step in steps):
            yield "holds", f"{name} makes safe, and nothing ever holds that."


def _looser(had: Hazard, row: CompanyHazard) -> Iterator[tuple[str, str]]:
    for key in _ONLY_ADDED:
        if getattr(row, key):
            message = (
                f"{row.id} is one of the program's own: it can be made stricter (holds, release, override),"
                f" and its {key} stays. Add one under another id beside it."
            )
            yield key, message
    if row.release == "check" and had.release == "name":
        yield "release", f'{row.id} is released with a name; it is only made stricter, never "check".'
    if row.override and row.override != "never" and had.override == "never":
        yield "override", f'{row.id} is never set aside; it is only made stricter, so leave "never".'
    if not (row.holds or row.release or row.override):
        yield "id", f"{row.id} is one of the program's own, and nothing here makes it stricter."


def hazard_problems(table: Mapping[str, Any], file: str) -> Iterator[Problem]:
    """Say what is wrong with a file's hazards, beyond what each field by itself says."""
    rows = table.get("hazards")
    if not isinstance(rows, list):
        return
    seen: dict[str, int] = {}
    for place, raw in enumerate(rows):
        try:
            row = _adapter().validate_python(raw)
        except ValidationError:
            continue
        first = seen.setdefault(row.id, place)
        if first != place:
            message = f"hazards[{first}] is called {shown(row.id)} as well; write each one once."
            yield _problem(file, place, "id", raw, message)
        for key, message in _faults(row):
            yield _problem(file, place, key, raw, message)


def _problem(file: str, place: int, key: str, raw: Mapping[str, Any], message: str) -> Problem:
    value = raw.get(key)
    said = "" if value is None else shown(value)
    return Problem(file=file, key=path_of(("hazards", place, key)), value=said, message=message)


def _adapter() -> TypeAdapter[CompanyHazard]:
    return TypeAdapter(CompanyHazard)


def made_stricter(hazards: Sequence[Hazard]) -> tuple[Hazard, ...]:
    """Return the hazards that the company added or made stricter."""
    return tuple(hazard for hazard in hazards if hazard.said_by)


__all__ = ["for_job", "hazard_problems", "made_stricter"]
