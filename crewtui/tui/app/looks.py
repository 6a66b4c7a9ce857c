"""The two looks: bright sun (black on white) and dark basement (light on black).

Every color of the program stands here, by what it says. Color never says it alone: a word stands beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from textual.theme import Theme

SUN: Final = "sun"
BASEMENT: Final = "basement"

_SUN_WORDS: Final = {
    "ink": "#000000",  # values and words
    "quiet": "#3a3a3a",  # notes, units, what is not at hand
    "paper": "#ffffff",
    "band": "#e6e6e6",  # header, headings
    "here": "#ffbf1f",  # the row under the cursor
    "here-ink": "#000000",
    "typing": "#ffffff",  # the field being typed into
    "done": "#00401b",
    "held": "#7c0000",
    "deviation": "#5a2800",
    "coming": "#002a78",  # what is next
    "alarm": "#b00000",
    "alarm-ink": "#ffffff",
    "rule": "#5a5a5a",
}
_BASEMENT_WORDS: Final = {
    "ink": "#f4f4f4",
    "quiet": "#cccccc",
    "paper": "#000000",
    "band": "#242424",
    "here": "#1a43a8",
    "here-ink": "#ffffff",
    "typing": "#000000",
    "done": "#8fe3a2",
    "held": "#ffb8b0",
    "deviation": "#ffc46b",
    "coming": "#a8d0ff",
    "alarm": "#a80000",
    "alarm-ink": "#ffffff",
    "rule": "#a8a8a8",
}

TEXT_PAIRS: Final = (
    ("ink", "paper", 7.0),
    ("ink", "band", 7.0),
    ("ink", "typing", 7.0),
    ("here-ink", "here", 7.0),
    ("quiet", "paper", 7.0),
    ("quiet", "band", 4.5),
    ("done", "paper", 7.0),
    ("held", "paper", 7.0),
    ("deviation", "paper", 7.0),
    ("coming", "paper", 7.0),
    ("coming", "band", 4.5),
    ("done", "band", 4.5),
    ("held", "band", 4.5),
    ("deviation", "band", 4.5),
    ("done", "here", 4.5),
    ("held", "here", 4.5),
    ("deviation", "here", 4.5),
    ("coming", "here", 4.5),
    ("alarm-ink", "alarm", 4.5),
    ("rule", "paper", 3.0),
)
"""Ink and ground as the screens use them, and the least contrast owed (WCAG 2.2: text 4.5, enhanced 7)."""


GROUND_PAIRS: Final = (("paper", "here"), ("typing", "here"))
"""Grounds that are told apart by their brightness alone: 1.6 to 1 at least. Others have a mark too: a heading
is in capitals, the words stand behind a bar, the cursor has its sign."""
GROUNDS_APART: Final = 1.6


def _theme(name: str, words: Mapping[str, str], *, dark: bool) -> Theme:
    return Theme(
        name=name,
        primary=words["coming"],
        secondary=words["quiet"],
        accent=words["coming"],
        foreground=words["ink"],
        background=words["paper"],
        surface=words["paper"],
        panel=words["band"],
        success=words["done"],
        warning=words["deviation"],
        error=words["held"],
        dark=dark,
        variables={
            **words,
            "border": words["rule"],
            "border-blurred": words["rule"],
            "block-cursor-background": words["here"],
            "block-cursor-foreground": words["here-ink"],
            "input-cursor-background": words["ink"],
            "input-cursor-foreground": words["paper"],
            "input-selection-background": words["here"],
            "scrollbar": words["rule"],
            "scrollbar-background": words["band"],
            "text-muted": words["quiet"],
        },
    )


def words_of(name: str) -> dict[str, str]:
    """Return the named colors of a look, as ``#rrggbb``."""
    return dict(LOOKS[name][0])


LOOKS: Final[Mapping[str, tuple[Mapping[str, str], bool]]] = {
    SUN: (_SUN_WORDS, False),
    BASEMENT: (_BASEMENT_WORDS, True),
}
"""Each look's named colors and whether it is dark, in the order in which the key goes through them."""
THEMES: Final = tuple(_theme(name, words, dark=dark) for name, (words, dark) in LOOKS.items())
