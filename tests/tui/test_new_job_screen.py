"""A job without an office: asked by keys alone, kept while half filled, and it opens as it was given."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
from textual.pilot import Pilot

from crewtui.job.file.asked_job import lines, made, missing, wrong_with
from crewtui.job.file.load import load_job
from crewtui.job.file.plain_day import read_day
from crewtui.job.file.short_job import job_text
from crewtui.tui.app.new_job_app import NewJobApp, NewJobPage, draft_of
from crewtui.tui.widgets.fit import ELLIPSIS

TODAY = date(2026, 11, 26)
SIGNS = {" ": "space", ",": "comma", ".": "full_stop", "'": "apostrophe", "/": "slash", "-": "minus"}
ANSWERS = {
    "id": "S-201",
    "site": "Invented house",
    "date": "Nov 30",
    "lead": "Lee Sample",
    "wall 1 name": "north",
    "wall 1 type": "block",
    "wall 1 length": "28 ft",
    "wall 1 thickness": "7 5/8",
    "wall 1 slab_to_top": "92",
    "wall 1 grade_to_top": "8",
    "wall 1 first": "30",
    "wall 1 spacing": "5 ft 6",
    "wall 1 count": "5",
    "wall 1 setback": "13 ft",
    "rod diameter": "3/4",
    "rod threads_per_inch": "10",
    "rod coupling_length": "2.25",
    "rod coupling_corners": "1.1",
}


def page_of(pilot: Pilot[bool]) -> NewJobPage:
    screen = pilot.app.screen
    assert isinstance(screen, NewJobPage)
    return screen


async def answer(pilot: Pilot[bool], text: str) -> None:
    await pilot.press(*[SIGNS.get(sign, sign) for sign in text], "enter")
    await pilot.pause()


@pytest.mark.parametrize("size", [(80, 24)], ids=["80x24"])
async def test_the_job_is_written_with_the_keyboard_alone_and_opens(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    job = tmp_path / "new.toml"
    app = NewJobApp(job, today=TODAY)
    async with app.run_test(size=size) as pilot:
        rows = page_of(pilot).query_one("RowList")
        for key, text in ANSWERS.items():
            rows.go_to(key)  # type: ignore[attr-defined]
            await pilot.pause()
            await answer(pilot, text)
            shown = "\n".join(strip.text for strip in app.screen._compositor.render_strips())
            assert ELLIPSIS not in shown.replace(" …", "")
        rows.go_to("make it")  # type: ignore[attr-defined]
        await pilot.press("enter")
        await pilot.pause()
    assert app.return_value is True
    assert not draft_of(job).exists()
    loaded = load_job(job)
    assert [anchor.id for anchor in loaded.anchors] == ["N1", "N2", "N3", "N4", "N5"]
    assert [anchor.along_in for anchor in loaded.anchors] == [30, 96, 162, 228, 294]
    assert loaded.job.date == date(2026, 11, 30)
    assert loaded.ticket is None, "what nobody gave is not there"
    assert loaded.anchors[0].torque_lbf_ft is None


async def test_what_was_answered_is_there_when_the_page_is_opened_again(tmp_path: Path) -> None:
    job = tmp_path / "new.toml"
    app = NewJobApp(job, today=TODAY)
    async with app.run_test(size=(80, 24)) as pilot:
        page_of(pilot).query_one("RowList").go_to("id")  # type: ignore[attr-defined]
        await answer(pilot, "S-201")
    again = NewJobApp(job, today=TODAY)
    async with again.run_test(size=(80, 24)) as pilot:
        page = page_of(pilot)
        assert page.texts["id"] == "S-201"
        assert page.query_one("RowList").cursor_key == "site", "it stands on what is needed next"  # type: ignore[attr-defined]
    assert not job.exists()


async def test_what_cannot_be_read_is_said_and_kept_from_the_file(tmp_path: Path) -> None:
    app = NewJobApp(tmp_path / "new.toml", today=TODAY)
    async with app.run_test(size=(80, 24)) as pilot:
        page = page_of(pilot)
        page.query_one("RowList").go_to("wall 1 length")  # type: ignore[attr-defined]
        await answer(pilot, "long")
        assert page.wrong
        assert "wall 1 length" not in page.texts


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("2026-11-30", date(2026, 11, 30)),
        ("Nov 30", date(2026, 11, 30)),
        ("30 nov", date(2026, 11, 30)),
        ("11/30", date(2026, 11, 30)),
        ("11/30/26", date(2026, 11, 30)),
        ("Monday", date(2026, 11, 30)),
        ("tomorrow", date(2026, 11, 27)),
        ("today", TODAY),
        ("Jan 5", date(2027, 1, 5)),
        ("November 30, 2027", date(2027, 11, 30)),
        ("Thursday", date(2026, 12, 3)),
    ],
)
def test_a_day_is_read_as_people_write_it(text: str, day: date) -> None:
    assert read_day(text, TODAY) == day


@pytest.mark.parametrize("text", ["30/11", "Nov 31", "soon", "13/40", "", "Foo 3"])
def test_a_day_that_is_none_is_one_sentence(text: str) -> None:
    with pytest.raises(ValueError, match="Nov 30"):
        read_day(text, TODAY)


def test_nothing_is_made_while_anything_needed_lacks_and_each_is_named() -> None:
    needed = {line.key for line in lines({}) if line.needed and line.kind != "units"}
    assert {line.key for line in missing({"units": "imperial"}, TODAY)} == needed
    for left_out in ANSWERS:
        texts = {key: text for key, text in ANSWERS.items() if key != left_out} | {"units": "imperial"}
        with pytest.raises(ValueError, match="still to be given"):
            made(texts, TODAY)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"wall 1 count": "6"}, "past its end"),
        (
            {
                "walls": "2",
                **{key.replace("wall 1", "wall 2"): text for key, text in ANSWERS.items() if "wall 1" in key},
            },
            "same name",
        ),
        ({"rods": "ten of 90"}, "is no rods"),
    ],
)
def test_answers_that_do_not_fit_are_said(changes: dict[str, str], said: str) -> None:
    texts = {**ANSWERS, "units": "imperial", **changes}
    line = next((line for line in lines(texts) if line.key == next(iter(changes))), None)
    if line is not None and line.kind == "rods":
        assert said in wrong_with(line, changes["rods"], "imperial", TODAY)
        return
    with pytest.raises(ValueError, match=said):
        made(texts, TODAY)


def test_a_metric_job_is_asked_in_millimeters(tmp_path: Path) -> None:
    texts = {
        **ANSWERS,
        "units": "metric",
        "wall 1 length": "8500",
        "wall 1 thickness": "200",
        "wall 1 slab_to_top": "2340",
        "wall 1 grade_to_top": "200",
        "wall 1 first": "750",
        "wall 1 spacing": "1.7 m",
        "wall 1 setback": "4 m",
        "rod diameter": "20",
        "rod coupling_length": "57",
        "rod coupling_corners": "30",
        "rods": "10 of 2250, 2 of 1 m",
    }
    path = tmp_path / "job.toml"
    path.write_text(job_text(made(texts, TODAY)), encoding="utf-8")
    job = load_job(path)
    assert job.job.units == "metric"
    assert job.anchors[1].along_in == pytest.approx(2450 / 25.4)
    assert sorted(rods.length_in for rods in job.stock.rods) == pytest.approx([1000 / 25.4, 2250 / 25.4])
