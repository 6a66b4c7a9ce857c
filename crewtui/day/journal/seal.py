"""The check that a line carries of itself: a changed last line is noticed too, which no other names.

It is the line's last key: the first sixteen hex digits of SHA-256 over the line as it reads without it. It
holds against damage, not against anybody who means to change a line: that is what the signed record is for.
"""

from __future__ import annotations

import hashlib
import re
from typing import Final

_DIGITS: Final = 16
_SEALED: Final = re.compile(rb',"check":"([0-9a-f]{%d})"\}\Z' % _DIGITS)
_LENGTH: Final = len(b',"check":""}') + _DIGITS


class BrokenSealError(ValueError):
    """A line does not read as it was written."""


def seal(body: bytes) -> bytes:
    """Return the line with its check as the last key."""
    return b'%s,"check":"%s"}' % (body[:-1], _check(body))


def unseal(line: bytes) -> tuple[bytes, bool]:
    """Return the line without its check, and whether it had one; BrokenSealError if it reads otherwise."""
    found = _SEALED.search(line, max(0, len(line) - _LENGTH))
    if found is None:
        return line, False
    body = line[: found.start()] + b"}"
    if _check(body) != found[1]:
        raise BrokenSealError("it does not read as it was written")
    return body, True


def _check(body: bytes) -> bytes:
    return hashlib.sha256(body).hexdigest()[:_DIGITS].encode("ascii")
