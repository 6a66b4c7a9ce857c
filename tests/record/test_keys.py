"""Signing keys and the list of known ones: sealed, owner-only, and silent about their secret half."""

from __future__ import annotations

import os
import stat
from datetime import date
from pathlib import Path

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.disk.their_files import parse_toml
from crewtui.record.signed import signing_keys
from crewtui.record.signed.known_keys import (
    KnownKey,
    add_known,
    export_public,
    load_known,
    read_public,
    retire_known,
    save_known,
)
from crewtui.record.signed.signing_keys import (
    KeyFileError,
    ScryptCost,
    SigningKey,
    WrongPassphraseError,
    change_passphrase,
    make_key,
    open_key,
    own_key_path,
    retire_key,
    rights_warning,
    show_key,
)

TODAY = date(2031, 4, 5)
QUICK = ScryptCost(n=2**4, r=8, p=1)
PASSPHRASE = "plumb line and tape"  # noqa: S105 - of no real key


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "home of keys"
    monkeypatch.setenv("CREWTUI_HOME", str(folder))
    return folder


def make(
    name: str = "Lee Sample", passphrase: str = PASSPHRASE, *, replace: bool = False
) -> signing_keys.PublicKey:
    return make_key(name, passphrase, today=TODAY, replace=replace, cost=QUICK)


def test_a_key_is_made_kept_and_opened() -> None:
    made = make("  Lee   Sample ")
    assert made.name == "Lee Sample"
    opened = open_key(PASSPHRASE)
    assert opened.public == made.public
    assert opened.key_id == show_key().key_id == made.key_id
    assert show_key().made_on == TODAY
    assert signing_keys.signed_by(made.public, opened.sign(b"x"), b"x")


def test_the_file_holds_neither_secret_nor_passphrase_and_nothing_shows_them() -> None:
    make()
    opened = open_key(PASSPHRASE)
    secret = opened._private.private_bytes_raw()
    content = own_key_path().read_bytes()
    for hidden in (secret, secret.hex().encode(), signing_keys.encoded(secret).encode(), PASSPHRASE.encode()):
        assert hidden not in content
    for text in (repr(opened), str(opened)):
        assert secret.hex() not in text
        assert "private" not in text.lower()


def test_only_the_owner_may_read_it(home: Path) -> None:
    make()
    assert rights_warning() == ""
    if os.name == "posix":
        assert stat.S_IMODE(own_key_path().stat().st_mode) == 0o600
        assert stat.S_IMODE(home.stat().st_mode) == 0o700
        own_key_path().chmod(0o644)
        assert "chmod 600" in rights_warning()


@pytest.mark.parametrize("wrong", ["plumb line and tapf", "", "plumb line and tape ", "PLUMB LINE AND TAPE"])
def test_a_wrong_passphrase_is_refused_without_a_hint(wrong: str) -> None:
    make()
    with pytest.raises(WrongPassphraseError) as caught:
        open_key(wrong)
    assert str(caught.value) == "that passphrase does not open the key"
    assert caught.value.__cause__ is None


def test_a_letter_composed_in_two_ways_is_one_passphrase() -> None:
    make("Lee Sample", "caf\u00e9 am Berg")
    assert open_key("cafe\u0301 am Berg").public == show_key().public


@pytest.mark.parametrize("short", ["", "seven77", "          "])
def test_a_short_passphrase_is_refused(short: str) -> None:
    with pytest.raises(KeyFileError, match="at least 8 characters"):
        make(passphrase=short)
    assert not own_key_path().exists()


@pytest.mark.parametrize("name", ["", "   ", "x" * 201])
def test_a_key_needs_a_name(name: str) -> None:
    with pytest.raises(KeyFileError, match="name"):
        make(name)


def test_a_second_key_is_made_only_when_asked_and_the_first_is_kept(home: Path) -> None:
    first = make()
    with pytest.raises(KeyFileError, match="--replace"):
        make()
    second = make("Lee Sample", "another passphrase", replace=True)
    assert second.key_id != first.key_id
    aside = next(home.glob("retired-*.toml"))
    assert open_key(PASSPHRASE, aside).public == first.public


def test_changing_the_passphrase_keeps_the_key() -> None:
    made = make()
    with pytest.raises(WrongPassphraseError):
        change_passphrase("not the old one", "a new passphrase", cost=QUICK)
    with pytest.raises(KeyFileError, match="at least"):
        change_passphrase(PASSPHRASE, "short", cost=QUICK)
    assert open_key(PASSPHRASE).public == made.public
    assert change_passphrase(PASSPHRASE, "a new passphrase", cost=QUICK) == made
    assert open_key("a new passphrase").public == made.public
    with pytest.raises(WrongPassphraseError):
        open_key(PASSPHRASE)


def test_a_retired_key_no_longer_signs() -> None:
    made = make()
    key, aside = retire_key(TODAY)
    assert key == made
    assert aside.exists()
    with pytest.raises(KeyFileError, match="no signing key yet"):
        open_key(PASSPHRASE)


