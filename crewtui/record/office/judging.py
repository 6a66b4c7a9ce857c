"""Many records, each verified once: on all cores where they are many, and not again until they change.

What a record says is worked out where it is verified, and travels as bytes: the tables' rows, packed. The
cache is by the hash of a file's bytes, of the keys that count, and of this program's own tables: another key
list or another program never meets an old verdict. It may be thrown away at any time.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import os
import sqlite3
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Final, NamedTuple, Self

from msgspec import msgpack
from msgspec.structs import replace

from crewtui import VERSION
from crewtui.disk.own_files import cache_folder
from crewtui.disk.their_files import ReadError, UnreadableFileError, read_bounded
from crewtui.record.office.packed_rows import pack, tables_id
from crewtui.record.signed.known_keys import KnownKeys
from crewtui.record.signed.verify import Verdict, not_judged, verify_bytes

MANY: Final = 200
"""Files from which on other processes are worth their start."""
_BATCH: Final = 50
_LARGEST_CACHE: Final = 2_000_000_000
"""Bytes past which the cache is thrown away and begun anew."""


class JudgedRecord(NamedTuple):
    """One file: its verdict without its tables, and its record's rows, packed; empty where it is none."""

    verdict: Verdict
    rows: bytes


class _Found(NamedTuple):
    path: Path
    content_hash: str
    """Empty where the file could not be read."""
    judged: JudgedRecord


def judge(path: Path, known: KnownKeys) -> _Found:
    """Read, verify and pack one file; whatever its bytes, a verdict."""
    try:
        content = read_bounded(path)
    except UnreadableFileError as error:
        return _Found(path, "", JudgedRecord(not_judged(path, str(error)), b""))
    except ReadError as error:
        words = f"Not a record: {error}."
        return _Found(path, "", JudgedRecord(Verdict(state="not a record", words=words, path=path), b""))
    verdict = verify_bytes(content, known, path=path)
    rows = b"" if verdict.record is None else pack(verdict, verdict.record)
    bare = replace(verdict, data=None, record=None)
    return _Found(path, hashlib.sha256(content).hexdigest(), JudgedRecord(bare, rows))


def _judge_batch(paths: Sequence[Path], known: KnownKeys) -> list[_Found]:
    return [judge(path, known) for path in paths]


def judge_all(
    files: Sequence[Path],
    known: KnownKeys,
    *,
    cache: Path | None = None,
    workers: int | None = None,
    done: Callable[[], None] = lambda: None,
) -> Iterator[JudgedRecord]:
    """Yield every file judged, in the order given; ``done`` is called after each."""
    with _Cache(cache, known) as kept:
        keys = {path: key for path in files if (key := kept.key_of(path)) is not None}
        missing = [path for path in files if path not in keys]
        fresh = _fresh(missing, known, workers)
        for path in files:
            judged = kept.found(path, keys[path]) if path in keys else None
            if judged is None and path in keys:
                judged = judge(path, known).judged  # The cache lost it in between.
            if judged is None:
                anew = next(fresh)
                kept.keep(anew)
                judged = anew.judged
            done()
            yield judged


def _fresh(files: Sequence[Path], known: KnownKeys, workers: int | None) -> Iterator[_Found]:
    count = min(workers or os.cpu_count() or 1, -(-len(files) // _BATCH))
    if count < 2 or len(files) < MANY:  # noqa: PLR2004 - one process is this one
        yield from (judge(path, known) for path in files)
        return
    # Spawned, not forked: the same on every system, and nothing of this process is shared by chance.
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(count, mp_context=context) as pool:
        waiting = deque(pool.submit(_judge_batch, batch, known) for batch in _batches(files))
        while waiting:
            yield from waiting.popleft().result()


def _batches(files: Sequence[Path]) -> Iterator[Sequence[Path]]:
    for at in range(0, len(files), _BATCH):
        yield files[at : at + _BATCH]


def own_cache() -> Path:
    """Return where this user's cache of verdicts is kept."""
    return cache_folder() / "verdicts.sqlite"


class _Cache:
    """Verdicts and rows by what they rest on; a cache that fails is none, and says nothing."""

    def __init__(self, path: Path | None, known: KnownKeys) -> None:
        keys = b"".join(sorted(key.public + repr(key).encode() for key in known.keys))
        self._rests_on = hashlib.sha256(f"{VERSION} {tables_id()} ".encode() + keys).hexdigest()
        self._path = path
        self._db: sqlite3.Connection | None = None
        self._new: list[tuple[str, bytes, bytes]] = []

    def __enter__(self) -> Self:
        if self._path is not None:
            with suppress(OSError, sqlite3.Error):
                self._db = self._opened(self._path)
        return self

    @staticmethod
    def _opened(path: Path) -> sqlite3.Connection:
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.exists() and path.stat().st_size > _LARGEST_CACHE:
            path.unlink()
        db = sqlite3.connect(path)
        try:
            db.execute("create table if not exists judged (key text primary key, verdict blob, rows blob)")
        except sqlite3.DatabaseError:
            # Not a database, or a torn one: it is only a cache.
            db.close()
            path.unlink()
            db = sqlite3.connect(path)
            db.execute("create table judged (key text primary key, verdict blob, rows blob)")
        return db

    def __exit__(self, *_: object) -> None:
        if self._db is not None:
            with suppress(sqlite3.Error):
                self._write()
                self._db.close()

    def key_of(self, path: Path) -> str | None:
        """Return under which key the file, as its bytes are now, is kept; None where it is not."""
        if self._db is None:
            return None
        with suppress(OSError, ReadError, UnreadableFileError, sqlite3.Error):
            key = self._key(hashlib.sha256(read_bounded(path)).hexdigest())
            if self._db.execute("select 1 from judged where key = ?", (key,)).fetchone() is not None:
                return key
        return None

    def found(self, path: Path, key: str) -> JudgedRecord | None:
        """Return what is kept under a key."""
        assert self._db is not None  # noqa: S101 - asked before
        with suppress(sqlite3.Error, ValueError):
            row = self._db.execute("select verdict, rows from judged where key = ?", (key,)).fetchone()
            if row is not None:
                return JudgedRecord(replace(_VERDICT.decode(row[0]), path=path), row[1])
        return None

    def keep(self, found: _Found) -> None:
        """Keep what was judged, but for what could not be read."""
        if self._db is None or not found.content_hash:
            return
        verdict = replace(found.judged.verdict, path=None)
        self._new.append((self._key(found.content_hash), msgpack.encode(verdict), found.judged.rows))
        if len(self._new) >= MANY:
            with suppress(sqlite3.Error):
                self._write()

    def _write(self) -> None:
        assert self._db is not None  # noqa: S101 - asked before
        self._db.executemany("insert or replace into judged values (?, ?, ?)", self._new)
        self._db.commit()
        self._new.clear()

    def _key(self, content_hash: str) -> str:
        return f"{content_hash} {self._rests_on}"


def _no_path(kind: type, value: object) -> object:
    """Read what msgpack does not know by itself: a path, which is never kept."""
    raise ValueError(f"{kind} {value}")


_VERDICT: Final = msgpack.Decoder(Verdict, dec_hook=_no_path)


__all__ = ["MANY", "JudgedRecord", "judge", "judge_all", "own_cache"]
