"""The keys that the office knows: public halves, whose they are, and since when one is retired.

A list is one TOML file (``known_keys.toml``), or a folder that holds one and any number of exported public
keys (``*.public.toml``).
"""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any, Final

import tomli_w
from msgspec import Struct
from msgspec.structs import replace

from crewtui.disk.own_files import home_folder, write_whole
from crewtui.disk.their_files import KEYS, ReadError, read_toml
from crewtui.foreign import shown
from crewtui.record.signed.signing_keys import (
    KeyFileError,
    PublicKey,
    decoded,
    encoded,
    is_of_one_signer,
    key_id,
    show_key,
)

KNOWN_FILE: Final = "known_keys.toml"
KNOWN_KIND: Final = "crewtui known keys"
PUBLIC_KIND: Final = "crewtui public key"
PUBLIC_ENDING: Final = ".public.toml"
_PUBLIC_BYTES: Final = 32
_FORMAT: Final = 1


_OF_A_KEY: Final = ("key_id", "public_key", "name", "retired_on")
"""What a row of the list may hold: a misspelt word would be passed over, and a retired key still count."""


class KnownKey(Struct, frozen=True, kw_only=True):
    """A public key that the office, or this machine, vouches for."""

    public: bytes
    name: str
    retired_on: date | None = None
    own: bool = False
    """It is this machine's own key, and no list of the office names it."""

    @property
    def key_id(self) -> str:
        """The fingerprint that people compare."""
        return key_id(self.public)


class KnownKeys(Struct, frozen=True):
    """A list of known keys; the whole public key is compared, never the short fingerprint alone."""

    keys: tuple[KnownKey, ...] = ()

    def find(self, public: bytes) -> KnownKey | None:
        """Return the known key with exactly this public half."""
        return next((key for key in self.keys if key.public == public), None)

    def by_id(self, text: str) -> KnownKey | None:
        """Return the one known key whose fingerprint starts as typed; None if none or several do."""
        typed = text.replace("-", "").replace(" ", "").lower()
        fits = [key for key in self.keys if key.key_id.replace("-", "").startswith(typed)] if typed else []
        return fits[0] if len(fits) == 1 else None


def known_keys_path() -> Path:
    """Return where this user's own list of known keys is kept."""
    return home_folder() / KNOWN_FILE


def load_known(path: Path | None = None) -> KnownKeys:
    """Return the keys that count: those of the list that is named and no others.

    Where none is named they are those of this user's own list, and this machine's own key.
    """
    if path is not None:
        return KnownKeys(tuple(_load(path)))
    own_list = known_keys_path()
    keys = list(_load(own_list)) if own_list.exists() else []
    with suppress(KeyFileError):
        own = show_key()
        if all(key.public != own.public for key in keys):
            keys.append(KnownKey(public=own.public, name=own.name, own=True))
    return KnownKeys(tuple(keys))


def save_known(keys: Iterable[KnownKey], path: Path | None = None) -> Path:
    """Write a list of known keys, whole or not at all."""
    chosen = path or known_keys_path()
    rows = []
    for key in keys:
        row: dict[str, Any] = {"key_id": key.key_id, "public_key": encoded(key.public), "name": key.name}
        rows.append(row | ({"retired_on": key.retired_on} if key.retired_on else {}))
    content = tomli_w.dumps({"kind": KNOWN_KIND, "format": _FORMAT, "key": rows}).encode("utf-8")
    try:
        chosen.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(chosen, content)
    except OSError as error:
        raise KeyFileError(
            f"the list could not be written to {chosen} ({error.strerror or error})"
        ) from error
    return chosen


def add_known(key: PublicKey, path: Path | None = None) -> KnownKey:
    """Put a public key on the list; one that is there already stays as it is."""
    known = _listed(path)
    there = known.find(key.public)
    if there is not None:
        return there
    added = KnownKey(public=key.public, name=key.name)
    save_known((*known.keys, added), _file_of(path))
    return added


def retire_known(typed_id: str, on: date, path: Path | None = None) -> KnownKey:
    """Mark a key as retired: what it signed up to that day still verifies, what came later does not."""
    known = _listed(path)
    key = known.by_id(typed_id)
    if key is None:
        raise KeyFileError(
            f"no key on the list, or more than one, has an id that starts with {shown(typed_id)}"
        )
    retired = replace(key, retired_on=on)
    save_known((retired if each.public == key.public else each for each in known.keys), _file_of(path))
    return retired


