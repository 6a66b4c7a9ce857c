"""What the live calculators show: parts, each with inputs that may be typed over and rows that follow."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from crewtui.job.tables.quantities import Calculator, Measure

PartKey = Calculator


class CalcInput(Struct, frozen=True, kw_only=True):
    """One input of a part."""

    key: str
    label: str
    measure: Measure
    unit_text: str
    """The unit of a bare number."""
    text: str
    """As typed, else the value in use; empty where nobody gave one."""
    source: str
    """Where the value in use comes from, in words."""
    fault: str = ""
    """One sentence where what was typed cannot be read."""


class CalcRow(Struct, frozen=True, kw_only=True):
    """One result of a part."""

    key: str
    label: str
    text: str
    value: float | None = None
    quantity: str = ""
    """The as-built quantity that it may be taken over into; its text is then one that can be read again."""
    step: str = ""
    big: bool = False
    """Whether it is called out across the basement."""


class CalcPart(Struct, frozen=True, kw_only=True):
    """One calculator."""

    key: PartKey
    title: str
    inputs: tuple[CalcInput, ...]
    rows: tuple[CalcRow, ...]
    warnings: tuple[str, ...]


class Sheet(Struct, frozen=True, kw_only=True):
    """All four calculators of one anchor."""

    anchor: str
    parts: tuple[CalcPart, ...]
    typed: Mapping[str, float] = field(default_factory=dict)
    """What was typed and could be read, by input key: every part and the drawing follow it."""

    def part(self, key: PartKey) -> CalcPart:
        """Return one of the four."""
        return next(part for part in self.parts if part.key == key)
