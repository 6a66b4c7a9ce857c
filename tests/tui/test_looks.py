"""Contrast of the color pairs really used: WCAG 2.2, 1.4.3 and 1.4.6, with its own relative luminance."""

from __future__ import annotations

import pytest
from contrast import contrast

from crewtui.tui.app.looks import GROUND_PAIRS, GROUNDS_APART, LOOKS, SUN, TEXT_PAIRS, THEMES, words_of


def test_black_on_white_is_21_to_1() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize(("ink", "ground", "least"), TEXT_PAIRS)
def test_every_pair_is_legible(look: str, ink: str, ground: str, least: float) -> None:
    words = words_of(look)
    assert contrast(words[ink], words[ground]) >= least


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize(("one", "other"), GROUND_PAIRS)
def test_grounds_without_a_mark_are_told_apart(look: str, one: str, other: str) -> None:
    words = words_of(look)
    assert contrast(words[one], words[other]) >= GROUNDS_APART


def test_every_look_names_the_same_colors() -> None:
    assert all(words_of(look).keys() == words_of(SUN).keys() for look in LOOKS)
    assert [theme.name for theme in THEMES] == list(LOOKS)
