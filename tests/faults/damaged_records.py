"""Ten thousand damaged records through every command that reads records, counted for docs/reliability.md.

    python tests/faults/damaged_records.py --cases 10000

Each case is a kept record with one thing wrong: bits flipped, cut short, pieces doubled or swapped, or its
tables changed and signed again by a known key (so that only what it says is strange). Asked of every case: no
traceback and no code 70, no "valid" with another content, no command over five seconds, memory within bounds.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from datetime import UTC, date, datetime, timedelta, timezone
from io import StringIO
from pathlib import Path
from typing import Any

from crewtui import cli
from crewtui.disk.their_files import ReadError, parse_toml
from crewtui.record.signed.canonical import CanonicalError, canonical_bytes
from crewtui.record.signed.known_keys import KnownKey, save_known
from crewtui.record.signed.sign import RECORD_FORMAT, SIGNER, RecordError, record_text, sign_record
from crewtui.record.signed.signing_keys import SigningKey

KEPT = Path(__file__).parents[1] / "kept" / "first-build"
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
MOST_S = 5.0
ODD: tuple[Any, ...] = (
    7, -1, 0, 10**15, 0.5, -1e9, 1e9, 1e300, True,
    "", "x" * 3_000, "\x1b[31m\u202e", [], {}, [[]], [7], {"x": 1},
    AT, datetime(2031, 4, 5), date(1, 1, 1), date(9999, 12, 31),  # noqa: DTZ001 - local on purpose
    datetime(9999, 12, 31, 23, 59, tzinfo=timezone(timedelta(hours=-12))),
    datetime(1, 1, 1, tzinfo=timezone(timedelta(hours=14))),
)  # fmt: skip
COMMANDS: tuple[Callable[[str, str, str], list[str]], ...] = (
    lambda record, keys, _: ["verify", record, "--keys", keys],
    lambda record, keys, _: ["verify", record, "--keys", keys, "--json"],
    lambda record, keys, out: ["sheet", record, "--keys", keys, "--out", f"{out}/x.html"],
    lambda record, keys, out: ["sheet", record, "--keys", keys, "--for", "office", "--out", f"{out}/x.html"],
    lambda record, keys, _: ["compare", record, f"{Path(record).parent}/good.record.toml", "--keys", keys],
    lambda record, keys, out: ["collect", record, "--keys", keys, "--fresh", "--out", f"{out}/x.csv"],
    lambda record, keys, out: ["overview", record, "--keys", keys, "--fresh", "--out", f"{out}/x.html"],
)


def with_readings(data: dict[str, Any]) -> dict[str, Any]:
    """Return a record whose first anchors have the wall read, so that compare has something to compare."""
    for anchor in data["anchor"][:2]:
        anchor["reading"] = [
            {"when": when, "line": "plumb line", "heights_in": [4.0, 46.0, 88.0], "resolution_in": 0.0625,
             "offsets_in": [6.0, 6.0 - bow_in, 5.75], "entry": 3, "done_at": AT}
            for when, bow_in in (("before", 1.5), ("after", 1.25))
        ]  # fmt: skip
    return data


def holders(value: Any) -> list[Any]:
    """Return every table and list of a record that has something in it."""
    found: list[Any] = []
    left: list[Any] = [value]
    while left:  # Not by calling itself: a record that was bent before may be nested deeper than that goes.
        one = left.pop()
        if one:
            found.append(one)
        inner = one.values() if isinstance(one, dict) else one
        left += [each for each in inner if isinstance(each, dict | list)]
    return found


def strange(data: dict[str, Any], rng: random.Random) -> str:
    """Return the text of a record with one to three things changed, well signed by a known key."""
    while True:
        changed = parse_toml(record_text(data).encode())
        for _ in range(rng.choice((1, 1, 2, 3))):
            holder = rng.choice(holders({key: part for key, part in changed.items() if key != "signature"}))
            if isinstance(holder, dict):
                key = rng.choice(list(holder))
                match rng.random():
                    case chance if chance < 0.2:
                        del holder[key]
                    case chance if chance < 0.3:
                        holder[f"{key}x"] = holder.pop(key)
                    case _:
                        holder[key] = rng.choice(ODD)
            elif rng.random() < 0.5:
                holder[rng.randrange(len(holder))] = rng.choice(ODD)
            else:
                holder.append(rng.choice(holder))
        signer = changed.get(SIGNER)
        changed |= {"kind": data["kind"], "format": RECORD_FORMAT}
        changed[SIGNER] = signer if isinstance(signer, dict) else {}
        try:
            return record_text(sign_record(changed, KEY, signed_at=AT))
        except (RecordError, CanonicalError, ValueError, TypeError):
            continue


def damaged(content: bytes, rng: random.Random) -> bytes:
    """Return a record's bytes with one thing wrong."""
    place, length = rng.randrange(len(content)), rng.randrange(1, 200)
    match rng.randrange(6):
        case 0:
            changed = bytearray(content)
            for _ in range(rng.choice((1, 1, 3))):
                changed[rng.randrange(len(changed))] ^= 1 << rng.randrange(8)
            return bytes(changed)
        case 1:
            return content[:place]
        case 2:
            return content[:place] + content[place + length :]
        case 3:
            return content[: place + length] + content[place:]
        case 4:
            return content[:place] + rng.randbytes(length) + content[place:]
    lines = content.split(b"\n")
    one, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    return b"\n".join(lines)


