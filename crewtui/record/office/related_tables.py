"""The tables of many records that belong together: what each is of, its columns, and a record's rows in them.

Every table begins with ``record_sha256``, the key of ``jobs``; what is about one anchor has ``anchor`` beside
it, and both together are the key of ``anchors``. Lengths are inches, angles degrees, torques lbf·ft, times
UTC, as the columns' names say.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any, Final, NamedTuple

from crewtui.day.figures.figure_table import FIGURES
from crewtui.job.tables.steps import measured
from crewtui.record.house import record_look
from crewtui.record.house.account_of_record import account_of, target_lbf_ft
from crewtui.record.office.table_files import Column
from crewtui.record.signed.form import AnchorDone, Record
from crewtui.record.signed.verify import Verdict

RECORD: Final = "record_sha256"
ANCHOR: Final = "anchor"
_PLANNED: Final = {
    "setback_in": "wall face to the pit's middle",
    "mark_depth_in": "mark below grade",
    "least_depth_in": "least depth of the rod at the pit",
    "aim_depth_in": "depth to aim for at the pit",
}


class RelatedTable(NamedTuple):
    """One table: what a row of it is, its columns after the record's key, and the rows of a record."""

    name: str
    words: str
    own: tuple[Column, ...]
    rows: Callable[[Verdict, Record], Iterable[Mapping[str, Any]]]

    @property
    def columns(self) -> tuple[Column, ...]:
        """Every column, the record's key first."""
        return (_KEY if self.name == JOBS else _OF_JOBS, *self.own)


JOBS, ANCHORS = "jobs", "anchors"
_KEY: Final = Column(RECORD, "text", "Hash of the record's signed bytes: the key of this table.")
_OF_JOBS: Final = Column(RECORD, "text", "The record it stands in: jobs.record_sha256.")
_OF_ANCHORS: Final = Column(ANCHOR, "text", "The anchor's id; with record_sha256 a row of anchors.")
_DONE: Final = Column("done_at_utc", "time", "When it was done.")
_ENTRY: Final = Column("entry", "count", "Number of the journal's entry that says so.")


def _made(one: Any) -> dict[str, Any]:
    """Return an item's own fields; when it was done stands under the name of its column."""
    found = {name: getattr(one, name) for name in one.__struct_fields__}
    for name in ("done_at", "began", "ended"):
        if isinstance(found.get(name), datetime):
            found[f"{name}_utc"] = found[name]
    return found


def _of_record(
    pick: Callable[[Record], Iterable[Any]],
) -> Callable[[Verdict, Record], Iterator[dict[str, Any]]]:
    def rows(_: Verdict, record: Record) -> Iterator[dict[str, Any]]:
        return (_made(one) for one in pick(record))

    return rows


def _of_anchor(
    pick: Callable[[AnchorDone], Iterable[Any]],
) -> Callable[[Verdict, Record], Iterator[dict[str, Any]]]:
    def rows(_: Verdict, record: Record) -> Iterator[dict[str, Any]]:
        return (_made(one) | {ANCHOR: anchor.id} for anchor in record.anchor for one in pick(anchor))

    return rows


def _jobs(verdict: Verdict, record: Record) -> Iterator[dict[str, Any]]:
    ground, ticket, later = record.ground, record.ticket, record.tightening
    yield {
        "file": verdict.path.name if verdict.path else None,
        "standing": verdict.state,
        "day": record.day or "install",
        "house": record.house.id if record.house is not None else None,
        "follows_record": record.house.follows if record.house is not None else None,
        "job_id": record.job.id,
        "site": record.job.site,
        "planned_for": record.job.date,
        "done_on": verdict.done_on,
        "lead": record.job.lead,
        "units": record.job.units,
        "revision": verdict.revision,
        "complete": verdict.complete,
        "open": "; ".join(record.open),
        "anchors": sum(one.state != "dropped" for one in record.anchor),
        "anchors_open": sum(one.state == "open" for one in record.anchor),
        "soil_type": record_look.text(ground.get("soil_type")),
        "ticket_number": record_look.text(ticket.get("number")),
        "ticket_until_utc": ticket.get("valid_to"),
        "later_tightening": record_look.text(later.get("when")),
        "first_visit_due": later.get("first_visit"),
        "deviations": len(record.deviation),
        "deviations_not_accepted": sum(one.accepted is None for one in record.deviation),
        "photographs": len(record.photograph),
        "signer": verdict.signer,
        "signed_at_utc": verdict.signed_at,
        "key_id": verdict.key_id,
        "program_version": record.program.version,
    }


