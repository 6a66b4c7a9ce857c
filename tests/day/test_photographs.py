"""Pictures from a card: listed by time, placed by what was entered then, kept unchanged."""

from __future__ import annotations

import hashlib
import shutil
from datetime import timedelta
from pathlib import Path

import pytest
from day_help import MORNING, Hands, clear_hazards, make_job, open_day, refused, saved
from picture_files import picture

from crewtui.day.photographs.kept_pictures import pictures_folder
from crewtui.day.photographs.new_pictures import Shows, pictures_wanted
from crewtui.day.session.day import Day
from crewtui.day.session.photo_intents import read_shift
from crewtui.day.steps.outcomes import AskBackError
from crewtui.disk.their_files import ReadError


@pytest.fixture
def card(tmp_path: Path) -> Path:
    folder = tmp_path / "card" / "DCIM"
    folder.mkdir(parents=True)
    return folder


@pytest.fixture
def hands() -> Hands:
    return Hands()


@pytest.fixture
def day(tmp_path: Path, hands: Hands) -> Day:
    """A day at ten, with the plate on A-1 at eight and A-2 at nine."""
    day = open_day(tmp_path, clock=hands)
    clear_hazards(day)
    for anchor in ("A-1", "A-2"):
        hands.on(hours=1)
        saved(day.answer(anchor, "plate-on", reason="in this order today"))
    hands.on(hours=1)
    return day


def test_pictures_come_by_time_with_the_anchor_and_step_entered_then(day: Day, card: Path) -> None:
    picture(card / "b.jpg", MORNING + timedelta(hours=2, minutes=3))
    picture(card / "a.jpg", MORNING + timedelta(hours=1, minutes=-2), shade=60)
    picture(card / "c.jpg", MORNING - timedelta(days=3), shade=90)
    (card / "film.mp4").write_bytes(b"0")
    found = day.pictures.new(card.parent)
    assert [one.path.name for one in found.pictures] == ["c.jpg", "a.jpg", "b.jpg"]
    shown = [(one.shows.anchor, one.shows.step) for one in found.pictures]
    assert shown == [(None, ""), ("A-1", "plate-on"), ("A-2", "plate-on")]
    assert (found.kept, found.others, found.troubles) == (0, 1, ())


def test_a_kept_picture_is_a_copy_and_is_new_no_more(day: Day, card: Path, hands: Hands) -> None:
    path = picture(card / "a.jpg", MORNING + timedelta(hours=1), placed=True)
    content = path.read_bytes()
    (one,) = day.pictures.new(card).pictures
    entry = saved(day.pictures.keep(one)).entry
    copy = pictures_folder(day.job_path) / "a.jpg"
    assert copy.read_bytes() == content == path.read_bytes()
    kept = day.state.shared.beside.pictures[-1]
    assert kept.sha256 == hashlib.sha256(content).hexdigest()
    assert (kept.anchor, kept.done_at, kept.typed_at) == ("A-1", MORNING + timedelta(hours=1), hands.now)
    again = day.pictures.new(card)
    assert (again.pictures, again.kept) == ((), 1)
    assert "is kept already" in refused(day.pictures.keep(one))
    saved(day.take_back(entry.n))
    assert len(day.pictures.new(card).pictures) == 1


def test_what_it_shows_may_be_changed(day: Day, card: Path) -> None:
    picture(card / "a.jpg", MORNING)
    (one,) = day.pictures.new(card).pictures
    saved(day.pictures.keep(one, Shows(of="crack by the window", anchor="A-3")))
    assert day.log()[0].words == "A-3: picture a.jpg: crack by the window"


def test_two_pictures_of_one_name_are_both_kept(day: Day, card: Path) -> None:
    for number in (1, 2):
        picture(card / str(number) / "a.jpg", MORNING, shade=40 * number)
    for one in day.pictures.new(card).pictures:
        saved(day.pictures.keep(one))
    assert {one.file for one in day.state.shared.beside.pictures} == {"a.jpg", "a-2.jpg"}


def test_a_clock_that_is_off_by_hours_is_shifted_once_for_the_batch(day: Day, card: Path) -> None:
    picture(card / "a.jpg", MORNING + timedelta(hours=6))
    picture(card / "b.jpg", MORNING + timedelta(hours=7), shade=70)
    found = day.pictures.new(card)
    (trouble,) = found.troubles
    assert "the camera's clock is off" in trouble
    assert "is still to come" in refused(day.pictures.keep(found.pictures[0]))
    assert not pictures_folder(day.job_path).exists()
    shifted = day.pictures.new(card, shift=read_shift("-5 h"))
    assert not shifted.troubles
    assert [one.shows.anchor for one in shifted.pictures] == ["A-1", "A-2"]


