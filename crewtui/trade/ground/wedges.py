"""Soil wedges: whether the buried plate stands clear of the wedge behind the wall, and of its own.

Geometry only. The wedge that may slide with the wall rises from the wall's base at 45° + φ/2; the one that
the plate would push up rises from the plate's base towards the house at 45° − φ/2 (Rankine). They must not
meet below the ground. It says nothing of what the soil holds.
"""

from __future__ import annotations

import math
from typing import Final

from msgspec import Struct

from crewtui.units import at_least

FRICTION_ANGLE_DEG: Final = 30.0
"""Angle of friction where the job names none (company setting, from memory)."""
_LEAST_FRICTION_DEG: Final = 15.0
_GREATEST_FRICTION_DEG: Final = 50.0

CLEAR_WORDS: Final = "Geometry only: the wedges do not meet. It says nothing of what the soil holds."
MEET_WORDS: Final = (
    "Geometry only: the wedges meet. It says nothing of what the soil holds. Ask the engineer."
)

_TOO_STEEP: Final = (
    "The ground falls as steeply as the plate's wedge rises: no distance clears it. Ask the engineer."
)
_TOO_NEAR: Final = (
    "The plate stands too near for this soil and depth: set it farther out, or ask the engineer."
)


def active_coefficient(friction_angle_deg: float) -> float:
    """Return Rankine's Ka = tan²(45° − φ/2) for level ground and a smooth upright face."""
    if not 0 <= friction_angle_deg < 90:  # noqa: PLR2004 - a right angle
        raise ValueError(f"the angle of friction must lie between 0° and 90°; it is {friction_angle_deg:g}°")
    # Ka = tan²(45° − φ/2): Rankine, level ground
    return math.tan(math.radians(45.0 - friction_angle_deg / 2.0)) ** 2


def passive_coefficient(friction_angle_deg: float) -> float:
    """Return Rankine's Kp = 1/Ka."""
    # Kp = 1/Ka = tan²(45° + φ/2): Rankine
    return 1.0 / active_coefficient(friction_angle_deg)


class WedgeCheck(Struct, frozen=True, kw_only=True):
    """The distance from the wall to the seat of the plate, against what both wedges take up."""

    seat_in: float
    base_to_grade_in: float
    friction_angle_deg: float
    fall: float
    least_seat_in: float | None
    """The least distance to the seat that clears both; None where none does."""
    clear: bool
    spare_in: float | None
    """How much farther out than needed; negative where the wedges meet."""
    words: str
    warnings: tuple[str, ...]


def check_wedges(
    seat_in: float,
    *,
    base_to_grade_in: float,
    plate_base_depth_in: float,
    friction_angle_deg: float = FRICTION_ANGLE_DEG,
    fall: float = 0.0,
) -> WedgeCheck:
    """Return whether Hw/(tan(45 + φ/2) + s) + Ha/(tan(45 − φ/2) − s) fits into the distance to the seat.

    Hw from the wall's base to grade at the wall, Ha from the ground at the plate to the plate's base, s the
    fall of the ground as drop over run away from the wall. The wall's plane starts at its base, the
    stricter of NAVFAC DM 7.02 and EM 1110-2-2504; method published, this form from memory.
    """
    _check_inputs(seat_in, base_to_grade_in, plate_base_depth_in, friction_angle_deg, fall)
    # tan(45° − φ/2) = sqrt(Ka), tan(45° + φ/2) = sqrt(Kp): the slopes of the two wedges
    passive_tan = math.sqrt(active_coefficient(friction_angle_deg))
    active_tan = math.sqrt(passive_coefficient(friction_angle_deg))
    wall_wedge_in = base_to_grade_in / (active_tan + fall)
    if fall >= passive_tan:
        plate_wedge_in = least_in = spare_in = None
        clear = False
        warnings: tuple[str, ...] = (_TOO_STEEP,)
    else:
        plate_wedge_in = plate_base_depth_in / (passive_tan - fall)
        least_in = wall_wedge_in + plate_wedge_in
        spare_in = seat_in - least_in
        clear = at_least(seat_in, least_in)
        warnings = () if clear else (_TOO_NEAR,)
    return WedgeCheck(
        seat_in=seat_in,
        base_to_grade_in=base_to_grade_in,
        friction_angle_deg=friction_angle_deg,
        fall=fall,
        least_seat_in=least_in,
        clear=clear,
        spare_in=spare_in,
        words=CLEAR_WORDS if clear else MEET_WORDS,
        warnings=warnings,
    )


def _check_inputs(seat_in: float, base_in: float, plate_in: float, friction_deg: float, fall: float) -> None:
    for name, value in (
        ("the distance to the plate", seat_in),
        ("the height from the wall's base to grade", base_in),
        ("the depth of the plate's base", plate_in),
    ):
        if not (math.isfinite(value) and value > 0):
            raise ValueError(f"{name} must be over zero; it is {value:g}")
    if not _LEAST_FRICTION_DEG <= friction_deg <= _GREATEST_FRICTION_DEG:
        raise ValueError(
            f"the angle of friction must lie between {_LEAST_FRICTION_DEG:g}° and "
            f"{_GREATEST_FRICTION_DEG:g}°; it is {friction_deg:g}°"
        )
    if not -1 < fall < 1:
        raise ValueError(f"the fall must lie between -1 and 1, drop over run; it is {fall:g}")
