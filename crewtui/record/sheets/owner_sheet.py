"""The sheet for the owner, and the office's report: one HTML page from a verified record, complete in itself.

No script, no network, no picture from elsewhere; every text from the record is escaped by the template.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any, Final, Literal

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from crewtui.record.sheets import record_look
from crewtui.record.sheets.record_look import Table
from crewtui.record.sheets.sheet_parts import sheet_view
from crewtui.record.sheets.sheet_svg import LEGEND
from crewtui.record.signed.verify import Verdict

if TYPE_CHECKING:
    from crewtui.record.sheets.visits import Earlier

Reader = Literal["owner", "office"]

_TITLES: Final[Mapping[Reader, str]] = {
    "owner": "The anchors of your wall",
    "office": "Report on a job of wall anchors",
}
# Common practice, no source: advice to whoever lives behind the wall; plan and maker's sheet govern.
_MAY: Final = (
    "Keep this sheet with the papers of the house and hand it on with it.",
    "Look at the wall and the plates twice a year, and after a very wet spring or a hard frost.",
    "Call whoever set the anchors when a crack opens, a plate sinks in or stands loose, or the wall moves.",
)
_MAY_NOT: Final = (
    "Hang or lean nothing on the rods and plates, and paint or cut no thread.",
    "Ask before you dig, drive stakes or plant trees between the wall and the buried plates.",
    "Put no heavy load, vehicle or pool on the ground above the plates or on the strip behind the wall.",
    "Turn no nut, but on an anchor marked as yours to adjust, as the plan and the maker's sheet say.",
)
_VISIT: Final = (
    "Anchors are tightened again after the ground has settled. The engineer's plan and the maker's sheet say"
    " when and by how much; ask whoever set them for the date."
)


def owner_sheet(verdict: Verdict, reader: Reader = "owner", *, earlier: Earlier | None = None) -> str:
    """Return the page for a record whose signature holds; ValueError for one that does not.

    ``earlier`` is the visit that the readings are held against.
    """
    if verdict.data is None:
        raise ValueError("a sheet is made only from a record whose signature holds")
    view = sheet_view(verdict.data, earlier)
    return (
        _environment()
        .get_template("sheet.html.jinja")
        .render(
            title=_TITLES[reader],
            reader=reader,
            view=view,
            verdict=verdict,
            verdict_words=record_look.prose(verdict.words),
            signed_at=record_look.moment(verdict.signed_at),
            governs=record_look.prose(verdict.data.get("governs", "")),
            legend=LEGEND,
            may=_MAY,
            may_not=_MAY_NOT,
            visit=_VISIT,
            office=office_tables(verdict.data) if reader == "office" else (),
        )
    )


@cache
def _environment() -> Environment:
    """Return the templates, escaping whatever they print; a name that is missing is a fault, not a blank."""
    return Environment(
        loader=PackageLoader("crewtui.record.sheets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_printed,
    )


def _printed(value: Any) -> Any:
    """Return a value as a page may hold it: text of a record without control or direction characters."""
    if value is None:
        return ""
    return value if isinstance(value, Markup | int) else record_look.prose(value)


# What only the office reads.

Grid = tuple[str, tuple[str, ...], list[tuple[str, ...]]]


def office_tables(data: Table) -> tuple[Grid, ...]:
    """Return title, heads and rows of each table of the office's report."""
    system = record_look.system_of(data)
    return (
        (
            "Deviations",
            ("Anchor", "Step", "Kind", "What", "Why", "Accepted by", "Done"),
            [
                (
                    *_texts(row, "anchor", "step", "kind", "text", "reason", "accepted"),
                    record_look.moment(row.get("done_at")),
                )
                for row in record_look.rows(data, "deviation")
            ],
        ),
        (
            "Holds and hazards answered",
            ("What", "Anchor", "Answer", "By", "Note", "Done"),
            [
                (*_texts(row, "id", "anchor", "said", "by", "note"), record_look.moment(row.get("done_at")))
                for row in record_look.rows(data, "hold")
            ],
        ),
        (
            "Limits set by the company",
            ("Limit", "Value", "Default", "Said by", ""),
            [
                (
                    *_texts(row, "label", "value", "default", "said_by"),
                    "looser than the default" if row.get("loosened") is True else "",
                )
                for row in record_look.rows(data, "rule")
            ],
        ),
        (
            "Rods driven",
            ("Anchor", "Attempt", "Held at", "Found at", "Way on", "Done"),
            [
                (
                    *_texts(anchor, "id"),
                    *_texts(row, "attempt"),
                    record_look.angle(row.get("held_angle_deg")),
                    record_look.length(row.get("depth_found_in"), system) or "not found",
                    *_texts(record_look.table(row, "way"), "words"),
                    record_look.moment(row.get("done_at")),
                )
                for anchor in record_look.rows(data, "anchor")
                for row in record_look.rows(anchor, "attempt")
            ],
        ),
        (
            "Notes",
            ("Anchor", "Note", "Done"),
            [
                (*_texts(row, "anchor", "text"), record_look.moment(row.get("done_at")))
                for row in record_look.rows(data, "note")
            ],
        ),
    )


def _texts(row: Table, *names: str) -> tuple[str, ...]:
    return tuple("" if row.get(name) is None else record_look.prose(row[name]) for name in names)


__all__ = ["Reader", "owner_sheet"]
