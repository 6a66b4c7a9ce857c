"""New job files: true to their units, nothing invented left standing, from a table, or like another job."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
import tomli

from crewtui import cli
from crewtui.job.file.anchor_table import AnchorTableError, columns, read_anchors
from crewtui.job.file.load import JobFileError, load_job
from crewtui.job.file.model import Job
from crewtui.job.file.short_job import blank_job, job_like, job_text, with_anchors
from crewtui.job.file.template import template

SAMPLES = Path(__file__).parents[2] / "sample_jobs"
TODAY = date(2026, 11, 2)
EIGHT = """\
id;wall;along;drop;bow;setback;torque
N1;north;32;6;3/4;13 ft;80
N2;north;100;6,75;1 1/4;13 ft;80
N3;north;172;7;1,75;13 ft;80
N4;north;240;7;1;13 ft;80
E1;east;30;4;1/2;12 ft;80
E2;east;96;4;1/2;12 ft;80
E3;east;160;4,5;1/2;12 ft;80
E4;east;224;5;1/2;12 ft;80
"""


def uncommented(text: str) -> str:
    """Take the # away from every key of the template, as an office would that uses them all."""
    return "\n".join(re.sub(r"^# (?=[\w.\[]+( = |\]))", "", line) for line in text.splitlines())


def loaded(folder: Path, text: str) -> Job:
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    return load_job(path)


# The template.


def test_the_metric_template_is_the_other_in_sizes_as_a_metric_yard_has_them(tmp_path: Path) -> None:
    inches = loaded(tmp_path, template(TODAY))
    metric = loaded(tmp_path, template(TODAY, metric=True))
    assert metric.job.units == "metric"
    for one, other in (
        (inches.walls[0].thickness_in, metric.walls[0].thickness_in),
        (inches.walls[0].slab_to_top_in, metric.walls[0].slab_to_top_in),
        (inches.walls[0].length_in, metric.walls[0].length_in),
        (inches.rod.diameter_in, metric.rod.diameter_in),
        (inches.rod.coupling_length_in, metric.rod.coupling_length_in),
        (inches.anchors[0].along_in, metric.anchors[0].along_in),
    ):
        assert other == pytest.approx(one, rel=0.03)


def test_every_key_of_the_metric_template_is_likely_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job.toml"
    job.write_text(template(TODAY, metric=True), encoding="utf-8")
    cli.run(["check", str(job)])
    said = " ".join(capsys.readouterr().out.split())
    assert "another unit" not in said
    assert said.count("STOP") == 1, said
    assert "STOP There is no locate ticket" in said
    metric = template(TODAY, metric=True)
    lengths = re.findall(r"^# (?:setback|mark_depth|free_room) = (\d+)$", metric, re.MULTILINE)
    assert lengths
    assert min(map(float, lengths)) > 500
    assert re.search(r"^# torque = 1\d\d$", metric, re.MULTILINE)


def test_the_template_names_its_schema_for_an_editor() -> None:
    assert template(TODAY).splitlines()[0] == "#:schema job.schema.json"


# Short: nothing invented, every blank asked for.


@pytest.mark.parametrize("metric", [False, True])
def test_a_short_job_is_refused_until_every_blank_is_filled(tmp_path: Path, *, metric: bool) -> None:
    text = job_text(blank_job(TODAY, metric=metric))
    blanks = [line.partition(" = ")[0] for line in text.splitlines() if line.endswith('= ""')]
    with pytest.raises(JobFileError) as error:
        loaded(tmp_path, text)
    said = str(error.value)
    for key in blanks:
        assert f".{key}" in said, key
    assert "Sample" not in text
    assert not re.search(r"\d", text.replace(TODAY.isoformat(), "").replace("format = 1", ""))


def test_a_short_job_that_is_filled_in_opens(tmp_path: Path) -> None:
    text = job_text(blank_job(TODAY, metric=False))
    filled = {
        "id": '"T-1"', "site": '"Invented"', "lead": '"Lee Sample"', "name": '"north"', "type": '"block"',
        "length": 300, "thickness": 8, "slab_to_top": 92, "grade_to_top": 8, "setback": '"13 ft"',
        "mark_depth": 28, "torque": 80, "along": 30, "wall": '"north"', "diameter": 0.75,
        "threads_per_inch": 10, "coupling_length": 2.25, "coupling_corners": 1.1,
    }  # fmt: skip
    for key, value in filled.items():
        text = re.sub(rf'^{key} = ""$', f"{key} = {value}", text, flags=re.MULTILINE)
    job = loaded(tmp_path, text)
    assert job.anchors[0].setback_in == 156


# From a table.


