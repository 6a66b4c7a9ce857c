"""Ended in the middle, by whatever: reopened, it stands at the same anchor and step, every entry there."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from driver import Terminal
from lead import Lead

Open = Callable[..., Terminal]
ENDS = {"killed": Terminal.kill, "ended by the machine": Terminal.terminate, "hung up": Terminal.hang_up}


@pytest.mark.parametrize("end", ENDS.values(), ids=ENDS)
def test_reopened_it_stands_where_it_stood(
    open_job: Open, job: Path, end: Callable[[Terminal], None]
) -> None:
    lead = Lead(open_job())
    lead.look_at("s")
    lead.next_anchor().next_anchor()
    lead.enter("13'")
    lead.enter("7 1/2")
    lead.move_to("Pit depth")
    where, row, saved = lead.place, lead.row, lead.saved
    journal = job.with_name("block-wall.journal.jsonl")
    on_disk = journal.read_bytes()

    end(lead.terminal)

    again = Lead(open_job())
    assert journal.read_bytes() == on_disk
    assert (again.place, again.row, again.saved) == (where, row, saved)
    again.move_to("Drop of the ground")
    assert "7 1/2 in" in again.row


def test_killed_three_times_and_nothing_is_lost(open_job: Open) -> None:
    lead = Lead(open_job())
    lead.look_at("s")
    for n, value in enumerate(("156", "6", "1/4")):
        assert lead.enter(value) == "saved"
        lead.terminal.kill()
        lead = Lead(open_job())
        assert lead.saved == n + 2
    lead.terminal.until("Sod cut")
    assert "Sod cut" in lead.row
    folded = lead.move_to("MARK", "up").row
    assert all(value in folded for value in ("13 ft", "6 in", "1/4 in")), folded


def test_what_is_typed_and_not_entered_is_not_said_to_be_saved(open_job: Open) -> None:
    terminal = open_job()
    Lead(terminal).look_at("s")
    terminal.type("15").until("NOT SAVED")
    terminal.kill()
    again = open_job()
    Lead(again).look_at("s")
    assert not again.shows("NOT SAVED")
    assert Lead(again).saved == 1


def test_killed_in_the_middle_of_a_question_nothing_is_entered(open_job: Open) -> None:
    lead = Lead(open_job())
    lead.look_at("s").move_to("Marks in and out")
    assert lead.enter("2") == "asked"
    lead.terminal.type("a pipe").until("a pipe")
    lead.terminal.kill()
    again = Lead(open_job())
    assert again.saved == 1
