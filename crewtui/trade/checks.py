"""What every part of the arithmetic asks of its numbers, refused in a sentence that names them."""

from __future__ import annotations

import math


def checked(name: str, value: float, *, above: float | None = None, least: float | None = None) -> float:
    """Return a finite value that keeps its bound; ValueError names it in a sentence."""
    if not math.isfinite(value):
        raise ValueError(f"{name} must be a number; it is {value}.")
    if above is not None and value <= above:
        raise ValueError(f"{name} must be over {above:g}; it is {value:g}.")
    if least is not None and value < least:
        raise ValueError(f"{name} must be {least:g} or more; it is {value:g}.")
    return value


def checked_angle(angle_deg: float, name: str = "The angle") -> float:
    """Return an angle between straight up and straight down, both shut out; ValueError otherwise."""
    if not (math.isfinite(angle_deg) and -90 < angle_deg < 90):  # noqa: PLR2004 - a right angle
        raise ValueError(
            f"{name} of {angle_deg:g}° is none a rod can have: it lies between -90° and 90° from level."
        )
    return angle_deg


def positive(name: str, value: float) -> None:
    """Raise ValueError unless the number is finite and over zero."""
    if not (math.isfinite(value) and value > 0):
        raise ValueError(f"{name} must be over zero; it is {value:g}")


def not_negative(name: str, value: float) -> None:
    """Raise ValueError unless the number is finite and zero or more."""
    if not (math.isfinite(value) and value >= 0):
        raise ValueError(f"{name} must be zero or more; it is {value:g}")
