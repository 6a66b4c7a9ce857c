"""The canonical form of a record: the bytes that are signed, the same whatever an editor did to the file.

RFC 8785 fixes how JSON is written, byte for byte. TOML knows types that JSON lacks; each of those becomes
an object with one key that names the type, so that a change of type changes the bytes as surely as one
of value:

========================  =======================================================
TOML                      JSON
========================  =======================================================
string, boolean           as they are
integer                   a number; beyond 2^53 − 1 either way it is refused
float                     ``{"as decimal": number}``; nan, inf and −0.0 are refused
offset date-time          ``{"as moment": "2031-04-05T07:30:00-05:00"}``, own offset kept
local date-time           ``{"as day and clock": "2031-04-05T07:30:00"}``
local date, local time    ``{"as day": "2031-04-05"}``, ``{"as clock": "07:30:00"}``
array, table              array, object; a key that starts with ``as `` gets one more ``as ``
========================  =======================================================

A file of format 1 spells these names otherwise (``FORMS``), and is signed over those bytes for ever.

The offset is written in numbers (``+00:00`` for ``Z``); a fraction of a second has six digits, or is absent
where it is zero. Strings are taken as they are, without any Unicode normalisation.
"""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any, Final

import rfc8785
from msgspec import Struct


class Form(Struct, frozen=True, kw_only=True):
    """How one format of a file is put into the bytes that are signed."""

    name: str
    """It stands in the signature table."""
    mark: str
    """What a type's name begins with; a key that begins so gets it once more."""
    decimal: str
    moment: str
    day_and_clock: str
    day: str
    clock: str


FORMS: Final[Mapping[int, Form]] = {
    1: Form(
        name="RFC 8785, tagged TOML 1", mark="$", decimal="$float", moment="$datetime",
        day_and_clock="$local-datetime", day="$date", clock="$time",
    ),
    2: Form(
        name="RFC 8785, TOML 2 with its types named", mark="as ", decimal="as decimal", moment="as moment",
        day_and_clock="as day and clock", day="as day", clock="as clock",
    ),
}  # fmt: skip
"""By the file's ``format``."""

SIGNATURE: Final = "signature"
"""The one top-level table that is not signed."""

GREATEST_INTEGER: Final = 2**53 - 1
"""The largest integer that every JSON reader holds exactly (RFC 8785, Appendix D)."""

GREATEST_DEPTH: Final = 24
"""Tables and arrays inside each other; a record needs six."""

PLACES: Final = 4
"""Decimals of a float in a record: a ten-thousandth of an inch, far below any tape."""


class CanonicalError(ValueError):
    """These data have no canonical form; str() is one sentence that names the place."""


def form_of(data: Mapping[str, Any]) -> Form:
    """Return the form of a file by its own word; what names no format is of the first."""
    version = data.get("format")
    return FORMS.get(version, FORMS[1]) if type(version) is int else FORMS[1]


def canonical_bytes(data: Mapping[str, Any]) -> bytes:
    """Return the bytes that a signature over these data covers: everything but the signature table."""
    signed = {key: value for key, value in data.items() if key != SIGNATURE}
    return _encoded(_table(signed, "", 0, form_of(data)))


def canonical_hash(data: Mapping[str, Any]) -> str:
    """Return the SHA-256, in hex, by which a later revision names these data."""
    return hashlib.sha256(canonical_bytes(data)).hexdigest()


def rounded(value: float, places: int = PLACES) -> float:
    """Return the value as a record holds it: finite, to a fixed number of decimals, and no negative zero."""
    if not math.isfinite(value):
        raise CanonicalError(f"{value} is no value that a record can hold; it must be finite")
    return round(float(value), places) + 0.0


def _encoded(value: Any) -> bytes:
    try:
        return rfc8785.dumps(value)
    except UnicodeEncodeError as error:
        raise CanonicalError("a text holds half of a character pair, which no file can hold") from error
    except rfc8785.CanonicalizationError as error:
        raise CanonicalError(f"these data have no canonical form: {error}") from error


def _table(table: Mapping[str, Any], where: str, depth: int, form: Form) -> dict[str, Any]:
    result = {}
    for key, value in table.items():
        if not isinstance(key, str):
            raise CanonicalError(f"{where or 'the record'}: a key must be text, not {key!r}")
        written = f"{form.mark}{key}" if key.startswith(form.mark) else key
        result[written] = _value(value, f"{where}.{key}" if where else key, depth + 1, form)
    return result


def _value(value: Any, where: str, depth: int, form: Form) -> Any:  # noqa: PLR0911 - one return a TOML type
    if depth > GREATEST_DEPTH:
        raise CanonicalError(f"{where}: more than {GREATEST_DEPTH} tables or lists inside each other")
    match value:
        case bool() | str():
            return value
        case int():
            return _integer(value, where)
        case float():
            return {form.decimal: _float(value, where)}
        case datetime():
            return _datetime(value, where, form)
        case date():
            return {form.day: value.isoformat()}
        case time() if value.tzinfo is None:
            return {form.clock: value.isoformat()}
        case Mapping():
            return _table(value, where, depth, form)
        case list() | tuple():
            return [_value(item, f"{where}[{index}]", depth + 1, form) for index, item in enumerate(value)]
    raise CanonicalError(f"{where}: a record holds no {type(value).__name__}")


def _integer(value: int, where: str) -> int:
    if abs(value) > GREATEST_INTEGER:
        raise CanonicalError(f"{where}: an integer beyond {GREATEST_INTEGER} is not read the same everywhere")
    return int(value)


def _float(value: float, where: str) -> float:
    if not math.isfinite(value):
        raise CanonicalError(f"{where}: a number must be finite, not {value}")
    if value == 0 and math.copysign(1, value) < 0:
        raise CanonicalError(f"{where}: write 0.0, not -0.0")
    return float(value)


def _datetime(value: datetime, where: str, form: Form) -> dict[str, str]:
    offset = value.utcoffset()
    if offset is None:
        return {form.day_and_clock: value.isoformat()}
    if offset % timedelta(minutes=1):
        raise CanonicalError(f"{where}: an offset from UTC is in whole minutes, not {offset}")
    return {form.moment: value.isoformat()}


__all__ = [
    "FORMS",
    "GREATEST_INTEGER",
    "PLACES",
    "SIGNATURE",
    "CanonicalError",
    "Form",
    "canonical_bytes",
    "canonical_hash",
    "form_of",
    "rounded",
]
