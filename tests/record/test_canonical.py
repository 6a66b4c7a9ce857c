"""The canonical form: any change of value or type that matters changes the bytes, a new layout does not."""

from __future__ import annotations

import math
import tomllib
from datetime import UTC, date, datetime, time, timedelta, timezone
from typing import Any

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.disk.their_files import ReadError, parse_toml
from crewtui.foreign import shown
from crewtui.record.signed.canonical import CanonicalError, canonical_bytes, canonical_hash, rounded

WEST = timezone(timedelta(hours=-5))
NOON = datetime(2031, 4, 5, 12, 0, tzinfo=WEST)

_scalars = (
    st.booleans()
    | st.integers(-(2**53) + 1, 2**53 - 1)
    | st.floats(allow_nan=False, allow_infinity=False).map(lambda value: value + 0.0)
    | st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
    | st.dates(min_value=date(1000, 1, 1))
    | st.datetimes(min_value=datetime(1000, 1, 1), timezones=st.just(WEST))  # noqa: DTZ001 - the strategy adds it
)
_keys = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=6)
_tables = st.dictionaries(
    _keys,
    st.recursive(
        _scalars,
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_keys, inner, max_size=3),
        max_leaves=6,
    ),
    max_size=4,
)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (1, 1.0),
        (1, True),
        (0, False),
        (1, "1"),
        (1.5, "1.5"),
        (28.125, 28.1251),
        (date(2031, 4, 5), "2031-04-05"),
        (date(2031, 4, 5), datetime(2031, 4, 5)),  # noqa: DTZ001 - a local one is meant
        (time(7, 30), "07:30:00"),
        (NOON, NOON.astimezone(UTC)),  # the same instant, another offset
        (NOON, NOON.replace(tzinfo=None)),
        (NOON, NOON.replace(microsecond=1)),
        ([1, 2], [2, 1]),
        ([], {}),
        ([[1], 2], [1, [2]]),
        ({"a": 1}, {"a": 1, "b": 2}),
        ({"$float": 1}, 1.0),
        ({"$$float": 1}, {"$float": 1}),
        ({"$date": "2031-04-05"}, date(2031, 4, 5)),
        ("e\u0301", "\u00e9"),
        ("", " "),
    ],
)
def test_what_differs_in_value_or_type_differs_in_bytes(one: Any, other: Any) -> None:
    assert canonical_bytes({"x": one}) != canonical_bytes({"x": other})


def test_the_order_of_keys_and_the_signature_table_do_not_count() -> None:
    assert canonical_bytes({"a": 1, "b": {"c": 2, "d": 3}}) == canonical_bytes(
        {"b": {"d": 3, "c": 2}, "a": 1}
    )
    assert canonical_bytes({"a": 1, "signature": {"value": "x"}}) == canonical_bytes({"a": 1})
    assert canonical_bytes({"a": {"signature": 1}}) != canonical_bytes({"a": {}}), (
        "only the top-level one is left out"
    )


def test_a_zone_and_its_offset_give_the_same_bytes() -> None:
    assert canonical_bytes({"x": NOON}) == b'{"x":{"$datetime":"2031-04-05T12:00:00-05:00"}}'
    assert canonical_bytes(tomllib.loads("x = 2031-04-05T12:00:00Z")) == canonical_bytes(
        tomllib.loads("x = 2031-04-05 12:00:00+00:00")
    )


@pytest.mark.parametrize(
    "value",
    [math.nan, math.inf, -math.inf, -0.0, 2**53, -(2**53), None, b"x", 1j, time(7, tzinfo=UTC), "\ud800"],
    ids=repr,
)
def test_what_has_no_form_is_refused_with_its_place(value: Any) -> None:
    with pytest.raises(CanonicalError):
        canonical_bytes({"anchors": [{"x": value}]})
    if not isinstance(value, str):
        with pytest.raises(CanonicalError, match=r"anchors\[0\]\.x"):
            canonical_bytes({"anchors": [{"x": value}]})


def test_a_key_that_is_no_text_or_half_a_character_is_refused() -> None:
    with pytest.raises(CanonicalError):
        canonical_bytes({1: 2})  # type: ignore[dict-item]
    with pytest.raises(CanonicalError):
        canonical_bytes({"\ud800": 2})


def test_an_offset_with_seconds_is_refused() -> None:
    with pytest.raises(CanonicalError, match="whole minutes"):
        canonical_bytes({"x": NOON.replace(tzinfo=timezone(timedelta(seconds=30)))})


def test_depth_is_bounded() -> None:
    deep: Any = 1
    for _ in range(1000):
        deep = [deep]
    with pytest.raises(CanonicalError, match="inside each other"):
        canonical_bytes({"x": deep})


def test_rounding_makes_what_is_printed_what_is_signed() -> None:
    assert rounded(1 / 3) == 0.3333
    assert str(rounded(-0.00001)) == "0.0"
    assert rounded(12) == 12.0
    assert isinstance(rounded(12), float)
    with pytest.raises(CanonicalError):
        rounded(math.nan)


@settings(deadline=None, max_examples=150)
@given(_tables)
def test_writing_and_reading_toml_keeps_the_bytes(data: dict[str, Any]) -> None:
    read = parse_toml(tomli_w.dumps(data).encode())
    assert canonical_bytes(read) == canonical_bytes(data)
    assert canonical_hash(read) == canonical_hash(data)


@settings(deadline=None, max_examples=150)
@given(_tables, _tables)
def test_different_data_have_different_bytes(one: dict[str, Any], other: dict[str, Any]) -> None:
    one.pop("signature", None)
    other.pop("signature", None)
    assert (canonical_bytes(one) == canonical_bytes(other)) == (_typed(one) == _typed(other))


def _typed(value: Any) -> Any:
    """Data with every type spelled out, so that 1, 1.0 and True compare as different."""
    if isinstance(value, dict):
        return {key: _typed(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_typed(inner) for inner in value]
    return (type(value).__name__, value.isoformat() if isinstance(value, datetime) else value)


@settings(deadline=None, max_examples=300)
@given(
    st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode("utf-8", "surrogatepass"))
)
def test_any_bytes_read_as_tables_or_are_refused_in_a_sentence(content: bytes) -> None:
    said = ""
    try:
        parse_toml(content)
    except ReadError as error:
        said = str(error)
    assert said == shown(said)


@pytest.mark.parametrize(
    "content",
    [
        b"x = " + b"[" * 100_000,
        b"x = " + b"{a=" * 100_000,
        b"a." * 200_000 + b"a = 1",
        b"[" + b"a." * 200_000 + b"a]",
        b'x = """' + b'\\"""' * 200_000,
        b'x = "' + b'\\"' * 200_000,
        b"x = '''" + b"''" * 200_000,
        b"x = " + b"9" * 100_000,
        b"a" * 1_000_000,
        b"\xff" * 1000,
        b"\x00" * 1000,
        b"\xff\xfe\x00",
    ],
    ids=lambda content: repr(content[:12]),
)
def test_hostile_toml_is_refused_at_once(content: bytes) -> None:
    with pytest.raises(ReadError):
        parse_toml(content)


def test_dots_and_brackets_inside_texts_are_no_nesting() -> None:
    text = "[[" * 40 + "a." * 80
    assert parse_toml(tomli_w.dumps({"note": text, "more": [text + '"']}).encode())["note"] == text
    assert parse_toml(f'x = """\n{text} "quoted" """\ny = \'{text}\' # {text}'.encode())["y"] == text
