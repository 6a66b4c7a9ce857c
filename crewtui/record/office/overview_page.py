"""The overview as one page: no network, plain tables without a script, sorted and filtered with one."""

from __future__ import annotations

from typing import Final

from jinja2 import Environment, PackageLoader, StrictUndefined

from crewtui.record.office.overview import Overview


def overview_page(found: Overview) -> str:
    """Return the page as HTML; every text of a record is escaped by the template."""
    return _environment().get_template("overview.html.jinja").render(found=found)


def overview_as_json(found: Overview) -> dict[str, object]:
    """Return the same tables as JSON."""
    return {
        "made_on": found.made_on.isoformat(),
        "records": found.records,
        "houses": found.houses,
        "parts": {
            part.id: [
                dict(zip(_keys(part.heads), (cell.text for cell in row), strict=True)) for row in part.rows
            ]
            for part in found.parts
        },
        "left_out": list(found.left_out),
        "exit_code": found.report.exit_code,
    }


def _keys(heads: tuple[str, ...]) -> list[str]:
    return [head.lower().replace(", ", " ").replace(" ", "_") or "said" for head in heads]


_FOLDER: Final = "crewtui.record.office"


def _environment() -> Environment:
    return Environment(
        loader=PackageLoader(_FOLDER),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


__all__ = ["overview_as_json", "overview_page"]
