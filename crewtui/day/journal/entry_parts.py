"""What entries are made of: texts without control characters, bounded numbers, and the two times of each."""

from __future__ import annotations

import unicodedata
from typing import Annotated, Final

from pydantic import AwareDatetime, BaseModel, BeforeValidator, ConfigDict, Field, JsonValue

_DIRECTION_MARKS: Final = frozenset("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def plain_text(text: str) -> str:
    """Return the text with line breaks, control and direction characters turned into single spaces."""
    spaced = (" " if _is_control(char) else char for char in text)
    return "".join(spaced).strip()


def _is_control(char: str) -> bool:
    return char in _DIRECTION_MARKS or unicodedata.category(char) in {"Cc", "Zl", "Zp"}


def _plain(value: object) -> object:
    return plain_text(value) if isinstance(value, str) else value


Plain = Annotated[str, BeforeValidator(_plain)]
Text = Annotated[Plain, Field(max_length=2_000)]
Words = Annotated[Plain, Field(min_length=1, max_length=2_000)]
Id = Annotated[Plain, Field(min_length=1, max_length=64)]
Sha256 = Annotated[str, Field(pattern=r"^([0-9a-f]{64})?$")]
Length = Annotated[float, Field(ge=-12_000, le=12_000)]
Angle = Annotated[float, Field(gt=-90, lt=90)]
Value = Annotated[float, Field(ge=-1e9, le=1e9)]
Plan = dict[str, JsonValue]
"""A job as its model dumps it, without what is empty."""
HoldIds = Annotated[tuple[Id, ...], Field(max_length=200)]


class EntryPart(BaseModel):
    """Something that an entry holds."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)


class Dated(EntryPart):
    """What every entry carries; the journal gives ``n`` and ``prev``."""

    n: Annotated[int, Field(ge=0, le=10_000_000)] = 0
    done_at: AwareDatetime
    typed_at: AwareDatetime
    prev: Sha256 = ""
    """SHA-256 of the line before, in hex."""


class AtAnchor(Dated):
    """An entry about one anchor."""

    anchor: Id
