"""The records of one house in their order: install, revisions, visits, each resting on one before it.

Days are those of the entries, never the planned one. A visit names the record that its job was written from
by hash, so that a missing one is seen.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import date

from crewtui.foreign import shown
from crewtui.record.signed.verify import Verdict


def house_problems(valid: Sequence[Verdict]) -> Iterator[str]:
    """Yield a sentence for each visit that does not rest on a record of its house among these."""
    by_hash = {verdict.record_hash: verdict for verdict in valid}
    for verdict in by_hash.values():
        if not verdict.follows or len(by_hash) == 1:
            continue
        before = by_hash.get(verdict.follows)
        house = f"House {shown(verdict.house)}: {name_of(verdict)}"
        if before is None:
            yield f"{house} follows a record {verdict.follows[:12]}… that is not among these files."
        elif before.house and before.house != verdict.house:
            yield f"{house} follows {name_of(before)}, which is of house {shown(before.house)}."
        elif verdict.done_on and before.done_on and verdict.done_on < before.done_on:
            yield (
                f"{house} was done on {verdict.done_on}, before {name_of(before)} of {before.done_on} that it"
                " follows: look at the clock of that day."
            )


def house_remarks(valid: Sequence[Verdict], standing: Sequence[Verdict]) -> Iterator[str]:
    """Yield the order of each house's days, and visits that rest on what was replaced since."""
    named = _houses(valid)
    houses: dict[str, list[Verdict]] = defaultdict(list)
    for verdict in standing:
        if verdict.record_hash in named:
            houses[named[verdict.record_hash]].append(verdict)
    for house, days in sorted(houses.items()):
        if len(days) > 1:
            in_order = sorted(days, key=lambda one: (one.done_on or date.max, one.job_id))
            words = ", then ".join(f"{one.day or 'install'} of {one.done_on}" for one in in_order)
            yield f"House {shown(house)}: {words}."
            if all(one.day == "visit" for one in in_order):
                yield f"House {shown(house)}: the record of the install is not among these files."
    stands = {verdict.record_hash for verdict in standing}
    by_hash = {verdict.record_hash: verdict for verdict in valid}
    for verdict in by_hash.values():
        before = by_hash.get(verdict.follows)
        if before is not None and before.record_hash not in stands:
            yield f"{name_of(verdict)} was written from {name_of(before)}, which a later revision replaces."


def _houses(valid: Sequence[Verdict]) -> dict[str, str]:
    """Return by hash the house of each record; one that names none is of the house of what rests on it."""
    by_hash = {verdict.record_hash: verdict for verdict in valid}
    found = {one.record_hash: one.house for one in by_hash.values() if one.house}
    for verdict in by_hash.values():
        for before in (verdict.follows, verdict.before):
            if verdict.house and before in by_hash:
                found.setdefault(before, verdict.house)
    return found


def name_of(verdict: Verdict) -> str:
    """Return the file of a record, or the beginning of its hash."""
    return shown(verdict.path.name) if verdict.path else verdict.record_hash[:12]


__all__ = ["house_problems", "house_remarks", "name_of"]
