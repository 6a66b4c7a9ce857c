"""One account of an anchor: the owner's is only what is done, clicked at its torque, as planned or agreed."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

import pytest
from day_help import make_job, open_day, plain_figures, saved

from crewtui.day.session.day import Day
from crewtui.day.wall.anchor_account import TURN_NOTHING, YOURS, account_lines, account_now, account_words
from crewtui.record.house.account_of_record import account_of
from crewtui.record.signed.build import build_record
from crewtui.record.signed.form import (
    AnchorDone,
    Deviated,
    FindingStood,
    Record,
    RuleSet,
    StepAnswered,
    ValueBuilt,
)
from crewtui.record.signed.hand_in import sources_of
from crewtui.record.signed.progress import progress_of
from crewtui.record.signed.read_form import read_form

TARGET = 80.0


def anchor(**values: Any) -> AnchorDone:
    torque, then = values.pop("torque", TARGET), values.pop("then", "clicked")
    quantity = values.pop("quantity", "second_torque_lbf_ft")
    built = () if torque is None else (ValueBuilt(quantity=quantity, value=torque, then=then, entry=7),)
    more = values.pop("more", ())
    return AnchorDone(
        **{"id": "N2", "state": "complete", "planned": {"owner_adjustable": True},
           "figure": {"torque_lbf_ft": TARGET}, "value": (*built, *more), **values}
    )  # fmt: skip


def word(one: AnchorDone, **tables: Any) -> str:
    return account_of(Record(anchor=(one,), **tables), one).word


def deviated(**values: Any) -> Deviated:
    return Deviated(**{"anchor": "N2", "step": "sod", "text": "no", "kind": "answer", "entry": 3, **values})


@pytest.mark.parametrize(
    ("built", "tables", "expected"),
    [
        ({}, {}, "finished"),
        ({"state": "open", "open": ("Sod", "Cap")}, {}, "open"),
        ({"state": "open"}, {}, "open"),
        ({"state": "dropped", "dropped_because": "a drain"}, {}, "not set"),
        ({"torque": None}, {}, "not tightened"),
        ({"then": ""}, {}, "not tightened"),
        ({"then": "did not come up"}, {}, "did not come up"),
        ({"torque": 45.0, "then": "did not come up"}, {}, "did not come up"),
        ({"torque": 60.0}, {}, "held"),
        ({"torque": 60.0}, {"deviation": (deviated(accepted="R. Sample: hold at 60"),)}, "held"),
        ({"figure": {}}, {}, "held"),
        ({"torque": 77.0}, {}, "finished"),
        ({"torque": 70.0}, {"rule": (RuleSet(key="torque_agrees_share", value=0.2),)}, "finished"),
        ({"torque": 90.0}, {}, "past its torque"),
        ({}, {"deviation": (deviated(),)}, "deviating"),
        ({}, {"deviation": (deviated(anchor="N3"),)}, "finished"),
        ({}, {"deviation": (deviated(accepted="R. Sample: fine"),)}, "accepted"),
        ({}, {"deviation": (deviated(accepted="R. Sample: fine"), deviated(entry=4))}, "deviating"),
        ({}, {"finding": (FindingStood(id="w: bow N2", anchor="N2", text="Bow at N2: 3 in."),)}, "deviating"),
        ({}, {"finding": (FindingStood(id="w", anchor="N2", text="Bow", accepted="R. S."),)}, "accepted"),
        ({"more": (ValueBuilt(quantity="lifts", value=2, outside_limits=True, entry=5),)}, {}, "deviating"),
        ({"answer": (StepAnswered(step="sod", answer="no", deviates=True, entry=3),)}, {}, "deviating"),
        (
            {"answer": (StepAnswered(step="sod", answer="no", deviates=True, entry=3),)},
            {"deviation": (deviated(accepted="R. Sample: fine"),)},
            "accepted",
        ),
        ({"quantity": "first_torque_lbf_ft"}, {}, "finished"),
    ],
)  # fmt: skip
def test_the_word_is_the_worst_that_is_true(built: Any, tables: Any, expected: str) -> None:
    assert word(anchor(**built), **tables) == expected


def test_the_last_tightening_counts_not_the_first() -> None:
    first = ValueBuilt(quantity="first_torque_lbf_ft", value=TARGET, then="clicked")
    assert word(anchor(then="did not come up", more=(first,))) == "did not come up"


def test_nothing_is_the_owner_s_that_is_not_finished_clicked_and_as_planned_or_accepted() -> None:
    states = ("complete", "open", "dropped")
    thens, torques = ("clicked", "did not come up", ""), (None, 60.0, 79.0, 80.0, 95.0)
    deviations = ((), (deviated(),), (deviated(accepted="R. Sample: fine"),))
    for state, then, torque, rows, by_plan in itertools.product(
        states, thens, torques, deviations, (True, False)
    ):
        one = anchor(state=state, then=then, torque=torque, planned={"owner_adjustable": by_plan})
        account = account_of(Record(anchor=(one,), deviation=rows), one)
        sound = (
            state == "complete"
            and then == "clicked"
            and torque in {79.0, 80.0}
            and all(row.accepted for row in rows)
        )
        words = account_words(account, "imperial")
        assert account.yours == (sound and by_plan)
        assert (YOURS in words) == account.yours
        assert (TURN_NOTHING in words) == (not sound and state != "dropped")


def of_record(day: Day) -> Record:
    data = build_record(
        day.state, day.journal.entries, sources=sources_of(day), progress=progress_of(day.state), lead="L. S."
    )
    return read_form(data)


def test_the_day_and_its_record_give_the_same_account(tmp_path: Path) -> None:
    day = open_day(tmp_path, make_job(4), figures=plain_figures)
    saved(day.measure("A-1", "setback", "150", reason="a root"))
    saved(day.site.drop_anchor("A-2", reason="a drain"))
    saved(day.measure("A-3", "first-torque", "60", reason="the engineer holds it", then="clicked"))
    saved(day.safety.accept_deviation(day.state.deviations[-1].n, name="R. Sample", reason="hold at 60"))
    record = of_record(day)
    for one in record.anchor:
        assert account_of(record, one) == account_now(day.state, one.id), one.id
    assert len(account_lines(day.state)) == 4
    assert "not set: a drain" in account_lines(day.state)[1]


def visited(*, before: Any, found: float | None, nut: str, left: Any, said: str, **values: Any) -> AnchorDone:
    """Return an anchor of a visit's record: as it was left before, found, turned, left, and the one word."""
    carried = {"torque_left_lbf_ft": before[0], "clicked": before[1]} if before else {}
    built = [] if found is None else [ValueBuilt(quantity="torque_found_lbf_ft", value=found)]
    if left is not None:
        built.append(ValueBuilt(quantity="torque_left_lbf_ft", value=left[0], then=left[1]))
    answers = [("nut", nut), ("visit-word", said)]
    planned = {"owner_adjustable": True, "torque_lbf_ft": TARGET, "built": {**carried, **values}}
    return AnchorDone(
        id="N2", state="complete", planned=planned, value=tuple(built),
        answer=tuple(StepAnswered(step=step, answer=answer) for step, answer in answers if answer),
    )  # fmt: skip


