"""Signing and verifying: nothing is changed unnoticed, and a new layout breaks nothing."""

from __future__ import annotations

import re
from collections.abc import Callable
from copy import deepcopy
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.disk.their_files import parse_toml
from crewtui.record.signed import signing_keys
from crewtui.record.signed.canonical import canonical_bytes, canonical_hash
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.sign import (
    RECORD_FORMAT,
    RECORD_KIND,
    RecordError,
    record_path,
    record_text,
    sign_record,
    write_record,
)
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import PROVES, verify, verify_bytes, verify_data

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
OTHER = SigningKey.from_secret(bytes(32), name="Kim Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
AT = datetime(2031, 4, 5, 16, 20, tzinfo=timezone(timedelta(hours=-5)))
DATA: dict[str, Any] = {
    "kind": RECORD_KIND,
    "format": RECORD_FORMAT,
    "program": {"name": "crewtui", "version": "0.1.0"},
    "complete": True,
    "job": {"id": "J-1", "site": "Sample Lane 5", "date": date(2031, 4, 5)},
    "revision": {"number": 1},
    "anchor": [
        {"id": "A-1", "depth_found_in": 41.5, "threads_showing": 5, "crew": ["a", "b"], "done_at": AT},
        {"id": "A-2", "depth_found_in": 40.0, "note": "caf\u00e9 \u2014 'quoted' \"twice\"\nnext line"},
    ],
}
SIGNED = sign_record(DATA, KEY, signed_at=AT)
TEXT = record_text(SIGNED).encode()
BITS = (0, 2, 5)
"""Of each byte: the next digit or letter, a near one, and the other case."""


def test_a_record_as_signed_is_valid_and_says_what_that_proves() -> None:
    verdict = verify_bytes(TEXT, KNOWN)
    assert verdict.state == "valid"
    assert verdict.exit_code == 0
    assert PROVES in verdict.words
    assert verdict.signer == "Lee Sample"
    assert verdict.signed_at == AT
    assert verdict.key_id == KEY.key_id
    assert (verdict.job_id, verdict.revision, verdict.complete) == ("J-1", 1, True)
    assert verdict.record_hash == canonical_hash(DATA | {"signer": SIGNED["signer"]})


def test_every_flipped_byte_is_caught_or_leaves_the_same_data() -> None:
    caught = same = 0
    for place in range(len(TEXT)):
        for bit in BITS:
            flipped = bytearray(TEXT)
            flipped[place] ^= 1 << bit
            verdict = verify_bytes(bytes(flipped), KNOWN)
            if verdict.state == "valid":
                assert parse_toml(bytes(flipped)) == SIGNED, f"byte {place}, bit {bit}"
                same += 1
            else:
                caught += 1
    assert caught + same == len(BITS) * len(TEXT)
    assert caught > 3 * same, "what is left the same lies in the comment at the top and in the layout"


def test_every_byte_left_out_or_doubled_is_caught_or_leaves_the_same_data() -> None:
    for place in range(len(TEXT)):
        for changed in (
            TEXT[:place] + TEXT[place + 1 :],
            TEXT[:place] + TEXT[place : place + 1] + TEXT[place:],
        ):
            if verify_bytes(changed, KNOWN).state == "valid":
                assert parse_toml(changed) == SIGNED, f"byte {place}"


def change_value(data: dict[str, Any]) -> None:
    data["anchor"][0]["depth_found_in"] = 41.6


def change_type(data: dict[str, Any]) -> None:
    data["anchor"][1]["depth_found_in"] = 40


def change_order(data: dict[str, Any]) -> None:
    data["anchor"].reverse()


def change_key(data: dict[str, Any]) -> None:
    data["anchor"][0]["depth_in"] = data["anchor"][0].pop("depth_found_in")


def add_table(data: dict[str, Any]) -> None:
    data["more"] = {}


def leave_out(data: dict[str, Any]) -> None:
    del data["anchor"][1]


def change_offset(data: dict[str, Any]) -> None:
    data["anchor"][0]["done_at"] = AT.astimezone(UTC)


def change_version(data: dict[str, Any]) -> None:
    data["program"]["version"] = "0.1.1"


def change_signer(data: dict[str, Any]) -> None:
    data["signer"]["name"] = "Kim Sample"


def change_time(data: dict[str, Any]) -> None:
    data["signer"]["signed_at"] = AT + timedelta(days=1)


def change_date_to_text(data: dict[str, Any]) -> None:
    data["job"]["date"] = "2031-04-05"


def say_another_key(data: dict[str, Any]) -> None:
    data["signer"] |= {"public_key": signing_keys.encoded(OTHER.public), "key_id": OTHER.key_id}
    data["signature"]["key_id"] = OTHER.key_id


def say_another_key_id(data: dict[str, Any]) -> None:
    data["signature"]["key_id"] = OTHER.key_id


def say_another_algorithm(data: dict[str, Any]) -> None:
    data["signature"]["algorithm"] = "none"


def say_another_form(data: dict[str, Any]) -> None:
    data["signature"]["form"] = "RFC 8785"


def add_to_signature(data: dict[str, Any]) -> None:
    data["signature"]["note"] = "fine"


def loosen_base64(data: dict[str, Any]) -> None:
    data["signature"]["value"] = data["signature"]["value"].rstrip("=")


def number_not_finite(data: dict[str, Any]) -> None:
    data["anchor"][0]["depth_found_in"] = float("inf")


def empty_signer(data: dict[str, Any]) -> None:
    data["signer"] = 7


@pytest.mark.parametrize(
    "change",
    [change_value, change_type, change_order, change_key, add_table, leave_out, change_offset, change_version,
     change_signer, change_time, change_date_to_text, say_another_key, say_another_key_id,
     say_another_algorithm,
     say_another_form, add_to_signature, loosen_base64, number_not_finite, empty_signer],
)  # fmt: skip
def test_any_change_of_what_it_says_is_altered(change: Callable[[dict[str, Any]], None]) -> None:
    data = deepcopy(SIGNED)
    change(data)
    verdict = verify_bytes(tomli_w.dumps(data).encode(), KNOWN)
    assert verdict.state == "altered"
    assert verdict.exit_code == 1
    assert verdict.data is None


@pytest.mark.parametrize(
    "layout",
    [
        lambda text: text.replace(b"\n", b"\r\n"),
        lambda text: b"\xef\xbb\xbf" + text,
        lambda text: text.decode().encode("utf-16"),
        lambda text: b"# Office: looked at on Monday\n" + text + b"\n\n# filed\n",
        lambda text: re.sub(rb"(?m)^", b"    ", text),
        lambda text: text.replace(b" = ", b"="),
        lambda text: re.sub(rb"(?m)$", b"  ", text),
        lambda text: text.rstrip(),
        lambda text: tomli_w.dumps(dict(reversed(parse_toml(text).items())), multiline_strings=True).encode(),
        lambda text: tomli_w.dumps(parse_toml(text), indent=1).replace("\n", "\r\n").encode(),
        lambda text: text.replace(b"16:20:00-05:00", b"16:20:00.000-05:00"),
    ],
    ids=["crlf", "bom", "utf-16", "comments", "indent", "tight", "trailing blanks", "no last newline",
         "other order", "re-indented", "fraction of zero"],
)  # fmt: skip
def test_what_mail_and_editors_do_breaks_nothing(layout: Callable[[bytes], bytes]) -> None:
    changed = layout(TEXT)
    assert changed != TEXT
    assert verify_bytes(changed, KNOWN).state == "valid"


def test_an_unknown_key_is_said_with_its_fingerprint() -> None:
    verdict = verify_bytes(record_text(sign_record(DATA, OTHER, signed_at=AT)).encode(), KNOWN)
    assert verdict.state == "unknown key"
    assert verdict.exit_code == 3
    assert OTHER.key_id in verdict.words
    assert verdict.data is not None


@pytest.mark.parametrize(
    ("retired_on", "state"),
    [(date(2031, 4, 4), "unknown key"), (date(2031, 4, 5), "valid"), (date(2031, 4, 6), "valid")],
)
def test_a_retired_key_verifies_what_was_signed_up_to_that_day(retired_on: date, state: str) -> None:
    known = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample", retired_on=retired_on),))
    verdict = verify_bytes(TEXT, known)
    assert verdict.state == state
    assert str(retired_on) in verdict.words


def test_signing_with_a_known_name_but_another_key_does_not_pass() -> None:
    imposter = sign_record(DATA | {"signer": {"name": "Lee Sample"}}, OTHER, signed_at=AT)
    assert imposter["signer"]["name"] == "Lee Sample"
    assert verify_data(imposter, KNOWN).state == "unknown key"


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"format": 3}, "newer crewtui"),
        ({"format": 0}, "no format version"),
        ({"format": True}, "no format version"),
        ({"format": "1"}, "no format version"),
        ({"kind": "shopping list"}, "does not say kind"),
        ({"signature": "x"}, "not signed"),
    ],
)
def test_what_is_no_record_is_said_so(change: dict[str, Any], words: str) -> None:
    verdict = verify_data(SIGNED | change, KNOWN)
    assert verdict.state == "not a record"
    assert verdict.exit_code == 2
    assert words in verdict.words


