"""The pit and its spoil: volume in place and loosened, the ground sheet, lifts of backfill.

The rules for people at and in the pit stand in ``excavation``; what a caller needs of them is named here too.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final

from msgspec import Struct

from crewtui.trade.checks import not_negative, positive
from crewtui.trade.ground.excavation import (
    FootingCheck,
    PitRule,
    SlopeBack,
    near_footing,
    pit_rules,
    slope_back,
    soil_type_used,
    switched_on,
)
from crewtui.trade.vocabulary import Mark, PitKind, SoilName
from crewtui.units import at_least

IN3_PER_FT3: Final = 1728.0

SWELL: Final[Mapping[SoilName, tuple[float, float]]] = {
    "sand and gravel": (0.05, 0.15),
    "topsoil": (0.10, 0.25),
    "loam": (0.10, 0.35),
    "common earth": (0.20, 0.45),
    "clay": (0.30, 0.60),
}
"""Swell of loosened soil, as a share of its bank volume.

Source: Peurifoy, Construction Planning, Equipment and Methods, Table 4-1.
"""

SHEET_SIDE_IN: Final = 84.0
"""Ground sheet of about 7 ft by 7 ft with a hole in the middle (common practice, no source)."""
REPOSE_DEG: Final = 30.0
"""Slope that loose spoil stands at on the sheet (from memory, on the flat side)."""


class PitVolume(Struct, frozen=True, kw_only=True):
    """What comes out of the pit, in place and loosened."""

    kind: PitKind
    depth_in: float
    along_rod_in: float
    across_in: float
    soil: SoilName | None
    bank_ft3: float
    loose_least_ft3: float
    loose_greatest_ft3: float
    warnings: tuple[str, ...]


def pit_volume(
    kind: PitKind,
    *,
    depth_in: float,
    along_rod_in: float,
    across_in: float | None = None,
    soil: SoilName | None = None,
) -> PitVolume:
    """Return the bank volume of an augered circle or a hand-dug rectangle, and the range of its loose volume.

    ``along_rod_in`` is the auger's diameter, or the hand pit's size along the rod. Without a soil the range
    spans all soils of the table.
    """
    positive("the pit's depth", depth_in)
    positive("the pit's size along the rod", along_rod_in)
    if kind == "auger":
        # area = π·d²/4
        wide_in, area_in2 = along_rod_in, math.pi / 4.0 * along_rod_in**2
    else:
        if across_in is None:
            raise ValueError("a hand pit needs its size across the rod too")
        positive("the pit's size across the rod", across_in)
        wide_in, area_in2 = across_in, along_rod_in * across_in
    warnings: tuple[str, ...] = ()
    if soil is None:
        least, greatest = min(low for low, _ in SWELL.values()), max(high for _, high in SWELL.values())
        warnings = ("The soil is not named: the loose volume spans all soils. Name it in the job file.",)
    else:
        least, greatest = SWELL[soil]
    bank_ft3 = area_in2 * depth_in / IN3_PER_FT3
    return PitVolume(
        kind=kind,
        depth_in=depth_in,
        along_rod_in=along_rod_in,
        across_in=wide_in,
        soil=soil,
        bank_ft3=bank_ft3,
        loose_least_ft3=bank_ft3 * (1.0 + least),
        loose_greatest_ft3=bank_ft3 * (1.0 + greatest),
        warnings=warnings,
    )


def swell_share(*, bank_density: float, loose_density: float) -> float:
    """Return by how much soil grows when dug, as a share of its bank volume; densities in any one unit."""
    positive("the density in the bank", bank_density)
    positive("the loose density", loose_density)
    # swell = bank density / loose density − 1, by weight kept
    return bank_density / loose_density - 1.0


def shrinkage_share(*, bank_density: float, tamped_density: float) -> float:
    """Return by how much soil shrinks from the bank when it is tamped, as a share of its bank volume."""
    positive("the density in the bank", bank_density)
    positive("the tamped density", tamped_density)
    # shrink = 1 − bank density / tamped density, by weight kept
    return 1.0 - bank_density / tamped_density


KEEP_BACK_IN: Final = 24.0
"""The strip at the rim that stays free where somebody goes in: 29 CFR 1926.651(j)(2)."""


class GroundSheet(Struct, frozen=True, kw_only=True):
    """Whether the spoil of one pit fits the sheet around it."""

    holds_ft3: float
    big_enough: bool
    warnings: tuple[str, ...]


def ground_sheet(
    pit: PitVolume,
    *,
    side_in: float = SHEET_SIDE_IN,
    keep_back_in: float = 0.0,
    repose_deg: float = REPOSE_DEG,
) -> GroundSheet:
    """Return whether the greatest loose volume fits as a ring-shaped heap around the hole.

    The heap's section is a triangle at the angle of repose; by Pappus its volume is π (r + R) w²
    tan(repose)/4, with r and R the inner and outer radius and w = R − r. The sheet's corners are left as
    spare. ``keep_back_in`` is the strip at the rim that stays free: 24 in where somebody goes in (29 CFR
    1926.651(j)(2)), unless the spoil is held back.
    """
    positive("the ground sheet's side", side_in)
    not_negative("the strip that stays free", keep_back_in)
    inner_in = keep_back_in + (
        pit.along_rod_in / 2.0 if pit.kind == "auger" else math.hypot(pit.along_rod_in, pit.across_in) / 2.0
    )
    outer_in = side_in / 2.0
    wide_in = max(0.0, outer_in - inner_in)
    holds_ft3 = (
        math.pi * (inner_in + outer_in) * wide_in**2 * math.tan(math.radians(repose_deg)) / 4.0 / IN3_PER_FT3
    )
    fits = at_least(holds_ft3, pit.loose_greatest_ft3)
    warnings: tuple[str, ...] = ()
    if not fits:
        warnings = (
            "The spoil may not fit this sheet: lay a larger or a second one, or hold the heap with a board.",
        )
    return GroundSheet(
        holds_ft3=holds_ft3,
        big_enough=fits,
        warnings=warnings,
    )


class LiftLimit(Struct, frozen=True, kw_only=True):
    """The thickest layer that one source allows before it is tamped."""

    greatest_in: float
    source: str
    mark: Mark


LIFT_LIMITS: Final[tuple[LiftLimit, ...]] = (
    LiftLimit(
        greatest_in=6.0, source="Maryland DOT, section 210, tampers, loose thickness", mark="published"
    ),
    LiftLimit(
        greatest_in=8.0, source="rule of thumb, layers of 8 to 10 in", mark="common practice, no source"
    ),
)


class Lifts(Struct, frozen=True, kw_only=True):
    """In how many layers the soil goes back."""

    count: int
    lift_in: float
    """Loose thickness of each, all alike."""
    limit: LiftLimit
    """The stricter source, which governs."""
    words: str


def lifts(
    fill_depth_in: float, *, limits: Sequence[LiftLimit] = LIFT_LIMITS, loosened_by: float = 0.0
) -> Lifts:
    """Return the number of even layers by the strictest of ``limits``.

    Sources give the thickness of the loose layer: with ``loosened_by`` (the soil's swell as a share) the
    fill is counted as loose as it comes back, which gives more layers; zero counts the depth itself.
    """
    positive("the depth to fill", fill_depth_in)
    not_negative("the share by which the soil is loosened", loosened_by)
    if not limits:
        raise ValueError("give at least one limit for the thickness of a layer")
    limit = min(limits, key=lambda one: one.greatest_in)
    positive("the greatest thickness of a layer", limit.greatest_in)
    loose_in = fill_depth_in * (1.0 + loosened_by)
    # loose depth over the greatest lift, rounded up
    count = max(1, math.ceil(loose_in / limit.greatest_in - 1e-9))
    return Lifts(
        count=count,
        lift_in=loose_in / count,
        limit=limit,
        words="Tamp each layer before the next; all the soil that came out goes back.",
    )


__all__ = [
    "LIFT_LIMITS",
    "SWELL",
    "FootingCheck",
    "GroundSheet",
    "LiftLimit",
    "Lifts",
    "PitRule",
    "PitVolume",
    "SlopeBack",
    "ground_sheet",
    "lifts",
    "near_footing",
    "pit_rules",
    "pit_volume",
    "shrinkage_share",
    "slope_back",
    "soil_type_used",
    "swell_share",
    "switched_on",
]
