"""A TOML file of ours as a plain table: bytes, bounded; text, checked; what no such file holds, refused."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any, Final

import tomli

from crewtui.disk.own_files import NotPlainError, open_own
from crewtui.disk.their_files import JOB as BOUNDS
from crewtui.disk.their_files import beyond
from crewtui.job.file.problems import JobFileError, Problem, is_clean, named, nearest, path_of, shown

FORMAT: Final = 1
_MOST_DEEP: Final = 12
_MOST_KEYS: Final = 300
_MOST_ITEMS: Final = 2_000
_MOST_VALUES: Final = 100_000
_LONGEST_TEXT: Final = 4_000
_PROSE: Final = frozenset({
    "notes", "note", "address", "stands_behind", "private_lines_asked", "plan", "schedule", "obstacle",
})  # fmt: skip
_KEY_PART: Final = r"""(?:[A-Za-z0-9_-]+|"[^"\n]*"|'[^'\n]*')"""
_LONG_KEY: Final = re.compile(rf"^[ \t\[]*{_KEY_PART}(?:[ \t]*\.[ \t]*{_KEY_PART}){{16}}", re.MULTILINE)
_AT_LINE: Final = re.compile(r"\s*\(at (line (\d+), column \d+|end of document)\)$")

Parts = tuple[str | int, ...]


def read_table(data: bytes, *, file: str) -> tuple[str, dict[str, Any]]:
    """Return the text of these bytes and its table; JobFileError where it is none, too new or too large."""
    text = _decoded(data, file)
    table = _parsed(text, file)
    _check_format(table, file)
    bounds = list(_bound_problems(table, file))
    if bounds:
        raise JobFileError(bounds)
    return text, table


def job_bytes(path: Path) -> bytes:
    """Return the job file's bytes, up to one more than it may have; JobFileError if it cannot be read."""
    try:
        with os.fdopen(open_own(path, os.O_RDONLY), "rb") as stream:
            return stream.read(BOUNDS.most_bytes + 1)
    except FileNotFoundError as error:
        raise JobFileError([_not_there(path)]) from error
    except NotPlainError as error:
        message = f"This is {error.kind}, not a file; name the job file itself."
        raise JobFileError([Problem(file=path.name, key="", message=message)]) from error
    except (OSError, ValueError) as error:
        words = (isinstance(error, OSError) and error.strerror) or "its name is none"
        message = f"It cannot be read: {words}."
        raise JobFileError([Problem(file=path.name, key="", message=message)]) from error


def _not_there(path: Path) -> Problem:
    there = [other.name for other in path.parent.glob("*.toml")] if path.parent.is_dir() else []
    near = nearest(path.name, there)
    hint = f"; did you mean {near}?" if near else f" in {path.parent}."
    return Problem(file=path.name, key="", message=f"There is no such file{hint}", nearest=near)


def _decoded(data: bytes, file: str) -> str:
    if len(data) > BOUNDS.most_bytes:
        message = "The file is larger than 2 MB; a job file is a few thousand characters of text."
        raise JobFileError([Problem(file=file, key="", message=message)])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        message = f"Line {line} is no UTF-8 text; save the file as UTF-8 in the editor."
        raise JobFileError([Problem(file=file, key="", message=message)]) from error


def _parsed(text: str, file: str) -> dict[str, Any]:
    message = ""
    long_key = _LONG_KEY.search(text)
    too_much = "" if long_key else beyond(text, BOUNDS)
    if long_key:
        line = text.count("\n", 0, long_key.start()) + 1
        message = f"Line {line} has a key of more than 16 parts; no key of a job file has more than three."
    elif too_much:
        message = f"{too_much[:1].upper()}{too_much[1:]}."
    else:
        try:
            return tomli.loads(text)
        except tomli.TOMLDecodeError as error:
            message = _syntax_words(str(error))
        except RecursionError:
            message = (
                "Brackets are nested deeper than anything in a job file; look for one that is not closed."
            )
        except ValueError:
            message = "A number in it has more digits than any measure."
    raise JobFileError([Problem(file=file, key="", message=message)])


def _syntax_words(words: str) -> str:
    """Return the reader's own words, with the line first."""
    at = _AT_LINE.search(words)
    if at is None:
        return f"It is no TOML: {shown(words)[1:-1]}."
    said = shown(words[: at.start()])[1:-1].rstrip(".")
    if at.group(2) is None:
        return f"The last line is no TOML: {said}. Look for a quote or bracket that is not closed."
    return f"Line {at.group(2)} is no TOML: {said}. Text stands in quotes, and each key has its own line."


def _check_format(table: dict[str, Any], file: str) -> None:
    version = table.get("format", FORMAT)
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        message = f"format is {shown(version)}; write format = 1."
    elif version > FORMAT:
        message = (
            f"The file is of format {shown(version)}, and this program reads format {FORMAT}: it was made for"
            " a newer version of the program. Bring the program up to date, or ask for an older file."
        )
    else:
        return
    raise JobFileError([Problem(file=file, key="format", value=shown(version), message=message)])


def walk(table: Mapping[str, Any]) -> Iterator[tuple[Parts, Any]]:
    """Go through every value without recursion, since a file may nest as deep as it likes."""
    waiting: list[tuple[Parts, Any]] = [((), table)]
    while waiting:
        parts, value = waiting.pop()
        yield parts, value
        if len(parts) > _MOST_DEEP:
            continue
        if isinstance(value, dict):
            waiting += [((*parts, key), inner) for key, inner in reversed(value.items())]
        elif isinstance(value, list):
            waiting += [((*parts, place), inner) for place, inner in reversed(list(enumerate(value)))]


def _bound_problems(table: dict[str, Any], file: str) -> Iterator[Problem]:
    """Say what is larger or deeper than a job can be; then nothing else of the file is looked at."""
    for count, (parts, value) in enumerate(walk(table)):
        if count > _MOST_VALUES:
            yield Problem(file=file, key="", message="The file holds more values than any job has.")
            return
        key = path_of(parts[:3])
        if len(parts) > _MOST_DEEP:
            yield Problem(file=file, key=key, message="This is nested deeper than anything in a job file.")
            return
        if isinstance(value, dict) and len(value) > _MOST_KEYS:
            yield Problem(file=file, key=key, message=f"A table here has more than {_MOST_KEYS} keys.")
            return
        if isinstance(value, list) and len(value) > _MOST_ITEMS:
            yield Problem(file=file, key=key, message=f"A list here has more than {_MOST_ITEMS:,} items.")
            return


def text_problems(table: dict[str, Any], file: str) -> Iterator[Problem]:
    """Say which texts are too long, or hold what could disturb a screen."""
    for parts, value in walk(table):
        last = parts[-1] if parts else ""
        if isinstance(last, str) and not is_clean(last):
            message = "The key has a control or invisible character in it; type it anew."
            yield Problem(file=file, key=path_of(parts), message=message)
        if not isinstance(value, str):
            continue
        message = ""
        if len(value) > _LONGEST_TEXT:
            message = f"The text is longer than {_LONGEST_TEXT:,} characters; shorten it."
        elif not is_clean(value, lines=last in _PROSE):
            message = (
                "The text has a control, escape or invisible character in it, which could disturb the screen;"
                " type it anew, on one line."
            )
        if message:
            yield Problem(
                file=file,
                key=path_of(parts),
                value=shown(value),
                message=message,
                where=named(table, parts),
            )
