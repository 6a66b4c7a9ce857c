"""What the plan says a quantity is: the job file, else the company's rule, else nothing."""

from __future__ import annotations

from typing import Any, Literal

from msgspec import Struct

from crewtui.job.file.model import Anchor, Job
from crewtui.job.tables import quantities
from crewtui.job.tables.rules import Rules

PlanSource = Literal["plan", "company rule", "missing"]


class Planned(Struct, frozen=True):
    """A planned value in the unit of its key, and where it comes from."""

    value: float | None
    source: PlanSource
    said_by: str = ""
    """Who set a company rule in place of its default."""

    @property
    def number(self) -> float:
        """Return the value; ValueError where neither the plan nor a rule gives one."""
        if self.value is None:
            raise ValueError("Neither the plan nor a company rule gives it: measure it on site.")
        return self.value


MISSING = Planned(None, "missing")


def planned(job: Job, rules: Rules, anchor: Anchor | None, key: str) -> Planned:
    """Return what the plan, else the company's rule says of a quantity; KeyError for none such.

    Without an anchor only what holds for the whole job is known.
    """
    quantity = quantities.by_key(key)
    for place in quantity.plan:
        value = _kept(job, anchor, place)
        if value is not None:
            return Planned(value, "plan")
    same = quantity.same_by_pit.get(job.tools.pit)
    if same is not None:
        return planned(job, rules, anchor, same)
    if quantity.otherwise is not None:
        return Planned(quantity.otherwise, "plan")
    by_pit = quantity.rules_by_pit.get(job.tools.pit)
    names = (by_pit,) if by_pit is not None else quantity.rules
    numbers = [rules.number_or_none(name) for name in names]
    known = [number for number in numbers if number is not None]
    if not names or len(known) < len(names):
        return MISSING
    said_by = rules.rule(names[0]).said_by if len(names) == 1 else ""
    return Planned(sum(known) / len(known), "company rule", said_by)


def planned_number(job: Job, rules: Rules, anchor: Anchor | None, key: str) -> float:
    """Return what the plan, else the company's rule says; ValueError where neither says anything."""
    return planned(job, rules, anchor, key).number


def _kept(job: Job, anchor: Anchor | None, place: tuple[str, ...]) -> float | None:
    table, *keys = place
    at: Any
    match table:
        case "anchor":
            at = anchor
        case "wall":
            at = job.wall(anchor.wall) if anchor is not None else None
            stretch = at.stretch_at(anchor.along_in) if at is not None and anchor is not None else None
            if stretch is not None and getattr(stretch, keys[0], None) is not None:
                at = stretch
        case _:
            at = getattr(job, table)
    for key in keys:
        if at is None:
            return None
        at = getattr(at, key)
    return None if at is None else float(at)