@settings(deadline=None, max_examples=200)
@given(st.binary(max_size=300))
def test_any_bytes_get_a_verdict(content: bytes) -> None:
    assert verify_bytes(content, KNOWN).state == "not a record"


@settings(deadline=None, max_examples=100)
@given(st.integers(0, len(TEXT) - 1), st.binary(min_size=1, max_size=30))
def test_any_bytes_written_into_a_record_get_a_verdict(place: int, content: bytes) -> None:
    changed = TEXT[:place] + content + TEXT[place + len(content) :]
    verdict = verify_bytes(changed, KNOWN)
    if verdict.state == "valid":
        assert parse_toml(changed) == SIGNED
    assert "\x1b" not in verdict.words


_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5) | st.just(AT),
    lambda inner: st.lists(inner, max_size=2) | st.dictionaries(st.text(max_size=3), inner, max_size=2),
    max_leaves=4,
)


@settings(deadline=None, max_examples=150)
@given(st.sampled_from(["signer", "signature", "job", "revision", "kind", "format", "complete"]), _values)
def test_any_value_in_place_of_any_table_gets_a_verdict(name: str, value: Any) -> None:
    verdict = verify_data(SIGNED | {name: value}, KNOWN)
    assert verdict.state != "valid" or value == SIGNED[name]


