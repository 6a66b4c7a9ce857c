"""The lead's signing key: made once, kept encrypted under a passphrase in the user's own folder.

The key file is TOML: the public half in plain, the secret half sealed with ChaCha20-Poly1305 (RFC 8439) under
a key that scrypt (RFC 7914) makes of the passphrase. The plain half is sealed in with it, so neither can be
swapped. The secret half and the passphrase reach no message, no log and no other file.
"""

from __future__ import annotations

import base64
import binascii
import hashlib
import os
import secrets
import stat
import unicodedata
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any, Final

import tomli_w
from cryptography.exceptions import InvalidSignature, InvalidTag
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt
from msgspec import Struct

from crewtui.disk.own_files import home_folder, write_whole
from crewtui.disk.their_files import Bounds, ReadError, read_toml
from crewtui.foreign import shown
from crewtui.record.signed.canonical import CanonicalError, canonical_bytes

KEY_FILE: Final = "signing-key.toml"
KEY_KIND: Final = "crewtui signing key"
KEY_FORMAT: Final = 1
LEAST_PASSPHRASE: Final = 8
KEY_BOUNDS: Final = Bounds(most_bytes=64 * 1024, most_headers=10, most_items=100)

_PUBLIC_BYTES: Final = 32
_GREATEST_NAME: Final = 200
_OPEN_KEYS: Final = frozenset(
    {
        "kind",
        "format",
        "name",
        "key_id",
        "public_key",
        "made_on",
        "scrypt_n",
        "scrypt_r",
        "scrypt_p",
        "salt",
        "nonce",
    }
)


class KeyFileError(ValueError):
    """A key could not be made, read or used; str() is one sentence without any secret."""


class WrongPassphraseError(KeyFileError):
    """The passphrase does not open the key; nothing is said of how near it was."""

    def __init__(self) -> None:
        super().__init__("that passphrase does not open the key")


class ScryptCost(Struct, frozen=True):
    """How dear each guess at a passphrase is made; the default takes about a third of a second and 32 MB."""

    n: int = 2**15
    r: int = 8
    p: int = 3


_LEAST_N, _GREATEST_N, _GREATEST_R, _GREATEST_P = 2, 2**17, 8, 8


class PublicKey(Struct, frozen=True):
    """The half of a key that anybody may have."""

    public: bytes
    name: str
    made_on: date

    @property
    def key_id(self) -> str:
        """The fingerprint that people compare."""
        return key_id(self.public)


@dataclass(frozen=True, slots=True)  # of the two, only a dataclass keeps a field out of its repr
class SigningKey:
    """An opened key; it signs, and shows nothing of its secret half."""

    public: bytes
    name: str
    _private: Ed25519PrivateKey = field(repr=False, compare=False)

    @classmethod
    def from_secret(cls, secret: bytes, *, name: str = "") -> SigningKey:
        """Return the key of 32 secret bytes."""
        private = Ed25519PrivateKey.from_private_bytes(secret)
        return cls(private.public_key().public_bytes_raw(), name, private)

    @property
    def key_id(self) -> str:
        """The fingerprint that people compare."""
        return key_id(self.public)

    def sign(self, message: bytes) -> bytes:
        """Return the 64 bytes of the Ed25519 signature (RFC 8032)."""
        return self._private.sign(message)


def key_id(public: bytes) -> str:
    """Return a public key's fingerprint: the first 128 bits of its SHA-256 in hex, in groups of four."""
    digits = hashlib.sha256(public).hexdigest()[:32]
    return "-".join(digits[start : start + 4] for start in range(0, 32, 4))


_FIELD: Final = 2**255 - 19
# y of the points of order 1, 2, 4 and 8 on edwards25519 (RFC 8032, section 5.1).
_OF_LOW_ORDER: Final = frozenset(
    {
        0,
        1,
        _FIELD - 1,
        0x05FC536D880238B13933C6D305ACDFD5F098EFF289F4C345B027B2C28F95E826,
        0x7A03AC9277FDC74EC6CC392CFA53202A0F67100D760B3CBA4FD84D3D706A17C7,
    }
)


def is_of_one_signer(public: bytes) -> bool:
    """Return whether only who holds a secret can sign for this key.

    For a point of low order one signature fits any message, and no such point, nor a y past the field, is the
    key of a secret.
    """
    y = int.from_bytes(public, "little") & ((1 << 255) - 1)
    return y < _FIELD and y not in _OF_LOW_ORDER


