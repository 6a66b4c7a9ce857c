"""The first page of the sheet: true of every anchor, dated by the entries, no word of another kind of day."""

from __future__ import annotations

import itertools
import re
from datetime import date, datetime, timedelta
from html import unescape
from typing import Any

import pytest
from sheet_records import AT, KNOWN, PLANNED, anchor, page, reading, signed

from crewtui.record.house.house import HouseError
from crewtui.record.house.past import past_of
from crewtui.record.sheets.owner_sheet import Reader, css_text, draft_sheet, owner_sheet
from crewtui.record.sheets.sheet_parts import sheet_view
from crewtui.record.signed.verify import Verdict

READERS: tuple[Reader, ...] = ("owner", "office")
FRAME = re.compile(r'<div class="box danger".*?</div>', re.DOTALL)


def words_of(text: str) -> str:
    """Return what a page says, without its tags and drawings."""
    body = re.sub(r"<(style|svg).*?</\1>", " ", text, flags=re.DOTALL)
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", body)).split())


# Open pits.


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize(
    "begun",
    [
        {"built": {"lifts": None}},
        {"built": {"lifts": None, "pit_depth_in": None}, "answer": [{"step": "sod", "answer": "done"}]},
        {"built": {"lifts": None, "pit_depth_in": None}, "attempt": [{"attempt": 1, "found": True}]},
        {"built": {"lifts": None}, "state": "dropped", "dropped_because": "a drain"},
    ],
)
def test_an_open_pit_stands_on_top_in_a_frame(reader: Reader, begun: dict[str, Any]) -> None:
    text = page(reader, anchor=[anchor("N1", 84.0), anchor("N2", 168.0, **begun)])
    frame = FRAME.search(text)
    assert frame is not None
    assert frame.start() < text.index("<h2")
    assert "The pit of N2 stands open; nobody has said that it is covered." in frame[0]
    assert "Nobody is named" in frame[0]
    assert "N1" not in frame[0]


@pytest.mark.parametrize("reader", READERS)
def test_a_covered_pit_says_so_and_who_looks_after_it(reader: Reader) -> None:
    closed = [{"step": "closed", "answer": "covered and marked for tomorrow"}]
    frame = FRAME.search(
        page(
            reader,
            anchor=[anchor(built={"lifts": None}, answer=closed)],
            answer=[{"step": "covers-watched", "answer": "Kim Sample, 555-0107"}],
        )
    )
    assert frame is not None
    assert "it is covered" in frame[0]
    assert "Kim Sample, 555-0107 looks after the covers" in frame[0]


@pytest.mark.parametrize("reader", READERS)
def test_a_filled_pit_has_no_frame(reader: Reader) -> None:
    assert FRAME.search(page(reader)) is None


# Which day, by whom, and the next.


@pytest.mark.parametrize("reader", READERS)
def test_dates_are_those_of_the_entries_and_never_the_planned_one(reader: Reader) -> None:
    said = words_of(page(reader))
    assert "2031-04-05" in said
    assert PLANNED.isoformat() not in said
    if reader == "owner":
        assert "On April 5, 2031, Sample Walls (invented), crew lead Lee Sample worked on N1." in said


@pytest.mark.parametrize("first", [None, date(2030, 1, 1), AT.date(), date(2031, 4, 6), date(2040, 1, 1)])
def test_the_next_visit_is_never_before_the_work(first: date | None) -> None:
    later = {"said_by": "S", "when": "each spring"} | ({"first_visit": first} if first else {})
    record = signed(tightening=later).record
    assert record is not None
    said = sheet_view(record).first.next_visit
    if first is None:
        assert "No date is set" in said
    elif first <= AT.date():
        assert "no later date is set" in said
    else:
        assert said.endswith(f"{first.day}, {first.year}.")


@pytest.mark.parametrize("calls", [[], [{"role": "office", "name": "Jo Sample", "phone": "555-0103"}]])
def test_whom_to_call_is_a_number_or_a_place_to_write_it(calls: list[Any]) -> None:
    said = words_of(page(contacts=calls))
    assert ("555-0103" in said) is bool(calls)
    assert ("write it here" in said) is not bool(calls)


# Kinds of day.

INSTALL_WORDS = (
    "work is not finished",
    "not finished:",
    "worked on",
    "By the plan the owner tightens",
    "more;",
)
VISIT_WORDS = ("looked over the wall", "A visit to", "was read at", "read the wall")


