"""The records of one house, each visit once and in the order of its own dates; or why they are not that.

A record that another replaces is left out, and said. Records that name no house are of one where their site
reads the same. Days are those of the entries: the planned day counts nowhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path

from msgspec import Struct

from crewtui.foreign import shown
from crewtui.record.signed.form import Record
from crewtui.record.signed.house_chain import name_of
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.verify import Verdict, verify
from crewtui.units import UnitSystem


class HouseError(Exception):
    """Why records give no series, in one sentence."""


class DayTold(Struct, frozen=True, kw_only=True):
    """One day at the house, and what is told of it; signed or not yet."""

    name: str
    done_on: date
    record: Record


class Kept(DayTold, frozen=True, kw_only=True):
    """One day at the house, as the record that stands for it has it."""

    verdict: Verdict


class House(Struct, frozen=True, kw_only=True):
    """A house over the years."""

    id: str
    """Its own id; empty where no record names one."""
    site: str
    days: tuple[Kept, ...]
    """In the order of their entries' own dates."""
    said: tuple[str, ...]
    """What was left out or put in order, and whose key is not known."""

    @property
    def units(self) -> UnitSystem:
        """Return the units of the latest day."""
        return self.days[-1].record.job.units


def load_house(paths: Sequence[Path], known: KnownKeys) -> House:
    """Read records and return their house; HouseError where they are not of one, or one does not hold."""
    return house_of([verify(path, known) for path in paths])


def house_of(verdicts: Sequence[Verdict]) -> House:
    """Return the house of records that were checked; HouseError where they are not of one house."""
    kept = [_kept(verdict) for verdict in verdicts]
    if not kept:
        raise HouseError("no record was named; name the records of one house")
    _refuse_two_houses(kept)
    said: list[str] = []
    standing = _standing(_once(kept, said), said)
    in_order = sorted(standing, key=lambda one: (one.done_on, one.record.signer.signed_at))
    if [one.name for one in in_order] != [one.name for one in standing]:
        order = ", ".join(f"{one.name} of {one.done_on}" for one in in_order)
        said.append(f"Put in the order of their entries' own dates: {order}.")
    said += [f"{one.name}: {one.verdict.words}" for one in in_order if one.verdict.state != "valid"]
    return House(
        id=next((one.verdict.house for one in in_order if one.verdict.house), ""),
        site=in_order[-1].verdict.site,
        days=tuple(in_order),
        said=tuple(said),
    )


def _kept(verdict: Verdict) -> Kept:
    record, day = verdict.record, verdict.done_on
    if record is None:
        raise HouseError(f"{verdict.path}: {verdict.words}")
    if day is None:
        raise HouseError(f"{name_of(verdict)} does not say when anything was done")
    return Kept(name=name_of(verdict), done_on=day, verdict=verdict, record=record)


def _refuse_two_houses(kept: Sequence[Kept]) -> None:
    """Raise HouseError where two records name two houses; without a house, two sites are two houses."""
    first = kept[0]
    for other in kept[1:]:
        mine, theirs = first.verdict.house, other.verdict.house
        if mine and theirs and mine != theirs:
            raise HouseError(
                f"{first.name} is of house {shown(mine)} and {other.name} of house {shown(theirs)}:"
                " name the records of one house"
            )
        sites = {" ".join(one.verdict.site.casefold().split()) for one in (first, other)}
        if not (mine and theirs) and len(sites) > 1:
            raise HouseError(
                f"{first.name} is of {shown(first.verdict.site)} and {other.name} of"
                f" {shown(other.verdict.site)}: if that is one house, its jobs have to name it by the same"
                " house or site; else name the records of one house"
            )


def _once(kept: Sequence[Kept], said: list[str]) -> list[Kept]:
    """Return each record once, however often it was copied."""
    found: dict[str, Kept] = {}
    for one in kept:
        before = found.setdefault(one.verdict.record_hash, one)
        if before is not one:
            said.append(f"{one.name} is a copy of {before.name}: it counts once.")
    return list(found.values())


def _standing(kept: Sequence[Kept], said: list[str]) -> list[Kept]:
    """Return the records that no later revision among these replaces."""
    standing = []
    for one in kept:
        later = next((other for other in kept if _replaces(other, one)), None)
        if later is None:
            standing.append(one)
            continue
        said.append(
            f"{one.name} is left out: {later.name}, revision {later.verdict.revision}, stands in its place."
        )
    _refuse_rivals(standing)
    return standing


def _replaces(later: Kept, earlier: Kept) -> bool:
    """Return whether one is a later revision of the other's visit."""
    if later.verdict.job_id != earlier.verdict.job_id:
        return False
    if later.verdict.before == earlier.verdict.record_hash:
        return True
    return later.verdict.revision > earlier.verdict.revision and later.done_on >= earlier.done_on


def _refuse_rivals(standing: Sequence[Kept]) -> None:
    for number, one in enumerate(standing):
        for other in standing[number + 1 :]:
            if (one.verdict.job_id, one.done_on) == (other.verdict.job_id, other.done_on):
                raise HouseError(
                    f"{one.name} and {other.name} are both revision {one.verdict.revision} of job"
                    f" {shown(one.verdict.job_id)}, done on {one.done_on}: ask the lead which one stands"
                )


__all__ = ["DayTold", "House", "HouseError", "Kept", "house_of", "load_house"]
