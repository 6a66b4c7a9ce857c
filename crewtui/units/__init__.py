"""Reading and writing lengths, angles and torques; inside they are plain floats, in one unit each."""

from __future__ import annotations

from crewtui.units.read import (
    UnreadableError,
    read_angle,
    read_count,
    read_length,
    read_number,
    read_slope,
    read_torque,
)
from crewtui.units.scale import (
    MM_PER_IN,
    N_PER_LBF,
    NM_PER_LBF_FT,
    TOLERANCE_IN,
    LengthUnit,
    TorqueUnit,
    UnitSystem,
    at_least,
    at_most,
    length_from,
    torque_from,
)
from crewtui.units.show import (
    count_of,
    show_angle,
    show_fall,
    show_force,
    show_length,
    show_length_fine,
    show_share,
    show_slope,
    show_torque,
)

__all__ = [
    "MM_PER_IN",
    "NM_PER_LBF_FT",
    "N_PER_LBF",
    "TOLERANCE_IN",
    "LengthUnit",
    "TorqueUnit",
    "UnitSystem",
    "UnreadableError",
    "at_least",
    "at_most",
    "count_of",
    "length_from",
    "read_angle",
    "read_count",
    "read_length",
    "read_number",
    "read_slope",
    "read_torque",
    "show_angle",
    "show_fall",
    "show_force",
    "show_length",
    "show_length_fine",
    "show_share",
    "show_slope",
    "show_torque",
    "torque_from",
]
