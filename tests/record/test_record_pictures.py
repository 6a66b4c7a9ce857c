"""A record with pictures: valid wherever it is copied with them, and not with one pixel of one changed."""

from __future__ import annotations

import shutil
from datetime import timedelta
from io import BytesIO
from pathlib import Path

import pytest
from day_help import MORNING, Hands, open_day, saved
from picture_files import picture
from PIL import Image

from crewtui import cli
from crewtui.day.photographs.kept_pictures import pictures_folder
from crewtui.disk.picture_files import small_copy
from crewtui.disk.their_files import ReadError
from crewtui.record.sheets.owner_sheet import owner_sheet
from crewtui.record.sheets.small_pictures import small_pictures
from crewtui.record.signed.form import PhotographTaken
from crewtui.record.signed.hand_in import hand_in
from crewtui.record.signed.known_keys import KnownKey, KnownKeys, save_known
from crewtui.record.signed.pictures import pictures_beside
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.record.signed.verify import verify

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
TWELVE = 12


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))


@pytest.fixture
def elsewhere(tmp_path: Path) -> Path:
    """A record with twelve pictures, copied to another folder."""
    site = tmp_path / "site"
    site.mkdir()
    hands = Hands(MORNING + timedelta(hours=9))
    day = open_day(site, clock=hands)
    for number in range(TWELVE):
        picture(tmp_path / "card" / f"{number}.png", MORNING + timedelta(minutes=number), shade=10 * number)
    for one in day.pictures.new(tmp_path / "card").pictures:
        saved(day.pictures.keep(one))
    done = hand_in(day, KEY, lead="Lee Sample")
    day.close()
    there = tmp_path / "office"
    there.mkdir()
    shutil.copy(done.path, there)
    shutil.copytree(pictures_folder(site / "job.toml"), there / "job.pictures")
    save_known(KNOWN.keys, tmp_path / "known.toml")
    return there


def run(elsewhere: Path, *more: str) -> int:
    record = elsewhere / "job.record.toml"
    return cli.run(["verify", str(record), "--keys", str(elsewhere.parent / "known.toml"), *more])


def test_it_verifies_after_a_copy_and_fails_when_one_pixel_is_changed(
    elsewhere: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(elsewhere) == 0
    assert "12 of 12 pictures are as signed" in capsys.readouterr().out
    with Image.open(elsewhere / "job.pictures" / "7.png") as image:
        image.putpixel((3, 4), (1, 2, 3))
        image.save(elsewhere / "job.pictures" / "7.png")
    assert run(elsewhere) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "11 of 12 pictures are as signed" in out
    assert "7.png is not the picture that was signed for" in out
    assert run(elsewhere, "--json") == 1


def test_a_picture_that_is_not_there_is_said_and_the_record_stands(
    elsewhere: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (elsewhere / "job.pictures" / "7.png").unlink()
    assert run(elsewhere) == 0
    assert "7.png is not here to be looked at" in " ".join(capsys.readouterr().out.split())


def test_the_sheet_carries_small_copies_of_what_is_as_signed_without_their_place(elsewhere: Path) -> None:
    folder = elsewhere / "job.pictures"
    (folder / "7.png").write_bytes(b"another")
    verdict = verify(elsewhere / "job.record.toml", KNOWN)
    assert verdict.record is not None
    pictures = small_pictures(verdict.record, elsewhere / "job.record.toml")
    assert len(pictures) == TWELVE - 1
    page = owner_sheet(verdict, pictures=pictures)
    assert page.count("data:image/jpeg;base64,") == TWELVE - 1
    assert "img-src data:" in page
    assert "img-src" not in owner_sheet(verdict)


def test_a_small_copy_has_no_place_no_time_and_no_camera(tmp_path: Path) -> None:
    whole = picture(tmp_path / "a.jpg", MORNING, placed=True).read_bytes()
    with Image.open(BytesIO(whole)) as image:
        assert image.getexif().get_ifd(0x8825)
    with Image.open(BytesIO(small_copy(whole))) as image:
        assert dict(image.getexif()) == {}
    assert b"Invented" not in small_copy(whole)


@pytest.mark.parametrize("name", ["../secret", "/etc/passwd", "..", "", "a\\b", "a/b.jpg"])
def test_a_name_that_leads_elsewhere_is_not_followed(elsewhere: Path, name: str) -> None:
    record = verify(elsewhere / "job.record.toml", KNOWN).record
    assert record is not None
    row = PhotographTaken(file=name, sha256="0" * 64)
    from msgspec.structs import replace  # noqa: PLC0415 - only here

    (found,) = pictures_beside(replace(record, photograph=(row,)), elsewhere / "job.record.toml")
    assert (found.state, found.content) == ("missing", b"")


@pytest.mark.parametrize("format_", ["PNG", "WEBP", "TIFF"])
def test_a_small_file_of_many_pixels_is_refused_before_it_is_unpacked(format_: str) -> None:
    out = BytesIO()
    Image.new("L", (9000, 9000)).save(out, format_, **({"lossless": True} if format_ == "WEBP" else {}))
    with pytest.raises(ReadError, match="more pixels"):
        small_copy(out.getvalue())
