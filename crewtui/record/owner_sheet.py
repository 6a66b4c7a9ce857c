"""The sheet for the owner, and the office's report: one HTML page from a verified record, complete in itself.

No script, no network, no picture from elsewhere; every text from the record is escaped.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from html import escape
from typing import Any, Final, Literal

from crewtui import units
from crewtui.record.files import shown
from crewtui.record.verify import Verdict

Reader = Literal["owner", "office"]
Table = Mapping[str, Any]

_STYLE: Final = """
@page { margin: 15mm; }
body { font: 11pt/1.4 Georgia, 'Times New Roman', serif; color: #000; background: #fff; max-width: 46rem;
  margin: 1.5rem auto; padding: 0 1rem; }
h1 { font-size: 1.6rem; margin: 0 0 .2rem; }
h2 { font-size: 1.15rem; margin: 1.6rem 0 .4rem; border-bottom: 1px solid #000; break-after: avoid; }
table { border-collapse: collapse; width: 100%; }
th, td { text-align: left; vertical-align: top; padding: .3rem .5rem .3rem 0; border-bottom: 1px solid #888; }
tr, li { break-inside: avoid; }
thead { display: table-header-group; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: .2rem 1rem; margin: .5rem 0; }
dt { font-weight: bold; }
dd { margin: 0; overflow-wrap: anywhere; }
.box { border: 2px solid #000; padding: .5rem .8rem; margin: 1rem 0; break-inside: avoid; }
.small { font-size: .85rem; }
"""

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
    "Turn no nut, but on an anchor marked above as yours to adjust, as the plan and the maker's sheet say.",
)


_VISIT: Final = (
    "Anchors are tightened again after the ground has settled. The engineer's plan and the maker's sheet say"
    " when and by how much; ask whoever set them for the date."
)


def owner_sheet(verdict: Verdict, reader: Reader = "owner") -> str:
    """Return the page for a record whose signature holds; ValueError for one that does not."""
    if verdict.data is None:
        raise ValueError("a sheet is made only from a record whose signature holds")
    data = verdict.data
    job = _table(data, "job")
    title = "The anchors of your wall" if reader == "owner" else "Report on a job of wall anchors"
    parts = [
        f"<h1>{title}</h1>",
        _facts(
            ("Site", job.get("site")), ("Address", job.get("address")), ("Job", job.get("id")),
            ("Date", job.get("date")), ("Crew lead", job.get("lead")), ("Engineer", job.get("engineer")),
            ("Plan", job.get("plan")),
        ),
        _standing(verdict),
        _anchors(data),
    ]  # fmt: skip
    parts += _for_owner() if reader == "owner" else _for_office(data)
    parts += [_signature(verdict), f'<p class="small">{_text(data.get("governs"))}</p>']
    return _page(title, "\n".join(parts))


def _page(title: str, body: str) -> str:
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta http-equiv="Content-Security-Policy" '
        "content=\"default-src 'none'; style-src 'unsafe-inline'\">\n"
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def _standing(verdict: Verdict) -> str:
    if verdict.complete:
        return ""
    return (
        '<p class="box"><strong>The work is not finished.</strong> This is the state at the end of a day; a'
        " later record will replace it. What is open stands with each anchor.</p>"
    )


def _anchors(data: Table) -> str:
    system = _system(data)
    heads = (
        "Anchor",
        "Wall",
        "Along the wall",
        "Plate out from the wall",
        "Plate below ground",
        "Torque",
        "State",
    )
    rows = [_anchor_row(anchor, system) for anchor in _rows(data, "anchor")]
    note = (
        '<p class="small">Along the wall: from its start corner, seen from inside, to the rod. Out from'
        " the wall: from the outer face to the middle of the pit. Below ground: to the middle of the rod at"
        " the plate. Measured values; one in brackets is the plan's. A torque is what a wrench was set to;"
        " it is no test of the anchor.</p>"
    )
    return f"<h2>The anchors</h2>\n{_grid(heads, rows)}\n{note}"


def _anchor_row(anchor: Table, system: units.UnitSystem) -> tuple[str, ...]:
    planned = {**_table(anchor, "planned"), **_table(anchor, "changed_on_site")}
    torque = _built(anchor, "second_torque_lbf_ft") or _built(anchor, "first_torque_lbf_ft")
    state = str(anchor.get("state", ""))
    if state == "open":
        state += ": " + ", ".join(map(str, _list(anchor, "open")))
    if state == "dropped":
        state += f": {anchor.get('dropped_because', '')}"
    if planned.get("owner_adjustable") is True:
        state += "; yours to adjust"
    return (
        _text(anchor.get("id")),
        _text(anchor.get("wall")),
        _length(planned.get("along_in"), system),
        _length(_built(anchor, "setback_in"), system) or _planned(planned.get("setback_in"), system),
        _length(_built(anchor, "depth_found_in"), system) or _planned(planned.get("aim_depth_in"), system),
        _text(units.show_torque(torque, system)) if torque is not None else "",
        _text(state),
    )


def _for_owner() -> list[str]:
    return [
        "<h2>What you can do</h2>", _items(_MAY),
        "<h2>What to leave alone</h2>", _items(_MAY_NOT),
        "<h2>Next visit</h2>",
        f"<p>{_VISIT}</p>",
    ]  # fmt: skip


def _for_office(data: Table) -> list[str]:
    deviations = [
        (_text(row.get("anchor")), _text(row.get("kind")), _text(row.get("text")), _text(row.get("reason")),
         _text(row.get("accepted")), _time(row.get("done_at")))
        for row in _rows(data, "deviation")
    ]  # fmt: skip
    rules = [
        (_text(row.get("label")), _text(row.get("value")), _text(row.get("default")),
         _text(row.get("said_by")),
         "looser than the default" if row.get("loosened") is True else "")
        for row in _rows(data, "rule")
    ]  # fmt: skip
    holds = [
        (_text(row.get("id")), _text(row.get("anchor")), _text(row.get("said")), _text(row.get("by")),
         _text(row.get("note")), _time(row.get("done_at")))
        for row in _rows(data, "hold")
    ]  # fmt: skip
    attempts = [
        (_text(anchor.get("id")), _text(row.get("attempt")), _angle(row.get("held_angle_deg")),
         _length(row.get("depth_found_in"), _system(data)) or "not found",
         _text(_table(row, "way").get("words")), _time(row.get("done_at")))
        for anchor in _rows(data, "anchor")
        for row in _rows(anchor, "attempt")
    ]  # fmt: skip
    return [
        "<h2>Deviations</h2>",
        _grid(("Anchor", "Kind", "What", "Why", "Accepted by", "Done"), deviations),
        "<h2>Limits set by the company</h2>",
        _grid(("Limit", "Value", "Default", "Said by", ""), rules),
        "<h2>Rods driven</h2>",
        _grid(("Anchor", "Attempt", "Held at", "Found at", "Way on", "Done"), attempts),
        "<h2>Holds and hazards answered</h2>",
        _grid(("What", "Anchor", "Answer", "By", "Note", "Done"), holds),
    ]


def _signature(verdict: Verdict) -> str:
    facts = _facts(
        ("Signed by", verdict.signer), ("At", _time(verdict.signed_at)), ("Key id", verdict.key_id),
        ("Revision", verdict.revision), ("Record's hash", verdict.record_hash),
    )  # fmt: skip
    return f"<h2>Signature</h2>\n{facts}\n<p>{_text(verdict.words)}</p>"


# Small pieces. A well-signed record may still hold anything, so every type is looked at.


def _facts(*pairs: tuple[str, object]) -> str:
    rows = "\n".join(
        f"<dt>{name}</dt><dd>{_text(value)}</dd>" for name, value in pairs if value not in (None, "")
    )
    return f"<dl>\n{rows}\n</dl>"


def _grid(heads: Iterable[str], rows: Iterable[tuple[str, ...]]) -> str:
    """Return a table; its cells are HTML already."""
    body = "\n".join("<tr>" + "".join(f"<td>{cell}</td>" for cell in row) + "</tr>" for row in rows)
    if not body:
        return "<p>None.</p>"
    head = "".join(f"<th>{each}</th>" for each in heads)
    return f"<table>\n<thead><tr>{head}</tr></thead>\n<tbody>\n{body}\n</tbody>\n</table>"


def _items(sentences: Iterable[str]) -> str:
    return "<ul>\n" + "\n".join(f"<li>{_text(each)}</li>" for each in sentences) + "\n</ul>"


def _text(value: object) -> str:
    return "" if value is None else escape(shown(value))


def _time(value: object) -> str:
    return f"{value:%Y-%m-%d %H:%M}" if isinstance(value, datetime) else ""


def _length(value: object, system: units.UnitSystem) -> str:
    return _text(units.show_length(float(value), system)) if _is_number(value) else ""  # type: ignore[arg-type]


def _planned(value: object, system: units.UnitSystem) -> str:
    length = _length(value, system)
    return f"({length})" if length else ""


def _angle(value: object) -> str:
    return _text(units.show_angle(float(value))) if _is_number(value) else ""  # type: ignore[arg-type]


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _built(anchor: Table, quantity: str) -> float | None:
    for row in _rows(anchor, "value"):
        if row.get("quantity") == quantity and _is_number(row.get("value")):
            return float(row["value"])
    return None


def _system(data: Table) -> units.UnitSystem:
    return "metric" if _table(data, "job").get("units") == "metric" else "imperial"


def _table(data: Table, name: str) -> Table:
    part = data.get(name)
    return part if isinstance(part, dict) else {}


def _list(data: Table, name: str) -> list[Any]:
    part = data.get(name)
    return part if isinstance(part, list) else []


def _rows(data: Table, name: str) -> Iterator[Table]:
    return (row for row in _list(data, name) if isinstance(row, dict))


__all__ = ["Reader", "owner_sheet"]
