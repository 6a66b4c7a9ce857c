"""Whether a record is what was signed, and by whom; always with what the answer does and does not prove."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any, Final, Literal

from msgspec import Struct

from crewtui.disk.their_files import ReadError, UnreadableFileError, parse_toml, read_bounded
from crewtui.foreign import cleaned, prose, shown
from crewtui.record.signed.canonical import SIGNATURE, CanonicalError, canonical_bytes, form_of
from crewtui.record.signed.form import NO_TIME, AnchorDone, Record, Signer
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.read_form import StrangeError, read_form
from crewtui.record.signed.sign import ALGORITHM, RECORD_FORMAT, RECORD_KIND, SIGNER
from crewtui.record.signed.signing_keys import decoded, key_id, signed_by
from crewtui.trade.vocabulary import DayKind

State = Literal["valid", "altered", "not a record", "unknown key", "strange", "not judged"]
EXIT_CODES: Final[Mapping[State, int]] = {
    "valid": 0, "altered": 1, "not a record": 2, "unknown key": 3, "strange": 5, "not judged": 6,
}  # fmt: skip
"""The code of each verdict; 4 is that of records that hold and do not chain."""

PROVES: Final = (
    "It proves that nothing in the record has changed since it was signed with this key."
    " It does not prove that what was written is true, that the clock was right, or who held the key."
)
_PUBLIC_BYTES, _SIGNATURE_BYTES = 32, 64


class Verdict(Struct, frozen=True, kw_only=True):
    """What a check of one file found."""

    state: State
    words: str
    path: Path | None = None
    key_id: str = ""
    known_as: str = ""
    signer: str = ""
    signed_at: datetime | None = None
    record_hash: str = ""
    job_id: str = ""
    site: str = ""
    revision: int = 1
    before: str = ""
    """The hash of the revision before this one, as this one names it."""
    reason: str = ""
    """Why that one was replaced."""
    complete: bool = False
    house: str = ""
    """The house's own id; empty in a record that names none."""
    day: DayKind | None = None
    follows: str = ""
    """The hash of the record that a visit's job was written from."""
    done_on: date | None = None
    """The day of the last entry at an anchor, as the entries say; never the planned one."""
    data: Mapping[str, Any] | None = None
    """The record's tables, if the signature holds and they are laid out as a record is."""
    record: Record | None = None
    """The same by their types."""

    @property
    def exit_code(self) -> int:
        """The code that the command line ends with."""
        return EXIT_CODES[self.state]


def verify(path: Path, known: KnownKeys) -> Verdict:
    """Check the record in a file against its signature and the known keys; whatever the bytes, a verdict."""
    try:
        content = read_bounded(path)
    except UnreadableFileError as error:
        return not_judged(path, str(error))
    except ReadError as error:
        return Verdict(state="not a record", words=f"Not a record: {error}.", path=path)
    return verify_bytes(content, known, path=path)


def not_judged(path: Path, why: str) -> Verdict:
    """Return that a file or folder could not be looked at, which says nothing of what is in it."""
    words = f"Not judged: {why}. It may hold anything; give it the rights to be read, and check again."
    return Verdict(state="not judged", words=words, path=path)


def verify_bytes(content: bytes, known: KnownKeys, *, path: Path | None = None) -> Verdict:
    """Check a record's bytes, as a file or a mail brings them."""
    try:
        data = parse_toml(content)
    except ReadError as error:
        torn = b"[signature]" in content or RECORD_KIND.encode() in content
        also = " It looks like a record that was damaged on its way; ask for it again." if torn else ""
        return Verdict(state="not a record", words=f"Not a record: {error}.{also}", path=path)
    return verify_data(data, known, path=path)


def verify_data(data: Mapping[str, Any], known: KnownKeys, *, path: Path | None = None) -> Verdict:
    """Check the tables of a record."""
    problem = _no_record(data)
    if problem:
        return Verdict(state="not a record", words=f"Not a record: {problem}.", path=path)
    try:
        message = canonical_bytes(data)
    except CanonicalError as error:
        return _altered(f"no record holds such a value ({shown(error)})", path)
    fault = _fault(data, message)
    if fault:
        return _altered(fault, path)
    try:
        record = read_form(data)
    except StrangeError as error:
        return _strange(data, str(error), path)
    public = decoded(record.signer.public_key, _PUBLIC_BYTES) or b""
    state, words, known_as = _judged(known.find(public), record.signer)
    return Verdict(
        state=state,
        words=words,
        path=path,
        key_id=key_id(public),
        known_as=known_as,
        signer=shown(record.signer.name),
        signed_at=record.signer.signed_at,
        record_hash=hashlib.sha256(message).hexdigest(),
        job_id=cleaned(record.job.id),
        site=cleaned(record.job.site),
        revision=record.revision.number,
        before=record.revision.before or "",
        reason=prose(record.revision.reason or ""),
        complete=record.complete,
        house=cleaned(record.house.id) if record.house is not None else "",
        day=record.day,
        follows=(record.house.follows or "") if record.house is not None else "",
        done_on=done_on(record),
        data=data,
        record=record,
    )


