"""Random rods that came up wrong, each way on against everything that could be tried.

    python tests/bench/random_misses.py [--count 3200] [--seed 1]

Prints how many of each way could be done and were refused, and every disagreement.
"""

# ruff: noqa: T201 - a benchmark that prints

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

from misses import look_at


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=3200)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    wrong, seen = look_at(asked.count, asked.seed)
    print(f"{asked.count} misses, {len(wrong)} disagreements")
    for name, number in sorted(seen.items()):
        print(f"  {name:28} {number}")
    for one in wrong[:40]:
        print(one)
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
