"""Ways on for rods that came up wrong, against trying everything on grids (numpy) with root finding (scipy).

No published source: plane geometry and the normal distribution, worked out apart from the program. The
benchmark ``tests/bench/random_misses.py`` looks at thousands.
"""

from __future__ import annotations

from misses import look_at


def test_a_way_is_refused_only_where_nothing_that_it_may_do_lands_inside() -> None:
    wrong, seen = look_at(150, seed=5)
    assert wrong == []
    assert all(
        seen[f"{kind}: can"] and seen[f"{kind}: refused"] for kind in ("same hole", "re-drill", "other mark")
    )
