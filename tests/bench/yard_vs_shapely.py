"""Count random yards of two walls against shapely and scipy: placing, outlines, rods of two walls.

``python tests/bench/yard_vs_shapely.py 3000`` prints what was counted; a failure raises.
"""

from __future__ import annotations

import random
import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from yard_walls import check_outline, check_placing, check_rods


def main(count: int) -> None:
    """Run each check so many times and print how they came out."""
    held = met = 0
    for seed in range(count):
        rng = random.Random(seed)  # noqa: S311 - cases to try, no secrets
        check_placing(rng)
        held += check_outline(rng)
        met += check_rods(rng) == 0
    said = f"{count} yards: points carried alike; {held} outlines hold; {met} pairs of bands meet; none late"
    sys.stdout.write(f"{said}\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
