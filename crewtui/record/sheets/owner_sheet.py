"""The sheet for the owner, and the office's report: one HTML page from a verified record, complete in itself.

No script, no network, no picture from elsewhere; every text from the record is escaped by the template.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any, Final, Literal

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from crewtui.foreign import prose
from crewtui.job.tables import hazards, rules
from crewtui.job.tables.steps import label as step_label
from crewtui.record.house import record_look
from crewtui.record.sheets.beside_tables import Grid, done_at, office_beside, owner_beside, texts
from crewtui.record.sheets.sheet_parts import sheet_view
from crewtui.record.sheets.sheet_svg import LEGEND
from crewtui.record.signed.form import HoldAnswered, Record, RuleSet
from crewtui.record.signed.verify import Verdict
from crewtui.units import UnitSystem

if TYPE_CHECKING:
    from crewtui.record.house.visits import Earlier

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
    if verdict.record is None:
        raise ValueError("a sheet is made only from a record whose signature holds")
    view = sheet_view(verdict.record, earlier)
    return (
        _environment()
        .get_template("sheet.html.jinja")
        .render(
            title=_TITLES[reader],
            reader=reader,
            view=view,
            verdict=verdict,
            verdict_words=prose(verdict.words),
            signed_at=record_look.moment(verdict.signed_at),
            governs=prose(verdict.record.governs),
            legend=LEGEND,
            beside=owner_beside(verdict.record) if reader == "owner" else (),
            may=_MAY,
            may_not=_MAY_NOT,
            visit=_VISIT,
            office=office_tables(verdict.record) if reader == "office" else (),
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
    return value if isinstance(value, Markup | int) else prose(value)


# What only the office reads.


def office_tables(record: Record) -> tuple[Grid, ...]:
    """Return title, heads and rows of each table of the office's report."""
    system = record.job.units
    return (
        (
            "Deviations",
            ("Anchor", "Step", "Kind", "What", "Why", "Accepted by", "Done"),
            [
                texts(
                    row.anchor,
                    step_label(row.step),
                    row.kind,
                    row.text,
                    row.reason,
                    row.accepted,
                    done_at(row),
                )
                for row in record.deviation
            ],
        ),
        (
            "Holds and hazards answered",
            ("What", "Anchor", "Answer", "By", "Note", "Done"),
            [
                texts(_asked_for(row), row.anchor, row.said, row.by, row.note, done_at(row))
                for row in record.hold
            ],
        ),
        (
            "Limits set by the company",
            ("Limit", "Value", "Default", "Said by", ""),
            [
                texts(
                    row.label,
                    _limit(row, row.value, system),
                    _limit(row, row.default, system),
                    row.said_by,
                    "looser than the default" if row.loosened else "",
                )
                for row in record.rule
            ],
        ),
        (
            "Rods driven",
            ("Anchor", "Attempt", "Held at", "Found at", "Way on", "Done"),
            [
                texts(
                    anchor.id,
                    row.attempt,
                    record_look.angle(row.held_angle_deg),
                    record_look.length(row.depth_found_in, system) or "not found",
                    row.way.get("words"),
                    done_at(row),
                )
                for anchor in record.anchor
                for row in anchor.attempt
            ],
        ),
        *office_beside(record),
    )


def _asked_for(row: HoldAnswered) -> str:
    """Return what a hold or a hazard asks for; its own text, else what the program's tables call it."""
    known = next((hazard.text for hazard in hazards.load() if hazard.id == row.id), "")
    return row.text or known or step_label(row.id).replace("-", " ")


def _limit(row: RuleSet, value: object, system: UnitSystem) -> str:
    """Return a company's limit in the job's units."""
    rule = rules.defaults().get(row.key)
    if rule is None or not isinstance(value, str | int | float):
        return "" if value is None else str(value)
    return rules.in_words(rule, value, system)


__all__ = ["Reader", "owner_sheet"]