@settings(deadline=None, max_examples=60)
@given(st.sampled_from(["name", "signed_at", "key_id", "public_key"]), _values)
def test_a_well_signed_record_with_a_strange_signer_gets_a_verdict(name: str, value: Any) -> None:
    data = DATA | {"signer": SIGNED["signer"] | {name: value}, "job": value, "revision": value}
    try:
        message = canonical_bytes(data)
    except ValueError:
        return
    data["signature"] = SIGNED["signature"] | {"value": signing_keys.encoded(KEY.sign(message))}
    assert verify_data(data, KNOWN).words


def test_escape_sequences_in_a_well_signed_record_do_not_reach_the_terminal() -> None:
    nasty = "\x1b]0;title\x07\x9b31m\u202eLee"
    data = DATA | {"signer": {"name": nasty}, "job": {"id": nasty, "site": nasty}}
    verdict = verify_data(sign_record(data, KEY, signed_at=AT), KNOWN)
    assert verdict.state == "valid"
    for text in (verdict.words, verdict.signer, verdict.job_id, verdict.site):
        assert not set(text) & {"\x1b", "\x07", "\x9b", "\u202e"}


def test_a_file_is_read_within_bounds(tmp_path: Path) -> None:
    large = tmp_path / "large.record.toml"
    with large.open("wb") as file:
        file.seek(17 * 1024 * 1024)
        file.write(b"x")
    for path in (large, tmp_path, tmp_path / "nowhere.toml", tmp_path / ("x" * 5000), Path("a\0b")):
        verdict = verify(path, KNOWN)
        assert verdict.state == "not a record"
        assert verdict.words


def test_a_record_is_written_whole_and_never_over_another(tmp_path: Path) -> None:
    path = record_path(tmp_path / "job-1.toml")
    assert path.name == "job-1.record.toml"
    assert record_path(tmp_path / "job-1.toml", 2).name == "job-1.revision-2.record.toml"
    write_record(path, SIGNED)
    assert verify(path, KNOWN).state == "valid"
    assert [each.name for each in tmp_path.iterdir()] == [path.name], "nothing else is left behind"
    with pytest.raises(RecordError, match="never written over"):
        write_record(path, SIGNED)
    with pytest.raises(RecordError, match="could not be written"):
        write_record(tmp_path / "no folder" / "x.record.toml", SIGNED)
    with pytest.raises(RecordError, match="signed"):
        write_record(tmp_path / "unsigned.record.toml", DATA)


def test_a_write_that_fails_half_way_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("crewtui.disk.own_files.os.fsync", full)
    with pytest.raises(RecordError, match="No space left on device"):
        write_record(tmp_path / "x.record.toml", SIGNED)
    assert list(tmp_path.iterdir()) == []


def test_what_cannot_be_signed_is_refused() -> None:
    with pytest.raises(RecordError, match="offset"):
        sign_record(DATA, KEY, signed_at=AT.replace(tzinfo=None))
    with pytest.raises(RecordError, match="kind"):
        sign_record(DATA | {"kind": "x"}, KEY, signed_at=AT)


def test_signing_again_replaces_the_signature_and_a_reader_without_this_program_can_check_it() -> None:
    again = sign_record(SIGNED, KEY, signed_at=AT)
    assert again == SIGNED
    data = parse_toml(TEXT)
    public = signing_keys.decoded(data["signer"]["public_key"], 32)
    value = signing_keys.decoded(data["signature"]["value"], 64)
    assert public is not None
    assert value is not None
    assert signing_keys.signed_by(public, value, canonical_bytes(data))


def test_a_day_signed_while_the_clock_of_a_flat_battery_ran_verifies(tmp_path: Path) -> None:
    """Such a clock begins with 1970 at Greenwich: west of it that is still 1969."""
    west = timezone(timedelta(hours=-6))
    at = datetime(1970, 1, 1, 1, tzinfo=UTC).astimezone(west)
    assert at.year == 1969
    key = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
    data = {"kind": RECORD_KIND, "format": RECORD_FORMAT, "complete": True, "job": {"id": "J-1"}}
    path = tmp_path / "job.record.toml"
    write_record(path, sign_record(data, key, signed_at=at))
    verdict = verify(path, KnownKeys((KnownKey(public=key.public, name="Lee Sample"),)))
    assert verdict.state == "valid", verdict.words
