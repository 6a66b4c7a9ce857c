"""Contrast of the colour pairs really used: WCAG 2.2, 1.4.3 and 1.4.6, with its own relative luminance."""

from __future__ import annotations

import pytest
from contrast import contrast

from crewtui.tui.app.looks import LOOKS, SUN, TEXT_PAIRS, THEMES, words_of


def test_black_on_white_is_21_to_1() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize(("ink", "ground", "least"), TEXT_PAIRS)
def test_every_pair_is_legible(look: str, ink: str, ground: str, least: float) -> None:
    words = words_of(look)
    assert contrast(words[ink], words[ground]) >= least


def test_every_look_names_the_same_colours() -> None:
    assert all(words_of(look).keys() == words_of(SUN).keys() for look in LOOKS)
    assert [theme.name for theme in THEMES] == list(LOOKS)
