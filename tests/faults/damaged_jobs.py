"""Damaged job files through the loader, counted for docs/reliability.md.

    python tests/faults/damaged_jobs.py --cases 100000

Each case is a sample job with one to three things wrong: bits, cuts, doubled or swapped lines, other values
and keys, odd numbers. Asked of every case: a job, or a JobFileError of clean sentences; never anything else.
"""

from __future__ import annotations

import argparse
import random
import resource
import sys
import time
import traceback
from collections import Counter
from pathlib import Path

from crewtui.job.file.load import JobFileError, read_job

SAMPLES = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))
ODD = (
    "-1", "0", "1e400", "nan", "-inf", "9" * 400, "true", '""', '"\\u202e"', '"\\u0000"', '"12 elbows"', "[]",
    "{}", "[[]]", "1979-05-27", "9999-12-31T23:59:59-12:00", "0001-01-01T00:00:00+14:00", "07:32:00", "'''x",
    '"' + "x" * 5000 + '"',
    "{a.b.c.d = 1}", "[1, 'x', []]",
)  # fmt: skip
MOST_S = 5.0


def damaged(text: str, rng: random.Random) -> bytes:  # noqa: C901 - a damage each
    """Return a job's bytes with one thing wrong."""
    lines = f"{text} ".split("\n")
    one, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    match rng.randrange(9):
        case 0 | 1 | 2:
            if "=" in lines[one]:
                lines[one] = f"{lines[one].split('=')[0]}= {rng.choice(ODD)}"
        case 3:
            lines[one], lines[other] = lines[other], lines[one]
        case 4:
            lines.insert(one, lines[other])
        case 5:
            del lines[one]
        case 6:
            if lines[one]:
                place = rng.randrange(len(lines[one]))
                sign = chr(rng.choice((9, 27, 34, 46, 61, 91, 93, 0x202E, 0xE9)))
                lines[one] = f"{lines[one][:place]}{sign}{lines[one][place:]}"
        case 7:
            content = bytearray("\n".join(lines).encode())
            for _ in range(rng.choice((1, 3, 20))):
                content[rng.randrange(len(content))] ^= 1 << rng.randrange(8)
            return bytes(content)
        case 8:
            content = bytearray("\n".join(lines).encode())
            return bytes(content[: rng.randrange(len(content))])
    return "\n".join(lines).encode()


def main() -> int:
    """Run the cases and print the counts."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--cases", type=int, default=100_000)
    asked.add_argument("--seed", type=int, default=1)
    given = asked.parse_args()
    rng = random.Random(given.seed)  # noqa: S311 - which damage comes is no secret
    texts = [path.read_text(encoding="utf-8") for path in SAMPLES]
    came: Counter[str] = Counter()
    slowest, began = 0.0, time.perf_counter()
    for case in range(given.cases):
        content = damaged(rng.choice(texts), rng)
        for _ in range(rng.choice((0, 0, 1, 2))):
            content = damaged(content.decode("utf-8", "replace"), rng)
        started = time.perf_counter()
        try:
            read_job(content, file="job.toml")
            came["a job"] += 1
        except JobFileError as error:
            clean = str(error).replace("\n", "").isprintable()
            came["said in words" if clean else "FAULT: a sentence with raw signs"] += 1
        except Exception as error:  # noqa: BLE001 - what must never come is counted
            came[f"FAULT: {type(error).__name__}"] += 1
            sys.stdout.write(f"case {case}: {''.join(traceback.format_exception(error))[-600:]}\n")
        slowest = max(slowest, time.perf_counter() - started)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    sys.stdout.write(f"{given.cases} damaged job files in {time.perf_counter() - began:.0f} s\n")
    for name, count in sorted(came.items()):
        sys.stdout.write(f"  {name}: {count}\n")
    sys.stdout.write(f"slowest {slowest:.2f} s, most memory {peak:.0f} MiB\n")
    return int(slowest > MOST_S or any(name.startswith("FAULT") for name in came))


if __name__ == "__main__":
    sys.exit(main())
