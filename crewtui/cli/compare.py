"""The compare command: what the wall of a house did over the years."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once
# ruff: noqa: D301 - \b is click's own mark for lines that stay as they are

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from crewtui.cli.common import PATH, REFUSED, Refusal, known_keys, line, page, print_json, refusing, say

if TYPE_CHECKING:
    from crewtui.record.house.series import HouseSeries
    from crewtui.record.house.visits import Compared

WORSE: Final = 1


@click.command(short_help="Compare a wall's readings over the records of its house.")
@click.argument("records", type=PATH, nargs=-1, required=True)
@click.option("--keys", type=PATH, help="The office's list of known keys: a file, or a folder of them.")
@click.option("--plot", "drawn", is_flag=True, help="Draw the bow of every anchor against its days.")
@click.option("--json", "as_json", is_flag=True, help="Print what the wall did as JSON.")
def compare(records: tuple[Path, ...], keys: Path | None, *, drawn: bool, as_json: bool) -> int:
    """Compare the wall readings of two or more signed RECORDS of one house: install, visits, revisions.

    Over all of them: how much bow and lean of each anchor move in a year, with the interval that the doubt of
    the readings leaves, or within how much no movement is seen. Between the last two days: better, worse or
    within the reading error. Records are put in the order of their entries' own dates; a record that a later
    revision replaces is left out. Exit code 0: no anchor is worse; 1: one is worse, or moves inward; 2:
    nothing can be compared, or the records are not of one house.

    \b
    Example:
      crewtui compare job-17.record.toml job-17-spring.record.toml
      crewtui compare --json H-17/*.record.toml
    """
    from crewtui.record.house.house import HouseError, load_house
    from crewtui.record.house.series import series_of
    from crewtui.record.house.series_words import series_as_json
    from crewtui.record.house.visits import compared, compared_as_json, earlier_of

    known = known_keys(keys)
    with refusing(HouseError):
        house = load_house(records, known)
    if len(house.days) < 2:  # noqa: PLR2004 - two days
        left = " ".join(house.said)
        raise Refusal(f"one day at the house is no comparison; name the record of another. {left}".strip())
    series = series_of(house)
    before, after = (earlier_of(day.verdict) for day in house.days[-2:])
    found = compared(before.visits, after.visits, after.units)
    nothing = not any(one.comparison for one in found.anchors)
    nothing = nothing and not any(one.rate for each in series.anchors for one in each.movement.values())
    worse = found.worse or any(one.moves_in for one in series.anchors)
    code = REFUSED if nothing else WORSE if worse else 0
    if as_json:
        last = compared_as_json(before, after, found)
        print_json(series_as_json(series) | {"last_two": last, "exit_code": code})
        return code
    _print_house(series)
    _print_series(series, drawn=drawn)
    _print_last_two(found)
    return code


def _print_house(series: HouseSeries) -> None:
    house = series.house
    named = f"House {house.id}, {house.site}" if house.id else house.site or "A house without a name"
    say(f"{named}: {len(house.days)} days, {house.days[0].done_on} to {house.days[-1].done_on}")
    for day in house.days:
        read = sum(bool(anchor.reading) for anchor in day.record.anchor)
        say(
            f"{day.done_on}  {day.verdict.day or 'day'}, {read} anchors read: {day.name}", indent="  ", hang=2
        )
    for words in (*house.said, *series.strange):
        say(words, hang=2)


def _print_series(series: HouseSeries, *, drawn: bool) -> None:
    from crewtui.record.house.series_plot import LEGEND, plot
    from crewtui.record.house.series_words import INWARD, SEASON, anchor_words, house_words, rows_of

    line()
    line("Over the years")
    say(f"{house_words(series)}.")
    for one in series.anchors:
        say(one.anchor, indent="  ")
        for said in anchor_words(one, series.units):
            say(said, indent="    ", hang=2)
        for said in rows_of(one, series.units):
            say(said, indent="      ", hang=2)
        if drawn and one.points["bow"]:
            page("\n".join((*plot(one, "bow", series.units), "")))
    if drawn:
        say(LEGEND)
    say(INWARD)
    say(SEASON)


def _print_last_two(found: Compared) -> None:
    line()
    line("Between the last two days")
    say(f"{found.words[:1].upper()}{found.words[1:]}.")
    for one in found.anchors:
        say(f"{one.anchor}: {one.word}", indent="  ")
        for words in one.words:
            say(words, indent="    ", hang=2)
    if found.that_day:
        line()
        line("Before and after tightening, on the later day")
        for one in found.that_day:
            say(f"{one.anchor}: {one.word}", indent="  ")
            for words in one.words:
                say(words, indent="    ", hang=2)
    line()
    for note in found.notes:
        say(note)