def test_no_field_of_the_file_can_be_changed() -> None:
    make()
    data = parse_toml(own_key_path().read_bytes())
    other = SigningKey.from_secret(bytes(32))
    changes = {
        "name": "Somebody Else",
        "made_on": date(2030, 1, 1),
        "scrypt_n": 2**5,
        "salt": signing_keys.encoded(bytes(16)),
        "nonce": signing_keys.encoded(bytes(12)),
        "public_key": signing_keys.encoded(other.public),
        "key_id": other.key_id,
        "sealed": signing_keys.encoded(bytes(48)),
    }
    for field, value in changes.items():
        own_key_path().write_bytes(tomli_w.dumps(data | {field: value}).encode())
        with pytest.raises(KeyFileError):
            open_key(PASSPHRASE)


@pytest.mark.parametrize(
    "change",
    [{"scrypt_n": 2**40}, {"scrypt_n": 3}, {"scrypt_n": True}, {"scrypt_r": 10**9}, {"scrypt_p": 0},
     {"salt": 7},
     {"format": 2}, {"kind": "other"}, {"made_on": "today"}, {"more": 1}, {"salt": "x"}, {"sealed": "x"}],
)  # fmt: skip
def test_a_file_that_would_hang_or_confuse_is_refused(change: dict[str, object]) -> None:
    make()
    data = parse_toml(own_key_path().read_bytes())
    own_key_path().write_bytes(tomli_w.dumps(data | change).encode())
    with pytest.raises(KeyFileError):
        open_key(PASSPHRASE)


@settings(deadline=None, max_examples=60)
@given(content=st.binary(max_size=120))
def test_any_bytes_as_a_key_file_are_refused(
    content: bytes, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.getbasetemp() / "any.toml"
    path.write_bytes(content)
    with pytest.raises(KeyFileError):
        open_key(PASSPHRASE, path)


def test_the_office_adds_an_exported_key_once_and_retires_it(tmp_path: Path) -> None:
    made = make()
    exported, office = tmp_path / "lee.public.toml", tmp_path / "office.toml"
    export_public(show_key(), exported)
    assert read_public(exported) == made
    add_known(read_public(exported), office)
    add_known(read_public(exported), office)
    known = load_known(office)
    assert [key.name for key in known.keys] == ["Lee Sample"]
    assert known.by_id(made.key_id[:9]) == known.find(made.public)
    assert known.by_id("") is None
    retire_known(made.key_id, TODAY, office)
    found = load_known(office).find(made.public)
    assert found is not None
    assert found.retired_on == TODAY
    with pytest.raises(KeyFileError, match="no key on the list"):
        retire_known("ffff-ffff", TODAY, office)


def test_a_folder_of_exported_keys_is_a_list_too(tmp_path: Path) -> None:
    folder = tmp_path / "keys"
    folder.mkdir()
    first = make()
    export_public(first, folder / "lee.public.toml")
    second = make("Kim Sample", "another passphrase", replace=True)
    add_known(second, folder)
    assert {key.public for key in load_known(folder).keys} == {first.public, second.public}


def test_this_machines_own_key_is_known_as_just_that() -> None:
    assert load_known().keys == ()
    made = make()
    (own,) = load_known().keys
    assert own.own
    assert own.public == made.public
    add_known(made)
    (listed,) = load_known().keys
    assert not listed.own


@pytest.mark.parametrize(
    "table",
    [
        {"kind": "crewtui known keys", "format": 1, "key": [{"name": "x"}]},
        {"kind": "crewtui known keys", "format": 1, "key": [1]},
        {"kind": "crewtui known keys", "format": 1, "key": 1},
        {"kind": "crewtui known keys", "format": 2},
        {"kind": "something else", "format": 1},
        {"kind": "crewtui public key", "format": 1},
        {"kind": "crewtui known keys", "format": 1,
         "key": [{"key_id": "0000", "public_key": signing_keys.encoded(bytes(32)), "name": "x"}]},
        {"kind": "crewtui known keys", "format": 1,
         "key": [{"key_id": signing_keys.key_id(bytes(32)), "public_key": signing_keys.encoded(bytes(32)),
                  "retired_on": "soon"}]},
    ],
)  # fmt: skip
def test_a_damaged_list_is_refused_with_its_name(table: dict[str, object], tmp_path: Path) -> None:
    path = tmp_path / "list.toml"
    path.write_bytes(tomli_w.dumps(table).encode())
    with pytest.raises(KeyFileError, match=r"list\.toml"):
        load_known(path)


def test_a_list_that_was_named_and_is_not_there_is_said(tmp_path: Path) -> None:
    with pytest.raises(KeyFileError, match="no such file"):
        load_known(tmp_path / "nowhere.toml")


@pytest.mark.parametrize(
    ("lines", "says"),
    [
        ("retired_On = 2031-01-01", "retired_On is nothing that a key has"),
        ('key_ID = "x"', "key_ID is nothing that a key has"),
        ("TWICE", "stands there twice"),
    ],
)
def test_a_list_that_was_edited_by_hand_lets_no_retired_key_count(
    lines: str, says: str, tmp_path: Path
) -> None:
    key = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
    path = save_known([KnownKey(public=key.public, name="Lee")], tmp_path / "known.toml")
    text = path.read_text(encoding="utf-8")
    row = text[text.index("[[key]]") :]
    more = f"\n{row}retired_on = 2031-01-01\n" if lines == "TWICE" else f"{lines}\n"
    path.write_text(f"{text.rstrip()}\n{more}", encoding="utf-8")
    with pytest.raises(KeyFileError, match=says):
        load_known(path)