def _anchors(_: Verdict, record: Record) -> Iterator[dict[str, Any]]:
    walls = {wall.name: wall.type for wall in record.wall}
    for one in record.anchor:
        account = account_of(record, one)
        yield {
            ANCHOR: one.id,
            "wall": one.wall,
            "wall_type": walls.get(one.wall),
            "state": one.state,
            "open_steps": "; ".join(one.open),
            "dropped_because": one.dropped_because,
            "came_out": account.word,
            "owner_may_adjust": account.yours,
            "along_in": record_look.inputs(one).get("along_in", one.planned.get("along_in")),
            **{f"planned_{name}": one.planned.get(name) for name in _PLANNED},
            **{f"figured_{name}": value for name, value in one.figure.items()},
            **{quantity.key: record_look.built(one, quantity.key) for quantity in measured()},
            "target_torque_lbf_ft": target_lbf_ft(one),
            "drives": len(one.attempt),
            "rod_pieces": len(one.piece),
            "couplings": one.couplings,
            "plate_along_in": one.seat.along_in if one.seat is not None else None,
            "plate_out_in": one.seat.out_in if one.seat is not None else None,
            "plate_below_ground_in": one.seat.below_ground_in if one.seat is not None else None,
        }


def _attempts(_: Verdict, record: Record) -> Iterator[dict[str, Any]]:
    for anchor in record.anchor:
        for one in anchor.attempt:
            way = record_look.text(one.way.get("kind")) or None
            yield _made(one) | {ANCHOR: anchor.id, "way_on": way}


def _pieces(_: Verdict, record: Record) -> Iterator[dict[str, Any]]:
    for anchor in record.anchor:
        for number, one in enumerate(anchor.piece, start=1):
            yield _made(one) | {ANCHOR: anchor.id, "number": number}


def _readings(_: Verdict, record: Record) -> Iterator[dict[str, Any]]:
    for anchor in record.anchor:
        for reading in anchor.reading:
            for height_in, offset_in in zip(reading.heights_in, reading.offsets_in, strict=False):
                yield _made(reading) | {ANCHOR: anchor.id, "height_in": height_in, "offset_in": offset_in}


def _materials(_: Verdict, record: Record) -> Iterator[dict[str, Any]]:
    for one in record.material:
        yield _made(one) | {"size": " x ".join(f"{side:g}" for side in one.size_in)}


def _visits(verdict: Verdict, record: Record) -> Iterator[dict[str, Any]]:
    if record.day != "visit":
        return
    for anchor in record.anchor:
        said = {one.step: one.answer for one in anchor.answer}
        yield {
            ANCHOR: anchor.id,
            "house": record.house.id if record.house is not None else None,
            "done_on": verdict.done_on,
            "bow_found_in": record_look.built(anchor, "bow_found_in"),
            "cracks": said.get("cracks"),
            "wall_plate": said.get("plate-looked"),
            "nut_found": said.get("nut-looked"),
            "torque_found_lbf_ft": record_look.built(anchor, "torque_found_lbf_ft"),
            "nut": said.get("nut"),
            "torque_left_lbf_ft": record_look.built(anchor, "torque_left_lbf_ft"),
            "word": said.get("visit-word"),
        }


def _measured_columns() -> Iterator[Column]:
    for quantity in measured():
        yield Column(quantity.key, "number", f"As built: {quantity.label}.")


