"""Values of a plan that no such thing has: most often a slip of the unit, which stops the plan."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from crewtui.job.check.finding import Finding
from crewtui.job.file.file_keys import tables
from crewtui.job.file.model import Job
from crewtui.job.tables.quantities import Quantity, load
from crewtui.units import MM_PER_IN, NM_PER_LBF_FT, UnitSystem, at_least, at_most

_SLIPS: Final = {"length": (MM_PER_IN, 12.0), "torque": (NM_PER_LBF_FT, 12.0)}
"""What a value is off by where another unit was meant: mm for in, in for ft, N·m for lbf·ft, lbf·in."""


def likely_findings(job: Job) -> Iterator[Finding]:
    """Yield each value outside what is likely; one that another unit would make likely stops the plan."""
    for quantity in load().values():
        if quantity.likely is None:
            continue
        for place in quantity.plan:
            for key, anchor, value in _values(job, place):
                if not _is_likely(quantity, value):
                    yield _finding(quantity, key, anchor, value, job.job.units)


def _is_likely(quantity: Quantity, value: float) -> bool:
    least, greatest = quantity.likely or (value, value)
    return at_least(value, least) and at_most(value, greatest)


def _finding(quantity: Quantity, key: str, anchor: str | None, value: float, system: UnitSystem) -> Finding:
    least, greatest = (quantity.show(bound, system) for bound in quantity.likely or (0.0, 0.0))
    slips = _SLIPS.get(quantity.measure, ())
    is_slip = any(_is_likely(quantity, value * by) or _is_likely(quantity, value / by) for by in slips)
    ask = "was another unit meant?" if is_slip else "check it against the plan."
    words = (
        f"{quantity.label} is given as {quantity.show(value, system)}, and it mostly lies between {least} and"
        f" {greatest}: {ask}"
    )
    return Finding("stop" if is_slip else "caution", "unit", words, anchor=anchor, key=key)


def _values(job: Job, place: tuple[str, ...]) -> Iterator[tuple[str, str | None, float]]:
    """Yield key, anchor and value of each place in the job where the quantity stands."""
    table, *fields = place
    rows: list[tuple[str, str | None, Any]]
    match table:
        case "anchor":
            rows = [(f"anchors[{at}]", one.id, one) for at, one in enumerate(job.anchors)]
        case "wall":
            rows = [(f"walls[{at}]", None, one) for at, one in enumerate(job.walls)]
        case _:
            rows = [(table, None, getattr(job, table))]
    for key, anchor, row in rows:
        value, names = row, []
        for field in fields:
            names.append(_file_key(type(value), field))
            value = getattr(value, field)
            if value is None:
                break
        if value is not None:
            yield ".".join((key, *names)), anchor, float(value)


def _file_key(model: type, field: str) -> str:
    names = (
        key.name for table in tables() for key in table.keys if key.model is model and key.field == field
    )
    return next(names, field)
