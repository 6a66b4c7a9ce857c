"""Two rods of one wall: judged against each other where the anchors stand nearer than the spacing kept."""

from __future__ import annotations

from pathlib import Path

import pytest
from day_help import job_data, open_day

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.job.file.model import Job


def opened(folder: Path, places: tuple[float, float], *, behind: bool = False) -> Day:
    """Open a day of two anchors of one wall, which may be a second one that no corner places."""
    data = job_data(2)
    if behind:
        data["walls"].insert(0, {**data["walls"][0], "name": "other"})
    for table, along in zip(data["anchors"], places, strict=True):
        table["along"] = along
    return open_day(folder, Job.model_validate(data), figures=figures_for)


@pytest.mark.parametrize(("places", "judged"), [((100, 136), False), ((100, 134), True), ((100, 112), True)])
def test_only_rods_nearer_than_the_spacing_are_held_against_each_other(
    tmp_path: Path, places: tuple[float, float], *, judged: bool
) -> None:
    with opened(tmp_path, places) as day:
        yard = figures_for(day.state, "A-1").yard
        assert (yard is not None and bool(yard.rods)) is judged


@pytest.mark.parametrize("behind", [False, True])
def test_rods_that_may_meet_hold_and_say_how_near(tmp_path: Path, *, behind: bool) -> None:
    with opened(tmp_path, (100, 106), behind=behind) as day:
        (rod,) = figures_for(day.state, "A-1").yard.rods  # type: ignore[union-attr]
        assert rod.other == "A-2"
        assert rod.holds
        # Parallel rods 6 in apart whose bands are wider than that may meet.
        assert rod.apart_in < 3
        assert any("A-2" in hold.text for hold in day.standing_holds("A-1"))


def test_the_distance_of_parallel_bands_falls_with_the_spacing(tmp_path: Path) -> None:
    apart = []
    for number, second in enumerate((134.0, 130.0, 126.0)):
        folder = tmp_path / str(number)
        folder.mkdir()
        with opened(folder, (100.0, second)) as day:
            yard = figures_for(day.state, "A-1").yard
            assert yard is not None
            apart.append(yard.rods[0].apart_in)
    assert apart == sorted(apart, reverse=True)
    assert apart[0] - apart[2] == pytest.approx(8, abs=1e-6)