def test_a_visit_s_paper_says_what_the_visit_found_and_left() -> None:
    befores = (None, (80.0, True), (80.0, False), (60.0, True), (80.0, None))
    lefts = (None, (80.0, "clicked"), (80.0, "did not come up"), (60.0, "clicked"), (95.0, "clicked"))
    for before, found, nut, left, said, departed in itertools.product(
        befores, (None, 80.0, 55.0), ("", "left as found", "tightened"), lefts, ("hold", "tightened", "call"),
        ((), ("Set-back",)),
    ):  # fmt: skip
        one = visited(before=before, found=found, nut=nut, left=left, said=said, departed=list(departed))
        account = account_of(Record(day="visit", anchor=(one,)), one)
        words = account_words(account, "imperial")
        # Apart from the program: the last hand on the nut counts, and it has to have clicked at its torque.
        as_left = before or (None, None)
        if left is not None:
            as_left = (left[0], left[1] == "clicked")
        elif nut == "left as found" and found is not None:
            as_left = (found, as_left[1])
        sound = as_left == (TARGET, True) and said != "call" and not departed
        assert account.yours is sound, (one, words)
        assert (YOURS in words) is sound
        assert (TURN_NOTHING in words) is not sound
        assert (account.word == "call") is (said == "call")
        assert "did not come up" not in words or as_left[1] is False


def test_what_an_earlier_day_left_open_or_accepted_is_carried_on() -> None:
    still = visited(before=(80.0, True), found=None, nut="", left=None, said="hold", left_open=["Cap"])
    assert account_of(Record(day="visit", anchor=(still,)), still).word == "open"
    agreed = visited(
        before=(80.0, True), found=None, nut="", left=None, said="hold", accepted=["Depth: R. S."]
    )
    account = account_of(Record(day="visit", anchor=(agreed,)), agreed)
    assert (account.word, account.yours) == ("accepted", True)


@pytest.mark.parametrize(
    "odd", [7, "x", ["x", 3], {"torque_left_lbf_ft": "80", "clicked": "yes", "left_open": 5}]
)
def test_anything_may_stand_where_a_record_carries_what_was_built(odd: Any) -> None:
    one = anchor(torque=None, planned={"built": odd})
    assert account_of(Record(day="visit", anchor=(one,)), one).word == "not tightened"
