"""Field types of the job file: what a person may write for a length, an angle, a slope or a torque.

A number stands for the file's own unit (inches and lbf·ft, or millimetres and N·m); a string is read as people write
it. Inside the program every one of them is a plain float in inches, degrees, drop per run, or lbf·ft.
"""

from __future__ import annotations

import math
from typing import Annotated, Any, Final

from pydantic import BeforeValidator, Field, ValidationInfo

from crewtui import units

UNITS_CONTEXT: Final = "units"
"""Key of the validation context that carries the file's unit system, ``imperial`` or ``metric``."""


def _system(info: ValidationInfo) -> units.UnitSystem:
    system: units.UnitSystem = (info.context or {}).get(UNITS_CONTEXT, "imperial")
    return system


def _finite(value: Any) -> Any:
    if isinstance(value, bool):
        raise ValueError("true and false are no measure; write a number or a string such as '12 ft'")
    if isinstance(value, int | float) and not math.isfinite(value):
        raise ValueError("write a finite number")
    return value


def _length(value: Any, info: ValidationInfo) -> Any:
    value = _finite(value)
    bare: units.LengthUnit = "mm" if _system(info) == "metric" else "in"
    if isinstance(value, int | float):
        return units.length_from(float(value), bare)
    return units.read_length(value, bare=bare) if isinstance(value, str) else value


def _angle(value: Any) -> Any:
    value = _finite(value)
    return units.read_angle(value) if isinstance(value, str) else value


def _slope(value: Any) -> Any:
    value = _finite(value)
    return units.read_slope(value) if isinstance(value, str) else value


def _torque(value: Any, info: ValidationInfo) -> Any:
    value = _finite(value)
    bare: units.TorqueUnit = "N·m" if _system(info) == "metric" else "lbf·ft"
    if isinstance(value, int | float):
        return units.torque_from(float(value), bare)
    return units.read_torque(value, bare=bare) if isinstance(value, str) else value


LengthIn = Annotated[float, BeforeValidator(_length)]
"""A length or position in inches; may be negative."""

PositiveLengthIn = Annotated[float, BeforeValidator(_length), Field(gt=0, le=12_000)]
"""A length in inches, over zero and at most 1000 ft."""

NonNegativeLengthIn = Annotated[float, BeforeValidator(_length), Field(ge=0, le=12_000)]
"""A length in inches, zero or more."""

AngleDeg = Annotated[float, BeforeValidator(_angle), Field(gt=-90, lt=90)]
"""An angle from level in degrees, positive downward going out."""

SlopeDropPerRun = Annotated[float, BeforeValidator(_slope), Field(gt=-1, lt=1)]
"""A slope as drop over run, positive falling away from the wall."""

TorqueLbfFt = Annotated[float, BeforeValidator(_torque), Field(gt=0, le=2_000)]
"""A torque in lbf·ft."""
