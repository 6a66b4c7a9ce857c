"""The sheet for the owner, and the office's report: one HTML page from a record, complete in itself.

No script, no network, no picture from elsewhere; every text from the record is escaped by the template.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, Any, Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from crewtui.foreign import prose
from crewtui.record.house import record_look
from crewtui.record.house.page_paths import Reader
from crewtui.record.house.record_days import DayOf, day_of
from crewtui.record.sheets.beside_tables import owner_beside
from crewtui.record.sheets.first_page import AS_PLANNED, DO, NEVER
from crewtui.record.sheets.office_report import first_tables, last_tables
from crewtui.record.sheets.series_svg import LEGEND as SERIES_LEGEND
from crewtui.record.sheets.sheet_parts import sheet_view
from crewtui.record.sheets.sheet_svg import LEGEND
from crewtui.record.signed.form import Record
from crewtui.record.signed.verify import Verdict

if TYPE_CHECKING:
    from crewtui.record.house.past import Past
    from crewtui.record.sheets.small_pictures import SmallPicture

_TITLES: Final[Mapping[tuple[Reader, DayOf], str]] = {
    ("owner", "install"): "The anchors of your wall",
    ("owner", "visit"): "A visit to the anchors of your wall",
    ("owner", "readings"): "Readings of your wall",
    ("office", "install"): "Report on a job of wall anchors",
    ("office", "visit"): "Report on a visit to wall anchors",
    ("office", "readings"): "Report on readings of a wall",
}
DRAFT: Final = "DRAFT: not signed, and it may still change"
_LATER: Final = (
    "Anchors are tightened again after the ground has settled. The engineer's plan and the maker's sheet say"
    " when and by how much; ask whoever set them for the date."
)


def owner_sheet(
    verdict: Verdict,
    reader: Reader = "owner",
    *,
    past: Past | None = None,
    pictures: Sequence[SmallPicture] = (),
) -> str:
    """Return the page for a record whose signature holds; ValueError for one that does not.

    ``past`` is what earlier records of the house say.
    """
    if verdict.record is None:
        raise ValueError("a sheet is made only from a record whose signature holds")
    return _page(verdict.record, reader, past, verdict, pictures)


def draft_sheet(
    record: Record,
    reader: Reader = "owner",
    *,
    past: Past | None = None,
    pictures: Sequence[SmallPicture] = (),
) -> str:
    """Return the page of a record that nobody has signed yet, marked as a draft on every page of it."""
    return _page(record, reader, past, None, pictures)


def _page(
    record: Record,
    reader: Reader,
    past: Past | None,
    verdict: Verdict | None,
    pictures: Sequence[SmallPicture],
) -> str:
    """Return the page; without a verdict it is a draft."""
    day = day_of(record)
    job, site = prose(record.job.id), prose(record.job.site)
    named = ", ".join(part for part in (f"job {job}" if job else "", site) if part)
    complete = record.complete if verdict is None else verdict.complete
    return (
        _environment()
        .get_template("sheet.html.jinja")
        .render(
            title=_TITLES[reader, day],
            named=named,
            foot=css_text(f"{_TITLES[reader, day]}: {named}"),
            draft=DRAFT if verdict is None else "",
            draft_css=css_text(DRAFT),
            reader=reader,
            unfinished=day == "install" and not complete,
            view=sheet_view(record, past),
            verdict=verdict,
            verdict_words=prose(verdict.words) if verdict is not None else "",
            signed_at=record_look.moment(verdict.signed_at) if verdict is not None else "",
            governs=prose(record.governs),
            legend=LEGEND,
            series_legend=SERIES_LEGEND,
            as_planned=AS_PLANNED,
            do=DO,
            never=NEVER,
            later=_LATER,
            pictures=pictures,
            beside=owner_beside(record) if reader == "owner" else (),
            first_tables=first_tables(record) if reader == "office" else (),
            last_tables=last_tables(record) if reader == "office" else (),
        )
    )


def css_text(text: str) -> Markup:
    """Return any text as a string of a style sheet, every sign but plain letters and digits as its code."""
    plain = (char if char.isascii() and char.isalnum() else f"\\{ord(char):x} " for char in prose(text))
    return Markup('"{}"').format(Markup("").join(plain))


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


__all__ = ["DRAFT", "Reader", "css_text", "draft_sheet", "owner_sheet"]
