"""The window of depths: least, aim, greatest, the share of rods expected inside, what a deeper pit adds.

A rod lands where its angle takes it: the angle run is the angle held plus the drift, a normal variable of the
company's settings (from memory) or of the job's own rods.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from statistics import NormalDist
from typing import Final, Literal

from msgspec import Struct

from crewtui.trade.aim.rod_line import Section, angle_for_deg, depth_at_seat_in, not_downhill
from crewtui.trade.checks import checked
from crewtui.units import UnitSystem, at_least, at_most, show_length, show_length_fine

Governs = Literal["plan", "company rule", "frost"]
FrostTo = Literal["rod", "plate top edge"]

DRIFT_PRIOR_DEG: Final = 1.0
"""Standard deviation of a crew's drift before any rod has shown it: company setting, from memory."""
ROD_SPREAD_DEG: Final = 0.5
"""Standard deviation of one rod about the drift: company setting, from memory."""


class LeastDepth(Struct, frozen=True, kw_only=True):
    """The least depth of the rod below the ground at the seat, and what sets it."""

    value_in: float
    governs: Governs
    frost_to: FrostTo
    plate_height_in: float
    warnings: tuple[str, ...]


def least_depth(
    *,
    plan_in: float | None,
    company_in: float,
    frost_in: float | None,
    plate_height_in: float,
    frost_to: FrostTo = "rod",
    system: UnitSystem = "imperial",
) -> LeastDepth:
    """Return the deepest of the plan's, the company's and the frost's least depth.

    Frost is held against the rod, as is common practice (no source); a company may hold it against the
    plate's top edge. Where the edge then stands in the frost, a caution says so.
    """
    checked("The plate's height", plate_height_in, above=0)
    half_plate_in = plate_height_in / 2
    bounds: list[tuple[float, Governs]] = [
        (checked("The company's least depth", company_in, least=0), "company rule")
    ]
    if plan_in is not None:
        bounds.insert(0, (checked("The plan's least depth", plan_in, least=0), "plan"))
    if frost_in is not None:
        checked("The frost depth", frost_in, least=0)
        bounds.append((frost_in + (half_plate_in if frost_to == "plate top edge" else 0.0), "frost"))
    value_in, governs = max(bounds, key=lambda bound: bound[0])
    warnings: tuple[str, ...] = ()
    if frost_in is not None and not at_least(value_in - half_plate_in, frost_in):
        inside = show_length(frost_in - value_in + half_plate_in, system)
        caution = (
            f"At the least depth the plate's top edge stands {inside} inside the frost: frost is held against"
            " the rod, as is common practice; the plan or the office may ask for more."
        )
        warnings = (caution,)
    return LeastDepth(
        value_in=value_in,
        governs=governs,
        frost_to=frost_to,
        plate_height_in=plate_height_in,
        warnings=warnings,
    )


def greatest_depth_in(pit_depth_in: float, *, plate_height_in: float, wrench_room_in: float) -> float:
    """Return the deepest rod whose plate fits: pit less half the plate less room for hand and wrench."""
    checked("The pit's depth", pit_depth_in, above=0)
    checked("The plate's height", plate_height_in, above=0)
    checked("The room below the plate", wrench_room_in, least=0)
    # greatest D = pit − plate/2 − room for the wrench
    return pit_depth_in - plate_height_in / 2 - wrench_room_in


def pit_depth_for_in(depth_in: float, *, plate_height_in: float, wrench_room_in: float) -> float:
    """Return the depth of pit that a plate at this depth needs."""
    return depth_in + plate_height_in / 2 + wrench_room_in


class Window(Struct, frozen=True, kw_only=True):
    """The depths, and the angles, between which a rod serves."""

    section: Section
    least_in: float
    aim_in: float
    greatest_in: float
    shallowest_in: float
    """The least depth, or where that lies level or uphill, the depth at which a level rod arrives."""
    least_angle_deg: float
    greatest_angle_deg: float
    aim_angle_deg: float
    open: bool
    refused: str
    """Why there is no window, in words; empty where there is one."""
    mends: tuple[str, ...]
    """What would open it, each a way of its own."""
    warnings: tuple[str, ...]

    @property
    def single(self) -> bool:
        """Whether it is a single depth, which no drive is expected to hit."""
        return self.open and at_least(self.shallowest_in, self.greatest_in)


