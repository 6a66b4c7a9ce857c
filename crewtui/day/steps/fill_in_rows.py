"""What can be filled in on site: every plain value of the job's tables as it stands, in words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any, Final, Literal, get_args, get_origin

from msgspec import Struct
from msgspec.structs import replace
from pydantic import BaseModel

from crewtui.day.state.state import DayState
from crewtui.job.file.model import Anchor, Ground, JobCard, Permit, Rod, Stock, Ticket, Tools, Wall
from crewtui.job.tables.quantities import Quantity, kept_in, unit_of
from crewtui.units import UnitSystem

_SKIPPED: Final = frozenset(
    {"id", "wall", "name", "units", "date", "crew", "openings", "utilities", "inspections", "area"}
)


class Blank(Struct, frozen=True, kw_only=True):
    """One value of one table: where it goes, what it is called, what it is now."""

    table: str
    name: str
    """Which wall or anchor."""
    key: str
    label: str
    text: str
    """As it stands, in words; empty where nobody gave it."""
    unit: str
    needed: bool
    drafted: bool = False
    """It is kept, and counts once the others that its table needs are there."""


def blanks(state: DayState) -> tuple[Blank, ...]:
    """Return every plain value of the job, table by table, in the order of the job file."""
    job = state.job
    found: list[Blank] = []
    system = job.job.units
    found += _of(JobCard, job.job, "job", "", system)
    for wall in job.walls:
        found += _of(Wall, wall, "wall", wall.name, system)
    for now in state.live():
        found += _of(Anchor, now.plan, "anchor", now.id, system)
    found += _of(Ground, job.ground, "ground", "", system)
    found += _of(Rod, job.rod, "rod", "", system)
    found += _of(Stock, job.stock, "stock", "", system)
    found += _of(Tools, job.tools, "tools", "", system)
    found += _of(Ticket, job.ticket, "ticket", "", system)
    found += _of(Permit, job.permit, "permit", "", system)
    drafts = state.shared.drafts
    return tuple(
        replace(one, text=str(drafts[one.table][one.key]), drafted=True)
        if not one.text and one.key in drafts.get(one.table, {})
        else one
        for one in found
    )


def _of(
    model: type[BaseModel], part: BaseModel | None, table: str, name: str, system: UnitSystem
) -> Iterator[Blank]:
    for key, field in model.model_fields.items():
        value = getattr(part, key) if part is not None else None
        kinds = get_args(field.annotation) or (field.annotation,)
        nested = any(isinstance(kind, type) and issubclass(kind, BaseModel | tuple | dict) for kind in kinds)
        if key in _SKIPPED or nested or isinstance(value, BaseModel | tuple | dict):
            continue
        quantity = kept_in(table, key)
        text, unit = _shown(quantity, value, system)
        unit = unit or " or ".join(_words_of(field.annotation))
        label = (
            quantity.label if quantity is not None else (field.alias or key).replace("_", " ").capitalize()
        )
        yield Blank(
            table=table, name=name, key=key, label=label, text=text, unit=unit, needed=field.is_required()
        )


def _words_of(annotation: Any) -> tuple[str, ...]:
    """Return the words of which a value is one; nothing where it is not so bound."""
    if get_origin(annotation) is Literal:
        return get_args(annotation)
    return next((words for part in get_args(annotation) if (words := _words_of(part))), ())


def _shown(quantity: Quantity | None, value: Any, system: UnitSystem) -> tuple[str, str]:
    """Return a value in words, and what a bare one is read as."""
    unit = unit_of(quantity.measure, system) if quantity is not None else ""
    if value is None or value == "":
        return "", unit
    if isinstance(value, bool):
        return ("yes" if value else "no"), "yes or no"
    if isinstance(value, datetime):
        return value.isoformat(sep=" ", timespec="minutes"), "date, time and offset"
    if quantity is not None:
        return quantity.show(value, system), unit
    return value.isoformat() if isinstance(value, date) else str(value), unit
