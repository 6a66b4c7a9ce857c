"""Only plain files of ours are opened, no link, never blocking; a folder that is not flushed is no loss."""

from __future__ import annotations

import errno
import os
import socket
from collections.abc import Callable
from pathlib import Path

import pytest

from crewtui.disk.own_files import NotPlainError, check_plain, flush_folder, open_own, write_whole

posix_only = pytest.mark.skipif(os.name == "nt", reason="Windows has no pipes or devices among its files")
READ, APPEND = os.O_RDONLY, os.O_RDWR | os.O_APPEND | os.O_CREAT


def _link(path: Path) -> None:
    path.with_name("strange").write_bytes(b"of somebody else")
    path.symlink_to(path.with_name("strange"))


def _socket(path: Path) -> None:
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(str(path))


OTHERS: dict[str, Callable[[Path], object]] = {
    "a link": _link,
    "a link to nothing": lambda path: path.symlink_to(path.with_name("none")),
    "a link to itself": lambda path: path.symlink_to(path),
    "a link to a device": lambda path: path.symlink_to("/dev/zero"),
    "a folder": lambda path: path.mkdir(),
    "a pipe": lambda path: os.mkfifo(path),  # noqa: PLW0108 - Windows has no such name
    "a socket": _socket,
}


@posix_only
@pytest.mark.parametrize("kind", OTHERS)
@pytest.mark.parametrize("flags", [READ, APPEND], ids=["read", "append"])
def test_what_is_no_plain_file_is_refused_at_once_and_left_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, flags: int
) -> None:
    monkeypatch.chdir(tmp_path)
    path = Path("file")
    OTHERS[kind](path)
    with pytest.raises(NotPlainError, match=f"it is {kind.split(' to ', maxsplit=1)[0]}, not a plain file"):
        check_plain(path, writes=False)
    with pytest.raises(NotPlainError, match="not a plain file"):
        open_own(path, flags)
    strange = tmp_path / "strange"
    assert not strange.exists() or strange.read_bytes() == b"of somebody else"
    assert not (tmp_path / "none").exists()


@posix_only
def test_a_file_under_two_names_is_read_and_not_written(tmp_path: Path) -> None:
    path = tmp_path / "file"
    path.write_bytes(b"ours?")
    os.link(path, tmp_path / "other")
    os.close(open_own(path, READ))
    with pytest.raises(NotPlainError, match="two names"):
        open_own(path, APPEND)


def test_a_plain_file_is_opened_and_a_missing_one_is_missing(tmp_path: Path) -> None:
    path = tmp_path / "file"
    check_plain(path, writes=True)
    with pytest.raises(FileNotFoundError):
        open_own(path, READ)
    os.close(open_own(path, APPEND))
    assert path.read_bytes() == b""


@pytest.mark.parametrize("number", [errno.EINVAL, errno.ENOTSUP, errno.EIO, errno.EACCES])
def test_a_folder_that_refuses_to_be_flushed_holds_the_file_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    flush = os.fsync

    def refuses_folders(handle: int) -> None:
        if os.path.isdir(f"/proc/self/fd/{handle}"):  # noqa: PTH112 - of a handle, as the system lists it
            raise OSError(number, os.strerror(number))
        flush(handle)

    monkeypatch.setattr(os, "fsync", refuses_folders)
    flush_folder(tmp_path)
    write_whole(tmp_path / "file", b"whole")
    assert (tmp_path / "file").read_bytes() == b"whole"


@posix_only
def test_a_link_in_the_place_of_a_file_is_replaced_and_its_end_is_not_touched(
    tmp_path: Path,
) -> None:
    _link(tmp_path / "file")
    write_whole(tmp_path / "file", b"ours")
    assert not (tmp_path / "file").is_symlink()
    assert (tmp_path / "strange").read_bytes() == b"of somebody else"
