"""What stood beside the anchors, as tables: all of it for the office, for the owner what is theirs."""

from __future__ import annotations

from collections.abc import Iterator

from crewtui.foreign import prose
from crewtui.record.house import record_look
from crewtui.record.signed.form import NO_TIME, HoursWorked, Made, MaterialUsed, Record
from crewtui.units import UnitSystem, show_length

Grid = tuple[str, tuple[str, ...], list[tuple[str, ...]]]
"""Title, heads and rows of a table."""
_BEFORE, _LEAVING = "Before the work", "Shown to you"


def done_at(row: Made) -> str:
    """Return when it was done, in words; nothing where the record does not say."""
    return "" if row.done_at == NO_TIME else record_look.moment(row.done_at)


def texts(*cells: object) -> tuple[str, ...]:
    """Return the cells of a row as they are printed."""
    return tuple("" if cell is None else prose(cell) for cell in cells)


def office_beside(record: Record) -> tuple[Grid, ...]:
    """Return every table for the office, those of which there is nothing too."""
    return (
        (
            "Notes",
            ("Where", "Note", "For the owner", "Done"),
            [
                texts(row.anchor or row.wall or "job", row.text, "yes" if row.for_owner else "", done_at(row))
                for row in record.note
            ],
        ),
        (
            "Calls",
            ("Who", "About", "They said", "Anchor", "Done"),
            [texts(row.who, row.about, row.said, row.anchor, done_at(row)) for row in record.call],
        ),
        (
            "Inspections",
            ("What", "Before", "", "By", "Found", "Anchors", "Done"),
            [
                texts(row.of, row.before, row.said, row.by, row.found, ", ".join(row.anchors), done_at(row))
                for row in record.inspection
            ],
        ),
        ("Hours", ("Who", "On", "From", "To", "Hours"), [_hours(row) for row in record.hours]),
        (
            "Material",
            ("What", "Ordered", "Received", "Used", "Goes back"),
            [_material(row, record.job.units) for row in record.material],
        ),
        (
            "Pictures",
            ("File", "Of", "Anchor", "Taken", "SHA-256"),
            [texts(row.file, row.of, row.anchor, done_at(row), row.sha256) for row in record.photograph],
        ),
        _changes(record),
        *_walks(record),
    )


def owner_beside(record: Record) -> tuple[Grid, ...]:
    """Return what is the owner's: notes marked for them, and both walks; nothing of what there is none."""
    notes = [texts(row.anchor or row.wall, row.text, done_at(row)) for row in record.note if row.for_owner]
    found = (("Notes for you", ("Where", "Note", "When"), notes), _changes(record), *_walks(record))
    return tuple(grid for grid in found if grid[2])


def _changes(record: Record) -> Grid:
    return (
        "Changes agreed on the day",
        ("What", "Before", "After", "Why", "Yes by", "When"),
        [
            texts(
                f"{row.anchor}: {row.what}" if row.anchor else row.what,
                row.before,
                row.after,
                row.because,
                row.yes_by,
                done_at(row),
            )
            for row in record.change
        ],
    )


def _walks(record: Record) -> Iterator[Grid]:
    for walk, title in (("before", _BEFORE), ("leaving", _LEAVING)):
        rows = [
            texts(row.label or row.thing, row.place or row.anchor, row.words, done_at(row))
            for row in record.walk
            if row.walk == walk
        ]
        rows += [
            texts("Agreed", row.name, row.questions, done_at(row))
            for row in record.owner_yes
            if row.to.endswith(_END_OF[walk])
        ]
        yield title, ("What", "Where, who", "How it was, what was said", "When"), rows


_END_OF = {"before": "before the work", "leaving": "on leaving"}


def _material(row: MaterialUsed, system: UnitSystem) -> tuple[str, ...]:
    size = " x ".join(show_length(side, system, step=16) for side in row.size_in)
    item = f"{row.item.replace('_', ' ')} {size}".rstrip()
    return texts(item, row.planned, row.received, row.used, row.back)


def _hours(row: HoursWorked) -> tuple[str, ...]:
    ended = record_look.moment(row.ended) if row.ended is not None else "not said" if row.began else ""
    began = record_look.moment(row.began) if row.began is not None else ""
    return texts(row.who or "crew, by the entries' times", row.at_work_on, began, ended, f"{row.hours:.2f}")
