"""Reading a record's tables by their types: a well-signed record may still hold anything."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any, Final

from msgspec import ValidationError, convert

from crewtui.foreign import shown
from crewtui.record.signed.form import Record

EARLIEST_YEAR, LATEST_YEAR = 1969, 2200
"""No record of a working day lies outside; a time that does breaks the sums of other programs.

A clock whose battery died begins with 1970 at Greenwich, and west of it that is still 1969.
"""


class StrangeError(ValueError):
    """Tables are not laid out as a record is; str() is one sentence that names the place."""


def read_form(data: Mapping[str, Any]) -> Record:
    """Return a record's tables by their types; StrangeError names the first place that is amiss.

    Keys that are not known are left alone: a newer program may have written them.
    """
    _judge_times(data)
    try:
        return convert(data, Record, builtin_types=(datetime, date, time))
    except ValidationError as error:
        raise StrangeError(_place_and_words(str(error))) from error


_AT: Final = re.compile(r"(?s)(.*?)(?: - at (?:key in )?`\$\.?(.*)`)?")
_MISFIT: Final = re.compile(r"(?s)Expected `([^`]*)`, got `([^`]*)`")
_KINDS: Final = {
    "float": "a number", "int": "a whole number", "str": "text", "bool": "true or false",
    "datetime": "a time", "date": "a day", "time": "a time of day", "array": "a list", "object": "a table",
    "null": "",
}  # fmt: skip


def _place_and_words(message: str) -> str:
    found = _AT.fullmatch(message)
    words, place = (found[1], found[2]) if found else (message, None)
    misfit = _MISFIT.fullmatch(words)
    if misfit:
        asked = " or ".join(filter(None, (_KINDS.get(kind, kind) for kind in misfit[1].split(" | "))))
        words = f"{_KINDS.get(misfit[2], misfit[2])} stands where {asked} belongs"
    where = place or "the record"
    return f"{shown(where)}: {shown(words[:1].lower() + words[1:])}"


def _judge_times(data: Mapping[str, Any]) -> None:
    """Raise StrangeError for a time in no year of any record: sums with it overflow."""
    waiting: list[tuple[str, Any]] = [("", data)]
    while waiting:
        where, value = waiting.pop()
        if isinstance(value, Mapping):
            waiting += ((f"{where}.{key}" if where else key, inner) for key, inner in value.items())
        elif isinstance(value, list):
            waiting += ((f"{where}[{index}]", inner) for index, inner in enumerate(value))
        elif isinstance(value, date) and not EARLIEST_YEAR <= value.year <= LATEST_YEAR:
            raise StrangeError(f"{shown(where)}: the year {value.year} is none of a working day")
