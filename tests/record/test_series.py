"""A house over the years: five invented days over three years on the block sample, and kinds of series."""

from __future__ import annotations

import json
import shutil
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

import numpy as np
import pytest
from day_help import Hands, saved
from scipy import optimize

from crewtui import cli
from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.record.house.house import load_house
from crewtui.record.house.series import HouseSeries, series_of
from crewtui.record.house.series_plot import plot
from crewtui.record.house.series_words import house_words, movement_words
from crewtui.record.signed.hand_in import hand_in
from crewtui.record.signed.known_keys import KnownKey, KnownKeys, save_known
from crewtui.record.signed.signing_keys import SigningKey
from crewtui.trade.wall.survey import WithDoubt
from crewtui.trade.wall.trend import DAYS_IN_YEAR, DatedReading, movement_of

SAMPLE = Path(__file__).parents[2] / "sample_jobs" / "block-wall.toml"
KEY = SigningKey.from_secret(bytes(range(32)), name="Lee Sample")
KNOWN = KnownKeys((KnownKey(public=KEY.public, name="Lee Sample"),))
BEGAN = datetime(2026, 11, 30, 8, 0, tzinfo=timezone(timedelta(hours=-5)))
DAYS = (0, 150, 330, 520, 1095)
YEARLY = {"N1": 0.0, "N2": 0.25, "N3": 0.0, "N4": -0.125, "N5": 0.0}
"""What the wall does in a year, inches inward."""


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    folder = tmp_path_factory.mktemp("house")
    found = []
    for number, after in enumerate(DAYS):
        path = folder / f"day-{number}.toml"
        shutil.copy(SAMPLE, path)
        text = path.read_text(encoding="utf-8").replace(
            'id = "S-101"', f'id = "S-101-{number}"\nhouse = "H-101"'
        )
        path.write_text(text, encoding="utf-8")
        with Day.open(path, clock=Hands(BEGAN + timedelta(days=after)), figures=figures_for) as day:
            for ident, yearly in YEARLY.items():
                bow = round((1.25 + yearly * after / DAYS_IN_YEAR) * 16) / 16
                heights = (("4", "6"), ("44", str(6 - bow)), ("84", "6"))
                when = "before" if number else "after"
                saved(day.walls.read_wall(ident, when, heights, resolution="1/16"))
            found.append(hand_in(day, KEY, lead="Lee Sample").path)
    return found


@pytest.fixture
def series(records: list[Path]) -> HouseSeries:
    return series_of(load_house(records, KNOWN))


def test_five_days_over_three_years_give_a_rate_with_its_doubt(series: HouseSeries) -> None:
    by_name = {one.anchor: one for one in series.anchors}
    for ident, yearly in YEARLY.items():
        found = by_name[ident].movement["bow"]
        assert found.seen == (yearly != 0)
        assert found.rate is not None
        assert found.rate.low <= yearly <= found.rate.high
    assert house_words(series).startswith(
        "N2: moves 0.2 to 0.3 in a year, inward; N4: moves 0.1 to 0.2 in a year, outward"
    )
    assert "N1, N3, N5: no movement seen within 1/16 in" in house_words(series)
    assert [point.season for point in by_name["N1"].points["bow"]] == [
        "fall", "spring", "fall", "spring", "fall",
    ]  # fmt: skip


def test_the_rate_is_that_of_a_general_library(series: HouseSeries) -> None:
    points = next(one for one in series.anchors if one.anchor == "N2").points["bow"]
    years = np.array([point.day.toordinal() / DAYS_IN_YEAR for point in points])
    bows = np.array([point.value_in for point in points])
    sds = np.array([point.doubt_in for point in points], dtype=float) / 2
    theirs, spread = optimize.curve_fit(
        lambda t, a, b: a + b * (t - years[0]), years, bows, sigma=sds, absolute_sigma=True, p0=(1, 0)
    )
    found = next(one for one in series.anchors if one.anchor == "N2").movement["bow"].rate
    assert found is not None
    assert found.a_year.value == pytest.approx(theirs[1], rel=1e-6)
    assert found.a_year.uncertainty >= 2 * np.sqrt(spread[1][1]) * (1 - 1e-6)


def test_the_command_says_it_in_any_order_of_the_records(
    records: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("CREWTUI_HOME", str(tmp_path))
    keys = tmp_path / "keys.toml"
    save_known(KNOWN.keys, keys)
    named = [str(path) for path in reversed(records)]
    assert cli.run(["compare", *named, "--keys", str(keys), "--plot"]) == 1
    said = capsys.readouterr().out
    assert "N2: moves 0.2 to 0.3 in a year, inward" in said
    assert "Put in the order of their entries' own dates" in said
    assert all(len(each) <= 80 for each in said.splitlines())
    assert cli.run(["compare", *named, "--keys", str(keys), "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert found["house"] == "H-101"
    assert [one["done_on"] for one in found["records"]] == sorted(one["done_on"] for one in found["records"])
    assert found["anchors"][1]["bow"]["in_a_year_in"] == pytest.approx(0.25, abs=0.03)


def test_a_plot_fits_a_screen_of_80_by_24(series: HouseSeries) -> None:
    for one in series.anchors:
        drawn = plot(one, "bow", "imperial")
        assert len(drawn) <= 18
        assert max(map(len, drawn)) <= 78
        assert sum(line.count("o") + line.count("x") for line in drawn[:-2]) == len(DAYS)


def dated(*rows: tuple[int, float, int], doubt: float = 0.1) -> list[DatedReading]:
    return [
        DatedReading(
            day=date(2027, 1, 1) + timedelta(days=day),
            reading=WithDoubt(value=value, uncertainty=doubt),
            stretch=at,
        )
        for day, value, at in rows
    ]


def test_two_points_closer_than_their_doubt_give_no_rate() -> None:
    found = movement_of(dated((0, 1.0, 0), (400, 1.12, 0)))
    assert not found.seen
    assert movement_words(found, "bow", "imperial") == "no movement seen within 5/16 in"
    assert movement_of(dated((0, 1.0, 0), (400, 1.2, 0))).seen


def test_what_tightening_did_is_no_rate() -> None:
    found = movement_of(dated((0, 2.0, 0), (0, 1.5, 1), (400, 1.5, 1), (400, 1.25, 2), (800, 1.25, 2)))
    assert not found.seen
    assert found.rate is not None
    assert found.rate.a_year.value == pytest.approx(0.0)


def test_one_day_gives_no_rate_and_a_short_time_says_that_the_season_is_in_it() -> None:
    assert movement_of(dated((0, 1.0, 0))).rate is None
    found = movement_of(dated((0, 1.0, 0), (90, 1.5, 0)))
    assert "the season is in it" in movement_words(found, "bow", "imperial")
    assert movement_words(found, "bow", "metric").startswith("moves 36 to 67 mm in a year, inward")


def test_no_movement_is_never_said_within_less_than_the_doubt() -> None:
    for count in range(2, 12):
        found = movement_of(dated(*((200 * number, 1.0, 0) for number in range(count))))
        assert found.within is not None
        assert found.within > 0.1 * 2**0.5 - 1e-9
