"""It starts in a real terminal, leaves it as it was, and says in words why it does not start."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from driver import Terminal, crewtui
from lead import Lead

Open = Callable[..., Terminal]

# What a person has after the program: the shell's next line, the terminal's own settings, the cursor back.
BY_A_SHELL = ("/bin/sh", "-c", '"$@"; echo "came back with $?"; stty -a', "sh")
LEFT_FULL_SCREEN, CURSOR_BACK, NO_PASTE_MARKS = b"\x1b[?1049l", b"\x1b[?25h", b"\x1b[?2004l"
RAISES = """
import crewtui.tui.app.day_screen, crewtui.tui.panes.steps_pane
import crewtui.tui.widgets.chrome, crewtui.tui.widgets.rows
def fails(*given):
    raise KeyError("a fault of the program")
{part} = fails
import sys
sys.argv = ["crewtui", "open", {job!r}]
from crewtui.cli import main
main()
"""


def assert_restored(terminal: Terminal) -> None:
    """The last word on each setting is the one that gives it back."""
    for off, on in (
        (LEFT_FULL_SCREEN, b"\x1b[?1049h"),
        (CURSOR_BACK, b"\x1b[?25l"),
        (NO_PASTE_MARKS, b"\x1b[?2004h"),
    ):
        assert terminal.output.rfind(off) > terminal.output.rfind(on)
    settings = terminal.output.rsplit(b"came back with", 1)[1].decode().replace(";", " ").split()
    assert {"echo", "icanon", "isig", "icrnl", "opost"} <= set(settings)


@pytest.mark.parametrize("look", ["sun", "basement"])
@pytest.mark.parametrize("size", [(80, 24), (120, 36)])
def test_the_first_screen_says_where_what_next_and_what_is_saved(
    open_job: Open, look: str, size: tuple[int, int]
) -> None:
    terminal = open_job(look=look, columns=size[0], rows=size[1])
    terminal.until("Competent person", "BEFORE THE FIRST ANCHOR", "1 entry", "EMERGENCY")


def test_leaving_asks_first_and_gives_the_terminal_back(run: Open, job: Path) -> None:
    terminal = run((*BY_A_SHELL, *crewtui("open", str(job)))).until("saved ")
    terminal.press("q").until("Leave?", "All that shows as saved is on the disk")
    terminal.press("enter").until("BEFORE THE FIRST ANCHOR", gone="Leave?")
    terminal.press("q").until("Leave?").press("down", "enter")
    assert terminal.ended() == 0
    assert b"came back with 0" in terminal.output
    assert_restored(terminal)


FAULTS = {
    "a key": "crewtui.tui.app.day_screen.DayScreen.action_show",
    "a pane": "crewtui.tui.panes.steps_pane.StepsPane.saying",
    "painting a row": "crewtui.tui.widgets.rows.RowList._paint",
    "the first screen": "crewtui.tui.widgets.header.HeaderView.render",
    "after an entry": "crewtui.tui.app.day_screen.DayScreen._told",
}


@pytest.mark.parametrize("part", FAULTS.values(), ids=FAULTS)
def test_a_fault_of_the_program_is_one_sentence_and_gives_the_terminal_back(
    run: Open, job: Path, part: str
) -> None:
    terminal = run((*BY_A_SHELL, sys.executable, "-c", RAISES.format(job=str(job), part=part)))
    terminal.type("s156\r")
    assert terminal.ended() == 0
    said = terminal.output.rsplit(LEFT_FULL_SCREEN, 1)[1].decode()
    assert "the program failed (KeyError); every entry shown as saved is safe in the journal" in said
    assert "Traceback" not in terminal.output.decode()
    assert "came back with 70" in said
    kept = re.search(r"send (\S+last-fault.txt) and the job file", re.sub(r"\s+", " ", said))
    assert kept is not None
    assert "a fault of the program" in Path(kept[1]).read_text(encoding="utf-8")
    reopened = run(crewtui("open", str(job))).until("saved ", "EMERGENCY")
    assert Lead(reopened).saved == (2 if part.endswith("_told") else 1)
    assert_restored(terminal)


def test_a_second_start_on_the_same_job_is_refused_in_words(open_job: Open, run: Open, job: Path) -> None:
    first = open_job()
    second = run(crewtui("open", str(job)))
    assert second.ended() == 2
    said = " ".join(second.text.split())
    assert "block-wall" in said
    assert "open" in said
    assert "Traceback" not in said
    first.press("s").until("[s ")
    assert Lead(first).enter("156") == "saved"


def test_what_cannot_be_opened_is_refused_in_words(run: Open, tmp_path: Path) -> None:
    terminal = run(crewtui("open", str(tmp_path / "nowhere" / "none.toml")))
    assert terminal.ended() == 2
    assert "none.toml" in terminal.text


def test_a_job_that_has_no_file_is_asked_for_and_a_kill_loses_no_answer(run: Open, tmp_path: Path) -> None:
    job = tmp_path / "new.toml"
    terminal = run(crewtui("open", str(job)))
    terminal.until("Job's short name")
    terminal.press("S-7\r")
    terminal.until("done Job's short name")
    terminal.kill()
    again = run(crewtui("open", str(job)))
    again.until("S-7")
    again.press("\x1b")
    assert again.ended() == 0
    assert not job.exists()


def test_the_looks_can_be_changed_with_a_key(open_job: Open) -> None:
    terminal = open_job(look="sun")
    paper = terminal.screen.buffer[10][60].bg
    terminal.press("l")
    terminal.until_true(
        lambda: terminal.text != "" and terminal.screen.buffer[10][60].bg != paper, what="the other look"
    )
