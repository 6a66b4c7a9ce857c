from __future__ import annotations

import hashlib
import string
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui.disk.their_files import JOB
from crewtui.job.file.load import JobFileError, Problem, job_sha256, load_job, read_job
from crewtui.job.file.model import Job
from crewtui.job.file.template import template

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
PLAIN: dict[str, Any] = tomllib.loads(template(date(2026, 11, 2)))
IN_PER_MM = 1 / 25.4


def plain() -> dict[str, Any]:
    return tomllib.loads(template(date(2026, 11, 2)))


def problems_of(data: dict[str, Any] | bytes | str) -> tuple[Problem, ...]:
    raw = (
        data if isinstance(data, bytes) else (data if isinstance(data, str) else tomli_w.dumps(data)).encode()
    )
    with pytest.raises(JobFileError) as caught:
        read_job(raw, file="job.toml")
    assert caught.value.problems
    return caught.value.problems


def only_problem(data: dict[str, Any] | bytes | str) -> Problem:
    found = problems_of(data)
    assert len(found) == 1, [str(problem) for problem in found]
    return found[0]


def read(data: dict[str, Any]) -> Job:
    return read_job(tomli_w.dumps(data).encode(), file="job.toml")


# What opens.


def test_lengths_are_read_in_the_files_unit_or_as_people_write_them() -> None:
    data = plain()
    data["anchors"][0] |= {"setback": "12 ft", "drop": "4 1/2", "mark_depth": 28, "free_room": "2.5 m"}
    anchor = read(data).anchors[0]
    assert (anchor.setback_in, anchor.drop_in, anchor.mark_depth_in) == (144, 4.5, 28)
    assert anchor.free_room_in == pytest.approx(2500 * IN_PER_MM)


def test_a_metric_file_reads_bare_numbers_as_millimeters_and_newton_meters() -> None:
    data = plain()
    data["job"]["units"] = "metric"
    data["walls"][0] |= {"length": 9600, "thickness": 200}
    data["anchors"][0] |= {"setback": "12 ft", "torque": 122, "yard_slope": "5 %"}
    job = read(data)
    assert job.walls[0].thickness_in == pytest.approx(200 * IN_PER_MM)
    assert job.anchors[0].setback_in == pytest.approx(144)
    assert job.anchors[0].torque_lbf_ft == pytest.approx(122 / 1.3558179483314004)
    assert job.anchors[0].yard_slope == 0.05


def test_rules_are_read_by_plain_names_into_the_shops_keys_and_units() -> None:
    data = plain()
    data["rules"] = {
        "setback": {"value": "13 ft", "said_by": "Office"},
        "torque_block": {"value": "100 N·m", "said_by": "Office", "note": "trial"},
        "frost_to": {"value": "plate top edge", "said_by": "Office"},
        "k_waxed": {"value": 0.13, "said_by": "Office"},
        "friction_angle": {"value": 32, "said_by": "Office"},
    }
    rules = read(data).rules
    assert rules["setback_in"].value == 156
    assert rules["torque_block_lbf_ft"].value == pytest.approx(100 / 1.3558179483314004)
    assert rules["frost_to"].value == "plate top edge"
    assert (rules["k_waxed"].value, rules["friction_angle_deg"].value) == (0.13, 32)


def test_a_rules_bare_length_is_in_the_files_unit() -> None:
    data = plain()
    data["job"]["units"] = "metric"
    data["rules"] = {"setback": {"value": 4000, "said_by": "Office"}}
    assert read(data).rules["setback_in"].value == pytest.approx(4000 * IN_PER_MM)


def test_windows_line_ends_and_a_byte_order_mark_are_read() -> None:
    text = template(date(2026, 11, 2)).replace("\n", "\r\n")
    assert read_job(b"\xef\xbb\xbf" + text.encode(), file="job.toml").job.id


