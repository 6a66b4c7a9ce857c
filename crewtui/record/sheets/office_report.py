"""What the office reads beside the owner's sheet: what is not as planned first, hazards folded last."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Final

from msgspec import Struct

from crewtui.foreign import prose
from crewtui.job.tables import hazards, rules
from crewtui.job.tables.steps import label as step_label
from crewtui.record.house import record_look
from crewtui.record.sheets.beside_tables import done_at, office_beside, texts
from crewtui.record.signed.form import AnchorDone, Deviated, HoldAnswered, Record, RuleSet, StockFound
from crewtui.units import UnitSystem, show_length

Rows = list[tuple[str, ...]]


class OfficeTable(Struct, frozen=True, kw_only=True):
    """One table of the report."""

    title: str
    heads: tuple[str, ...]
    rows: Rows
    folded: str = ""
    """What stands in its place until it is unfolded; empty for a table that always shows."""


def first_tables(record: Record) -> tuple[OfficeTable, ...]:
    """Return what the office looks at first: what is not as planned, then what was done and used."""
    return (
        _deviations(record),
        _findings(record),
        _open(record),
        _emergencies(record),
        _torques(record),
        _attempts(record),
        _rods(record),
        *_beside(record),
        _exposures(record),
        _counted(record),
        _limits(record),
    )


def last_tables(record: Record) -> tuple[OfficeTable, ...]:
    """Return the holds and hazards: those not simply in place, then all that are, folded."""
    plain = [row for row in record.hold if row.said == "in place"]
    heads = ("What", "Anchor", "Answer", "By", "Note", "Done")
    return (
        OfficeTable(
            title="Holds released or set aside, and what was judged",
            heads=heads,
            rows=_holds(row for row in record.hold if row.said != "in place"),
        ),
        OfficeTable(
            title="Hazards answered in place",
            heads=heads,
            rows=_holds(plain),
            folded=f"{len(plain)} answers, by {_by(plain)}" if plain else "",
        ),
    )


def office_tables(record: Record) -> tuple[OfficeTable, ...]:
    """Return every table of the report, in its order."""
    return (*first_tables(record), *last_tables(record))


# What is not as planned.


def _deviations(record: Record) -> OfficeTable:
    """Return the deviations, those first that nobody has accepted; what is the same of many steps, once."""
    same: dict[tuple[str, ...], list[Deviated]] = {}
    for row in sorted(record.deviation, key=lambda row: bool(row.accepted)):
        said = texts(
            row.anchor or "the job",
            row.kind,
            deviation_words(row, record),
            row.reason,
            row.accepted or "nobody",
        )
        same.setdefault(said, []).append(row)
    return OfficeTable(
        title="Deviations",
        heads=("Anchor", "Step", "Kind", "What", "Why", "Accepted by", "Done"),
        rows=[
            (
                said[0],
                ", ".join(step_label(row.step) for row in rows if row.step),
                *said[1:],
                done_at(rows[0]),
            )
            for said, rows in same.items()
        ],
    )


_NAME: Final = re.compile(r"(?<![\w-])[a-z]+(?:-[a-z]+)*(?![\w-])")


def deviation_words(row: Deviated, record: Record) -> str:
    """Return what is not as planned, quantities with label and unit, holds by what they ask for."""
    said = record_look.labeled(row.text, record.job.units)
    if row.kind not in {"while held", "override"}:
        return said
    named = {hazard.id: hazard.text for hazard in hazards.load()}
    named |= {hold.id: hold.text for hold in record.hold if hold.text}
    return _NAME.sub(lambda found: f'"{named[found[0]]}"' if found[0] in named else found[0], said)


def _findings(record: Record) -> OfficeTable:
    rows = sorted(record.finding, key=lambda row: bool(row.accepted))
    return OfficeTable(
        title="About the walls, against a limit",
        heads=("Wall", "Anchor", "What", "Accepted by"),
        rows=[texts(row.wall, row.anchor, row.text, row.accepted or "nobody") for row in rows],
    )


def _open(record: Record) -> OfficeTable:
    rows = [texts("the job", ", ".join(record.open), "")] if record.open else []
    for one in record.anchor:
        if one.state == "open":
            pictures = [each.file for each in record.photograph if each.anchor == one.id]
            rows.append(texts(one.id, ", ".join(one.open), ", ".join(pictures)))
    return OfficeTable(title="Still open", heads=("Where", "Steps", "Pictures"), rows=rows)


def _emergencies(record: Record) -> OfficeTable:
    rows = [texts(row.anchor, row.note or "not said", done_at(row)) for row in record.emergency]
    return OfficeTable(title="Emergencies", heads=("Anchor", "What happened", "Done"), rows=rows)


# What was done.


def _torques(record: Record) -> OfficeTable:
    return OfficeTable(
        title="Torques by round",
        heads=("Anchor", "Tightening", "Round", "At the nut", "Wrench set to", "Clicked", "Drew in", "Done"),
        rows=[row for anchor in record.anchor for row in _torques_of(anchor, record.job.units)],
    )


def _torques_of(anchor: AnchorDone, system: UnitSystem) -> Iterator[tuple[str, ...]]:
    for row in anchor.torque:
        clicked = row.said or {True: "clicked", False: "no", None: "not said"}[row.clicked]
        yield texts(
            anchor.id,
            "before backfill" if row.tightening == "first" else "after backfill",
            f"{row.round} of {row.of}" if row.of else row.round,
            record_look.torque(row.torque_lbf_ft, system),
            record_look.torque(row.set_lbf_ft, system),
            clicked,
            record_look.length(row.pull_in_in, system),
            done_at(row),
        )
    if anchor.torque:
        return
    for quantity, when in (
        ("first_torque_lbf_ft", "before backfill"),
        ("second_torque_lbf_ft", "after backfill"),
    ):
        torque = record_look.torque(record_look.built(anchor, quantity), system)
        if torque:
            said = record_look.then(anchor, quantity) or "not said"
            yield texts(anchor.id, when, "", torque, "", said, "", "")


def _attempts(record: Record) -> OfficeTable:
    system = record.job.units
    return OfficeTable(
        title="Rods driven",
        heads=("Anchor", "Attempt", "Held at", "Found at", "Way on", "Done"),
        rows=[
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
    )


def _rods(record: Record) -> OfficeTable:
    """Return the rod that each anchor took beside what it needed by the figures."""
    system = record.job.units
    rows: Rows = []
    for anchor in (one for one in record.anchor if one.state != "dropped"):
        pieces = [piece.length_in for piece in anchor.piece]
        rows.append(
            texts(
                anchor.id,
                record_look.length(anchor.figure.get("rod_needed_in"), system),
                show_length(sum(pieces), system) if pieces else "pieces not entered",
                " + ".join(show_length(piece, system) for piece in pieces),
                anchor.couplings,
            )
        )
    heads = ("Anchor", "Rod needed, by the figures", "Rod in the ground", "Pieces", "Couplings")
    return OfficeTable(title="Rods used, against planned", heads=heads, rows=rows)


def _counted(record: Record) -> OfficeTable:
    rows = [texts(_item(row, record.job.units), row.count, done_at(row)) for row in record.counted]
    return OfficeTable(title="Counted on the truck", heads=("What", "How many", "Done"), rows=rows)


def _item(row: StockFound, system: UnitSystem) -> str:
    size = " × ".join(show_length(value, system) for value in row.size_in)
    return f"{row.item.replace('_', ' ')} {size}".strip()


def _exposures(record: Record) -> OfficeTable:
    rows = [
        texts(
            row.tool.replace("-", " "),
            row.who or "everybody",
            "indoors" if row.indoors else "outdoors",
            f"{row.hours:g} h",
            done_at(row),
        )
        for row in record.exposure
    ]
    heads = ("Tool", "Who", "Where", "Time", "Done")
    return OfficeTable(title="Time on tools that make dust or noise", heads=heads, rows=rows)


def _beside(record: Record) -> Iterator[OfficeTable]:
    """Yield calls, hours, material and the rest that stood beside the anchors."""
    for title, heads, rows in office_beside(record):
        yield OfficeTable(title=title, heads=heads, rows=rows)


def _limits(record: Record) -> OfficeTable:
    system = record.job.units
    return OfficeTable(
        title="Limits set by the company",
        heads=("Limit", "Value", "Default", "Said by", "Stricter or looser"),
        rows=[
            texts(
                row.label,
                _limit(row, row.value, system),
                _limit(row, row.default, system),
                row.said_by,
                "looser than the default" if row.loosened else "",
            )
            for row in record.rule
        ],
    )


def _limit(row: RuleSet, value: object, system: UnitSystem) -> str:
    """Return a company's limit in the job's units."""
    rule = rules.defaults().get(row.key)
    if rule is None or not isinstance(value, str | int | float):
        return "" if value is None else str(value)
    return rules.in_words(rule, value, system)


# Holds and hazards.


def _holds(rows: Iterable[HoldAnswered]) -> Rows:
    return [texts(_asked_for(row), row.anchor, row.said, row.by, row.note, done_at(row)) for row in rows]


def _by(rows: Iterable[HoldAnswered]) -> str:
    counts = Counter(prose(row.by) for row in rows if row.by)
    return ", ".join(f"{who} {count}" for who, count in counts.most_common()) or "nobody named"


def _asked_for(row: HoldAnswered) -> str:
    """Return what a hold or a hazard asks for; its own text, else what the program's tables call it."""
    known = next((hazard.text for hazard in hazards.load() if hazard.id == row.id), "")
    return row.text or known or step_label(row.id).replace("-", " ")


__all__ = ["OfficeTable", "deviation_words", "first_tables", "last_tables", "office_tables"]
