"""The compare command: what the wall did between two visits."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from crewtui.cli.common import PATH, REFUSED, known_keys, line, print_json, refusing, say

if TYPE_CHECKING:
    from crewtui.record.house.visits import Compared, Earlier

WORSE: Final = 1


@click.command(short_help="Compare the wall readings of two visits.")
@click.argument("old", type=PATH)
@click.argument("new", type=PATH)
@click.option("--keys", type=PATH, help="The office's list of known keys: a file, or a folder of them.")
@click.option("--json", "as_json", is_flag=True, help="Print what the wall did as JSON.")
def compare(old: Path, new: Path, keys: Path | None, *, as_json: bool) -> int:
    """Compare the wall readings of two signed records: better, worse or within the reading error.

    The wall as it was left on the OLD visit is held against the wall as it was found on the NEW one, anchor
    by anchor. Exit code 0: no anchor is worse; 1: one is worse; 2: nothing can be compared.

    \b
    Example:
      crewtui compare job-17.record.toml job-17-spring.record.toml
    """
    from crewtui.record.house.visits import EarlierError, compared, compared_as_json, load_earlier

    known = known_keys(keys)
    with refusing(EarlierError):
        before, after = load_earlier(old, known), load_earlier(new, known)
    found = compared(before.visits, after.visits, after.units)
    nothing = not any(one.comparison for one in found.anchors)
    code = REFUSED if nothing else WORSE if found.worse else 0
    if as_json:
        print_json(compared_as_json(before, after, found) | {"exit_code": code})
        return code
    for name, visit in (("Earlier", before), ("Later", after)):
        _print_visit(name, visit)
    _print_compared(found)
    return code


def _print_visit(name: str, visit: Earlier) -> None:
    dated = f" of {visit.date}" if visit.date else ""
    say(f"{name}: {visit.path}{dated}, {len(visit.visits)} anchors read", hang=2)
    if visit.trusted:
        say(visit.trusted, indent="  ")
    for words in visit.strange:
        say(words, indent="  ")


def _print_compared(found: Compared) -> None:
    line()
    say(f"Between the visits. {found.words[:1].upper()}{found.words[1:]}.")
    for one in found.anchors:
        say(f"{one.anchor}: {one.word}", indent="  ")
        for words in one.words:
            say(words, indent="    ", hang=2)
    if found.that_day:
        line()
        line("Before and after tightening, on the later visit")
        for one in found.that_day:
            say(f"{one.anchor}: {one.word}", indent="  ")
            for words in one.words:
                say(words, indent="    ", hang=2)
    line()
    for note in found.notes:
        say(note)
    say("Inward is plus; behind ± stands how far the two readings together may be off (95 in 100).")
