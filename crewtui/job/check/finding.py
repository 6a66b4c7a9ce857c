"""One thing found wrong with a plan."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

Severity = Literal["stop", "caution", "note"]


class Finding(Struct, frozen=True):
    """What is wrong and what to do, how bad it is, and which anchor it is about."""

    severity: Severity
    subject: str
    words: str
    anchor: str | None = None
