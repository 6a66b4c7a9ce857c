"""Silica: 29 CFR 1926.1153 Table 1, read in reprints (one of them Cal. Code Regs. title 8, 1532.3).

Each row: protection factor outdoors up to 4 h and over, indoors up to 4 h and over; 0 is none required.
"""

from __future__ import annotations

import pytest

from crewtui.trade.safety.exposure import SilicaTask, SilicaUse, silica_advice

TABLE_1: list[tuple[SilicaTask, tuple[int, int, int, int]]] = [
    ("drilling", (0, 0, 0, 0)),
    ("core drilling on a rig", (0, 0, 0, 0)),
    ("chipping or jackhammer", (0, 10, 10, 10)),
    ("hand-held power saw", (0, 10, 10, 10)),
    ("grinding", (0, 0, 0, 10)),
    ("cutting out mortar", (10, 25, 10, 25)),
]


@pytest.mark.parametrize(("task", "factors"), TABLE_1)
def test_table_1(task: SilicaTask, factors: tuple[int, int, int, int]) -> None:
    got = tuple(
        silica_advice([SilicaUse(task=task, hours=hours, indoors=indoors)]).factor
        for indoors in (False, True)
        for hours in (4.0, 4.1)
    )
    assert got == factors


def test_several_tasks_over_four_hours_in_all_each_take_the_longer_column() -> None:
    # 1926.1153(c)(3)
    advice = silica_advice(
        [
            SilicaUse(task="drilling", hours=3.0, indoors=True),
            SilicaUse(task="chipping or jackhammer", hours=1.5, indoors=False),
        ]
    )
    assert advice.over_4_h
    assert [one.factor for one in advice.needs] == [0, 10]
    shorter = silica_advice(
        [
            SilicaUse(task="drilling", hours=2.5, indoors=True),
            SilicaUse(task="chipping or jackhammer", hours=1.5, indoors=False),
        ]
    )
    assert not shorter.over_4_h
    assert shorter.factor == 0
