"""The canonical form of a record: the bytes that are signed, the same whatever an editor did to the file.

RFC 8785 fixes how JSON is written, byte for byte. TOML knows types that JSON lacks; each of those becomes
an object with one key that starts with ``$``, so that a change of type changes the bytes as surely as one
of value:

========================  =======================================================
TOML                      JSON
========================  =======================================================
string, boolean           as they are
integer                   a number; beyond 2^53 − 1 either way it is refused
float                     ``{"$float": number}``; nan, inf and −0.0 are refused
offset date-time          ``{"$datetime": "2031-04-05T07:30:00-05:00"}``, own offset kept
local date-time           ``{"$local-datetime": "2031-04-05T07:30:00"}``
local date, local time    ``{"$date": "2031-04-05"}``, ``{"$time": "07:30:00"}``
array, table              array, object; a key that starts with ``$`` gets one more ``$``
========================  =======================================================

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

FORM: Final = "RFC 8785, tagged TOML 1"
"""The name of this form; it stands in every record's signature table."""

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


def canonical_bytes(data: Mapping[str, Any]) -> bytes:
    """Return the bytes that a signature over these data covers: everything but the signature table."""
    signed = {key: value for key, value in data.items() if key != SIGNATURE}
    return _encoded(_table(signed, "", 0))


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


def _table(table: Mapping[str, Any], where: str, depth: int) -> dict[str, Any]:
    result = {}
    for key, value in table.items():
        if not isinstance(key, str):
            raise CanonicalError(f"{where or 'the record'}: a key must be text, not {key!r}")
        written = f"${key}" if key.startswith("$") else key
        result[written] = _value(value, f"{where}.{key}" if where else key, depth + 1)
    return result


def _value(value: Any, where: str, depth: int) -> Any:  # noqa: PLR0911 - one return a TOML type
    if depth > GREATEST_DEPTH:
        raise CanonicalError(f"{where}: more than {GREATEST_DEPTH} tables or lists inside each other")
    match value:
        case bool() | str():
            return value
        case int():
            return _integer(value, where)
        case float():
            return {"$float": _float(value, where)}
        case datetime():
            return _datetime(value, where)
        case date():
            return {"$date": value.isoformat()}
        case time() if value.tzinfo is None:
            return {"$time": value.isoformat()}
        case Mapping():
            return _table(value, where, depth)
        case list() | tuple():
            return [_value(item, f"{where}[{index}]", depth + 1) for index, item in enumerate(value)]
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


def _datetime(value: datetime, where: str) -> dict[str, str]:
    offset = value.utcoffset()
    if offset is None:
        return {"$local-datetime": value.isoformat()}
    if offset % timedelta(minutes=1):
        raise CanonicalError(f"{where}: an offset from UTC is in whole minutes, not {offset}")
    return {"$datetime": value.isoformat()}


__all__ = [
    "FORM",
    "GREATEST_INTEGER",
    "PLACES",
    "SIGNATURE",
    "CanonicalError",
    "canonical_bytes",
    "canonical_hash",
    "rounded",
]