@pytest.mark.parametrize("reader", READERS)
def test_a_day_of_readings_has_no_words_of_an_install(reader: Reader) -> None:
    bare = [
        anchor(ident, along, state="open", open=["Sod", "Pit depth", "Cap"] * 8, value=[],
               reading=[reading("before", 1.0)])
        for ident, along in (("N1", 60.0), ("N2", 150.0))
    ]  # fmt: skip
    job = {"id": "J-1", "site": "S", "units": "imperial", "schedule": "N2 to N4 twice a year"}
    said = words_of(page(reader, anchor=bare, complete=False, job=job))
    for words in (*INSTALL_WORDS, "yours to adjust"):
        assert words not in said.replace("marked as yours to adjust", ""), words
    assert "read at 2 anchors" in said


@pytest.mark.parametrize("reader", READERS)
def test_an_install_has_no_words_of_a_visit_and_a_visit_none_of_an_install(reader: Reader) -> None:
    install, visit = words_of(page(reader)), words_of(page(reader, day="visit", complete=False))
    assert not [words for words in VISIT_WORDS if words in install]
    assert not [words for words in INSTALL_WORDS if words in visit]
    assert "isit to" in visit


# What came out.

NOT_UP = "did not come up"


@pytest.mark.parametrize("reader", READERS)
def test_no_page_gives_the_owner_a_nut_that_did_not_come_out_so(reader: Reader) -> None:
    bad = [
        anchor("N1", 30.0, built={"second_torque_lbf_ft": 60.0}),
        anchor("N2", 60.0, value=[{"quantity": "first_torque_lbf_ft", "value": 45.0, "then": NOT_UP}]),
        anchor("N3", 90.0, state="open", open=["Cap"]),
        anchor("N4", 120.0),
    ]  # fmt: skip
    deviation = [
        {"anchor": "N4", "step": "sod", "kind": "answer", "text": "no", "reason": "r", "done_at": AT}
    ]
    job = {"id": "J-1", "site": "S", "units": "imperial", "schedule": "all anchors twice a year"}
    said = words_of(page(reader, anchor=bad, deviation=deviation, job=job, complete=False))
    assert "yours to adjust" not in said.replace("marked as yours to adjust", "")
    assert "Turn nothing on N1, N2, N3, N4 yet, whatever the plan says" in said
    for words in ("left at 60 lbf·ft", "did not come up to 45 lbf·ft", "nobody has accepted it: Sod cut"):
        assert words in said, words


def test_everything_as_planned_is_said_so() -> None:
    said = words_of(page())
    assert "The one anchor of the north wall is set and tightened as planned." in said
    assert "Everything is as planned." in said
    assert "finished; yours to adjust" in said


# Movement.


BEFORE = AT - timedelta(days=200)


def at_house(bow_in: float, at: datetime, system: str = "imperial", **job: Any) -> Verdict:
    """Return the record of a day on which one anchor was read."""
    card = {"id": f"J-{at:%Y%m%d}", "site": "Sample Lane 5 (invented)", "units": system, **job}
    unturned = dict.fromkeys(("first_torque_lbf_ft", "second_torque_lbf_ft"))
    return signed(job=card, anchor=[anchor(at=at, built=unturned, reading=[reading("before", bow_in, at)])])


def test_no_page_says_a_thing_twice_in_brackets_within_brackets() -> None:
    for system, (old, new) in itertools.product(("imperial", "metric"), ((1.5, 1.0), (1.0, 1.5), (1.0, 1.0))):
        after = at_house(new, AT, system)
        said = words_of(owner_sheet(after, past=past_of(after, [at_house(old, BEFORE, system)])))
        assert not re.search(r"\([^()]*\([^()]*\)[^()]*\)", said)
        assert "Since September 17, 2030" in said
        sentence = {1: "stands straighter", -1: "has moved in further", 0: "no movement is seen"}
        assert sentence[(old > new) - (old < new)] in said
        assert ("Call whoever set the anchors." in said) is (new > old)


def test_many_earlier_days_are_held_together_whatever_their_order() -> None:
    days = [at_house(1.0 + n / 4, AT - timedelta(days=365 * (3 - n))) for n in range(3)]
    now = at_house(1.75, AT)
    said = words_of(owner_sheet(now, past=past_of(now, days[::-1])))
    assert "Read on 4 days since April 5, 2028: N1: moves" in said
    assert "Over the years Bow: moves" in said


def test_another_house_the_same_visit_and_a_later_day_are_no_earlier_visit() -> None:
    now = at_house(1.0, AT)
    for other, words in (
        (at_house(1.0, BEFORE, site="Other Lane 9 (invented)"), "house"),
        (now, "same visit"),
        (at_house(1.0, AT + timedelta(days=30)), "no earlier visit"),
    ):
        with pytest.raises(HouseError, match=words):
            past_of(now, [other])


