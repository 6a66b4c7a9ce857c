"""How long ``crewtui collect`` takes over many records, and how much memory, beside only parsing them.

    python tests/bench/collect_many.py [--records 10000]

Invented records of five anchors. The yardstick is ``tomllib`` reading each file once, in the same run. Each
measurement is a process of its own, so that its peak of memory is its own; a tenth of the records stand
beside them. Prints a Markdown table.
"""

# ruff: noqa: T201 - a benchmark that prints, and starts itself

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
import tomllib
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from crewtui.record.office.collect import collect
from crewtui.record.signed.known_keys import KnownKey, KnownKeys
from crewtui.record.signed.sign import RECORD_FORMAT, RECORD_KIND, record_text, sign_record
from crewtui.record.signed.signing_keys import SigningKey

KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
AT = datetime(2031, 4, 5, 16, 20, tzinfo=UTC)
QUANTITIES = (
    "setback_in", "drop_in", "pit_depth_in", "mark_depth_in", "thickness_in", "held_angle_deg",
    "depth_found_in", "side_offset_in", "first_torque_lbf_ft", "second_torque_lbf_ft", "pull_in_in",
)  # fmt: skip


def record(number: int) -> str:
    """Return the text of an invented record."""
    anchor: dict[str, Any] = {
        "wall": "north", "state": "complete", "planned": {"along_in": 32.0, "setback_in": 144.0},
        "value": [
            {"quantity": name, "value": 12.5 + place, "step": name, "entry": place, "done_at": AT}
            for place, name in enumerate(QUANTITIES)
        ],
    }  # fmt: skip
    data = {
        "kind": RECORD_KIND, "format": RECORD_FORMAT, "complete": True, "revision": {"number": 1},
        "job": {"id": f"J-{number}", "site": "Invented house", "date": date(2031, 4, 5)},
        "wall": [{"name": "north", "type": "block"}],
        "anchor": [{"id": f"A-{place}", **anchor} for place in range(1, 6)],
    }  # fmt: skip
    return record_text(sign_record(data, KEY, signed_at=AT))


def measure(work: str, folder: Path, count: int) -> None:
    """Do one work over so many files, and print seconds and the peak of memory in MiB."""
    files = sorted(folder.glob("*.record.toml"))[:count]
    began = time.perf_counter()
    if work == "parse":
        for file in files:
            tomllib.loads(file.read_text(encoding="utf-8"))
    else:
        collect(files, folder / f"table.{work}", KNOWN)
    took = time.perf_counter() - began
    print(took, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


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
        folder = Path(name)
        for number in range(arguments.records):
            (folder / f"J-{number:06}.record.toml").write_text(record(number), encoding="utf-8")
        print("| records | work | s | ratio to parsing | peak MiB |")
        print("|---|---|---|---|---|")
        for count in (arguments.records // 10, arguments.records):
            parsed = 0.0
            for work in ("parse", "csv", "parquet"):
                command = [sys.executable, __file__, "--measure", work, name, str(count)]
                done = subprocess.run(command, capture_output=True, text=True, check=True)
                seconds, peak = map(float, done.stdout.split())
                parsed = parsed or seconds
                print(f"| {count} | {work} | {seconds:.1f} | {seconds / parsed:.1f} | {peak:.0f} |")


if __name__ == "__main__":
    main()