def signed_by(public: bytes, signature: bytes, message: bytes) -> bool:
    """Return whether this key made this signature over this message."""
    if not is_of_one_signer(public):
        return False
    try:
        Ed25519PublicKey.from_public_bytes(public).verify(signature, message)
    except (InvalidSignature, ValueError):
        return False
    return True


def encoded(content: bytes) -> str:
    """Return bytes as base64 text."""
    return base64.b64encode(content).decode("ascii")


def decoded(text: object, length: int | None = None) -> bytes | None:
    """Return the bytes of base64 text, or None unless it is text, strictly written, and of that length."""
    if not isinstance(text, str):
        return None
    try:
        content = base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        return None
    strict = encoded(content) == text and (length is None or len(content) == length)
    return content if strict else None


def own_key_path() -> Path:
    """Return where this user's signing key is kept."""
    return home_folder() / KEY_FILE


def make_key(
    name: str, passphrase: str, *, today: date, replace: bool = False, cost: ScryptCost | None = None
) -> PublicKey:
    """Make a new key for this user and keep it; an old one is set aside only if ``replace`` says so."""
    name = " ".join(name.split())
    if not name or len(name) > _GREATEST_NAME:
        raise KeyFileError(f"a key needs the name of who signs with it, at most {_GREATEST_NAME} letters")
    check_new_passphrase(passphrase)
    path = own_key_path()
    if path.exists():
        if not replace:
            raise KeyFileError(
                f"there is a key already ({path}); --replace sets it aside and makes a new one"
            )
        _set_aside(path)
    secret = secrets.token_bytes(32)
    public = _write_secret(path, secret, passphrase, name=name, made_on=today, cost=cost or ScryptCost())
    return PublicKey(public, name, today)


def open_key(passphrase: str, path: Path | None = None) -> SigningKey:
    """Open this user's key; WrongPassphraseError if that does not open it."""
    data, open_part = _read_key_file(path or own_key_path())
    sealed = decoded(data.get("sealed"))
    salt, nonce = decoded(data["salt"], 16), decoded(data["nonce"], 12)
    if sealed is None or salt is None or nonce is None:
        raise KeyFileError("the key file is damaged")
    cost = ScryptCost(data["scrypt_n"], data["scrypt_r"], data["scrypt_p"])
    try:
        secret = ChaCha20Poly1305(_stretched(passphrase, salt, cost)).decrypt(
            nonce, sealed, canonical_bytes(open_part)
        )
    except InvalidTag:
        raise WrongPassphraseError from None
    key = SigningKey.from_secret(secret, name=data["name"])
    if encoded(key.public) != data["public_key"]:
        raise KeyFileError("the key file is damaged")
    return key


def show_key(path: Path | None = None) -> PublicKey:
    """Return the public half of this user's key; it needs no passphrase."""
    data, _ = _read_key_file(path or own_key_path())
    public = decoded(data["public_key"], _PUBLIC_BYTES)
    if public is None or key_id(public) != data["key_id"]:
        raise KeyFileError("the key file is damaged")
    return PublicKey(public, data["name"], data["made_on"])


def change_passphrase(old: str, new: str, *, cost: ScryptCost | None = None) -> PublicKey:
    """Seal this user's key under another passphrase; the key and its id stay."""
    check_new_passphrase(new)
    path = own_key_path()
    shown_key = show_key(path)
    key = open_key(old, path)
    secret = key._private.private_bytes_raw()  # noqa: SLF001 - the one other place that handles the secret half
    _write_secret(path, secret, new, name=key.name, made_on=shown_key.made_on, cost=cost or ScryptCost())
    return shown_key


def retire_key(today: date) -> tuple[PublicKey, Path]:
    """Set this user's key aside so that nothing more is signed with it; return it and where it now lies."""
    key = show_key()
    return key, _set_aside(own_key_path(), today)


def check_new_passphrase(passphrase: str) -> None:
    """Raise KeyFileError unless this can serve as a passphrase."""
    if len(_normal(passphrase)) < LEAST_PASSPHRASE or not passphrase.strip():
        raise KeyFileError(f"a passphrase needs at least {LEAST_PASSPHRASE} characters; a few words are good")


