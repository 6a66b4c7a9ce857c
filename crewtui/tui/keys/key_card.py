"""The key card: every key in words, for the help page and, run as a module, for ``docs/keys.md``."""

from __future__ import annotations

import sys
from pathlib import Path

from crewtui.tui.keys.commands import COMMANDS, PANE_HELP, PANES, Command, key_word

_ROWS = (
    ("Up Down", "the row above, the row below; PgUp PgDn Home End"),
    ("0-9", "type a value straight onto the row: 28 1/2, 2' 4 1/2\", 72 cm; Enter saves it, Esc drops it"),
    ("Tab", "the next pane; Shift+Tab the one before"),
    ("Esc", "back, and home to the list of anchors"),
)


def _keys(command: Command) -> str:
    return " ".join(key_word(key) for key in command.keys)


def _where(command: Command) -> str:
    if command.panes is None:
        return "everywhere"
    return ", ".join(title for name, _, title in PANES if name in command.panes)


def key_lines() -> list[str]:
    """Return every key as lines of plain text."""
    lines = ["Panes", *(f"  {key:<12} {title}: {PANE_HELP[name]}" for name, key, title in PANES), "", "Rows"]
    lines += [f"  {key:<12} {words}" for key, words in _ROWS]
    lines += ["", "Commands"]
    for command in COMMANDS:
        lines += [f"  {_keys(command):<12} {command.help}", f"               ({_where(command)})"]
    return lines


def key_card() -> str:
    """Return every key as a page in Markdown."""
    lines = [
        "# Keys",
        "",
        "Letters, digits, arrows, Enter, Space, Tab, Esc and the number pad are enough. The keys that",
        "work now stand at the bottom of the screen.",
        "",
        "| key | pane | what it shows |",
        "|---|---|---|",
        *(f"| `{key}` | {title} | {PANE_HELP[name]} |" for name, key, title in PANES),
        "",
        "| key | on the rows |",
        "|---|---|",
        *(f"| {key} | {words} |" for key, words in _ROWS),
        "",
        "| key | label | what it does | where |",
        "|---|---|---|---|",
        *(f"| `{_keys(c)}` | {c.label} | {c.help} | {_where(c)} |" for c in COMMANDS),
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(key_card(), encoding="utf-8", newline="\n")
