"""Drift: what the rods of this wall have shown of a habit, and where the next one lands.

Drift is the angle a rod ran at less the angle it was *held* at. It is learned from first drives that were
straight: a rod that follows an old hole, or a bent one, tells of the hole or the bend. With a normal prior
on the habit and a normal spread of the single rod, the estimate is the normal-normal conjugate update (any
text on Bayesian statistics, e.g. Gelman et al., Bayesian Data Analysis, 3rd ed., section 2.5). Prior and
spread are company settings, from memory.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from statistics import NormalDist
from typing import Final

from msgspec import Struct

from crewtui.trade.aim.rod_line import Section, depth_at_seat_in
from crewtui.trade.aim.window import DRIFT_PRIOR_DEG, ROD_SPREAD_DEG
from crewtui.trade.checks import checked, checked_angle
from crewtui.units import MM_PER_IN, UnitSystem, count_of, show_angle, show_length

PRIOR_MEAN_DEG: Final = 0.0
START_AFTER_RODS: Final = 1
"""A correction is offered from the first rod on: by simulation, see docs/drift.md."""
ODD_ONE_SDS: Final = 3.0
"""A rod farther than this many standard deviations from what the others say is asked about (from memory)."""
_TWO_IN_THREE: Final = NormalDist().inv_cdf(5 / 6)
_SHOWN_AS_NONE_DEG: Final = 0.05
"""A drift that would be shown as 0.0°."""


class DriveRun(Struct, frozen=True, kw_only=True):
    """One rod driven, as the pit showed it."""

    anchor: str
    wall: str
    angle_run_deg: float
    angle_held_deg: float
    straight: bool = True
    """A straight rod through this hole can have run so."""
    first: bool = True
    """The first drive through its own hole."""
    left_out_reason: str = ""
    """Why the lead leaves it out (a rock, a bent rod); empty where it counts."""

    def __post_init__(self) -> None:
        checked_angle(self.angle_run_deg, "The angle run")
        checked_angle(self.angle_held_deg, "The angle held")

    @property
    def why_not(self) -> str:
        """Why it does not count; empty where it does."""
        if self.left_out_reason.strip():
            return self.left_out_reason.strip()
        if not self.first:
            return "not the first drive through this hole: a rod follows its old path"
        return "" if self.straight else "no straight rod ran so"

    @property
    def drift_deg(self) -> float:
        """Angle run less angle held: positive ran steeper, negative ran flatter."""
        return self.angle_run_deg - self.angle_held_deg


class LeftOut(Struct, frozen=True, kw_only=True):
    """A drive that does not count, and why."""

    drive: DriveRun
    reason: str


class Drift(Struct, frozen=True, kw_only=True):
    """What is known of the drift on a wall: mean, uncertainty, and the rods it rests on."""

    wall: str
    prior_sd_deg: float
    spread_deg: float
    used: tuple[DriveRun, ...]
    left_out: tuple[LeftOut, ...]
    mean_deg: float
    sd_deg: float
    """Uncertainty of the habit itself."""
    offered: bool
    """Whether enough rods stand behind it to offer a correction."""
    warnings: tuple[str, ...]

    @property
    def predictive_sd_deg(self) -> float:
        """Uncertainty of where the next rod runs: that of the habit and the single rod's spread together."""
        # sd of the next rod = sqrt(sd² + spread²): independent normals
        return math.hypot(self.sd_deg, self.spread_deg)

    @property
    def unlearned_sd_deg(self) -> float:
        """Uncertainty of where a rod runs before any has shown the habit: the prior and one rod's spread."""
        # √(σ² + τ²): independent errors add in squares
        return math.hypot(self.prior_sd_deg, self.spread_deg)

    @property
    def rods(self) -> int:
        """How many rods it rests on."""
        return len(self.used)

    @property
    def anchors(self) -> tuple[str, ...]:
        """The anchors whose rods it rests on."""
        return tuple(drive.anchor for drive in self.used)


def estimate(
    drives: Iterable[DriveRun],
    *,
    wall: str,
    prior_mean_deg: float = PRIOR_MEAN_DEG,
    prior_sd_deg: float = DRIFT_PRIOR_DEG,
    spread_deg: float = ROD_SPREAD_DEG,
    start_after: int = START_AFTER_RODS,
) -> Drift:
    """Return the drift of one wall from the drives of the job so far."""
    checked("The prior's mean", prior_mean_deg)
    checked("The prior's standard deviation", prior_sd_deg, least=0)
    checked("The spread of a rod", spread_deg, above=0)
    here = [drive for drive in drives if drive.wall == wall]
    used = tuple(drive for drive in here if not drive.why_not)
    mean_deg, sd_deg = posterior(
        [drive.drift_deg for drive in used],
        prior_mean_deg=prior_mean_deg,
        prior_sd_deg=prior_sd_deg,
        spread_deg=spread_deg,
    )
    return Drift(
        wall=wall,
        prior_sd_deg=prior_sd_deg,
        spread_deg=spread_deg,
        used=used,
        left_out=tuple(LeftOut(drive=drive, reason=drive.why_not) for drive in here if drive.why_not),
        mean_deg=mean_deg,
        sd_deg=sd_deg,
        offered=len(used) >= max(1, start_after),
        warnings=_odd_ones(used, prior_mean_deg, prior_sd_deg, spread_deg),
    )


