"""What a job does not say itself comes from its walls and the company's file; each place is known."""

from __future__ import annotations

import hashlib
import tomllib
from pathlib import Path

import pytest

from crewtui.job.file.key_lines import key_lines
from crewtui.job.file.load import JobFileError, job_sha256, load_job, load_job_file, read_job
from crewtui.units import MM_PER_IN

SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))
COMPANY = """\
[company]
name = "Sample Wall Repair (invented)"

[anchors]
setback = 150

[rod]
diameter = 0.75
threads_per_inch = 10
coupling_length = 2.25
coupling_corners = 1.1

[tools]
wrench_length = 18

[stock]
rods = [{ length = 80, count = 12 }]

[rules]
least_clearance = { value = 12, said_by = "Office (invented)" }

[[contacts]]
role = "emergency services"
phone = "555-0100"

[[contacts]]
role = "Office"
phone = "555-0103"
"""
JOB = """\
[job]
id = "T-8"
site = "Invented house"
date = 2026-11-02
lead = "Sam Sample"

[[walls]]
name = "north"
type = "block"
length = "28 ft"
thickness = 8
slab_to_top = 92
grade_to_top = 8

[walls.anchors]
mark_depth = 28
torque = 80
yard_slope = "5 %"
each = [
  { id = "N1", along = 32, drop = 6 },
  { id = "N2", along = 100 },
]

[[walls]]
name = "east"
type = "block"
length = "20 ft"
thickness = 8
slab_to_top = 92
grade_to_top = 8

[walls.anchors]
mark_depth = 30

[[anchors]]
id = "E1"
wall = "east"
along = 40
drop = 4
setback = "13 ft"
"""


def folder(tmp_path: Path, job: str = JOB, company: str = COMPANY) -> Path:
    (tmp_path / "company.toml").write_text(company, encoding="utf-8")
    path = tmp_path / "job.toml"
    path.write_text(job, encoding="utf-8")
    return path


def problems(tmp_path: Path, job: str = JOB, company: str = COMPANY) -> list[str]:
    with pytest.raises(JobFileError) as caught:
        load_job(folder(tmp_path, job, company))
    return [str(problem) for problem in caught.value.problems]


def test_the_nearer_one_goes_before(tmp_path: Path) -> None:
    job = load_job(folder(tmp_path))
    by_id = {anchor.id: anchor for anchor in job.anchors}
    assert list(by_id) == ["E1", "N1", "N2"]
    assert [by_id[name].setback_in for name in by_id] == [156, 150, 150]
    assert [by_id[name].mark_depth_in for name in by_id] == [30, 28, 28]
    assert [by_id[name].torque_lbf_ft for name in by_id] == [None, 80, 80]
    assert by_id["N2"].wall == "north"


def test_an_anchors_own_drop_stands_in_for_the_walls_slope(tmp_path: Path) -> None:
    first, second = load_job(folder(tmp_path)).anchors[1:]
    assert (first.drop_in, first.yard_slope) == (6, None)
    assert (second.drop_in, second.yard_slope) == (None, pytest.approx(0.05))


def test_a_job_takes_the_companys_rod_tools_stock_rules_contacts_and_name(tmp_path: Path) -> None:
    job = load_job(folder(tmp_path, JOB + '\n[[contacts]]\nrole = "office"\nphone = "555-0155"\n'))
    assert job.rod.coupling_length_in == 2.25
    assert job.tools.wrench_length_in == 18
    assert job.stock.rods[0].count == 12
    assert job.rules["least_clearance_in"].said_by == "Office (invented)"
    assert job.job.company == "Sample Wall Repair (invented)"
    assert [contact.phone for contact in job.contacts] == ["555-0100", "555-0155"]


def test_a_job_says_only_what_differs(tmp_path: Path) -> None:
    job = load_job(folder(tmp_path, JOB + "\n[rod]\ndiameter = 1\n"))
    assert (job.rod.diameter_in, job.rod.coupling_length_in) == (1, 2.25)


def test_the_companys_bare_numbers_are_in_its_own_unit(tmp_path: Path) -> None:
    job = load_job(folder(tmp_path, JOB.replace('lead = "Sam', 'units = "metric"\nlead = "Sam')))
    assert job.anchors[1].setback_in == pytest.approx(150)
    assert job.rod.diameter_in == pytest.approx(0.75)
    assert job.rules["least_clearance_in"].value == pytest.approx(12)
    assert job.anchors[1].mark_depth_in == pytest.approx(28 / MM_PER_IN)