def no_room(depth_in: float, system: UnitSystem) -> str:
    """Return that a window of a single depth has no room, in words."""
    depth = show_length(depth_in, system)
    return f"The window is a single depth, {depth}: it leaves a rod no room. Dig deeper, or ask the office."


def window(
    section: Section,
    *,
    least_in: float,
    aim_in: float,
    greatest_in: float,
    pit_depth_in: float | None = None,
    system: UnitSystem = "imperial",
) -> Window:
    """Return the window between least and greatest depth; limits that cross are told, never swapped."""
    checked("The least depth", least_in, least=0)
    checked("The aim depth", aim_in, least=0)
    checked("The greatest depth", greatest_in)
    refused, mends = _refusal(section, least_in, greatest_in, pit_depth_in, system)
    shallowest_in = max(least_in, section.level_depth_in)
    warnings: list[str] = []
    if not refused and at_least(shallowest_in, greatest_in):
        warnings.append(no_room(greatest_in, system))
    if not refused:
        warnings += _aim_warnings(section, least_in, aim_in, greatest_in, system)
    return Window(
        section=section,
        least_in=least_in,
        aim_in=aim_in,
        greatest_in=greatest_in,
        shallowest_in=shallowest_in,
        least_angle_deg=angle_for_deg(section, shallowest_in),
        greatest_angle_deg=angle_for_deg(section, greatest_in),
        aim_angle_deg=angle_for_deg(section, aim_in),
        open=not refused,
        refused=refused,
        mends=mends,
        warnings=tuple(warnings),
    )


def _refusal(
    section: Section, least_in: float, greatest_in: float, pit_depth_in: float | None, system: UnitSystem
) -> tuple[str, tuple[str, ...]]:
    if not at_most(least_in, greatest_in):
        short_in = least_in - greatest_in
        pit = f"a pit {show_length(short_in, system)} deeper"
        if pit_depth_in is not None:
            pit += f" ({show_length(pit_depth_in + short_in, system)})"
        refused = (
            f"No window: the least depth of {show_length_fine(least_in, greatest_in, system)} is more"
            f" than the greatest of {show_length_fine(greatest_in, least_in, system)} that this pit and plate"
            " allow."
        )
        return refused, (
            pit,
            f"a plate {show_length(2 * short_in, system)} less high, if the plan allows it",
            "another least depth, by the engineer or the office alone",
        )
    uphill = not_downhill(section, greatest_in, system=system)
    if uphill:
        deeper_in = section.level_depth_in - greatest_in
        highest_in = greatest_in + section.drop_in
        mends = [f"a pit more than {show_length(deeper_in, system)} deeper"]
        if highest_in > 0:
            mends.append(f"a mark higher than {show_length(highest_in, system)} below grade")
        return f"No window: even at the greatest depth the rod would not run downhill. {uphill}", tuple(mends)
    return "", ()


def _aim_warnings(
    section: Section, least_in: float, aim_in: float, greatest_in: float, system: UnitSystem
) -> tuple[str, ...]:
    found: list[str] = []
    uphill = not_downhill(section, aim_in, system=system)
    if uphill:
        found.append(uphill)
    if not at_least(aim_in, least_in):
        found.append(
            f"The aim of {show_length_fine(aim_in, least_in, system)} is short of the least depth of"
            f" {show_length_fine(least_in, aim_in, system)}: aim deeper."
        )
    if not at_most(aim_in, greatest_in):
        found.append(
            f"The aim of {show_length_fine(aim_in, greatest_in, system)} is more than the greatest depth"
            f" of {show_length_fine(greatest_in, aim_in, system)} that this pit and plate allow: aim"
            " shallower or dig deeper."
        )
    if section.level_depth_in > least_in:
        found.append(
            f"The least depth of {show_length(least_in, system)} would be level or uphill: the window starts"
            f" at {show_length(section.level_depth_in, system)}, where a level rod arrives."
        )
    return tuple(found)


