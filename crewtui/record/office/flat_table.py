"""Many records as one flat table for a spreadsheet: a row an anchor, the unit in each column's name."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from crewtui.day.figures.figure_table import FIGURES
from crewtui.job.tables.steps import measured
from crewtui.record.house import record_look
from crewtui.record.house.account_of_record import account_of
from crewtui.record.office.table_files import Kind
from crewtui.record.signed.form import AnchorDone, Record
from crewtui.record.signed.verify import Verdict

_MEASURED: Final = tuple(quantity.key for quantity in measured())
_PLANNED: Final = ("setback_in", "mark_depth_in", "least_depth_in", "aim_depth_in")
_FIGURED: Final = tuple(figure.record for figure in FIGURES if figure.record)
COLUMNS: Final[tuple[tuple[str, Kind], ...]] = (
    ("file", "text"),
    ("standing", "text"),
    ("job_id", "text"),
    ("site", "text"),
    ("job_date", "day"),
    ("lead", "text"),
    ("revision", "count"),
    ("record_complete", "yes or no"),
    ("signer", "text"),
    ("signed_at_utc", "time"),
    ("key_id", "text"),
    ("record_sha256", "text"),
    ("wall", "text"),
    ("wall_type", "text"),
    ("anchor", "text"),
    ("state", "text"),
    ("dropped_because", "text"),
    ("added_on_site", "yes or no"),
    ("owner_adjustable", "yes or no"),
    ("along_in", "number"),
    *((f"planned_{name}", "number") for name in _PLANNED),
    *((f"figured_{name}", "number") for name in _FIGURED),
    *((name, "number") for name in _MEASURED),
    ("attempts", "count"),
    ("deviations", "count"),
    ("came_out", "text"),
    ("owner_may_adjust", "yes or no"),
)  # fmt: skip
"""Every column, and what its cells are; one that a record does not have is empty."""


def flat_rows(verdict: Verdict, record: Record) -> Iterator[dict[str, Any]]:
    """Yield a row for each anchor of a record."""
    walls = {wall.name: wall.type for wall in record.wall}
    deviations = [row.anchor for row in record.deviation]
    of_record: dict[str, Any] = {
        "standing": verdict.state,
        "job_id": record.job.id,
        "site": record.job.site,
        "job_date": record.job.date,
        "lead": record.job.lead,
        "revision": verdict.revision,
        "record_complete": verdict.complete,
        "signer": verdict.signer,
        "signed_at_utc": verdict.signed_at,
        "key_id": verdict.key_id,
        "record_sha256": verdict.record_hash,
    }
    for anchor in record.anchor:
        cells = of_record | _of_anchor(anchor)
        cells["wall_type"] = walls.get(anchor.wall)
        cells["deviations"] = deviations.count(anchor.id)
        account = account_of(record, anchor)
        cells |= {"came_out": account.word, "owner_may_adjust": account.yours}
        yield cells


def _of_anchor(anchor: AnchorDone) -> dict[str, Any]:
    return {
        "wall": anchor.wall,
        "anchor": anchor.id,
        "state": anchor.state,
        "dropped_because": anchor.dropped_because,
        "added_on_site": anchor.added_on_site is True,
        "owner_adjustable": anchor.planned.get("owner_adjustable") is True,
        "along_in": record_look.inputs(anchor).get("along_in", anchor.planned.get("along_in")),
        **{f"planned_{name}": value for name, value in anchor.planned.items()},
        **{f"figured_{name}": value for name, value in anchor.figure.items()},
        **{name: record_look.built(anchor, name) for name in _MEASURED},
        "attempts": len(anchor.attempt),
    }