def rights_warning(path: Path | None = None) -> str:
    """Return a sentence if others on this machine can read the key file, else nothing (as on Windows)."""
    path = path or own_key_path()
    if os.name != "posix":
        return ""
    try:
        mode = stat.S_IMODE(path.stat().st_mode)
    except OSError:
        return ""
    if mode & 0o077:
        return f"others on this machine have rights to the key file; take them away: chmod 600 '{path}'"
    return ""


def _normal(passphrase: str) -> str:
    """Return one form of letters that two keyboards compose differently (RFC 8265 asks for NFC)."""
    return unicodedata.normalize("NFC", passphrase)


def _stretched(passphrase: str, salt: bytes, cost: ScryptCost) -> bytes:
    raw = _normal(passphrase).encode("utf-8", "surrogatepass")
    return Scrypt(salt=salt, length=32, n=cost.n, r=cost.r, p=cost.p).derive(raw)


def _write_secret(
    path: Path, secret: bytes, passphrase: str, *, name: str, made_on: date, cost: ScryptCost
) -> bytes:
    public = SigningKey.from_secret(secret).public
    salt, nonce = secrets.token_bytes(16), secrets.token_bytes(12)
    open_part: dict[str, Any] = {
        "kind": KEY_KIND,
        "format": KEY_FORMAT,
        "name": name,
        "key_id": key_id(public),
        "public_key": encoded(public),
        "made_on": made_on,
        "scrypt_n": cost.n,
        "scrypt_r": cost.r,
        "scrypt_p": cost.p,
        "salt": encoded(salt),
        "nonce": encoded(nonce),
    }
    try:
        associated = canonical_bytes(open_part)
    except CanonicalError as error:
        raise KeyFileError(f"that name cannot be kept in a file: {error}") from error
    sealed = ChaCha20Poly1305(_stretched(passphrase, salt, cost)).encrypt(nonce, secret, associated)
    content = tomli_w.dumps(open_part | {"sealed": encoded(sealed)}).encode("utf-8")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(path, content, private=True)
    except OSError as error:
        raise KeyFileError(f"the key could not be written to {path} ({error.strerror or error})") from error
    return public


def _read_key_file(path: Path) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return a key file's tables and the part of them that is sealed in with the secret."""
    if not path.exists():
        raise KeyFileError("there is no signing key yet; make one with: crewtui key make --name 'Your Name'")
    try:
        data = read_toml(path, KEY_BOUNDS)
    except ReadError as error:
        raise KeyFileError(f"the key file {path} cannot be read: {error}") from error
    if data.get("kind") != KEY_KIND:
        raise KeyFileError(f"{path} is no crewtui signing key")
    if data.get("format") != KEY_FORMAT:
        raise KeyFileError(
            f"the key file has format {shown(data.get('format'))}; this program reads {KEY_FORMAT}"
        )
    if set(data) != _OPEN_KEYS | {"sealed"} or not _plausible(data):
        raise KeyFileError("the key file is damaged")
    return data, {key: value for key, value in data.items() if key != "sealed"}


def _plausible(data: dict[str, Any]) -> bool:
    """Return whether types are right and the cost of opening is bounded: no file can hang the program."""
    numbers: list[int] = [data["scrypt_n"], data["scrypt_r"], data["scrypt_p"]]
    whole = all(type(number) is int for number in numbers)
    texts = all(
        isinstance(data[key], str) for key in ("name", "key_id", "public_key", "salt", "nonce", "sealed")
    )
    if not (whole and texts and type(data["made_on"]) is date):
        return False
    n, r, p = numbers
    return (
        _LEAST_N <= n <= _GREATEST_N and n & (n - 1) == 0 and 1 <= r <= _GREATEST_R and 1 <= p <= _GREATEST_P
    )


def _set_aside(path: Path, today: date | None = None) -> Path:
    """Move the key file aside under its own id; nothing is deleted."""
    marked = f"-{today.isoformat()}" if today else ""
    aside = path.with_name(f"retired-{show_key(path).key_id}{marked}.toml")
    try:
        path.replace(aside)
    except OSError as error:
        raise KeyFileError(f"the key could not be moved to {aside} ({error.strerror or error})") from error
    return aside
