from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from crewtui.tui.widgets.lettering import big, small


@given(st.text(max_size=12))
def test_any_text_gives_lines_of_blocks(text: str) -> None:
    assert len(small(text)) == 3
    assert len(big(text)) == 5
    assert set("".join(small(text))) <= set(" ▀▄█")
    assert set("".join(big(text))) <= set(" █")


def test_digits_can_be_told_apart() -> None:
    drawn = {tuple(big(sign)) for sign in "0123456789"}
    assert len(drawn) == 10


@pytest.mark.parametrize(("one", "other"), ["S5", "O0", "NA", "B8", "Z2", "I1"])
def test_signs_that_are_taken_for_one_another_are_cut_apart(one: str, other: str) -> None:
    drawn = ["\n".join(line.ljust(8) for line in small(sign)) for sign in (one, other)]
    assert sum(a != b for a, b in zip(*drawn, strict=True)) >= 2