def test_the_wall_is_drawn_to_one_scale_at_every_anchor() -> None:
    bows = {"N1": 0.75, "N2": 1.75, "N3": 0.25}
    record = signed(
        anchor=[
            anchor(ident, 50.0 + 60 * n, reading=[reading("after", bow)])
            for n, (ident, bow) in enumerate(bows.items())
        ]
    ).record
    assert record is not None
    view = sheet_view(record)
    drawn = {}
    for card in view.anchors:
        xs = [float(x) for x in re.findall(r'<circle cx="([-\d.]+)"', card.profile)][:3]
        drawn[card.id] = xs[0] - xs[1]
        assert f"× {view.profile_times}" in card.profile
        box = re.search(r'viewBox="([^"]*)"', card.profile)
        assert box is not None
        assert box[1] == re.search(r'viewBox="([^"]*)"', view.anchors[0].profile)[1]  # type: ignore[index]
    for ident, bow in bows.items():
        assert drawn[ident] == pytest.approx(bow * view.profile_times, abs=0.01)


# The office's words.


def test_the_office_reads_no_key_and_no_id() -> None:
    rows = [
        {"anchor": "N1", "kind": "site change", "text": "changed on site: along_in 104", "reason": "a root"},
        {"anchor": "N1", "kind": "while held", "step": "sod", "text": "done while held by ppe, way-out",
         "reason": "seen"},
        {"kind": "override", "text": "owners-side set aside by Jo Sample", "reason": "away"},
    ]  # fmt: skip
    said = words_of(page("office", deviation=rows))
    assert "Place along the wall 8 ft 8 in" in said
    assert not re.search(r"\b[a-z]+(_[a-z]+)*_(in|deg|lbf_ft)\b", said)
    for ident in ("ppe", "way-out", "owners-side"):
        assert not re.search(rf"(?<![\w-]){ident}(?![\w-])", said), ident


def test_the_office_s_deviations_come_first_and_its_hazards_folded_last() -> None:
    text = page(
        "office",
        hold=[{"id": "ppe", "said": "in place", "by": "LS"}, {"id": "soil", "said": "released", "by": "KS"}],
    )
    titles = re.findall(r"<h2[^>]*>(.*?)</h2>", text)
    assert titles[:2] == ["Deviations", "About the walls, against a limit"]
    assert "<summary>1 answers, by LS 1</summary>" in text
    assert text.index("<details>") > text.index("Each anchor")


# The page itself.


@pytest.mark.parametrize("reader", READERS)
def test_a_draft_is_marked_on_screen_in_its_title_and_on_every_printed_page(reader: Reader) -> None:
    record = signed().record
    assert record is not None
    text, final = draft_sheet(record, reader), page(reader)
    for words in (
        "DRAFT: not signed",
        "<title>Draft: ",
        "@top-center",
        '<div class="mark"',
        "Nobody has signed",
    ):
        assert words in text, words
        assert words not in final, words
    assert "Key id" not in text


@pytest.mark.parametrize("reader", READERS)
def test_landmarks_heads_labels_and_titles(reader: Reader) -> None:
    two = [
        anchor(f"N{n}", 60.0 * n, reading=[reading("before", 1.0), reading("after", 0.75)]) for n in (1, 2)
    ]
    text = page(reader, anchor=two)
    assert text.count("<main>") == text.count("</main>") == 1
    assert "<title>" in text
    title = re.search(r"<title>(.*?)</title>", text)
    assert title is not None
    assert "J-1" in title[1]
    assert "Sample Lane 5" in title[1]
    assert all("scope=" in head for head in re.findall(r"<th\b[^>]*>", text))
    labels = re.findall(r'<svg[^>]*aria-label="([^"]+)"', text)
    assert len(labels) == len(set(labels)) == text.count("<svg")


@pytest.mark.parametrize(
    "text", ['"}; body{display:none} a{', "</style><script>", "\\22 \n\u2028x", "Ümlaut ™ 😀"]
)
def test_no_text_leaves_its_string_in_the_style_sheet(text: str) -> None:
    said = str(css_text(text))
    inside = said.removeprefix('"').removesuffix('"')
    assert len(inside) == len(said) - 2
    assert re.fullmatch(r"(?:[A-Za-z0-9]|\\[0-9a-f]{1,6} )*", inside)
    back = re.sub(r"\\([0-9a-f]+) ", lambda code: chr(int(code[1], 16)), inside)
    assert back == " ".join(text.split()).replace("\u2028", " ") or "\\u" in back
    assert owner_sheet(signed(job={"id": "J", "site": text}), "owner").count("</style>") == 1


def test_records_without_a_wall_or_a_place_make_a_page_too() -> None:
    assert KNOWN.keys
    for changes in ({"wall": []}, {"anchor": []}, {"anchor": [{"id": "N1"}]}):
        assert "</html>" in page(**changes)
