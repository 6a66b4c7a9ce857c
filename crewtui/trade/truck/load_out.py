"""Load-out: what the anchors still to be done need, beside what the truck has; what is short, in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Final

from msgspec import Struct

from crewtui.trade.checks import checked
from crewtui.trade.truck.cutting import CutPlan
from crewtui.units import TOLERANCE_IN, UnitSystem, show_length

WAX_PER_ANCHOR: Final = 0.5
"""Sticks of sealing wax for one anchor: company setting, from memory."""


class LoadedPlate(Struct, frozen=True, kw_only=True):
    """A plate's width along the wall and height up the wall."""

    width_in: float
    height_in: float

    def same(self, other: LoadedPlate) -> bool:
        """Whether two plates are of one size, within the program's tolerance."""
        return (
            abs(self.width_in - other.width_in) <= TOLERANCE_IN
            and abs(self.height_in - other.height_in) <= TOLERANCE_IN
        )


class PlateCount(Struct, frozen=True, kw_only=True):
    """Plates of one size on the truck."""

    size: LoadedPlate
    count: int


class AnchorNeeds(Struct, frozen=True, kw_only=True):
    """What one anchor still takes from the truck; what is on it already counts no more."""

    anchor: str
    plate: LoadedPlate | None = None
    wall_plate: LoadedPlate | None = None
    couplings: int = 0
    nuts: int = 2
    """One at the buried plate, one at the wall plate."""
    washers: int = 1
    sleeves: int = 1
    caps: int = 1
    plate_covers: int = 0
    covers: int = 1
    tags: int = 1
    wax_sticks: float = WAX_PER_ANCHOR
    """May be part of a stick; the job's sum is rounded up."""


class OnTruck(Struct, frozen=True, kw_only=True):
    """What is on the truck now, rods aside; None where nobody has counted."""

    plates: tuple[PlateCount, ...] | None = None
    wall_plates: tuple[PlateCount, ...] | None = None
    couplings: int | None = None
    nuts: int | None = None
    washers: int | None = None
    sleeves: int | None = None
    caps: int | None = None
    plate_covers: int | None = None
    covers: int | None = None
    tags: int | None = None
    wax_sticks: int | None = None
    tampers: int | None = None
    ground_sheets: int | None = None


class LoadLine(Struct, frozen=True, kw_only=True):
    """One thing: how many are needed, how many are there."""

    key: str
    """Steady name of the line, such as ``couplings`` or ``rods 80``."""
    item: str
    needed: int
    there: int | None
    stock: str
    """What it is counted as: the job file's name of it, such as ``wall_plates``, or ``offcuts``."""
    size_in: tuple[float, ...] = ()
    """Its size: a rod's length, a plate's width and height; nothing for what has one size."""
    proven: bool = True
    """Whether no other cut list does with fewer; only then "short" is a fact."""

    @property
    def spare(self) -> int | None:
        """What is left over; negative where so many are short; None where nobody has counted."""
        return None if self.there is None else self.there - self.needed

    @property
    def short(self) -> int:
        """How many are missing; 0 where none is, or nobody has counted."""
        return max(0, -(self.spare or 0))

    @property
    def said(self) -> str:
        """The line in words."""
        if self.there is None:
            return f"{self.item}: {self.needed} needed, not counted"
        if self.short:
            sure = "short" if self.proven else "short at most, no list found that does with less"
            return f"{self.item}: {self.there} left, {self.needed} needed, {self.short} {sure}"
        return f"{self.item}: {self.there} there, {self.needed} needed, {self.spare} spare"


class LoadOut(Struct, frozen=True, kw_only=True):
    """Every line, and the answer for the whole truck."""

    needs: tuple[AnchorNeeds, ...]
    truck: OnTruck
    lines: tuple[LoadLine, ...]
    enough: bool | None
    """None where nothing is short but something has not been counted."""
    said: str
    warnings: tuple[str, ...] = ()

    @property
    def short(self) -> tuple[LoadLine, ...]:
        """The lines of which there is not enough."""
        return tuple(line for line in self.lines if line.short)

    @property
    def uncounted(self) -> tuple[LoadLine, ...]:
        """The lines that are needed and that nobody has counted."""
        return tuple(line for line in self.lines if line.there is None and line.needed)


