"""What the figures of an anchor tell the day: its limits, what of them holds a step, what they warn of."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Protocol

from msgspec import Struct, field

from crewtui.day.state.hold import Hold

if TYPE_CHECKING:
    from crewtui.day.state.state import DayState


class Limit(Struct, frozen=True, kw_only=True):
    """One named limit of a measured value, in the value's own unit; None where nothing limits it."""

    value: float | None
    source: str = ""
    """Where it comes from, in words: the plan, the company's rule, frost."""


class FigureFacts(Protocol):
    """The part of an anchor's figures that the day needs."""

    @property
    def limits(self) -> Mapping[str, Limit]:
        """Return the limits by name, as the steps name them."""
        ...

    @property
    def holds(self) -> tuple[Hold, ...]:
        """Return what the figures hold."""
        ...

    @property
    def hints(self) -> Mapping[str, str]:
        """Return what the figures say to how a step is done, by step id."""
        ...

    @property
    def warnings(self) -> tuple[str, ...]:
        """Return what is wrong and what to do, in words."""
        ...


class PlainFacts(Struct, frozen=True, kw_only=True):
    """Facts as plain data; empty ones stand where nothing is computed."""

    limits: Mapping[str, Limit] = field(default_factory=dict)
    holds: tuple[Hold, ...] = ()
    warnings: tuple[str, ...] = ()
    hints: Mapping[str, str] = field(default_factory=dict)


Figures = Callable[["DayState", str], FigureFacts]
"""Computes an anchor's facts from the state and the anchor's id."""