@pytest.mark.parametrize(("text", "minutes"), [("+1 h", 60), ("-45 min", -45), ("+ 1:30", 90)])
def test_a_shift_is_read_with_its_sign(text: str, minutes: int) -> None:
    assert read_shift(text) == timedelta(minutes=minutes)


@pytest.mark.parametrize("text", ["1 h", "", "+", "+soon"])
def test_a_shift_without_a_sign_or_a_time_is_asked_back(text: str) -> None:
    with pytest.raises(AskBackError):
        read_shift(text)


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"not a picture",
        b"\xff\xd8\xff\xe0 torn",
        b"\x89PNG\r\n\x1a\n" + bytes(40),
        bytes(range(256)) * 40,
    ],
)
def test_a_picture_that_is_none_is_left_out_with_a_sentence(day: Day, card: Path, content: bytes) -> None:
    (card / "bad.jpg").write_bytes(content)
    picture(card / "good.jpg", MORNING)
    found = day.pictures.new(card)
    assert [one.path.name for one in found.pictures] == ["good.jpg"]
    (trouble,) = found.troubles
    assert trouble.startswith("bad.jpg is left out: it is no picture")


def test_a_torn_picture_is_left_out(day: Day, card: Path) -> None:
    whole = picture(card / "torn.jpg", MORNING).read_bytes()
    (card / "torn.jpg").write_bytes(whole[: len(whole) // 2])
    assert not day.pictures.new(card).pictures


def test_a_picture_without_the_cameras_time_goes_by_its_file(day: Day, card: Path) -> None:
    picture(card / "a.jpg", None)
    (one,) = day.pictures.new(card).pictures
    assert not one.by_camera


def test_a_picture_that_is_not_read_here_is_kept_by_its_bytes(day: Day, card: Path) -> None:
    (card / "a.heic").write_bytes(b"\0\0\0\x18ftypheic" + bytes(100))
    (one,) = day.pictures.new(card).pictures
    assert not one.by_camera


def test_a_card_that_was_pulled_out_loses_nothing(day: Day, card: Path) -> None:
    picture(card / "a.jpg", MORNING)
    picture(card / "b.jpg", MORNING, shade=70)
    first, second = day.pictures.new(card).pictures
    saved(day.pictures.keep(first))
    before = len(day.journal.entries)
    shutil.rmtree(card)
    assert "put the card in again. Nothing is lost." in refused(day.pictures.keep(second))
    assert len(day.journal.entries) == before
    with pytest.raises(ReadError, match="is the card in"):
        day.pictures.new(card)


def test_a_folder_that_cannot_be_written_loses_nothing(day: Day, card: Path) -> None:
    picture(card / "a.jpg", MORNING)
    (one,) = day.pictures.new(card).pictures
    pictures_folder(day.job_path).write_text("in the way", encoding="utf-8")
    assert "Nothing is lost." in refused(day.pictures.keep(one))
    assert not day.state.shared.beside.pictures


def test_what_is_done_and_wants_a_picture_is_listed_until_it_has_one(day: Day, card: Path) -> None:
    assert [(one.anchor, one.step) for one in pictures_wanted(day.state)] == [
        ("A-1", "plate-on"), ("A-2", "plate-on"),
    ]  # fmt: skip
    picture(card / "a.jpg", MORNING + timedelta(hours=1))
    saved(day.pictures.keep(day.pictures.new(card).pictures[0]))
    assert [one.anchor for one in pictures_wanted(day.state)] == ["A-2"]


def test_damage_a_line_laid_bare_and_the_yard_after_want_a_picture_too(
    tmp_path: Path, card: Path, hands: Hands
) -> None:
    line = {"name": "gas", "kind": "gas", "wall": "north", "points": [[60, 60], [150, 60]], "width": 1}
    day = open_day(tmp_path, make_job(lines=[line]), clock=hands)
    clear_hazards(day)
    saved(day.walks.walk_seen("before", "cracks"))
    assert pictures_wanted(day.state) == (), "there is no damage"
    saved(day.walks.walk_seen("before", "cracks", "stair crack, 1/8 in wide", place="north end"))
    saved(day.ground.expose_line("gas", "24", anchor="A-1"))
    hands.on(hours=5)
    saved(day.answer(None, "site-clean", "yes", reason="test"))
    wanted = pictures_wanted(day.state)
    assert [one.of for one in wanted] == [
        "Cracks and old damage, inside and out, before the work, north end",
        "gas, laid bare",
        "Yard and basement clean, tools counted",
    ]
    picture(card / "a.jpg", day.journal.entries[-1].done_at)
    (one,) = day.pictures.new(card).pictures
    assert one.shows == wanted[-1], "suggested for what was entered next to it"
    saved(day.pictures.keep(one))
    assert pictures_wanted(day.state) == wanted[:-1]