def test_prose_may_run_over_lines() -> None:
    data = plain()
    data["job"]["notes"] = "first line\nsecond line\tafter a tab"
    assert "second" in read(data).job.notes


def test_the_hash_is_of_the_files_bytes(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(b"abc\r\n")
    assert job_sha256(path) == hashlib.sha256(b"abc\r\n").hexdigest()


# What does not: the file as a whole.


def test_a_missing_file_names_the_nearest(tmp_path: Path) -> None:
    (tmp_path / "job-17.toml").write_text("", encoding="utf-8")
    with pytest.raises(JobFileError, match=r"no such file; did you mean job-17\.toml\?") as caught:
        load_job(tmp_path / "job-71.toml")
    assert caught.value.problems[0].nearest == "job-17.toml"


def test_a_folder_is_refused(tmp_path: Path) -> None:
    with pytest.raises(JobFileError, match="not a file"):
        load_job(tmp_path)


def test_a_name_that_no_file_can_have_is_refused(tmp_path: Path) -> None:
    with pytest.raises(JobFileError):
        load_job(tmp_path / "a\0b.toml")


def test_a_file_over_two_megabytes_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "big.toml"
    path.write_bytes(b"#" * (JOB.most_bytes + 1))
    with pytest.raises(JobFileError, match="larger than 2 MB"):
        load_job(path)


def test_bytes_that_are_no_utf_8_are_told_with_their_line() -> None:
    assert "Line 2 is no UTF-8" in only_problem(b'a = 1\nb = "\xff"\n').message


@pytest.mark.parametrize(
    ("text", "line"),
    [("format = 1\nlead = \n", 2), ('[job]\nid = "a"\nid = "b"\n', 3), ("format = 1\n[job\n", 2)],
)
def test_a_slip_in_the_toml_is_told_with_its_line(text: str, line: int) -> None:
    assert only_problem(text).message.startswith(f"Line {line} is no TOML")


@pytest.mark.parametrize(
    "text",
    [
        "a = " + "[" * 100_000,
        "a = " + "{a = " * 20_000,
        "a = " + "[" * 50 + "]" * 50,
        ".".join(["a"] * 200_000) + " = 1",
        "[" + ".".join(["a"] * 100_000) + "]",
        "\n".join(f"k{n} = 1" for n in range(100_000)),
        "a = [" + "1," * 400_000 + "]",
        "anchors = [" + "[1],".join([""] * 1999) + "]\n" + "lines = [" + "{},".join([""] * 1999) + "]",
        "a = " + "9" * 100_000,
        "a = 1e999999",
    ],
    ids=["arrays", "tables", "deep", "dots", "header", "keys", "items", "empty rows", "digits", "exponent"],
)
def test_bombs_are_refused(text: str) -> None:
    found = problems_of(text)
    assert found
    assert all(len(str(problem)) < 1_000 for problem in found)


def test_a_newer_format_is_refused_in_words_and_nothing_else_is_judged() -> None:
    problem = only_problem({"format": 2, "anything": "new"})
    assert problem.key == "format"
    assert "newer version of the program" in problem.message


@pytest.mark.parametrize("version", [0, -1, "1", 1.0, True])
def test_a_format_that_is_none_is_refused(version: Any) -> None:
    assert only_problem({**PLAIN, "format": version}).key == "format"


# What does not: keys and values.


def test_everything_is_said_at_once_each_with_file_and_key() -> None:
    data = plain()
    data["color"] = "red"
    data["job"]["lead"] = ""
    data["walls"][0] |= {"type": "blok", "thickness": "8 i"}
    data["anchors"] += [
        {"id": "A1", "wall": "nort", "along": -1e9, "drop": 3, "yard_slope": 0.02, "setbak": 1}
    ]
    data["rod"]["diameter"] = 0
    data["rules"] = {"setbak": {"value": 1, "said_by": "x"}, "setback": {"value": 12, "said_by": "x"}}
    data["ticket"] = {"number": "1"}
    keys = {problem.key for problem in problems_of(data)}
    assert keys == {
        "color", "job.lead", "walls[0].type", "walls[0].thickness", "anchors[1].id", "anchors[1].wall",
        "anchors[1].along", "anchors[1]", "anchors[1].setbak", "rod.diameter", "rules.setbak",
        "rules.setback.value", "ticket.valid_from", "ticket.valid_to",
    }  # fmt: skip


def test_a_problem_reads_as_one_line_that_names_the_wall() -> None:
    data = plain()
    data["walls"][0]["thickness"] = "8 i"
    text = str(only_problem(data))
    assert text.startswith("job.toml, line ")
    assert ': walls[0].thickness (wall "north"): "8 i" cannot be read' in text
    assert "\n" not in text


def test_a_misspelt_key_is_one_problem_with_the_key_that_was_meant() -> None:
    data = plain()
    data["walls"][0]["thicknes"] = data["walls"][0].pop("thickness")
    problem = only_problem(data)
    assert problem.nearest == "thickness"
    assert "did you mean thickness?" in problem.message


def test_the_programs_own_name_of_a_key_is_no_key_of_the_file() -> None:
    data = plain()
    data["anchors"][0]["setback_in"] = 144
    assert only_problem(data).nearest == "setback"


def test_a_missing_key_is_told_with_its_meaning_and_an_example() -> None:
    data = plain()
    del data["walls"][0]["slab_to_top"]
    message = only_problem(data).message
    assert "basement floor" in message
    assert "slab_to_top = 92" in message


def test_a_missing_table_is_told_with_what_it_needs() -> None:
    data = plain()
    del data["rod"]
    assert "[rod] is missing; it needs diameter" in only_problem(data).message


def test_a_misspelt_word_has_the_nearest() -> None:
    data = plain()
    data["walls"][0]["type"] = "poured concret"
    assert only_problem(data).nearest == "poured concrete"


@pytest.mark.parametrize(
    ("table", "key", "value", "words"),
    [
        ("walls", "length", -1, "must be over zero"),
        ("walls", "length", 1e9, "at most 1000 ft"),
        ("walls", "length", True, "true and false are no measure"),
        ("walls", "length", [1], "is a number"),
        ("walls", "grade_to_top", -0.5, "must be at least zero"),
        ("anchors", "torque", 1e6, "at most 2000 lbf·ft"),
        ("anchors", "yard_slope", 1.5, "must be under 1"),
        ("anchors", "owner_adjustable", "perhaps", "is true or false"),
        ("anchors", "id", "A/1", "nor hold /"),
        ("anchors", "id", "", "may not be empty"),
        ("anchors", "id", "A" * 30, "longer than 24"),
        ("anchors", "id", 1, "stands in quotes"),
        ("anchors", "plate", 12, "is a table of keys"),
        ("anchors", "obstacle_reach", 30, "obstacle is not"),
        ("walls", "openings", {"name": "x"}, "is a list in square brackets"),
        ("walls", "openings", [{"name": "x", "from": 3, "to": 3}], "must end past its beginning"),
    ],
)
def test_values_that_cannot_be_say_what_would_be_right(table: str, key: str, value: Any, words: str) -> None:
    data = plain()
    data[table][0][key] = value
    message = problems_of(data)[0].message.casefold()
    assert words.casefold() in message
    assert message.endswith((".", "?"))


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1" + "0" * 400])
def test_numbers_that_are_none_are_refused(value: str) -> None:
    text = template(date(2026, 11, 2)).replace("along = 30", f"along = {value}")
    assert only_problem(text).message == "Write a finite number."


def test_counts_are_whole_numbers() -> None:
    for count in (1.5, "3", True, -1):
        data = plain()
        data["stock"] = {"couplings": count}
        assert only_problem(data).key == "stock.couplings"


def test_a_ticket_that_ends_before_it_begins_is_refused() -> None:
    text = template(date(2026, 11, 2)) + (
        '\n[ticket]\nnumber = "1"\nvalid_from = 2026-11-05T00:00:00Z\nvalid_to = 2026-11-04T00:00:00Z\n'
    )
    assert "ends before it begins" in only_problem(text).message


def test_a_time_without_offset_is_refused_with_an_example() -> None:
    text = template(date(2026, 11, 2)) + (
        '\n[ticket]\nnumber = "1"\nvalid_from = 2026-11-03T00:00:00\nvalid_to = 2026-11-04T00:00:00Z\n'
    )
    assert "lacks its offset" in only_problem(text).message


def test_a_day_that_there_is_not_is_refused() -> None:
    data = plain()
    data["job"]["date"] = "2026-02-30"
    assert only_problem(data).key == "job.date"
    data["job"]["date"] = 20261101
    assert "2026-11-02" in only_problem(data).message


def test_both_a_drop_and_a_slope_contradict_each_other() -> None:
    data = plain()
    data["anchors"][0] |= {"drop": 3, "yard_slope": "5 %"}
    assert "both say how the ground falls" in only_problem(data).message


@pytest.mark.parametrize("where", ["anchors", "walls"])
def test_names_given_twice_are_refused(where: str) -> None:
    data = plain()
    data[where] *= 2
    assert "its own name" in only_problem(data).message


@pytest.mark.parametrize(
    ("table", "key"),
    [
        (
            {"lines": [{"name": "x", "kind": "gas", "wall": "nrth", "points": [[0, 0], [1, 1]]}]},
            "lines[0].wall",
        ),
        (
            {"footings": [{"name": "x", "wall": "nrth", "along": 1, "out": 1, "bottom_depth": 1}]},
            "footings[0].wall",
        ),
        ({"property_line": {"nrth": [[0, 0], [1, 1]]}}, "property_line.nrth"),
    ],
)
def test_a_wall_that_there_is_not_is_told_with_the_nearest(table: dict[str, Any], key: str) -> None:
    problem = only_problem({**plain(), **table})
    assert (problem.key, problem.nearest) == (key, "north")


def test_a_point_is_a_pair() -> None:
    line = {"name": "x", "kind": "gas", "wall": "north", "points": [[0, 0], [1]]}
    assert "pair of lengths" in only_problem({**plain(), "lines": [line]}).message


# Rules.


@pytest.mark.parametrize(
    ("rules", "words"),
    [
        ({"setbak": {"value": 1, "said_by": "x"}}, "did you mean setback?"),
        ({"setback_in": {"value": 150, "said_by": "x"}}, "without a unit"),
        ({"zzzz": {"value": 150, "said_by": "x"}}, "lists the rules"),
        ({"setback": 150}, "Write who set it as well"),
        ({"setback": {"value": 150}}, "said_by is missing"),
        ({"setback": {"said_by": "x"}}, "value is missing"),
        ({"setback": {"value": 150, "said_by": "x", "why": "y"}}, 'no key "why"'),
        ({"setback": {"value": 12, "said_by": "x"}}, "12 in"),
        ({"setback": {"value": "12", "said_by": "x"}}, "12 in"),
        ({"setback": {"value": "5 %", "said_by": "x"}}, "cannot be read"),
        ({"setback": {"value": [1], "said_by": "x"}}, "is no number"),
        ({"setback": {"value": 1e400, "said_by": "x"}}, "finite"),
        ({"torque_block": {"value": 5000, "said_by": "x"}}, "lies between"),
        ({"k_waxed": {"value": "waxed", "said_by": "x"}}, "is no number"),
        ({"frost_to": {"value": "cellar", "said_by": "x"}}, "none of its words"),
        ({"mark_band_top": {"value": 34, "said_by": "x"}}, "do not cross"),
        ({"setback": {"value": 150, "said_by": "x", "note": 3}}, "note is text"),
    ],
)
def test_rules_that_cannot_be_say_what_would_be_right(rules: dict[str, Any], words: str) -> None:
    text = tomli_w.dumps({**plain(), "rules": rules})
    assert words in only_problem(text).message


def test_rules_that_are_no_table_are_refused() -> None:
    data = plain()
    data["rules"] = [1]
    assert only_problem(data).key == "rules"


# What could disturb a terminal.


@pytest.mark.parametrize(
    "text", ["\x1b[31mred", "a\x07", "a\nb", "\u202eabc", "a\u200bb", "\x9b31m", "a\x7f"]
)
def test_control_and_invisible_characters_never_get_in(text: str) -> None:
    data = plain()
    data["job"]["site"] = text
    shown = str(only_problem(data))
    assert shown.isprintable()


def test_control_characters_in_keys_are_shown_as_their_code() -> None:
    data = plain()
    data["job"]["si\x1bte"] = "x"
    assert all(str(problem).isprintable() for problem in problems_of(data))


def test_text_longer_than_any_note_is_refused() -> None:
    data = plain()
    data["job"]["notes"] = "x" * 4_001
    assert "shorten it" in problems_of(data)[0].message


# Any bytes at all.


def opens_or_says_why(data: bytes) -> None:
    problems: tuple[Problem, ...] = ()
    job = None
    try:
        job = read_job(data, file="job.toml")
    except JobFileError as error:
        problems = error.problems
    assert (job is None) is bool(problems)
    for problem in problems:
        assert problem.message[-1] in ".?"
        assert str(problem).isprintable()


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_open_or_say_why(data: bytes) -> None:
    opens_or_says_why(data)


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=300))
def test_any_text_opens_or_says_why(text: str) -> None:
    opens_or_says_why(text.encode("utf-8", "surrogatepass"))


