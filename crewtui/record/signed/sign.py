"""Signing a record, and putting it on the disk: a new file each time, never over an older one."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any, Final

import tomli_w

from crewtui.disk.own_files import write_whole
from crewtui.record.signed.canonical import SIGNATURE, canonical_bytes, form_of
from crewtui.record.signed.signing_keys import SigningKey, encoded

RECORD_KIND: Final = "crewtui completion record"
RECORD_FORMAT: Final = 2
"""Major version of the record: a newer one is refused in words, every older one is read."""

ALGORITHM: Final = "Ed25519"
SIGNER: Final = "signer"
"""The signed table that says who signed, with which key, and when."""

RECORD_ENDING: Final = ".record.toml"


class RecordError(ValueError):
    """A record could not be made or written; str() is one sentence."""


def sign_record(data: Mapping[str, Any], key: SigningKey, *, signed_at: datetime) -> dict[str, Any]:
    """Return the record with who signed it in its signed part, and the signature table at its end.

    ``signer.name`` stays as typed if the data have it; it is the key's own name otherwise.
    """
    if signed_at.utcoffset() is None:
        raise RecordError("the time of signing needs its offset from UTC")
    if data.get("kind") != RECORD_KIND or data.get("format") != RECORD_FORMAT:
        raise RecordError(f'a record says kind = "{RECORD_KIND}" and format = {RECORD_FORMAT}')
    typed = data.get(SIGNER, {}).get("name", key.name)
    signed = {name: value for name, value in data.items() if name not in {SIGNER, SIGNATURE}}
    signed[SIGNER] = {
        "name": typed,
        "key_id": key.key_id,
        "public_key": encoded(key.public),
        "signed_at": signed_at.replace(microsecond=0),
    }
    signature = key.sign(canonical_bytes(signed))
    return signed | {
        SIGNATURE: {
            "algorithm": ALGORITHM,
            "form": form_of(signed).name,
            "key_id": key.key_id,
            "value": encoded(signature),
        }
    }


def record_path(job_path: Path, revision: int = 1) -> Path:
    """Return where the record of a job file stands: beside it, a later revision under its own number."""
    numbered = "" if revision == 1 else f".revision-{revision}"
    return job_path.with_name(f"{job_path.stem}{numbered}{RECORD_ENDING}")


def record_text(data: Mapping[str, Any]) -> str:
    """Return a record as the text of its file, with line ends of its own."""
    return _PREFACE + tomli_w.dumps(data)


def write_record(path: Path, data: Mapping[str, Any]) -> None:
    """Write a signed record, whole or not at all; RecordError if a file stands there already."""
    if SIGNATURE not in data:
        raise RecordError("a record is written once it is signed, and this one is not")
    if path.exists():
        raise RecordError(f"{path} is there already, and a signed record is never written over")
    try:
        write_whole(path, record_text(data).encode("utf-8"))
    except OSError as error:
        reason = error.strerror or str(error)
        raise RecordError(
            f"the record could not be written to {path} ({reason}); nothing is lost, sign again"
        ) from error


_PREFACE: Final = """\
# A completion record of tied-back wall anchors, made and signed by crewtui.
# Its values may be laid out anew, never changed: then the signature no longer holds.
# To check it: crewtui verify FILE

"""