def export_public(key: PublicKey, path: Path) -> None:
    """Write the public half of a key as a file that the office can put on its list."""
    table = {
        "kind": PUBLIC_KIND,
        "format": _FORMAT,
        "name": key.name,
        "key_id": key.key_id,
        "public_key": encoded(key.public),
        "made_on": key.made_on,
    }
    try:
        write_whole(path, tomli_w.dumps(table).encode("utf-8"))
    except OSError as error:
        raise KeyFileError(
            f"the public key could not be written to {path} ({error.strerror or error})"
        ) from error


def read_public(path: Path) -> PublicKey:
    """Return the public key of an exported file."""
    data = _tables(path)
    if data.get("kind") != PUBLIC_KIND:
        raise KeyFileError(f"{path} is no exported public key")
    public = _public_of(data, path)
    name, made_on = data.get("name"), data.get("made_on")
    if not isinstance(name, str) or type(made_on) is not date:
        raise KeyFileError(
            f"{path}: name is text and made_on is a date; one of them is missing or something else"
        )
    return PublicKey(public, name, made_on)


def _listed(path: Path | None) -> KnownKeys:
    """Return the list that is about to be added to; one that is yet to be made is an empty one."""
    file = _file_of(path)
    return load_known(file) if file.exists() else KnownKeys()


def _file_of(path: Path | None) -> Path:
    chosen = path or known_keys_path()
    return chosen / KNOWN_FILE if chosen.is_dir() else chosen


def _load(path: Path) -> Iterable[KnownKey]:
    if not path.is_dir():
        return _load_file(path)
    keys: list[KnownKey] = []
    if (path / KNOWN_FILE).exists():
        keys.extend(_load_file(path / KNOWN_FILE))
    for file in sorted(path.glob(f"*{PUBLIC_ENDING}")):
        key = read_public(file)
        if all(each.public != key.public for each in keys):
            keys.append(KnownKey(public=key.public, name=key.name))
    return keys


def _load_file(path: Path) -> Iterable[KnownKey]:
    data = _tables(path)
    if data.get("kind") == PUBLIC_KIND:
        key = read_public(path)
        return [KnownKey(public=key.public, name=key.name)]
    rows = data.get("key", [])
    if data.get("kind") != KNOWN_KIND or not isinstance(rows, list):
        raise KeyFileError(f"{path} is no list of known keys")
    keys = [_known_row(row, path) for row in rows]
    twice = next((key for n, key in enumerate(keys) if key.public in {one.public for one in keys[:n]}), None)
    if twice is not None:
        raise KeyFileError(f"{path}: the key {twice.key_id} stands there twice: leave the line that is right")
    return keys


def _known_row(row: Any, path: Path) -> KnownKey:
    if not isinstance(row, dict):
        raise KeyFileError(f"{path}: each [[key]] is a table")
    public = _public_of(row, path)
    strange = next((name for name in row if name not in _OF_A_KEY), "")
    if strange:
        known = ", ".join(_OF_A_KEY)
        raise KeyFileError(f"{path}: {shown(strange)} is nothing that a key has; it has {known}")
    name, retired_on = row.get("name", ""), row.get("retired_on")
    if not isinstance(name, str):
        raise KeyFileError(f"{path}: name is text, not {shown(name)}")
    if retired_on is not None and type(retired_on) is not date:
        raise KeyFileError(f"{path}: retired_on is a date such as 2031-04-05, not {shown(retired_on)}")
    return KnownKey(public=public, name=name, retired_on=retired_on)


def _public_of(table: dict[str, Any], path: Path) -> bytes:
    public = decoded(table.get("public_key"), _PUBLIC_BYTES)
    if public is None:
        raise KeyFileError(f"{path}: public_key is the base64 text of {_PUBLIC_BYTES} bytes, and this is not")
    if not is_of_one_signer(public):
        raise KeyFileError(f"{path}: public_key is the key of no signer: anybody could sign for it")
    if table.get("key_id") != key_id(public):
        raise KeyFileError(f"{path}: key_id {shown(table.get('key_id'))} does not belong to its public_key")
    return public


def _tables(path: Path) -> dict[str, Any]:
    try:
        data = read_toml(path, KEYS)
    except ReadError as error:
        raise KeyFileError(f"{path} cannot be read: {error}") from error
    if data.get("format") != _FORMAT:
        raise KeyFileError(f"{path} has format {shown(data.get('format'))}; this program reads {_FORMAT}")
    return data
