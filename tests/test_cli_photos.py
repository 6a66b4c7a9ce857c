"""The photos command: lists, places, keeps, and says what is wrong in one sentence each."""

from __future__ import annotations

import shutil
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from picture_files import picture

from crewtui import cli
from crewtui.day.journal.chained import journal_path, read_journal

SAMPLES = Path(__file__).parent.parent / "sample_jobs"
HOUR_AGO = datetime.now().astimezone() - timedelta(hours=1)


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return Path(shutil.copy(SAMPLES / "block-wall.toml", tmp_path / "job.toml"))


@pytest.fixture
def card(tmp_path: Path) -> Path:
    picture(tmp_path / "card" / "a.jpg", HOUR_AGO)
    picture(tmp_path / "card" / "b.jpg", HOUR_AGO + timedelta(minutes=5), shade=60)
    return tmp_path / "card"


def kept(job: Path) -> list[str]:
    return [entry.file for entry in read_journal(journal_path(job)).entries if entry.kind == "picture"]


def test_it_lists_and_keeps_nothing_unless_told(
    job: Path, card: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["photos", str(job), str(card)]) == 0
    out = capsys.readouterr().out
    assert "2 new pictures" in out
    assert out.index("a.jpg") < out.index("b.jpg")
    assert kept(job) == []


def test_it_keeps_what_is_taken_as_it_is_told(
    job: Path, card: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = ["--at", "a.jpg=N2", "--shows", "a.jpg=crack by the window", "--skip", "b.jpg", "--take"]
    assert cli.run(["photos", str(job), str(card), *told]) == 0
    assert "N2: crack by the window" in capsys.readouterr().out
    assert kept(job) == ["a.jpg"]
    assert cli.run(["photos", str(job), str(card), "--take"]) == 0
    assert "1 new pictures, 1 kept already" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (["--shift", "soon"], "with its sign"),
        (["--at", "a.jpg=N99"], "there is no anchor N99"),
        (["--at", "a.jpg"], "write it like"),
    ],
)
def test_what_cannot_be_read_is_one_sentence(
    job: Path, card: Path, more: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run(["photos", str(job), str(card), *more]) == 2
    err = capsys.readouterr().err
    assert said in " ".join(err.split())
    assert err.startswith("crewtui: ")


def test_no_card_is_one_sentence(job: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["photos", str(job), str(tmp_path / "none")]) == 2
    assert "is the card in" in " ".join(capsys.readouterr().err.split())


def test_a_bad_picture_is_left_out_and_the_others_are_kept(
    job: Path, card: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (card / "bad.jpg").write_bytes(b"no picture")
    assert cli.run(["photos", str(job), str(card), "--take"]) == 1
    assert "bad.jpg is left out" in " ".join(capsys.readouterr().out.split())
    assert kept(job) == ["a.jpg", "b.jpg"]
