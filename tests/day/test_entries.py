from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from crewtui.day.journal import entries as e
from crewtui.day.journal.entry_parts import plain_text

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=timezone(timedelta(hours=-5)))


def test_a_line_reads_back_as_the_same_entry_and_the_offset_stays() -> None:
    entry = e.ValueMeasured(
        n=3, prev="ab" * 32, done_at=NOON, typed_at=NOON, anchor="A-1", step="setback", quantity="setback_in",
        value=144.125, text="12' 1/8\"",
    )  # fmt: skip
    again = e.from_line(e.to_line(entry))
    assert again == entry
    assert again.done_at.utcoffset() == timedelta(hours=-5)
    assert e.to_line(again) == e.to_line(entry)


def test_kinds_are_distinct_and_each_says_its_own() -> None:
    kinds = [entry.model_fields["kind"].default for entry in get_args(e.Entry)]
    assert len(set(kinds)) == len(kinds)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), -float("inf"), 1e30])
def test_only_finite_values_of_a_size_that_can_be(value: float) -> None:
    with pytest.raises(ValidationError):
        e.ValueMeasured(done_at=NOON, typed_at=NOON, step="drop", quantity="drop_in", value=value, text="x")


@pytest.mark.parametrize(
    "line",
    [
        b"",
        b"{}",
        b"[]",
        b"null",
        b"\xff\xfe",
        b'{"kind":"nothing-known"}',
        b'{"kind":"taken-back","n":1,"done_at":"2026-05-04T12:00:00","typed_at":"2026-05-04T12:00:00Z","of":1}',
        b'{"kind":"taken-back","n":1,"done_at":"2026-05-04T12:00:00Z","typed_at":"2026-05-04T12:00:00Z","of":1,"x":1}',
        b'{"kind":"taken-back","n":NaN,"done_at":"2026-05-04T12:00:00Z","typed_at":"2026-05-04T12:00:00Z","of":1}',
        b"[" * 60_000,
        b'{"a":' * 12_000,
    ],
)
def test_what_is_no_entry_is_refused_as_a_value_error(line: bytes) -> None:
    with pytest.raises(ValueError, match=r"."):
        e.from_line(line)


@given(text=st.text(max_size=60) | st.sampled_from([" ", "\n", "\x1b"]))
@settings(max_examples=60, deadline=None)
def test_any_text_is_kept_without_what_would_steer_a_terminal(text: str) -> None:
    try:
        note = e.Note(done_at=NOON, typed_at=NOON, text=text)
    except ValidationError:
        return
    assert not any(ord(char) < 32 or 127 <= ord(char) < 160 for char in note.text)
    line = e.to_line(note)
    assert b"\n" not in line
    assert e.from_line(line) == note


@given(raw=st.binary(max_size=200))
@settings(max_examples=80, deadline=None)
def test_any_bytes_are_an_entry_or_a_value_error(raw: bytes) -> None:
    try:
        e.from_line(raw)
    except ValueError:
        return


def test_control_characters_become_spaces() -> None:
    assert plain_text("a\x1b[31mb\r\nc\u202ed") == "a [31mb  c d"


def test_entries_do_not_change() -> None:
    entry = e.TakenBack(done_at=datetime(2026, 5, 4, tzinfo=UTC), typed_at=NOON, of=1)
    with pytest.raises(ValidationError):
        entry.of = 2  # type: ignore[misc]