def load_out(
    needs: Sequence[AnchorNeeds],
    truck: OnTruck,
    *,
    cuts: CutPlan | None = None,
    system: UnitSystem = "imperial",
) -> LoadOut:
    """Return needed against there: rods from the cut list, the rest from what each anchor still takes.

    A ground sheet and a tamper are used again: one of each is needed while a pit is still to be filled.
    """
    for need in needs:
        checked(f"The wax for anchor {need.anchor}", need.wax_sticks, least=0)
    lines = [*_rods(cuts, system)]
    lines += _plates("plates", "plate", [need.plate for need in needs], truck.plates, system)
    lines += _plates(
        "wall plates", "wall plate", [need.wall_plate for need in needs], truck.wall_plates, system
    )
    plate_covers = sum(need.plate_covers for need in needs)
    pits = int(any(need.plate is not None or need.covers for need in needs))
    lines += [
        LoadLine(key=key, item=item, needed=needed, there=there, stock=key.replace(" ", "_"))
        for key, item, needed, there in (
            ("couplings", "couplings", sum(need.couplings for need in needs), truck.couplings),
            ("nuts", "nuts", sum(need.nuts for need in needs), truck.nuts),
            ("washers", "washers", sum(need.washers for need in needs), truck.washers),
            ("sleeves", "wall sleeves", sum(need.sleeves for need in needs), truck.sleeves),
            ("caps", "caps for rod ends", sum(need.caps for need in needs), truck.caps),
            ("plate covers", "covers over wall plates", plate_covers, truck.plate_covers),
            ("wax", "sticks of sealing wax", _sticks(needs), truck.wax_sticks),
            ("covers", "pit covers", sum(need.covers for need in needs), truck.covers),
            ("tags", "anchor tags", sum(need.tags for need in needs), truck.tags),
            ("tampers", "tampers", pits, truck.tampers),
            ("ground sheets", "ground sheets", pits, truck.ground_sheets),
        )
        if key != "plate covers" or needed or there  # only where somebody ordered them
    ]
    short = [line for line in lines if line.short]
    uncounted = [line for line in lines if line.there is None and line.needed]
    return LoadOut(
        needs=tuple(needs),
        truck=truck,
        lines=tuple(lines),
        enough=False if any(line.proven for line in short) else None if short or uncounted else True,
        said=_said(short, uncounted),
        warnings=tuple(f"Short: {line.said}." for line in short) + (cuts.warnings if cuts else ()),
    )


def _sticks(needs: Iterable[AnchorNeeds]) -> int:
    return math.ceil(sum(need.wax_sticks for need in needs) - TOLERANCE_IN)


def _rods(cuts: CutPlan | None, system: UnitSystem) -> list[LoadLine]:
    if cuts is None:
        return []
    return [
        LoadLine(
            key=f"{'offcut' if use.offcut else 'rods'} {use.length_in:g}",
            item=f"{'offcuts' if use.offcut else 'rods'} of {show_length(use.length_in, system)}",
            needed=use.needed,
            there=use.there,
            stock="offcuts" if use.offcut else "rods",
            size_in=(use.length_in,),
            proven=cuts.least_missing >= cuts.missing,
        )
        for use in cuts.uses
        if use.needed or use.there
    ]


def _plates(
    key: str,
    name: str,
    wanted: Sequence[LoadedPlate | None],
    there: Sequence[PlateCount] | None,
    system: UnitSystem,
) -> list[LoadLine]:
    """Return a line for each size wanted; another size on the truck does not stand in for it."""
    sizes: list[tuple[LoadedPlate, int]] = []
    for size in wanted:
        if size is None:
            continue
        for place, (known, count) in enumerate(sizes):
            if known.same(size):
                sizes[place] = (known, count + 1)
                break
        else:
            sizes.append((size, 1))
    return [
        LoadLine(
            key=f"{key} {size.width_in:g} x {size.height_in:g}",
            item=(
                f"{name}s {show_length(size.width_in, system)} wide,"
                f" {show_length(size.height_in, system)} high"
            ),
            needed=count,
            there=None if there is None else sum(kind.count for kind in there if kind.size.same(size)),
            stock=key.replace(" ", "_"),
            size_in=(size.width_in, size.height_in),
        )
        for size, count in sizes
    ]


def _said(short: Sequence[LoadLine], uncounted: Sequence[LoadLine]) -> str:
    if short:
        sure = "" if any(line.proven for line in short) else "at most "
        return f"The truck is short of {sure}{'; '.join(f'{line.short} {line.item}' for line in short)}."
    if uncounted:
        names = ", ".join(line.item for line in uncounted)
        return f"Nothing is short of what was counted; not counted: {names}."
    return "The truck holds everything that the anchors still to be done need."
