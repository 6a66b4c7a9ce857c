"""Whether the truck holds what the plan needs, by a rough count; the cut list has the last word on rods."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence

from crewtui.job.check.finding import Finding
from crewtui.job.file.model import Anchor, Job, PlateSize, PlateStock
from crewtui.job.tables.rules import Rules
from crewtui.units import show_length

_EACH = (
    ("nuts", 2),
    ("washers", 1),
    ("sleeves", 1),
    ("caps", 1),
    ("covers", 1),
    ("tags", 1),
)
"""How many of each an anchor takes: a nut on each plate, the others once."""


def stock_findings(job: Job, rules: Rules) -> Iterator[Finding]:
    """Return what is short on the truck; what the file does not count is left to the morning's count."""
    yield from _rod_findings(job, rules)
    counted = job.stock.model_dump(include={name for name, _ in _EACH})
    for name, each in _EACH:
        there, needed = counted[name], each * len(job.anchors)
        if there is not None and there < needed:
            yield _short(name, there, needed)
    sizes = [_size(rules, "plate", anchor.plate) for anchor in job.anchors]
    yield from _plate_findings(job, "plates", sizes, job.stock.plates)
    sizes = [_size(rules, "wall_plate", anchor.wall_plate) for anchor in job.anchors]
    yield from _plate_findings(job, "wall plates", sizes, job.stock.wall_plates)


def _short(name: str, there: int, needed: int, size: str = "") -> Finding:
    of_size = f" of {size}" if size else ""
    words = f"{name.capitalize()}{of_size}: {needed} needed, {there} on the truck, {needed - there} short."
    return Finding("caution", "stock", words)


def needed_rod_in(job: Job, rules: Rules, anchor: Anchor) -> float:
    """Return roughly what rod an anchor takes: a level run and both ends, so a little too little."""
    rod, wall = job.rod, job.wall(anchor.wall)
    half_pit_in = (job.tools.pit_along_rod_in or rules.number("pit_auger_in")) / 2
    run_in = (anchor.setback_in or rules.number("setback_in")) - half_pit_in
    nut_in = rod.nut_height_in or rod.diameter_in
    ends_in = (
        2 * nut_in
        + (rod.plate_thickness_in or rules.number("plate_thickness_in"))
        + (rod.wall_plate_thickness_in or rules.number("wall_plate_thickness_in"))
        + (rod.washer_thickness_in or rules.number("washer_thickness_in"))
        + rules.number("threads_past_nut") / rod.threads_per_in
        + rules.number("take_up_in")
    )
    return run_in + wall.thickness_in + max(0.0, anchor.bow_in) + ends_in


def _rod_findings(job: Job, rules: Rules) -> Iterator[Finding]:
    stock = [rods for rods in job.stock.rods if rods.count]
    if not stock:
        yield Finding("caution", "stock", "No rods are counted on the truck: enter lengths and counts.")
        return
    system = job.job.units
    needed = [needed_rod_in(job, rules, anchor) for anchor in job.anchors]
    there_in = math.fsum(rods.length_in * rods.count for rods in stock)
    if math.fsum(needed) > there_in:
        words = (
            f"Rods: more than {show_length(math.fsum(needed), system)} needed,"
            f" {show_length(there_in, system)} on the truck."
        )
        yield Finding("stop", "stock", words)
    longest_in = max(rods.length_in for rods in stock)
    couplings = sum(math.ceil(one / longest_in) - 1 for one in needed)
    if job.stock.couplings is not None and job.stock.couplings < couplings:
        yield _short("couplings", job.stock.couplings, couplings)


def _size(rules: Rules, kind: str, plate: PlateSize | None) -> tuple[float, float]:
    if plate is not None:
        return round(plate.width_in, 4), round(plate.height_in, 4)
    return round(rules.number(f"{kind}_width_in"), 4), round(rules.number(f"{kind}_height_in"), 4)


def _plate_findings(
    job: Job, name: str, sizes: Sequence[tuple[float, float]], stock: Sequence[PlateStock]
) -> Iterator[Finding]:
    if not stock:
        return
    there: Counter[tuple[float, float]] = Counter()
    for row in stock:
        there[round(row.width_in, 4), round(row.height_in, 4)] += row.count
    for size, needed in Counter(sizes).items():
        if there[size] < needed:
            shown = " by ".join(show_length(side, job.job.units) for side in size)
            yield _short(name, there[size], needed, shown)