def run(arguments: list[str]) -> tuple[int, str, float]:
    """Run a command; return its code, what it said, and how long it took."""
    out, err = StringIO(), StringIO()
    began = time.perf_counter()
    with redirect_stdout(out), redirect_stderr(err):
        code = cli.run(arguments)
    return code, out.getvalue() + err.getvalue(), time.perf_counter() - began


def same(content: bytes, data: dict[str, Any]) -> bool:
    """Return whether bytes say what the record says."""
    try:
        return canonical_bytes(parse_toml(content)) == canonical_bytes(data)
    except (ReadError, CanonicalError):
        return False


def main() -> int:
    """Run the cases and print the counts."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--cases", type=int, default=10_000)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    rng = random.Random(given.seed)  # noqa: S311 - which damage comes is no secret
    records = [
        with_readings(parse_toml((KEPT / sample / "job.record.toml").read_bytes()))
        for sample in ("block-wall", "clay-tile-tight", "poured-deep-frost-metric")
    ]
    codes: Counter[str] = Counter()
    faults: list[str] = []
    slowest = 0.0
    with tempfile.TemporaryDirectory() as folder:
        os.environ["CREWTUI_HOME"] = f"{folder}/home"
        keys = str(save_known([KnownKey(public=KEY.public, name="Lee Sample")], Path(folder) / "keys.toml"))
        signed = [sign_record(data | {"format": RECORD_FORMAT}, KEY, signed_at=AT) for data in records]
        (Path(folder) / "good.record.toml").write_text(record_text(signed[0]), encoding="utf-8")
        path = Path(folder) / "case.record.toml"
        for case in range(given.cases):
            which = rng.randrange(len(signed))
            is_strange = rng.random() < 0.5
            data = signed[which]
            content = strange(data, rng).encode() if is_strange else damaged(record_text(data).encode(), rng)
            path.write_bytes(content)
            for number, command in enumerate(COMMANDS):
                code, said, took = run(command(str(path), keys, folder))
                slowest = max(slowest, took)
                codes[f"{command(str(path), keys, folder)[0]} {code}"] += 1
                wrong = (
                    code == cli.FAULT
                    or "Traceback" in said
                    or took > MOST_S
                    or (number == 0 and code == 0 and not is_strange and not same(content, data))
                )
                if wrong:
                    kept = Path(tempfile.gettempdir()) / f"damaged-record-{given.seed}-{case}.toml"
                    kept.write_bytes(content)
                    name = command(str(kept), keys, folder)[0]
                    faults.append(f"{kept}: {name} {code} {took:.1f} s {said[-200:]}")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sys.stdout.write(f"{given.cases} damaged records, {sum(codes.values())} commands\n")
    for name, count in sorted(codes.items()):
        sys.stdout.write(f"  {name}: {count}\n")
    sys.stdout.write(f"slowest {slowest:.2f} s, most memory {peak:.0f} MiB, faults {len(faults)}\n")
    sys.stdout.writelines(f"{words}\n" for words in faults[:20])
    return int(bool(faults))


if __name__ == "__main__":
    sys.exit(main())
