"""What `verify FOLDER` looks into, and what it says of what it could not: nothing is passed over."""

from __future__ import annotations

import json
import os
import stat
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from crewtui import cli
from crewtui.record.signed import find_records as room
from crewtui.record.signed.find_records import MOST_DEEP, find_records
from crewtui.record.signed.known_keys import KnownKey, save_known
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record, write_record
from crewtui.record.signed.signing_keys import SigningKey

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with one good record in it."""
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))
    found = tmp_path / "records"
    found.mkdir()
    put(found / "good.record.toml", "J-1")
    return found


def put(path: Path, job: str, **changes: Any) -> None:
    data = {"kind": RECORD_KIND, "format": RECORD_FORMAT, "complete": True, "job": {"id": job}} | changes
    write_record(path, sign_record(data, KEY, signed_at=AT))


def altered(path: Path) -> None:
    put(path, "J-altered")
    path.write_bytes(path.read_bytes().replace(b"J-altered", b"J-ALTERED"))


def judged(folder: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, dict[str, Any]]:
    keys = save_known([KnownKey(public=KEY.public, name="Lee")], folder.parent / "keys.toml")
    code = cli.run(["verify", str(folder), "--keys", str(keys), "--json"])
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return code, found


def states(found: dict[str, Any]) -> dict[str, str]:
    return {Path(one["path"]).name: one["state"] for one in found["records"]}


def test_links_that_lead_in_circles_end_and_hide_nothing(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    altered(elsewhere / "bad.record.toml")
    (folder / "a").symlink_to(folder)
    (folder / "b").symlink_to(elsewhere)
    (elsewhere / "back").symlink_to(folder)
    (folder / "self.record.toml").symlink_to("self.record.toml")
    code, found = judged(folder, capsys)
    assert states(found) == {
        "good.record.toml": "valid", "bad.record.toml": "altered", "self.record.toml": "not judged",
    }  # fmt: skip
    assert code == 1


def test_a_folder_too_deep_is_named_and_the_code_says_so(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    deep = folder
    for _ in range(MOST_DEEP + 1):
        deep /= "d"
    deep.mkdir(parents=True)
    altered(deep / "bad.record.toml")
    code, found = judged(folder, capsys)
    assert code == 6
    assert found["counts"]["not judged"] == 1
    assert f"more than {MOST_DEEP} folders deep" in found["records"][-1]["words"]


@pytest.mark.parametrize("name", ["shut", "shut.record.toml"])
def test_what_there_are_no_rights_to_is_named_and_the_code_says_so(
    folder: Path, name: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Rights bind no administrator, so the system's own refusal is put in their place."""
    if name == "shut":
        (folder / name).mkdir()
        altered(folder / name / "bad.record.toml")
    else:
        altered(folder / name)
    opened, scanned = os.open, os.scandir

    def no_rights(path: Any, *rest: Any) -> Any:
        if Path(path).name == name:
            raise PermissionError(13, "Permission denied", str(path))
        return scanned(path) if not rest else opened(path, *rest)

    monkeypatch.setattr(os, "open", no_rights)
    monkeypatch.setattr(room.os, "scandir", no_rights)
    code, found = judged(folder, capsys)
    assert code == 6
    assert states(found)[name] == "not judged"
    assert "Permission denied" in found["records"][-1]["words"]


def test_a_pipe_a_device_and_a_huge_file_are_named_at_once(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    os.mkfifo(folder / "pipe.record.toml")
    (folder / "device.record.toml").symlink_to("/dev/zero")
    with (folder / "huge.record.toml").open("wb") as file:
        file.truncate(2 << 30)
    code, found = judged(folder, capsys)
    assert code == 2
    assert list(states(found).values()).count("not a record") == 3
    words = " ".join(one["words"] for one in found["records"])
    assert "no plain file" in words
    assert "larger than" in words


def test_names_of_any_case_and_any_bytes_are_found(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    altered(folder / "LOUD.RECORD.TOML")
    odd = os.fsencode(folder) + b"/odd-\xff.record.toml"
    with open(odd, "wb") as file:  # noqa: PTH123 - a name of bytes
        file.write(b"x")
    code, found = judged(folder, capsys)
    assert code == 1
    assert len(found["records"]) == 3


def test_a_file_named_twice_in_two_ways_is_looked_at_as_often_as_it_was_named(folder: Path) -> None:
    found = find_records([folder, folder / "good.record.toml", folder])
    assert len(found.files) == 2
    assert stat.S_ISDIR(folder.stat().st_mode)


def test_the_worst_of_all_is_the_code(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    codes = []
    put(folder / "strange.record.toml", "J-2", note=7)
    codes.append(judged(folder, capsys)[0])
    (folder / "none.record.toml").write_bytes(b"x = 1")
    codes.append(judged(folder, capsys)[0])
    put(folder / "rival.record.toml", "J-1", complete=False)
    codes.append(judged(folder, capsys)[0])
    altered(folder / "bad.record.toml")
    codes.append(judged(folder, capsys)[0])
    assert codes == [5, 2, 4, 1]


def test_no_page_is_written_outside_the_folder_that_was_named(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    put(elsewhere / "other.record.toml", "J-2")
    (folder / "link").symlink_to(elsewhere)
    (folder / "one.record.toml").symlink_to(elsewhere / "other.record.toml")
    code = cli.run(["sheet", str(folder)])
    said = capsys.readouterr()
    assert not list(elsewhere.glob("*.html"))
    assert "leads out of the folder" in said.out + said.err
    assert code != 0
    cli.run(["sheet", str(elsewhere)])
    assert len(list(elsewhere.glob("*.html"))) == 1


@pytest.mark.parametrize("command", [["verify"], ["verify", "--json"], ["sheet"], ["collect"], ["overview"]])
@pytest.mark.parametrize("many", [300, 5000])
def test_a_name_that_is_none_of_a_file_is_said(
    command: list[str],
    many: int,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(tmp_path)
    out = ["--out", str(tmp_path / "out.csv")] if command == ["collect"] else []
    code = cli.run([*command, "x" * many, *out])
    said = capsys.readouterr()
    assert code not in {0, 70}
    assert "failed" not in said.err


def test_a_file_name_of_any_bytes_comes_through_the_overview(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    good = folder / "good.record.toml"
    try:
        (folder / os.fsdecode(b"\xff\xfe.record.toml")).write_bytes(good.read_bytes())
    except OSError:
        pytest.skip("this system has no such names")
    assert cli.run(["overview", str(folder)]) != 70
    assert "failed" not in capsys.readouterr().err
