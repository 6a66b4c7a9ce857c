"""The command line: exit codes, one sentence for each refusal, help at once, and no secret anywhere."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner

from crewtui import cli
from crewtui.day.session.day import Day
from crewtui.record.signed import signing_keys
from crewtui.record.signed.canonical import canonical_hash
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, sign_record, write_record
from crewtui.record.signed.signing_keys import ScryptCost

AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
PASSPHRASE = "plumb line and tape"  # noqa: S105 - of no real key
KEY = signing_keys.SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
DATA: dict[str, Any] = {
    "kind": RECORD_KIND,
    "format": RECORD_FORMAT,
    "program": {"name": "crewtui", "version": "0.1.0"},
    "complete": True,
    "job": {"id": "J-1", "site": "Sample Lane 5"},
    "revision": {"number": 1},
    "anchor": [{"id": "A-1", "depth_found_in": 41.5}],
}


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "home"
    monkeypatch.setenv("CREWTUI_HOME", str(folder))
    monkeypatch.setattr(signing_keys.ScryptCost, "__init__", quick_cost)
    return folder


def quick_cost(self: ScryptCost, n: int = 2**4, r: int = 8, p: int = 1) -> None:
    for name, value in (("n", n), ("r", r), ("p", p)):
        object.__setattr__(self, name, value)


def type_in(*arguments: str, typed: str = "") -> tuple[int, str]:
    """Run a command as at a terminal with these answers typed; return its code and all that it printed."""
    result = CliRunner().invoke(cli.commands, list(arguments), input=typed, standalone_mode=False)
    code = result.return_value if isinstance(result.return_value, int) else 0
    if isinstance(result.exception, click.ClickException):
        return cli.REFUSED, result.output + result.exception.format_message()
    assert result.exception is None
    return code, result.output


def record(folder: Path, name: str = "j-1.record.toml", **changes: Any) -> Path:
    path = folder / name
    write_record(path, sign_record(DATA | changes, KEY, signed_at=AT))
    return path


def make_own_key() -> None:
    code, _ = type_in("key", "make", "--name", "Lee Sample", typed=f"{PASSPHRASE}\n{PASSPHRASE}\n")
    assert code == 0


def office_list(tmp_path: Path) -> str:
    path = tmp_path / "office.toml"
    from crewtui.record.signed.known_keys import KnownKey, save_known  # noqa: PLC0415 - as a command does

    save_known([KnownKey(public=KEY.public, name="Lee Sample")], path)
    return str(path)


def test_help_imports_nothing_slow() -> None:
    code = (
        "import sys; from crewtui import cli\n"
        "code = cli.run(['--help']) or cli.run(['verify', '--help']) or cli.run(['key', '--help'])\n"
        "slow = {'textual', 'pint', 'cryptography', 'pydantic'} & set(sys.modules)\n"
        "sys.exit(f'imported {slow}' if slow or code else 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "Example" in done.stdout


def all_commands(group: click.Group, path: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    found = []
    for name, command in group.commands.items():
        found.append((*path, name))
        if isinstance(command, click.Group):
            found.extend(all_commands(command, (*path, name)))
    return found


@pytest.mark.parametrize("path", all_commands(cli.commands), ids=" ".join)
def test_every_command_has_an_example_and_fits_80_columns(
    path: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.run([*path, "--help"]) == 0
    shown = capsys.readouterr().out
    assert f"crewtui {' '.join(path)}" in shown.split("Example")[1]
    assert max(map(len, shown.splitlines())) <= 80


@pytest.mark.parametrize("arguments", [[], ["key"]])
def test_a_group_alone_shows_its_help(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(arguments) == 0
    assert "Usage" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["verfy"], "Did you mean"),
        (["verify"], "verify --help"),
        (["verify", "--no-such", "x"], "No such option"),
        (["verify", "x", "--keys", "nowhere.toml"], "no such file"),
        (["key", "show"], "no signing key yet"),
        (["key", "export", "x.toml"], "no signing key yet"),
        (["key", "passphrase"], "no signing key yet"),
        (["key", "retire"], "no signing key yet"),
        (["key", "retire", "ffff"], "no key on the list"),
        (["key", "retire", "--on", "soon"], "2031-04-05"),
        (["key", "add", "nowhere.toml"], "no such file"),
        (["key", "make"], "--name"),
    ],
)
def test_a_refusal_is_one_sentence_with_code_2(
    arguments: list[str],
    words: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert cli.run(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("crewtui: ")
    assert said.err.count("\n") == 1
    assert words in said.err


def test_a_fault_of_the_program_says_where_the_data_is_and_what_to_send(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, home: Path
) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise RuntimeError("a fault")

    monkeypatch.setattr("crewtui.record.signed.signing_keys.show_key", broken)
    assert cli.run(["key", "show"]) == 70
    said = capsys.readouterr()
    assert "Traceback" not in said.out + said.err
    assert said.err.count("\n") == 1
    assert "journal" in said.err
    assert str(home / cli.FAULT_FILE) in said.err
    assert "RuntimeError: a fault" in (home / cli.FAULT_FILE).read_text(encoding="utf-8")


def test_a_passphrase_reaches_no_output_and_no_fault_file(
    monkeypatch: pytest.MonkeyPatch, home: Path
) -> None:
    def broken(*_: Any, **__: Any) -> None:
        raise RuntimeError("a fault")

    make_own_key()
    monkeypatch.setattr("crewtui.record.signed.signing_keys.ChaCha20Poly1305", broken)
    answers = iter([PASSPHRASE])
    monkeypatch.setattr("click.termui.hidden_prompt_func", lambda _: next(answers))
    assert cli.run(["key", "passphrase"]) == 70
    for file in home.iterdir():
        assert PASSPHRASE not in file.read_text(encoding="utf-8")


def test_stopping_a_prompt_is_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(_: str) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr("click.termui.hidden_prompt_func", stop)
    assert cli.run(["key", "make", "--name", "Lee Sample"]) == 130


def test_the_life_of_a_key(tmp_path: Path) -> None:
    code, said = type_in("key", "make", "--name", "Lee Sample", typed=f"{PASSPHRASE}\n{PASSPHRASE}\n")
    assert code == 0
    assert PASSPHRASE not in said
    key_id = signing_keys.show_key().key_id
    assert key_id in said
    assert type_in("key", "make", "--name", "Lee Sample")[0] == 2
    assert key_id in type_in("key", "show")[1]
    exported, office = str(tmp_path / "lee.public.toml"), str(tmp_path / "office.toml")
    assert type_in("key", "export", exported)[0] == 0
    assert type_in("key", "export", exported)[0] == 2, "nothing is written over"
    assert key_id in type_in("key", "add", exported, "--keys", office)[1]
    assert f"{key_id}  Lee Sample" in type_in("key", "list", "--keys", office)[1]
    code, said = type_in("key", "passphrase", typed="wrong wrong\n")
    assert code == 2
    assert said.endswith("that passphrase does not open the key")
    new = "another passphrase"
    assert type_in("key", "passphrase", typed=f"{PASSPHRASE}\n{new}\n{new}\n")[0] == 0
    assert signing_keys.open_key(new).key_id == key_id
    assert type_in("key", "retire", key_id[:9], "--on", "2031-04-05", "--keys", office)[0] == 0
    assert "retired on 2031-04-05" in type_in("key", "list", "--keys", office)[1]
    code, said = type_in("key", "retire")
    assert code == 0
    assert key_id in said
    assert type_in("key", "show")[0] == 2
    assert type_in("key", "list")[1] == "No keys are known here yet.\n"


def test_verify_tells_the_four_verdicts_apart(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    office = office_list(tmp_path)
    good = record(tmp_path)
    assert cli.run(["verify", str(good), "--keys", office]) == 0
    assert "does not prove" in capsys.readouterr().out
    assert cli.run(["verify", str(good)]) == 3
    said = capsys.readouterr().out
    assert KEY.key_id in said
    assert "--keys" in said
    changed = tmp_path / "changed.record.toml"
    changed.write_bytes(good.read_bytes().replace(b"41.5", b"42.5"))
    assert cli.run(["verify", str(changed), "--keys", office]) == 1
    assert "Altered" in capsys.readouterr().out
    assert cli.run(["verify", str(tmp_path / "nowhere"), "--keys", office]) == 2
    assert max(map(len, capsys.readouterr().out.splitlines()[1:])) <= 80


def test_verify_json_is_ascii_with_one_shape(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    good = record(tmp_path, job={"id": "J-1", "site": "Caf\u00e9"})
    assert cli.run(["verify", str(good), "--json", "--keys", office_list(tmp_path)]) == 0
    text = capsys.readouterr().out
    assert text.isascii()
    (only,) = json.loads(text)["records"]
    assert only["state"] == "valid"
    assert only["site"] == "Caf\u00e9"
    assert only["key_id"] == KEY.key_id
    assert only["signed_at"] == "2031-04-05T16:20:00+00:00"


def hash_of(path: Path) -> str:
    from crewtui.disk.their_files import read_toml  # noqa: PLC0415 - as a command does

    return canonical_hash(read_toml(path))


def test_a_folder_of_revisions_chains(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "records" / "deep"
    folder.mkdir(parents=True)
    office = office_list(tmp_path)
    first = record(folder, complete=False)
    second = record(
        folder,
        "j-1.revision-2.record.toml",
        revision={"number": 2, "before": hash_of(first), "reason": "day 2"},
    )
    other = {"id": "J-2", "site": "x"}
    record(folder, "j-2.record.toml", job=other)
    assert cli.run(["verify", str(tmp_path / "records"), "--keys", office]) == 0
    said = capsys.readouterr().out
    assert "3 records: 3 valid" in said
    assert "partial" in said
    rival = {"number": 2, "before": hash_of(first), "reason": "another"}
    record(folder, "rival.record.toml", revision=rival)
    assert cli.run(["verify", str(folder), "--keys", office]) == 4
    assert "do not chain" in capsys.readouterr().out
    (folder / "rival.record.toml").unlink()
    first.unlink()
    assert cli.run(["verify", str(folder), "--keys", office]) == 4
    assert "not among these files" in capsys.readouterr().out.replace("\n", " ")
    assert cli.run(["verify", str(second), "--keys", office]) == 0, "a good revision alone is valid"
    assert "It replaces the record" in capsys.readouterr().out
    second.unlink()
    assert cli.run(["verify", str(folder), "--keys", office]) == 0


@pytest.mark.parametrize(
    ("revision", "words"),
    [
        ({"number": 1, "before": "0" * 64}, "names a record before it"),
        ({"number": 2}, "names no record before it"),
    ],
)
def test_a_revision_without_its_place_is_said(
    revision: dict[str, Any], words: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = record(tmp_path, revision=revision)
    assert cli.run(["verify", str(path), "--keys", office_list(tmp_path)]) == 4
    assert words in capsys.readouterr().out.replace("\n", " ")


def test_two_first_records_of_one_job_are_reported(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record(tmp_path)
    record(tmp_path, "again.record.toml", complete=False)
    (tmp_path / "copy.record.toml").write_bytes((tmp_path / "j-1.record.toml").read_bytes())
    assert cli.run(["verify", str(tmp_path), "--keys", office_list(tmp_path)]) == 4
    said = capsys.readouterr().out.replace("\n", " ")
    assert "each a first record" in said
    assert said.count("do not chain") == 1
    assert "j-1.record.toml is a copy of copy.record.toml; it counts once" in said


def test_an_empty_folder_holds_no_record(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.run(["verify", str(tmp_path)]) == 2
    assert "0 records: none was found there" in capsys.readouterr().out


def test_the_program_runs_as_installed(tmp_path: Path) -> None:
    code = "from crewtui.cli import main; main()"
    done = subprocess.run(
        [sys.executable, "-c", code, "verify", str(tmp_path / "nowhere")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 2
    assert "there is no such file" in done.stdout
    assert done.stderr == ""


def test_a_plan_printed_after_an_edit_is_the_one_that_the_day_works_with(tmp_path: Path) -> None:
    job = Path(shutil.copy(Path(__file__).parents[1] / "sample_jobs" / "block-wall.toml", tmp_path))
    Day.open(job).close()
    text = job.read_text(encoding="utf-8")
    job.write_text(text.replace("frost_depth = 30", "frost_depth = 42"), encoding="utf-8")
    code, printed = type_in("plan", str(job), "--json", "--seconds", "0.1")
    assert code == 0
    assert "edited since the day opened its plan" in printed
    code, printed = type_in("plan", str(job), "--as-planned", "--json", "--seconds", "0.1")
    assert code == 0
    assert "edited" not in printed


def test_the_schema_is_printed_for_an_editor() -> None:
    code, said = type_in("schema")
    assert code == 0
    assert json.loads(said)["title"] == "crewtui job file, format 1"
    assert "company" in json.loads(type_in("schema", "--company")[1])["title"]
    assert "record" in json.loads(type_in("schema", "--record")[1])["title"]


SAMPLES = Path(__file__).parents[1] / "sample_jobs"


@pytest.mark.parametrize("name", sorted(path.stem for path in SAMPLES.glob("*.toml")))
def test_a_sample_is_written_as_it_is_and_never_over_another_file(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code, said = type_in("sample", name)
    assert code == 0
    assert f"crewtui open {name}.toml" in said
    assert Path(f"{name}.toml").read_bytes() == (SAMPLES / f"{name}.toml").read_bytes()
    Path(f"{name}.toml").write_text("mine", encoding="utf-8")
    code, said = type_in("sample", name)
    assert code == 2
    assert "there already" in said
    assert Path(f"{name}.toml").read_text(encoding="utf-8") == "mine"
    assert type_in("sample", name, "other.toml")[0] == 0
    assert type_in("sample", name, "other.txt") == (2, "other.txt: a job file's name ends with .toml")


def test_samples_are_listed_with_what_they_are_of() -> None:
    code, said = type_in("sample")
    assert code == 0
    for path in SAMPLES.glob("*.toml"):
        assert f"{path.stem}: " in said
    assert "invented" in said
    assert type_in("sample", "nowhere")[0] == 2


def test_the_module_is_the_command() -> None:
    for option in ("-V", "--version"):
        done = subprocess.run(
            [sys.executable, "-m", "crewtui", option], capture_output=True, text=True, check=True
        )
        assert done.stdout.startswith("crewtui ")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
@pytest.mark.parametrize("command", [["check"], ["plan"], ["plan", "--json"], ["schema"], ["--help"]])
def test_a_full_disk_behind_the_output_is_said_in_a_sentence(command: list[str], tmp_path: Path) -> None:
    job = shutil.copy(SAMPLES / "block-wall.toml", tmp_path)
    named = [] if command[0] in {"schema", "--help"} else [str(job)]
    with Path("/dev/full").open("w", encoding="utf-8") as full:
        ended = subprocess.run(
            [sys.executable, "-m", "crewtui", *command, *named],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
        )
    said = ended.stderr.decode()
    assert ended.returncode == 2, said
    assert "no space is left on the disk" in said
    assert len(said.splitlines()) == 1, said


@pytest.mark.parametrize(
    "command",
    [
        ["new", "{}"],
        ["sample", "block-wall", "{}"],
        ["check", "{}"],
        ["plan", "{}"],
        ["key", "list", "--keys", "{}"],
    ],
)
def test_a_name_too_long_for_a_file_is_said(
    command: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    code = cli.run([part.format("x" * 300) for part in command])
    assert code == 2
    assert "failed" not in capsys.readouterr().err