VALUES = st.recursive(
    st.none().map(lambda _: 0)
    | st.booleans()
    | st.integers(-(2**70), 2**70)
    | st.floats()
    | st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
    | st.dates()
    | st.datetimes(),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.text(string.ascii_lowercase, max_size=6), inner, max_size=3)
    ),
    max_leaves=6,
)
PATHS = [
    *(("job", key) for key in PLAIN["job"]),
    *(("rod", key) for key in PLAIN["rod"]),
    *(("walls", key) for key in (*PLAIN["walls"][0], "openings")),
    *(("anchors", key) for key in ("along", "drop", "plate", "torque", "wall", "id", "bow")),
    *(("stock", key) for key in ("rods", "nuts")),
    *(("tools", key) for key in ("pit", "extension_angle", "wrench_least")),
    *(("ground", key) for key in ("soil", "frost_depth")),
]


@settings(max_examples=120, deadline=None)
@given(st.sampled_from(PATHS), VALUES)
def test_any_value_in_any_key_opens_or_is_told(path: tuple[str, str], value: Any) -> None:
    table, key = path
    data = plain()
    holder = data[table][0] if isinstance(data[table], list) else data[table]
    holder[key] = value
    opens_or_says_why(tomli_w.dumps(data).encode())


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(sorted(SAMPLES.glob("*.toml"))), st.integers(0, 5_000), st.binary(max_size=3))
def test_a_sample_with_bytes_put_over_it_opens_or_says_why(path: Path, place: int, patch: bytes) -> None:
    data = path.read_bytes()
    place %= len(data)
    opens_or_says_why(data[:place] + patch + data[place + len(patch) :])


def test_no_sentence_of_a_job_file_holds_a_sign_that_a_terminal_acts_on() -> None:
    signs = "x\x1b[31m\u202e\x9b\u2028\x00y"
    error = JobFileError([Problem(file=signs, key=signs, message=signs, where=signs)])
    assert str(error).isprintable()
    assert all(str(problem).isprintable() for problem in error.problems)