def done_on(record: Record) -> date | None:
    """Return the day on which the last thing was done at an anchor, else the day of signing."""
    moments = [at for anchor in record.anchor for at in _moments(anchor) if at != NO_TIME]
    last = max(moments, default=record.signer.signed_at)
    return last.date() if last != NO_TIME else None


def _moments(anchor: AnchorDone) -> Iterator[datetime]:
    if anchor.last_at is not None:
        yield anchor.last_at
    yield from (made.done_at for made in (*anchor.value, *anchor.answer, *anchor.reading, *anchor.torque))


def _no_record(data: Mapping[str, Any]) -> str:
    """Return why these tables are no record that this program reads, or nothing."""
    if data.get("kind") != RECORD_KIND:
        return f'it does not say kind = "{RECORD_KIND}"'
    version = data.get("format")
    if type(version) is not int or version < 1:
        return "it names no format version"
    if version > RECORD_FORMAT:
        return (
            f"it is of format {version} and this program reads up to {RECORD_FORMAT};"
            " check it with a newer crewtui"
        )
    if not isinstance(data.get(SIGNATURE), dict):
        return "it is not signed"
    return ""


def _fault(data: Mapping[str, Any], message: bytes) -> str:  # noqa: PLR0911 - one return a fault
    """Return why the signature does not hold for these data, or nothing."""
    signer, signature = _part(data, SIGNER), data[SIGNATURE]
    if set(signature) != {"algorithm", "form", "key_id", "value"}:
        return "its signature table has other keys than a record's"
    if signature["algorithm"] != ALGORITHM or signature["form"] != form_of(data).name:
        return "its signature is of a kind that this program does not make"
    public = decoded(signer.get("public_key"), _PUBLIC_BYTES)
    value = decoded(signature["value"], _SIGNATURE_BYTES)
    if public is None or value is None:
        return "its key or its signature is not written as one"
    if not signer.get("key_id") == signature["key_id"] == key_id(public):
        return "its key id does not belong to its key"
    if not signed_by(public, value, message):
        return "what it says is not what was signed"
    if not isinstance(signer.get("name"), str) or not _is_instant(signer.get("signed_at")):
        return "it does not say who signed it and when"
    return ""


def _judged(known: KnownKey | None, signer: Signer) -> tuple[State, str, str]:
    """Return state, words and the name under which the key is known; the signature itself holds."""
    name, fingerprint, signed_at = shown(signer.name), signer.key_id, signer.signed_at
    when = f"{signed_at:%Y-%m-%d %H:%M %z}"
    if known is None:
        words = (
            f"Unknown key {fingerprint}. The signature holds, by somebody who gives the name {name}, {when};"
            " but no known key made it. Compare the key id with the lead by phone before adding it."
        )
        return "unknown key", words, ""
    known_name = shown(known.name)
    if known.retired_on and signed_at.date() > known.retired_on:
        words = (
            f"Key {fingerprint} of {known_name} was retired on {known.retired_on}, and this was signed"
            f" after that by its own word, {when}. Treat it as an unknown key."
        )
        return "unknown key", words, known_name
    whose = "this machine's own key" if known.own else f"the known key of {known_name}"
    retired = f" The key was retired on {known.retired_on}, after this." if known.retired_on else ""
    return "valid", f"Valid. Signed by {name} with {whose}, {when}.{retired} {PROVES}", known_name


def _strange(data: Mapping[str, Any], why: str, path: Path | None) -> Verdict:
    public = decoded(data[SIGNER].get("public_key"), _PUBLIC_BYTES) or b""
    words = (
        f"Strange: its signature holds, and it is laid out as no record of this program is ({why})."
        " Nothing is taken from it; ask the lead what wrote it."
    )
    return Verdict(state="strange", words=words, path=path, key_id=key_id(public))


def _altered(why: str, path: Path | None) -> Verdict:
    words = (
        f"Altered: {why}. Something was changed, added or left out after signing; the signature cannot say"
        " what. Do not rely on it; ask for the file as it was signed."
    )
    return Verdict(state="altered", words=words, path=path)


def _part(data: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    part = data.get(name)
    return part if isinstance(part, dict) else {}


def _is_instant(value: object) -> bool:
    return isinstance(value, datetime) and value.utcoffset() is not None
