"""Text that is not ours, with escapes, direction marks and line breaks, in every field and name there is.

No command, page, table or log ever writes one of its signs raw.
"""

from __future__ import annotations

import csv
import re
import shutil
import sys
import unicodedata
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from hypothesis import given, settings
from hypothesis import strategies as st

from crewtui import cli
from crewtui.disk.their_files import read_toml
from crewtui.foreign import cleaned, prose, shown
from crewtui.record.signed.known_keys import KnownKey, save_known
from crewtui.record.signed.sign import RECORD_FORMAT, SIGNER, record_text, sign_record
from crewtui.record.signed.signing_keys import SigningKey, encoded, key_id

ROOT = Path(__file__).parents[2]
KEPT = ROOT / "tests" / "kept" / "first-build"
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
NASTY = "x\x1b]0;t\x07\x9b31m\u202eevil\u2066\u200f\u2028y\rz\x08\ufeff\u0085\x7f"


def is_raw(char: str) -> bool:
    """Return whether a terminal would do something else with it than show it."""
    return unicodedata.category(char) in {"Cc", "Cf", "Cs", "Zl", "Zp"} and char != "\n"


def raw_in(text: str) -> set[str]:
    return {char for char in text.replace("\r\n", "\n") if is_raw(char)}


def test_every_sign_that_does_something_is_written_as_its_code() -> None:
    for number in range(sys.maxunicode + 1):
        char = chr(number)
        if is_raw(char) or char == "\n":
            assert cleaned(char).isascii(), hex(number)
            assert cleaned(char).isprintable(), hex(number)
    assert cleaned("Café 北 ½ “x” שלום") == "Café 北 ½ “x” שלום"


@settings(deadline=None, max_examples=100)
@given(st.text())
def test_any_text_is_one_legible_line(text: str) -> None:
    for made in (cleaned(text), shown(text), prose(text)):
        assert made.isprintable() or made == ""
    assert len(shown(text, 20)) <= 20


