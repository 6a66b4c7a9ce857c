"""A paste of many lines: the first line is typed where one types, and no line of it is ever a command."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from driver import Terminal
from lead import Lead

Open = Callable[..., Terminal]

COMMANDS = "\r\n".join(["q", "u", "x", "n", "!", "e", "\r", " ", "\t", "156", "6"] * 50)


def on_disk(job: Path) -> int:
    return len(job.with_name(f"{job.stem}.journal.jsonl").read_text(encoding="utf-8").splitlines())


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_into_a_number_the_first_line_is_typed_and_nothing_entered(
    open_job: Open, job: Path, end: str
) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    lead.look_at("s").caught_up()
    terminal.paste(f"156{end}6{end}{COMMANDS}").until("156", "NOT SAVED")
    assert lead.row.startswith("next Set-back")
    assert on_disk(job) == 1
    assert lead.press("enter") == "saved"
    terminal.type("1").paste(f"/2{end}u{end}").until("1/2", "NOT SAVED")
    assert on_disk(job) == 2


def test_where_nothing_is_typed_a_paste_does_nothing(open_job: Open, job: Path) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    for pane in "aghvdc":
        lead.look_at(pane).caught_up()
        terminal.paste(COMMANDS)
        lead.caught_up()
        assert f"[{pane} " in terminal.text
        assert on_disk(job) == 1


def test_into_a_question_the_first_line_is_typed_and_waits_for_enter(open_job: Open, job: Path) -> None:
    terminal = open_job()
    assert Lead(terminal).press("enter") == "asked"
    terminal.paste(f"Pat Sample\n{COMMANDS}").until("Pat Sample")
    terminal.type(" and Kim").until("Pat Sample and Kim")
    assert on_disk(job) == 1
    terminal.press("enter").until("Saved: Competent person")
    assert on_disk(job) == 2


def test_into_a_page_or_a_choice_a_paste_does_nothing(open_job: Open, job: Path) -> None:
    terminal = open_job()
    lead = Lead(terminal)
    lead.look_at("s")
    for keys, title in (("q", "Leave?"), ("j", "Everything entered"), ("b", "read it out")):
        terminal.type(keys).until(title, "Esc", gone="u undo").paste(COMMANDS)
        terminal.press("down").painted()
        assert title in terminal.text
        terminal.press("esc").until("u undo")
    assert on_disk(job) == 1
