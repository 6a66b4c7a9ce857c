"""One thing found wrong with a plan."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

Severity = Literal["stop", "caution", "remark"]


class Finding(Struct, frozen=True):
    """What is wrong and what to do, how bad it is, and which anchor it is about."""

    severity: Severity
    subject: str
    words: str
    anchor: str | None = None
    key: str = ""
    """The key of the job file that says so, such as ``walls[0].thickness``; empty where the subject tells."""
