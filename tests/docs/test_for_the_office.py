"""The office's page: every command and every example on it is run, in its order."""

from __future__ import annotations

import re
import shlex
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from crewtui import cli
from crewtui.record.signed.canonical import canonical_hash
from crewtui.record.signed.known_keys import export_public
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record, write_record
from crewtui.record.signed.signing_keys import PublicKey, SigningKey, make_key, open_key

PAGE = (Path(__file__).parents[2] / "docs" / "for-the-office.md").read_text(encoding="utf-8")
COMMANDS = re.findall(r"(?m)^    (crewtui .*)$", PAGE)
EXAMPLES = re.findall(r"(?s)```python\n(.*?)```", PAGE)
SECRET = "four invented plain words"  # noqa: S105 - of a key made in a test
AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
RECORDS = 100
"""Records that are no revision."""


def reading(when: str, bow_in: float) -> dict[str, Any]:
    return {
        "when": when, "line": "plumb line", "heights_in": [4.0, 46.0, 88.0], "resolution_in": 0.0625,
        "offsets_in": [6.0, 6.0 - bow_in, 5.75],
    }  # fmt: skip


def record(job: str, key: SigningKey, **changes: Any) -> dict[str, Any]:
    anchor = {
        "id": "A-1", "wall": "north", "state": "complete", "planned": {"along_in": 32.0, "setback_in": 144.0},
        "value": [
            {"quantity": "depth_found_in", "value": 41.0}, {"quantity": "first_torque_lbf_ft", "value": 80.0}
        ],
        "reading": [reading("before", 1.5), reading("after", 1.25)],
    }  # fmt: skip
    wall = {
        "name": "north",
        "type": "block",
        "length_in": 300.0,
        "slab_to_top_in": 92.0,
        "grade_to_top_in": 8.0,
    }
    card = {"id": job, "site": "Invented house", "date": date(2031, 4, 5), "lead": "Lee Sample"}
    data: dict[str, Any] = {
        "kind": RECORD_KIND, "format": RECORD_FORMAT, "complete": True, "revision": {"number": 1},
        "governs": "The plan governs.", "job": {**card, "units": "imperial"},
        "wall": [{**wall, "grade_to_top_in": 8.0}], "anchor": [anchor],
    }  # fmt: skip
    return sign_record(data | changes, key, signed_at=AT)


@pytest.fixture
def office(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder as an office has it, with a hundred records of one lead and a lead's laptop."""
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "laptop"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "records").mkdir()
    (tmp_path / "office").mkdir()
    (tmp_path / "visits").mkdir()
    make_key("Lee Sample", SECRET, today=date(2031, 1, 2))
    key = open_key(SECRET)
    for number in range(1, RECORDS + 1):
        first = record(f"J-{number:03}", key)
        write_record(tmp_path / "records" / f"J-{number:03}.record.toml", first)
        if number == 2:
            before = canonical_hash({name: part for name, part in first.items() if name != "signature"})
            second = record(
                "J-002", key, revision={"number": 2, "before": before, "reason": "a depth was wrong"}
            )
            write_record(tmp_path / "records" / "J-002.revision-2.record.toml", second)
    write_record(tmp_path / "visits" / "J-002-V2.record.toml", record("J-002-V2", key))
    other = SigningKey.from_secret(bytes(32), name="Lee Sample")
    public = PublicKey(public=other.public, name="Lee Sample", made_on=date(2031, 4, 30))
    export_public(public, tmp_path / "lee-2.public.toml")
    return tmp_path


def test_there_is_something_to_run() -> None:
    assert len(COMMANDS) >= 10
    assert len(EXAMPLES) == 2


def test_every_command_of_the_page_does_what_it_says(
    office: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    key_id = open_key(SECRET).key_id
    for command in COMMANDS:
        words = [key_id if word == "KEY-ID" else word for word in shlex.split(command)]
        code = cli.run(words[1:])
        said = capsys.readouterr()
        # A wall that has got worse since is an exit code of its own.
        assert code == (1 if words[1] == "compare" else 0), (command, said)
        if words[1:3] == ["key", "list"]:
            assert key_id in said.out
        if "--json" in words:
            assert f'"valid": {RECORDS + 1}' in said.out
    assert "<svg" in (office / "report.html").read_text(encoding="utf-8")
    assert (office / "anchors.csv").read_text(encoding="utf-8").count("\n") == RECORDS + 1
    for example in EXAMPLES:
        exec(compile(example, "for-the-office.md", "exec"), {})  # noqa: S102 - the page's own example
    shown = capsys.readouterr().out
    assert "Lee Sample" in shown
    assert "block" in shown
