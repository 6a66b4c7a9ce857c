"""How long ``crewtui collect`` takes over many records of real size, and how much memory.

    python tests/bench/collect_many.py [--records 10000]

Records are a kept day's own, each with another job id and signed anew. The yardstick is reading and verifying
the same bytes with the bare libraries (tomllib, rfc8785, cryptography) in one process, in the same run. Each
measurement is a process of its own, so that its peak of memory is its own or that of its largest child.
Prints a Markdown table.
"""

# ruff: noqa: T201 - a benchmark that prints, and starts itself

from __future__ import annotations

import argparse
import base64
import multiprocessing
import resource
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Mapping
from contextlib import suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import rfc8785
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

from crewtui.record.office.collect import collect
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.sign import RECORD_FORMAT, record_text, sign_record
from crewtui.record.signed.signing_keys import SigningKey

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
KEPT = Path(__file__).parents[1] / "kept" / "first-build" / "block-wall" / "job.record.toml"
WORKS = ("bare", "csv", "sqlite", "again")


def write(folder: str, first: int, last: int) -> None:
    """Write records of a kept day, each its own job's."""
    data: dict[str, Any] = tomllib.loads(KEPT.read_text(encoding="utf-8"))
    data = {name: part for name, part in data.items() if name not in {"signature", "signer"}}
    for number in range(first, last):
        data |= {"format": RECORD_FORMAT, "job": {**data["job"], "id": f"J-{number}"}}
        text = record_text(sign_record(data, KEY, signed_at=AT))
        (Path(folder) / f"J-{number:06}.record.toml").write_text(text, encoding="utf-8")


def bare(content: bytes) -> None:
    """Parse, make canonical and verify, with nothing but the libraries."""
    data = tomllib.loads(content.decode())
    signature = data.pop("signature")
    key = Ed25519PublicKey.from_public_bytes(base64.b64decode(data["signer"]["public_key"]))
    # The form that is signed has a head of its own, so that this fails; the work is the same.
    with suppress(InvalidSignature):
        key.verify(base64.b64decode(signature["value"]), rfc8785.dumps(_plain(data)))


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {name: _plain(part) for name, part in value.items()}
    if isinstance(value, list):
        return [_plain(part) for part in value]
    return value if isinstance(value, str | int | float | bool) else str(value)


def measure(work: str, folder: Path, count: int) -> None:
    """Do one work over so many files, and print seconds and the peak of memory in MiB."""
    files = sorted(folder.glob("*.record.toml"))[:count]
    began = time.perf_counter()
    if work == "bare":
        for file in files:
            bare(file.read_bytes())
    elif work == "csv":
        collect(files, folder / "table.csv", KNOWN, workers=None)
    else:
        collect(files, folder / f"{work}.sqlite", KNOWN, workers=None, cache=folder / f"cache-{count}")
    took = time.perf_counter() - began
    peaks = [resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    print(took, max(peaks) / 1024)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--records", type=int, default=10_000)
    parser.add_argument("--measure", nargs=3)
    arguments = parser.parse_args()
    if arguments.measure:
        work, folder, count = arguments.measure
        measure(work, Path(folder), int(count))
        return
    with tempfile.TemporaryDirectory() as name:
        cores, many = multiprocessing.cpu_count(), arguments.records
        parts = [(name, at * many // cores, (at + 1) * many // cores) for at in range(cores)]
        with multiprocessing.get_context("spawn").Pool(cores) as pool:
            pool.starmap(write, parts)
        print("| records | work | s | ratio to the bare libraries | peak MiB |")
        print("|---|---|---|---|---|")
        for count in (many // 10, many):
            yardstick = 0.0
            for work in WORKS:
                command = [sys.executable, __file__, "--measure", work, name, str(count)]
                done = subprocess.run(command, capture_output=True, text=True, check=True)
                seconds, peak = map(float, done.stdout.split())
                yardstick = yardstick or seconds
                print(
                    f"| {count} | {work} | {seconds:.1f} | {seconds / yardstick:.2f} | {peak:.0f} |",
                    flush=True,
                )


if __name__ == "__main__":
    main()
