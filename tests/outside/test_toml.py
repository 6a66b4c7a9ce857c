"""TOML 1.0.0 (toml.io/en/v1.0.0): its own examples of what a record writes. Published; exact.

What each example means is taken from the text of the specification, not from a parser.
"""

from __future__ import annotations

from datetime import date, datetime, time, timedelta, timezone
from typing import Any

import pytest
import tomli_w

from crewtui.disk.their_files import ReadError, parse_toml
from crewtui.record.signed.canonical import CanonicalError, canonical_bytes


def zone(hours: int) -> timezone:
    return timezone(timedelta(hours=hours))


# Section, text of the example, what the section says that it is.
EXAMPLES: list[tuple[str, str, Any]] = [
    ("Comment", 'key = "value" # a comment\nanother = "# This is not a comment"', "value"),
    ("String", r"""key = "I'm a string. \"You can quote me\". Name\tJos\u00E9\nLocation\tSF." """,
     'I\'m a string. "You can quote me". Name\tJos\u00e9\nLocation\tSF.'),
    ("String", 'key = """\nRoses are red\nViolets are blue"""', "Roses are red\nViolets are blue"),
    ("String", 'key = """\nThe quick brown \\\n\n\n  fox jumps over \\\n    the lazy dog."""',
     "The quick brown fox jumps over the lazy dog."),
    ("String", r"key = 'C:\Users\nodejs\templates'", r"C:\Users\nodejs\templates"),
    ("String", "key = '''I [dw]on't need \\d{2} apples'''", "I [dw]on't need \\d{2} apples"),
    ("Integer", "key = 1_000", 1000),
    ("Integer", "key = 0xDEADBEEF", 0xDEADBEEF),
    ("Integer", "key = -17", -17),
    ("Float", "key = 6.626e-34", 6.626e-34),
    ("Float", "key = 3.0", 3.0),
    ("Boolean", "key = true", True),
    ("Offset Date-Time", "key = 1979-05-27T07:32:00Z", datetime(1979, 5, 27, 7, 32, tzinfo=zone(0))),
    ("Offset Date-Time", "key = 1979-05-27T00:32:00-07:00", datetime(1979, 5, 27, 0, 32, tzinfo=zone(-7))),
    ("Offset Date-Time", "key = 1979-05-27T00:32:00.999999-07:00",
     datetime(1979, 5, 27, 0, 32, 0, 999999, tzinfo=zone(-7))),
    ("Offset Date-Time", "key = 1979-05-27 07:32:00Z", datetime(1979, 5, 27, 7, 32, tzinfo=zone(0))),
    ("Local Date-Time", "key = 1979-05-27T07:32:00", datetime(1979, 5, 27, 7, 32)),  # noqa: DTZ001 - local
    ("Local Date", "key = 1979-05-27", date(1979, 5, 27)),
    ("Local Time", "key = 07:32:00", time(7, 32)),
    ("Array", "key = [ [ 1, 2 ], [3, 4, 5] ]", [[1, 2], [3, 4, 5]]),
    ("Array", "key = [\n  1,\n  2, # this is ok\n]", [1, 2]),
    ("Table", '[key]\nkey1 = "some string"\nkey2 = 123', {"key1": "some string", "key2": 123}),
    ("Table", '[key."tater.man"]\ntype.name = "pug"', {"tater.man": {"type": {"name": "pug"}}}),
    ("Inline Table", "key = { x = 1, y = 2 }", {"x": 1, "y": 2}),
    ("Array of Tables", '[[key]]\nname = "Hammer"\nsku = 738594937\n\n[[key]]  # empty table\n',
     [{"name": "Hammer", "sku": 738594937}, {}]),
]  # fmt: skip


@pytest.mark.parametrize(("section", "text", "value"), EXAMPLES)
@pytest.mark.parametrize("ends", ["\n", "\r\n"])
def test_the_examples_read_as_the_specification_says(section: str, text: str, value: Any, ends: str) -> None:
    read = parse_toml(text.replace("\n", ends).encode())["key"]
    assert read == value, section
    assert type(read) is type(value), section


@pytest.mark.parametrize(("section", "text", "value"), EXAMPLES)
def test_what_the_writer_makes_of_them_reads_back_the_same(section: str, text: str, value: Any) -> None:
    written = tomli_w.dumps({"key": value}).encode()
    assert canonical_bytes(parse_toml(written)) == canonical_bytes(
        {"key": parse_toml(text.encode())["key"]}
    ), section


@pytest.mark.parametrize(
    ("section", "text"),
    [
        ("Key/Value Pair", "key = # INVALID"),
        ("Key/Value Pair", 'first = "Tom" last = "Preston-Werner"'),
        ("Keys", 'name = "Tom"\nname = "Pradyun"'),
        ("Keys", 'spelling = 1\n"spelling" = 2'),
        ("Keys", "fruit.apple = 1\nfruit.apple.smooth = true"),
        ("Table", "[fruit]\napple = 1\n\n[fruit]\norange = 2"),
        ("Table", "[fruit]\napple = 1\n[fruit.apple]\ntexture = 2"),
        ("Float", "key = 7."),
        ("Float", "key = .7"),
        ("Float", "key = 3.e+20"),
        ("Inline Table", "key = { type = 1 }\nkey.edible = false"),
        ("Array of Tables", "key = []\n[[key]]"),
        ("String", 'key = "\\ud800"'),
    ],
)  # fmt: skip
def test_what_the_specification_calls_invalid_is_refused(section: str, text: str) -> None:
    with pytest.raises(ReadError):
        parse_toml(text.encode())
    assert section


@pytest.mark.parametrize("text", ["key = inf", "key = -inf", "key = nan", "key = 9_223_372_036_854_775_807"])
def test_what_toml_allows_and_json_cannot_hold_is_read_but_never_signed(text: str) -> None:
    data = parse_toml(text.encode())
    with pytest.raises(CanonicalError):
        canonical_bytes(data)
