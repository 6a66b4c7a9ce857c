from __future__ import annotations

from pathlib import Path

from crewtui.tui.keys.key_card import key_card, key_lines

DOCS = Path(__file__).parents[2] / "docs" / "keys.md"


def test_the_printed_card_agrees_with_the_program() -> None:
    """Written anew by ``python -m crewtui.tui.keys.key_card docs/keys.md``."""
    assert DOCS.read_text(encoding="utf-8") == key_card()


def test_the_help_says_every_key_on_a_line_of_its_own() -> None:
    assert all(len(line) < 140 for line in key_lines())