def test_eight_anchors_from_a_spreadsheet_are_about_forty_short_lines(tmp_path: Path) -> None:
    rows = read_anchors("\ufeff" + EIGHT, units="imperial")
    old = tomli.loads((SAMPLES / "block-wall.toml").read_text(encoding="utf-8"))
    text = job_text(with_anchors(job_like(old, TODAY), rows))
    anchors = [line for line in text.splitlines() if line.startswith("  { id")]
    assert len(anchors) == 8
    assert text.count("setback") == 2, "what a wall's anchors share stands once"
    filled = text
    for key, value in {
        "id": '"T-9"', "site": '"Invented"', "length": 300, "thickness": 8, "slab_to_top": 92,
        "grade_to_top": 8, "type": '"block"', "number": '"1"', "valid_from": "2026-10-01T07:00:00-05:00",
        "valid_to": "2027-10-01T07:00:00-05:00",
    }.items():  # fmt: skip
        filled = re.sub(rf'^{key} = ""$', f"{key} = {value}", filled, flags=re.MULTILINE)
    job = loaded(tmp_path, filled)
    assert [anchor.id for anchor in job.anchors] == ["N1", "N2", "N3", "N4", "E1", "E2", "E3", "E4"]
    by_id = {anchor.id: anchor for anchor in job.anchors}
    assert by_id["N2"].drop_in == pytest.approx(6.75)
    assert by_id["N1"].bow_in == pytest.approx(0.75)
    assert by_id["E3"].setback_in == pytest.approx(144)
    assert by_id["N3"].bow_in == pytest.approx(1.75)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "the table is empty"),
        ("id,wall\nN1,north\n", "its first line lacks along"),
        ("id,wall,along,colour\nN1,north,30,red\n", '"colour" is no column'),
        ("id,wall,along,along\nN1,north,30,30\n", "along stands twice"),
        ("id,wall,along\nN1,north,30\nN1,north,90\n", "N1 stands twice as id"),
        ("id,wall,along\nN1,north,\n", "row 2: along is empty"),
        ("id,wall,along\nN1,north,30\n,,\nN2,north,thirty\n", 'row 4: along = "thirty"'),
        ("id,wall,along\nN1,north,30,9\n", "row 2: it has more cells"),
        ("id,wall,along,plate_width\nN1,north,30,12\n", "plate needs its width and its height"),
        ("id,wall,along,torque\nN1,north,30,-5\n", "row 2: torque"),
        ("id,wall,along\n", "there is no anchor"),
    ],
)
def test_each_bad_row_of_a_table_is_named(text: str, said: str) -> None:
    with pytest.raises(AnchorTableError, match=re.escape(said)):
        read_anchors(text, units="imperial")


def test_all_bad_rows_are_named_at_once() -> None:
    with pytest.raises(AnchorTableError) as error:
        read_anchors("id,wall,along\nN1,north,x\nN2,north,30\nN3,north,y\n", units="imperial")
    assert [line.partition(":")[0] for line in str(error.value).splitlines()] == ["row 2", "row 4"]


def test_the_columns_of_a_table_stand_in_the_docs() -> None:
    page = (SAMPLES.parent / "docs" / "writing-a-job.md").read_text(encoding="utf-8")
    assert all(f"`{name}`" in page for name in columns())


# Like another job.


@pytest.mark.parametrize("sample", sorted(path.stem for path in SAMPLES.glob("*.toml")))
def test_a_job_like_another_keeps_the_company_and_nothing_of_the_house(sample: str, tmp_path: Path) -> None:
    old = tomli.loads((SAMPLES / f"{sample}.toml").read_text(encoding="utf-8"))
    new = tomli.loads(job_text(job_like(old, TODAY)))
    assert new["rod"] == old["rod"]
    assert new.get("stock") == old.get("stock")
    assert new["job"]["lead"] == old["job"]["lead"]
    assert new["job"]["site"] == ""
    assert new["job"]["date"] == TODAY
    for table in ("lines", "permit", "footings", "in_ground", "property_line", "tightening"):
        assert table not in new
    assert all(anchor["along"] == "" for anchor in new["anchors"])
    assert all(not {"drop", "bow"} & anchor.keys() for anchor in new["anchors"])
    for wall in new["walls"]:
        assert wall["length"] == ""
        assert not {"drop", "bow", "each"} & wall.get("anchors", {}).keys()
    with pytest.raises(JobFileError):
        loaded(tmp_path, job_text(job_like(old, TODAY)))


def test_the_command_says_what_is_wrong_and_writes_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    table = tmp_path / "a.csv"
    table.write_text("id,wall,along\nN1,north,x\n", encoding="utf-8")
    job = tmp_path / "job.toml"
    assert cli.run(["new", str(job), "--from", str(table)]) == 2
    assert "row 2" in capsys.readouterr().err
    table.write_bytes("id,wall,along\nN1,Küche,30\n".encode("latin-1"))
    assert cli.run(["new", str(job), "--from", str(table)]) == 2
    assert "no UTF-8" in capsys.readouterr().err
    assert cli.run(["new", str(job), "--like", str(tmp_path / "none.toml")]) == 2
    assert not job.exists()
    table.write_text(EIGHT, encoding="utf-8")
    assert cli.run(["new", str(job), "--like", str(SAMPLES / "block-wall.toml"), "--from", str(table)]) == 0
    assert job.exists()