TABLES: Final[tuple[RelatedTable, ...]] = (
    RelatedTable(JOBS, "A record that stands: of several revisions of a job the newest.", (
        Column("file", "text", "Name of the record's file."),
        Column("standing", "text", "valid, or unknown key."),
        Column("day", "text", "install or visit."),
        Column("house", "text", "The house's id, kept over the years."),
        Column("follows_record", "text", "The record that a visit rests on: jobs.record_sha256."),
        Column("job_id", "text", "The job's id."),
        Column("site", "text", "What the job calls the place."),
        Column("planned_for", "day", "The job file's date."),
        Column("done_on", "day", "Day of the last entry at an anchor."),
        Column("lead", "text", "The crew lead in the job file."),
        Column("units", "text", "imperial or metric: what was typed and shown; the tables are in inches."),
        Column("revision", "count", "Number of the record of this job."),
        Column("complete", "yes or no", "Whether nothing was open."),
        Column("open", "text", "What is open for the whole job."),
        Column("anchors", "count", "Anchors that were not dropped."),
        Column("anchors_open", "count", "Of those, the ones on which something is open."),
        Column("soil_type", "text", "As the competent person judged it: A, B or C."),
        Column("ticket_number", "text", "The locate ticket."),
        Column("ticket_until_utc", "time", "Until when the ticket holds."),
        Column("later_tightening", "text", "At which visits the plan wants the nuts turned again."),
        Column("first_visit_due", "day", "Day of the first visit, as planned."),
        Column("deviations", "count", "How many deviations stand."),
        Column("deviations_not_accepted", "count", "Of those, the ones that nobody named accepted."),
        Column("photographs", "count", "Pictures kept beside the record."),
        Column("signer", "text", "Who signed."),
        Column("signed_at_utc", "time", "When."),
        Column("key_id", "text", "The key's fingerprint."),
        Column("program_version", "text", "What wrote it."),
    ), _jobs),
    RelatedTable(ANCHORS, "An anchor of a record, as planned and as built.", (
        Column(ANCHOR, "text", "The anchor's id: with record_sha256 the key of this table."),
        Column("wall", "text", "The wall it stands on."),
        Column("wall_type", "text", "block, poured concrete or clay tile."),
        Column("state", "text", "complete, open or dropped."),
        Column("open_steps", "text", "What is open on it."),
        Column("dropped_because", "text", "Why it was left out."),
        Column("came_out", "text", "How it came out, in one word."),
        Column("owner_may_adjust", "yes or no", "Whether the plan leaves it to the owner, and it came out."),
        Column("along_in", "number", "Place along the wall from its start corner."),
        *(Column(f"planned_{name}", "number", f"As planned: {words}.") for name, words in _PLANNED.items()),
        *(Column(f"figured_{figure.record}", "number", f"As figured: {figure.label}.")
          for figure in FIGURES if figure.record),
        *_measured_columns(),
        Column("target_torque_lbf_ft", "number", "The torque at the nut that the plan wants."),
        Column("drives", "count", "How many times a rod was driven."),
        Column("rod_pieces", "count", "Pieces of rod in the ground."),
        Column("couplings", "count", "Couplings in the ground."),
        Column("plate_along_in", "number", "The plate, along the wall from its start corner."),
        Column("plate_out_in", "number", "The plate, out from the wall's outer face."),
        Column("plate_below_ground_in", "number", "The plate, below the ground there."),
    ), _anchors),
    RelatedTable("attempts", "A rod that was driven.", (
        _OF_ANCHORS,
        Column("attempt", "count", "Number of the drive at the anchor."),
        Column("held_angle_deg", "number", "The angle it was held at."),
        Column("found", "yes or no", "Whether it showed in the pit."),
        Column("depth_found_in", "number", "Depth to its middle in the pit."),
        Column("side_offset_in", "number", "Off the pit's middle; right is plus."),
        Column("angle_run_deg", "number", "The angle it ran at, from mark and depth."),
        Column("drift_deg", "number", "Run less held: minus is flatter."),
        Column("left_out_reason", "text", "Why it does not count for the wall's drift."),
        Column("way_on", "text", "What was done after it; empty where the rod stayed."),
        _DONE, _ENTRY,
    ), _attempts),
    RelatedTable("pieces", "A piece of rod in the ground.", (
        _OF_ANCHORS,
        Column("number", "count", "From the leading end; each but the first has a coupling before it."),
        Column("length_in", "number", "Its length."),
        _ENTRY,
    ), _pieces),
    RelatedTable("readings", "One height of a reading of the wall from an upright line.", (
        _OF_ANCHORS,
        Column("when", "text", "before or after tightening."),
        Column("line", "text", "plumb line or laser line."),
        Column("height_in", "number", "Height above the slab."),
        Column("offset_in", "number", "Line to wall."),
        Column("resolution_in", "number", "What the tape was read to."),
        Column("repeat_sd_in", "number", "One place read again: standard deviation."),
        _DONE, _ENTRY,
    ), _readings),
    RelatedTable("bows", "The inward bow at an anchor.", (
        _OF_ANCHORS,
        Column("when", "text", "before or after tightening."),
        Column("bow_in", "number", "Inward is plus."),
        Column("how", "text", "typed on its step, or read from a line."),
        _ENTRY,
    ), _of_anchor(lambda anchor: anchor.bow)),
    RelatedTable("torques", "A tightening of a nut.", (
        _OF_ANCHORS,
        Column("tightening", "text", "first: before backfilling; second: after it."),
        Column("round", "count", "Number of the round."),
        Column("of", "count", "Of so many rounds."),
        Column("torque_lbf_ft", "number", "At the nut."),
        Column("set_lbf_ft", "number", "What the wrench was set to; less with an extension."),
        Column("clicked", "yes or no", "Whether the wrench clicked: no means that it did not come up."),
        Column("pull_in_in", "number", "How far the rod came in."),
        _DONE, _ENTRY,
    ), _of_anchor(lambda anchor: anchor.torque)),
    RelatedTable("deviations", "Something that is not as plan, limit or hold would have it.", (
        _OF_ANCHORS,
        Column("kind", "text", "What kind."),
        Column("step", "text", "The step it stands at."),
        Column("text", "text", "What is so."),
        Column("reason", "text", "Why, in the lead's words."),
        Column("accepted", "text", "Who accepted it, and why; empty where nobody did."),
        _DONE, _ENTRY,
    ), _of_record(lambda record: record.deviation)),
    RelatedTable("holds", "An answer to a hold or a hazard.", (
        _OF_ANCHORS,
        Column("id", "text", "Which."),
        Column("said", "text", "What was said."),
        Column("by", "text", "Who said it."),
        Column("note", "text", "Their words."),
        _DONE, _ENTRY,
    ), _of_record(lambda record: record.hold)),
    RelatedTable("calls", "A call from the site.", (
        _OF_ANCHORS,
        Column("who", "text", "Who was called."),
        Column("about", "text", "What was asked, with the figures."),
        Column("said", "text", "What was answered."),
        _DONE, _ENTRY,
    ), _of_record(lambda record: record.call)),
    RelatedTable("hours", "Time of one person on site, or of the crew on one phase or anchor.", (
        _OF_ANCHORS,
        Column("who", "text", "One person; empty for the crew."),
        Column("hours", "number", "Hours."),
        Column("at_work_on", "text", "Phase of the work."),
        Column("began_utc", "time", "From."),
        Column("ended_utc", "time", "To; empty where nobody said that they left."),
        _DONE,
    ), _of_record(lambda record: record.hours)),
    RelatedTable("materials", "What the job took of one thing, beside what was planned.", (
        Column("item", "text", "What it is."),
        Column("size", "text", "Its sizes in inches."),
        Column("planned", "count", "What the job file lists."),
        Column("received", "count", "What was counted first."),
        Column("used", "count", "What the job took."),
        Column("back", "count", "What goes back."),
    ), _materials),
    RelatedTable("visits", "An anchor as a later visit found and left it.", (
        _OF_ANCHORS,
        Column("house", "text", "The house's id."),
        Column("done_on", "day", "Day of the visit."),
        Column("bow_found_in", "number", "The bow as found; inward is plus."),
        Column("cracks", "text", "Against the last visit."),
        Column("wall_plate", "text", "How the wall plate lay."),
        Column("nut_found", "text", "snug or loose by hand."),
        Column("torque_found_lbf_ft", "number", "Torque at which the nut first moved."),
        Column("nut", "text", "left as found or tightened."),
        Column("torque_left_lbf_ft", "number", "Torque it was left at."),
        Column("word", "text", "The visit's one word: hold, tightened or call."),
    ), _visits),
)  # fmt: skip


def dictionary() -> Iterator[tuple[str, str, str, str]]:
    """Yield table, column, what its cells are, and what they say, for every column of every table."""
    for table in TABLES:
        for column in table.columns:
            yield table.name, column.name, column.kind, column.words


__all__ = ["ANCHOR", "ANCHORS", "JOBS", "RECORD", "TABLES", "RelatedTable", "dictionary"]