def posterior(
    drifts_deg: Sequence[float],
    *,
    prior_mean_deg: float = PRIOR_MEAN_DEG,
    prior_sd_deg: float = DRIFT_PRIOR_DEG,
    spread_deg: float = ROD_SPREAD_DEG,
) -> tuple[float, float]:
    """Return mean and standard deviation of the habit: precisions add, means weigh by them."""
    if prior_sd_deg == 0:
        return prior_mean_deg, 0.0
    # normal prior, known spread: weights 1/sd², mean by weight (Gelman et al., Bayesian Data Analysis, 2.5)
    prior_weight, rod_weight = prior_sd_deg**-2, spread_deg**-2
    weight = prior_weight + rod_weight * len(drifts_deg)
    mean_deg = (prior_weight * prior_mean_deg + rod_weight * math.fsum(drifts_deg)) / weight
    return mean_deg, weight**-0.5


def _odd_ones(
    used: Sequence[DriveRun], prior_mean_deg: float, prior_sd_deg: float, spread_deg: float
) -> tuple[str, ...]:
    found = []
    for at, drive in enumerate(used):
        others = [other.drift_deg for other in (*used[:at], *used[at + 1 :])]
        mean_deg, sd_deg = posterior(
            others, prior_mean_deg=prior_mean_deg, prior_sd_deg=prior_sd_deg, spread_deg=spread_deg
        )
        away_deg = drive.drift_deg - mean_deg
        # further off than so many √(σ² + τ²)
        if others and abs(away_deg) > ODD_ONE_SDS * math.hypot(sd_deg, spread_deg):
            found.append(
                f"{drive.anchor} ran {show_drift(away_deg)} than the other rods: if a rock or a bend"
                " explains it, leave it out with that reason."
            )
    return tuple(found)


def show_drift(drift_deg: float) -> str:
    """Return a drift in words: ``2.1° flatter``, to be read on with "than held"."""
    return f"{show_angle(abs(drift_deg))} {'steeper' if drift_deg > 0 else 'flatter'}"


def drift_words(drift_deg: float) -> str:
    """Return how a rod ran against how it was held."""
    return "as held" if abs(drift_deg) < _SHOWN_AS_NONE_DEG else f"{show_drift(drift_deg)} than held"


def corrected_held_deg(target_deg: float, drift: Drift) -> float:
    """Return the angle to hold so that rods with this habit run at the target on the middle."""
    return checked_angle(checked_angle(target_deg, "The target angle") - drift.mean_deg, "The angle to hold")


class NextRod(Struct, frozen=True, kw_only=True):
    """Where the next rod lands, held at an angle."""

    section: Section
    drift: Drift
    held_deg: float
    run_deg: float
    """The angle it runs at on the middle."""
    middle_in: float
    """Depth below the ground at the seat, on the middle."""
    low_in: float
    """Two rods in three land no shallower and no deeper than low and high."""
    high_in: float
    words: str


def next_rod(section: Section, held_deg: float, drift: Drift, *, system: UnitSystem = "imperial") -> NextRod:
    """Return where two in three of the rods held so land, with the words to show beside the drift."""
    run_deg = checked_angle(held_deg, "The angle held") + drift.mean_deg
    out_deg = _TWO_IN_THREE * drift.predictive_sd_deg
    low_in = depth_at_seat_in(section, run_deg - out_deg)
    high_in = depth_at_seat_in(section, run_deg + out_deg)
    step_in = 10 / MM_PER_IN if system == "metric" else 0.5
    low = show_length(math.floor(low_in / step_in + 1e-9) * step_in, system)
    high = show_length(math.ceil(high_in / step_in - 1e-9) * step_in, system)
    low = low.removesuffix(" in").removesuffix(" mm")
    return NextRod(
        section=section,
        drift=drift,
        held_deg=held_deg,
        run_deg=run_deg,
        middle_in=depth_at_seat_in(section, run_deg),
        low_in=low_in,
        high_in=high_in,
        words=f"{what_stands_behind(drift)}; next: {low} to {high}, two in three",
    )


def what_stands_behind(drift: Drift) -> str:
    """Return how many rods show which drift, as ``3 rods, 0.8° flatter than held``."""
    if not drift.used:
        return "no rod yet"
    return f"{count_of(drift.rods, 'rod')}, {drift_words(drift.mean_deg)}"


__all__ = [
    "ODD_ONE_SDS", "PRIOR_MEAN_DEG", "START_AFTER_RODS", "Drift", "DriveRun", "LeftOut", "NextRod",
    "corrected_held_deg", "estimate", "next_rod", "posterior", "show_drift", "what_stands_behind",
]  # fmt: skip
