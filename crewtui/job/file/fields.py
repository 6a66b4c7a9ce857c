"""Field types of the job file: what a person may write for a length, an angle, a slope or a torque.

A number stands for the file's own unit (inches and lbf·ft, or millimeters and N·m); a string is read as
people write it. Inside the program every one of them is a plain float: inches, degrees, drop per run, lbf·ft.
"""

from __future__ import annotations

import math
from datetime import date, datetime
from typing import Annotated, Any, Final

from pydantic import AwareDatetime, BeforeValidator, Field, ValidationInfo, WithJsonSchema

from crewtui import units

UNITS_CONTEXT: Final = "units"
"""Key of the validation context that carries the file's unit system, ``imperial`` or ``metric``."""

MOST_LENGTH_IN: Final = 12_000.0
"""1000 ft: past it a length is a slip of the unit."""

MOST_TORQUE_LBF_FT: Final = 2_000.0


def finite(value: Any) -> Any:
    """Refuse what is no measure: true and false, infinity, and numbers past any size."""
    if isinstance(value, bool):
        raise ValueError("true and false are no measure; write a number or a string such as '12 ft'")  # noqa: TRY004 - pydantic gathers ValueError
    if isinstance(value, int | float) and not (abs(value) < 1e300 and math.isfinite(value)):  # noqa: PLR2004 - past every measure
        raise ValueError("write a finite number")
    return value


def length_in(value: Any, system: units.UnitSystem) -> Any:
    """Return the length in inches of a number in the file's unit, or of what a person wrote."""
    value = finite(value)
    bare: units.LengthUnit = "mm" if system == "metric" else "in"
    if isinstance(value, int | float):
        return units.length_from(float(value), bare)
    return units.read_length(value, bare=bare) if isinstance(value, str) else value


def torque_lbf_ft(value: Any, system: units.UnitSystem) -> Any:
    """Return the torque in lbf·ft of a number in the file's unit, or of what a person wrote."""
    value = finite(value)
    bare: units.TorqueUnit = "N·m" if system == "metric" else "lbf·ft"
    if isinstance(value, int | float):
        return units.torque_from(float(value), bare)
    return units.read_torque(value, bare=bare) if isinstance(value, str) else value


def angle_deg(value: Any) -> Any:
    """Return the angle in degrees."""
    value = finite(value)
    return units.read_angle(value) if isinstance(value, str) else value


def slope_drop_per_run(value: Any) -> Any:
    """Return the slope as drop over run."""
    value = finite(value)
    return units.read_slope(value) if isinstance(value, str) else value


def _system(info: ValidationInfo) -> units.UnitSystem:
    system: units.UnitSystem = (info.context or {}).get(UNITS_CONTEXT, "imperial")
    return system


def _length(value: Any, info: ValidationInfo) -> Any:
    return length_in(value, _system(info))


def _torque(value: Any, info: ValidationInfo) -> Any:
    return torque_lbf_ft(value, _system(info))


def _whole(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError("write a whole number, without quotes")  # noqa: TRY004 - pydantic gathers ValueError
    return value


def _day(value: Any) -> Any:
    if isinstance(value, datetime) or not isinstance(value, date | str):
        raise ValueError("write a day, without quotes, such as 2026-11-02")  # noqa: TRY004 - pydantic gathers ValueError
    return value


def _instant(value: Any) -> Any:
    if not isinstance(value, datetime | str):
        raise ValueError("write day, time and offset, without quotes, such as 2026-11-02T07:00:00-05:00")  # noqa: TRY004 - pydantic gathers ValueError
    return value


_LONGEST: Final = round(MOST_LENGTH_IN * units.MM_PER_IN)
_STRONGEST: Final = round(MOST_TORQUE_LBF_FT * units.NM_PER_LBF_FT)


def _measure(**number: float) -> WithJsonSchema:
    """Describe a measure to an editor, which does not know the file's unit: by the wider bound of the two."""
    return WithJsonSchema({"anyOf": [{"type": "number", **number}, {"type": "string", "minLength": 1}]})


LengthIn = Annotated[
    float,
    BeforeValidator(_length),
    Field(ge=-MOST_LENGTH_IN, le=MOST_LENGTH_IN),
    _measure(minimum=-_LONGEST, maximum=_LONGEST),
]
"""A length or position in inches; may be negative."""

PositiveLengthIn = Annotated[
    float,
    BeforeValidator(_length),
    Field(gt=0, le=MOST_LENGTH_IN),
    _measure(exclusiveMinimum=0, maximum=_LONGEST),
]
"""A length in inches, over zero and at most 1000 ft."""

NonNegativeLengthIn = Annotated[
    float, BeforeValidator(_length), Field(ge=0, le=MOST_LENGTH_IN), _measure(minimum=0, maximum=_LONGEST)
]
"""A length in inches, zero or more."""

AngleDeg = Annotated[
    float,
    BeforeValidator(angle_deg),
    Field(gt=-90, lt=90),
    _measure(exclusiveMinimum=-90, exclusiveMaximum=90),
]
"""An angle from level in degrees, positive downward going out."""

SlopeDropPerRun = Annotated[
    float,
    BeforeValidator(slope_drop_per_run),
    Field(gt=-1, lt=1),
    _measure(exclusiveMinimum=-1, exclusiveMaximum=1),
]
"""A slope as drop over run, positive falling away from the wall."""

TorqueLbfFt = Annotated[
    float,
    BeforeValidator(_torque),
    Field(gt=0, le=MOST_TORQUE_LBF_FT),
    _measure(exclusiveMinimum=0, maximum=_STRONGEST),
]
"""A torque in lbf·ft."""

PlainNumber = Annotated[float, BeforeValidator(finite), Field(allow_inf_nan=False)]
"""A number without a unit of its own."""

Count = Annotated[int, BeforeValidator(_whole), Field(ge=0, le=100_000)]
"""How many of something."""

Day = Annotated[date, BeforeValidator(_day)]
"""A calendar day."""

Instant = Annotated[AwareDatetime, BeforeValidator(_instant)]
"""A time with its offset from UTC."""

POINT_UNIT: Final = frozenset({"points", "area", "outline", "property_line"})
"""Fields that hold points: lengths, though their names do not say so."""
