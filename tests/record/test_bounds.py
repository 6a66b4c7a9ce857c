"""Files of others are judged by size, depth and count before they are parsed: a sentence, and at once.

The time of a machine is no test; what is asked is that the parser is never called.
"""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

from crewtui.disk.their_files import JOB, KEYS, RECORD, Bounds, ReadError, beyond, parse_toml
from crewtui.job.file.load import JobFileError, load_job
from crewtui.record.signed.known_keys import KnownKeys, load_known
from crewtui.record.signed.signing_keys import KeyFileError
from crewtui.record.signed.verify import verify


def hostile(bounds: Bounds) -> dict[str, str]:
    """Return a text of each kind that goes past its bounds."""
    items, headers = bounds.most_items + 1, bounds.most_headers + 1
    return {
        "lists of tables": "[[a]]\n" * headers,
        "indented headers": "\t [[a]]\n" * headers,
        "many tables": "".join(f"[t{number}]\n" for number in range(headers)),
        "many keys": "".join(f"k{number}=1\n" for number in range(items))[: bounds.most_bytes],
        "one list": "a=[" + "1," * items + "]",
        "tables in a list": "a=[" + "{}," * items + "]",
        "dotted keys": ".".join("a" * 40) + "=1",
        "brackets": "a=" + "[" * 40 + "]" * 40,
        "braces": "a=" + "{a=" * 40 + "1" + "}" * 40,
        "pairs of brackets": "[]\n" * items,
        "large": "#" * (bounds.most_bytes + 1),
    }


KEPT = Path(__file__).parents[1] / "kept" / "first-build"
CASES = [(kind, name) for kind in ("record", "job", "keys") for name in hostile(JOB)]


@pytest.mark.parametrize(("kind", "name"), CASES)
def test_what_is_past_its_bounds_is_never_parsed(
    kind: str, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def never(_: str) -> dict[str, Any]:
        raise AssertionError("it was parsed")

    bounds = {"record": RECORD, "job": JOB, "keys": KEYS}[kind]
    path = tmp_path / "hostile.toml"
    path.write_text(hostile(bounds)[name], encoding="utf-8")
    monkeypatch.setattr(tomllib, "loads", never)
    if kind == "record":
        verdict = verify(path, KnownKeys())
        assert verdict.state == "not a record"
        said = verdict.words
    elif kind == "job":
        with pytest.raises(JobFileError) as refused:
            load_job(path)
        said = str(refused.value)
    else:
        with pytest.raises(KeyFileError) as unread:
            load_known(path)
        said = str(unread.value)
    assert any(words in said for words in ("larger", "nest", "more than"))
    assert len(said) < 300


def test_brackets_and_signs_inside_texts_and_comments_count_for_nothing() -> None:
    text = (
        'a = "' + "[[{=," * 100_000 + '"\n# ' + "[[=," * 100_000 + "\nb = '''\n" + "[x]\n" * 100_000 + "'''\n"
    )
    assert beyond(text, RECORD) == ""
    assert parse_toml(text.encode())["b"].count("[x]") == 100_000


def test_a_record_of_the_largest_job_is_within_them() -> None:
    """Kept records of whole days, their anchors taken until they are five hundred."""
    for path in (KEPT / name / "job.revision-2.record.toml" for name in ("block-wall", "clay-tile-tight")):
        text = path.read_text(encoding="utf-8")
        anchors = text[text.index("[[anchor]]") : text.index("[signer]")]
        many = anchors * (500 // anchors.count("[[anchor]]"))
        whole = text.replace(anchors, many)
        assert beyond(whole, RECORD) == ""
        assert len(whole.encode()) < RECORD.most_bytes
    with pytest.raises(ReadError, match="tables"):
        parse_toml(("[[anchor]]\n" * 60_001).encode())