def _landing(drift_mean_deg: float, drift_sd_deg: float, spread_deg: float) -> NormalDist | None:
    """Return the angle run less the angle held as a normal variable; None where it does not vary."""
    checked("The drift's uncertainty", drift_sd_deg, least=0)
    checked("The spread", spread_deg, least=0)
    # sd = sqrt(sd² of the drift + spread² of a rod): independent normals
    sd_deg = math.hypot(drift_sd_deg, spread_deg)
    return NormalDist(checked("The drift", drift_mean_deg), sd_deg) if sd_deg > 0 else None


def chance_held_inside(
    window: Window,
    held_deg: float,
    *,
    drift_mean_deg: float = 0.0,
    drift_sd_deg: float = DRIFT_PRIOR_DEG,
    spread_deg: float = ROD_SPREAD_DEG,
) -> float:
    """Return the share of rods held at this angle that land inside the window; 0 where there is none."""
    if not window.open:
        return 0.0
    below_deg = window.least_angle_deg - held_deg
    above_deg = window.greatest_angle_deg - held_deg
    normal = _landing(drift_mean_deg, drift_sd_deg, spread_deg)
    if normal is None:
        return 1.0 if below_deg <= drift_mean_deg <= above_deg else 0.0
    # share = Φ(greatest) − Φ(least), of the angle run
    return max(0.0, normal.cdf(above_deg) - normal.cdf(below_deg))


class BestAim(Struct, frozen=True, kw_only=True):
    """The aim that most rods would land inside the window with."""

    depth_in: float
    """Where the rods land on the middle; the drawing's aim."""
    held_deg: float
    """The angle to hold: that of the depth less the drift that is expected."""
    share: float
    drift_mean_deg: float
    drift_sd_deg: float
    spread_deg: float


def best_aim(
    window: Window,
    *,
    drift_mean_deg: float = 0.0,
    drift_sd_deg: float = DRIFT_PRIOR_DEG,
    spread_deg: float = ROD_SPREAD_DEG,
) -> BestAim | None:
    """Return the aim that lands most rods inside: the middle of the angles; None where no window."""
    if not window.open:
        return None
    middle_deg = (window.least_angle_deg + window.greatest_angle_deg) / 2
    held_deg = middle_deg - drift_mean_deg
    return BestAim(
        depth_in=depth_at_seat_in(window.section, middle_deg),
        held_deg=held_deg,
        share=chance_held_inside(
            window, held_deg, drift_mean_deg=drift_mean_deg, drift_sd_deg=drift_sd_deg, spread_deg=spread_deg
        ),
        drift_mean_deg=drift_mean_deg,
        drift_sd_deg=drift_sd_deg,
        spread_deg=spread_deg,
    )


class DeeperPit(Struct, frozen=True, kw_only=True):
    """What a pit of another depth would add."""

    pit_depth_in: float
    greatest_in: float
    best: BestAim | None
    share: float
    switched_on: tuple[str, ...]
    """The rules that this depth switches on and the present one does not."""


def deeper_pits(
    window_now: Window,
    pit_depths_in: Sequence[float],
    *,
    plate_height_in: float,
    wrench_room_in: float,
    rules_switched_on: Callable[[float], Sequence[str]],
    drift_mean_deg: float = 0.0,
    drift_sd_deg: float = DRIFT_PRIOR_DEG,
    spread_deg: float = ROD_SPREAD_DEG,
) -> tuple[DeeperPit, ...]:
    """Return, for each depth of pit, the best aim and its share, and the rules that the depth switches on."""
    found: list[DeeperPit] = []
    for pit_depth_in in pit_depths_in:
        greatest_in = greatest_depth_in(
            pit_depth_in, plate_height_in=plate_height_in, wrench_room_in=wrench_room_in
        )
        wider = window(
            window_now.section,
            least_in=window_now.least_in,
            aim_in=window_now.aim_in,
            greatest_in=greatest_in,
        )
        best = best_aim(
            wider, drift_mean_deg=drift_mean_deg, drift_sd_deg=drift_sd_deg, spread_deg=spread_deg
        )
        found.append(
            DeeperPit(
                pit_depth_in=pit_depth_in,
                greatest_in=greatest_in,
                best=best,
                share=best.share if best else 0.0,
                switched_on=tuple(rules_switched_on(pit_depth_in)),
            )
        )
    return tuple(found)