def places(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    """Yield the way to every text of a record."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from places(inner, (*path, key))
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from places(inner, (*path, index))
    elif isinstance(value, str):
        yield path


FIXED = {"kind", "format", "state", "units", "last_sha256", "file_sha256", "source", "quantity", "before"}
"""Fields with words of their own: another there makes the record strange, which is tried apart."""


def with_nasty(data: Any, path: tuple[str | int, ...] = ()) -> Any:
    """Return a record with the text in every field at once but those that have words of their own."""
    if isinstance(data, dict):
        return {key: with_nasty(inner, (*path, key)) for key, inner in data.items()}
    if isinstance(data, list):
        return [with_nasty(inner, path) for inner in data]
    words = {"wall": {"type"}, "reading": {"when", "line"}, "bow": {"when", "how"}}
    kept = path[-1] in FIXED or any(table in path and path[-1] in keys for table, keys in words.items())
    return f"{data}{NASTY}" if isinstance(data, str) and not kept else data


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path / "home"))
    found = tmp_path / f"records-{NASTY.replace('/', '')}"
    found.mkdir()
    return found


def put(folder: Path, name: str, data: dict[str, Any], key: SigningKey = KEY) -> Path:
    path = folder / f"{name}-{NASTY.replace('/', '')}.record.toml"
    name_typed = data.get(SIGNER, {}).get("name", "")
    record = data | {"format": RECORD_FORMAT, SIGNER: {"name": name_typed}}
    path.write_text(record_text(sign_record(record, key, signed_at=AT)), encoding="utf-8")
    return path


def ran(capsys: pytest.CaptureFixture[str], *arguments: str) -> int:
    code = cli.run(list(arguments))
    said = capsys.readouterr()
    assert raw_in(said.out) == set(), (arguments[0], said.out)
    assert raw_in(said.err) == set(), (arguments[0], said.err)
    assert code != cli.FAULT, said.err
    return code


def keys_file(folder: Path) -> str:
    return str(save_known([KnownKey(public=KEY.public, name=f"Lee{NASTY}")], folder / "keys.toml"))


def test_no_command_page_or_table_writes_a_records_text_raw(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sample = read_toml(KEPT / "block-wall" / "job.revision-2.record.toml")
    nasty = with_nasty(sample)
    record = str(put(folder, "nasty", nasty))
    put(folder, "stranger", nasty, SigningKey.from_secret(bytes(32), name=NASTY))
    put(folder, "strange", sample | {"note": NASTY})
    (folder / f"none{NASTY}.record.toml").write_text(f'kind = {NASTY}"', encoding="utf-8")
    keys = keys_file(folder)
    assert ran(capsys, "verify", record, "--keys", keys) == 0
    assert ran(capsys, "verify", str(folder), "--keys", keys) == 4
    assert ran(capsys, "verify", str(folder), "--keys", keys, "--json") == 4
    assert ran(capsys, "compare", record, record, "--keys", keys) in {0, 1, 2}
    assert ran(capsys, "compare", record, record, "--keys", keys, "--json") in {0, 1, 2}
    for reader in ("owner", "office"):
        page = folder / f"{reader}.html"
        code = ran(capsys, "sheet", record, "--keys", keys, "--for", reader, "--out", str(page))
        assert code == 0
        assert raw_in(page.read_text(encoding="utf-8")) == set()
    table = folder / "t.csv"
    assert ran(capsys, "collect", str(folder), "--out", str(table), "--keys", keys) == 4
    text = table.read_text(encoding="utf-8")
    assert raw_in(text) == set()
    assert len(list(csv.reader(text.splitlines()))) > 2
    assert ran(capsys, "key", "list", "--keys", keys) == 0


def test_no_sentence_on_a_strange_place_writes_it_raw() -> None:
    """Each text of a record in turn becomes a table with a nasty key, so that the sentence has to name it."""
    from crewtui.record.signed.read_form import StrangeError, read_form  # noqa: PLC0415 - of this test alone

    sample = read_toml(KEPT / "block-wall" / "job.record.toml")
    said = []
    for path in [*places(sample)][:400]:
        holder = sample
        for part in path[:-1]:
            holder = holder[part]  # type: ignore[index]
        before = holder[path[-1]]  # type: ignore[index]
        holder[path[-1]] = {NASTY: 1}  # type: ignore[index]
        try:
            read_form(sample)
        except StrangeError as error:
            said.append(str(error))
        holder[path[-1]] = before  # type: ignore[index]
    assert len(said) > 150
    assert raw_in("".join(said)) == set()


def job_texts() -> list[tuple[int, str]]:
    text = (ROOT / "sample_jobs" / "block-wall.toml").read_text(encoding="utf-8")
    return [(found.start(), found[1]) for found in re.finditer(r'(?m)= "([^"\n]*)"', text)]


def test_no_command_on_a_job_writes_its_text_raw(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each text and each key of a job file in turn carries the signs, escaped as TOML lets it."""
    text = (ROOT / "sample_jobs" / "block-wall.toml").read_text(encoding="utf-8")
    written = tomli_w.dumps({"x": NASTY})[5:-2]
    job = folder / f"job{NASTY}.toml"
    for place, value in job_texts()[::3]:
        changed = text[:place] + f'= "{value}{written}"' + text[place + len(value) + 4 :]
        job.write_text(changed, encoding="utf-8")
        assert ran(capsys, "check", str(job)) in {0, 1, 2}
    job.write_text(text.replace("[job]", f'[job]\n"sit{written}" = 1'), encoding="utf-8")
    for command in (["check"], ["plan"], ["check", "--json"]):
        assert ran(capsys, command[0], str(job), *command[1:]) == 2
    assert ran(capsys, "check", str(tmp_path / f"nowhere{NASTY}.toml")) == 2
    assert ran(capsys, "new", str(tmp_path / f"new{NASTY}")) == 2


def test_no_refusal_writes_what_was_typed_raw(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in (
        [NASTY], ["verify", f"--{NASTY}"], ["verify", NASTY], ["verify", NASTY, "--keys", NASTY],
        ["sheet", NASTY, "--for", NASTY], ["collect", NASTY, "--out", NASTY],
        ["collect", str(folder), "--out", NASTY], ["compare", NASTY, NASTY], ["key", NASTY],
        ["key", "add", NASTY], ["key", "retire", NASTY, "--on", NASTY],
        ["key", "list", "--keys", NASTY], ["open", NASTY], ["plan", NASTY, "--seconds", NASTY],
    ):  # fmt: skip
        assert ran(capsys, *arguments) != 0


def test_a_list_of_keys_with_odd_names_is_shown_and_refused_clean(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    row = {"key_id": key_id(KEY.public), "public_key": encoded(KEY.public), "name": NASTY}
    for changes in ({}, {"key_id": NASTY}, {"public_key": NASTY}, {"name": 7}, {"retired_on": NASTY}):
        path = folder / f"keys{NASTY}.toml"
        table = {"kind": "crewtui known keys", "format": 1, "key": [row | changes]}
        path.write_text(tomli_w.dumps(table), encoding="utf-8")
        assert ran(capsys, "key", "list", "--keys", str(path)) == (2 if changes else 0)


def test_the_log_of_a_fault_holds_no_raw_sign(
    folder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    def fails(*_: object) -> None:
        raise RuntimeError(NASTY)

    monkeypatch.setattr("crewtui.cli.record.known_keys", fails)
    assert cli.run(["verify", str(folder)]) == cli.FAULT
    assert raw_in(capsys.readouterr().err) == set()
    assert raw_in((tmp_path / "home" / cli.FAULT_FILE).read_text(encoding="utf-8")) == set()
    shutil.rmtree(tmp_path / "home")
