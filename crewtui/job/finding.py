"""One thing found wrong with a plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Severity = Literal["stop", "caution", "note"]


@dataclass(frozen=True, slots=True)
class Finding:
    """What is wrong and what to do, how bad it is, and which anchor it is about."""

    severity: Severity
    subject: str
    words: str
    anchor: str | None = None
