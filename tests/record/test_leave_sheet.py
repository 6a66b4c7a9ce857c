"""Leaving the sheet: a draft before signing, the final one beside the record after it, and many at once."""

from __future__ import annotations

from pathlib import Path

import pytest
from day_help import make_job, open_day, saved
from sheet_records import KEY, KNOWN, anchor, signed

from crewtui import cli
from crewtui.day.session.day import Day
from crewtui.record.sheets.leave_sheet import SheetError, draft_record, final_words, write_draft, write_final
from crewtui.record.signed.hand_in import HandedIn, hand_in
from crewtui.record.signed.known_keys import save_known
from crewtui.record.signed.sign import write_record

LEFT = "owner-shown"


@pytest.fixture
def day(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Day:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))
    return open_day(tmp_path, make_job(2))


def handed_in(day: Day) -> HandedIn:
    return hand_in(day, KEY, lead="Lee Sample")


def test_the_sheet_can_be_left_before_anybody_signs(day: Day) -> None:
    """The step that asks for it is answered while the day goes on."""
    page = write_draft(day)
    assert page.name == "job.draft.html"
    assert "DRAFT: not signed" in page.read_text(encoding="utf-8")
    saved(day.answer(None, LEFT, "yes"))
    assert any(answer.step == LEFT for answer in draft_record(day).answer)
    assert write_draft(day) == page, "a later draft takes the place of the one before"


def test_the_final_sheet_stands_beside_the_record_and_is_no_draft(day: Day) -> None:
    result = handed_in(day)
    page = write_final(day, result)
    assert page == result.path.with_name("job.record.html")
    text = page.read_text(encoding="utf-8")
    assert "DRAFT" not in text
    assert KEY.key_id in text
    assert page.name in final_words(day, result)


def test_a_sheet_that_cannot_be_written_takes_no_record_away(day: Day) -> None:
    result = handed_in(day)
    result.path.with_name("job.record.html").mkdir()
    said = final_words(day, result)
    assert "was not written" in said
    assert f"crewtui sheet {result.path.name}" in said
    with pytest.raises(SheetError, match="cannot be written"):
        write_final(day, result)


def test_an_earlier_record_that_is_not_there_leaves_the_sheet_whole(tmp_path: Path) -> None:
    job = make_job(1, job={"earlier_record": "none.record.toml"})
    assert "</html>" in write_draft(open_day(tmp_path, job)).read_text(encoding="utf-8")


def test_a_folder_gives_a_page_a_record_and_the_worst_code(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    keys, folder = tmp_path / "keys.toml", tmp_path / "records"
    save_known(KNOWN.keys, keys)
    (folder / "north").mkdir(parents=True)
    paths = [folder / "a.record.toml", folder / "north" / "b.record.toml", folder / "c.record.toml"]
    for number, path in enumerate(paths):
        verdict = signed(job={"id": f"J-{number}", "site": "S"}, anchor=[anchor()])
        assert verdict.data is not None
        write_record(path, dict(verdict.data))
    assert cli.run(["sheet", str(folder), "--keys", str(keys)]) == 0
    assert "3 pages written" in capsys.readouterr().out
    assert all(path.with_name(path.name.replace(".toml", ".html")).exists() for path in paths)
    paths[2].write_bytes(paths[2].read_bytes().replace(b"J-2", b"J-9"))
    assert cli.run(["sheet", str(folder), "--keys", str(keys), "--for", "office"]) == 1
    said = capsys.readouterr().out
    assert "2 pages written" in said
    assert "Altered" in said
    assert not paths[2].with_name("c.record.office.html").exists()
    assert cli.run(["sheet", str(folder), "--out", str(tmp_path / "x.html")]) == 2
    assert "go with one record" in capsys.readouterr().err