def test_a_job_without_a_unit_takes_the_companys(tmp_path: Path) -> None:
    text = COMPANY.replace("[company]", '[company]\nunits = "metric"')
    assert load_job(folder(tmp_path, company=text)).job.units == "metric"


def test_the_file_beside_the_job_goes_before_the_users_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    home = tmp_path / "home"
    home.mkdir()
    monkeypatch.setenv("CREWTUI_HOME", str(home))
    (home / "company.toml").write_text(COMPANY.replace("150", "170"), encoding="utf-8")
    job = tmp_path / "job.toml"
    job.write_text(JOB, encoding="utf-8")
    assert load_job(job).anchors[1].setback_in == 170
    folder(tmp_path)
    assert load_job(job).anchors[1].setback_in == 150


def test_the_hash_is_of_both_files(tmp_path: Path) -> None:
    path = folder(tmp_path)
    both = path.read_bytes() + (tmp_path / "company.toml").read_bytes()
    assert job_sha256(path) == hashlib.sha256(both).hexdigest()
    assert job_sha256(path, alone=True) == hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_file_that_says_everything_reads_as_before_without_a_company(path: Path) -> None:
    assert read_job(path.read_bytes(), file=path.name) == load_job(path)


# What is wrong is said once, where it stands.


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            "mark_depth = 28",
            "mark_depth = -28",
            "job.toml, line 16: walls[0].anchors.mark_depth: -28 cannot be",
        ),
        (
            "mark_depth = 28",
            "mark_dept = 28",
            "job.toml, line 16: walls[0].anchors.mark_dept: There is no key",
        ),
        (
            "along = 100",
            "along = 0.1, torque = 0",
            'job.toml, line 21: walls[0].anchors.each[1].torque (anchor "N2")',
        ),
        ("torque = 80", 'id = "N1"', "job.toml, line 17: walls[0].anchors.id: id belongs to each anchor"),
        (
            "[walls.anchors]\nmark_depth = 30",
            "[[walls.anchors]]\nmark_depth = 30",
            "walls[1].anchors: Write [walls.anchors]",
        ),
        (
            'length = "28 ft"',
            'length = "?"',
            'job.toml, line 10: walls[0].length (wall "north"): length is not filled in',
        ),
    ],
)
def test_a_fault_in_what_is_shared_is_said_once_with_its_line(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    (only,) = problems(tmp_path, JOB.replace(old, new, 1))
    assert said in only


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("diameter = 0.75", "diameter = -1", "company.toml, line 8: rod.diameter: -1 cannot be"),
        ("setback = 150", "setback = 0", "company.toml, line 5: anchors.setback: 0 cannot be"),
        ("wrench_length", "wrench_lenght", "company.toml, line 14: tools.wrench_lenght: There is no key"),
        ('phone = "555-0103"', "phone = 5", "company.toml, line 28: contacts[1].phone: phone is text"),
        (
            "[tools]",
            "[toolz]",
            'company.toml, line 13: toolz: There is no key "toolz" in a company\'s file; did you mean',
        ),
        ("[company]", "[company]\nunits = 3", "company.units: 3 is none of its words"),
        ("[rules]", "[rules", "company.toml: Line 19 is no TOML"),
    ],
)
def test_a_fault_of_the_companys_file_is_said_there(tmp_path: Path, old: str, new: str, said: str) -> None:
    (only,) = problems(tmp_path, company=COMPANY.replace(old, new, 1))
    assert said in only


def test_each_value_knows_its_place(tmp_path: Path) -> None:
    places = load_job_file(folder(tmp_path)).places
    assert places.of("anchors[2].along").line == 21
    assert places.of("anchors[2].setback").file == "company.toml"
    assert places.of("anchors[0].setback").line == JOB[: JOB.index("setback")].count("\n") + 1
    assert places.of("walls[1].thickness").line == 28
    assert places.of("rod.diameter").file == "company.toml"


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_every_key_of_a_file_has_the_line_on_which_it_stands(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    lines, found = text.splitlines(), key_lines(text)

    def look(value: object, key: str) -> int:
        if isinstance(value, dict):
            return sum(look(part, f"{key}.{name}" if key else name) for name, part in value.items())
        if isinstance(value, list):
            return sum(look(part, f"{key}[{place}]") for place, part in enumerate(value))
        last = key.rsplit(".", 1)[-1].split("[", maxsplit=1)[0]
        if not key.endswith("]"):
            assert last in lines[found[key] - 1], key
        return 1

    assert look(tomllib.loads(text), "") > 60
