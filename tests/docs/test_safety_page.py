from __future__ import annotations

from pathlib import Path

import pytest
from safety_page import PAGE, page, write

from crewtui.job.tables.hazards import load
from crewtui.trade.ground.excavation import slope_back
from crewtui.trade.safety.exposure import NoiseExposure, noise_dose

DOCS = Path(__file__).parents[2] / "docs"
TEXT = (DOCS / PAGE).read_text(encoding="utf-8")


def test_the_table_of_hazards_is_fresh() -> None:
    assert page(TEXT) == TEXT
    assert all(f"`{hazard.id}`" in TEXT for hazard in load())


def test_the_page_can_be_written_anew(tmp_path: Path) -> None:
    (tmp_path / PAGE).write_text(TEXT.replace("`ppe`", "`old`"), encoding="utf-8")
    write(tmp_path)
    assert (tmp_path / PAGE).read_text(encoding="utf-8") == TEXT
    with pytest.raises(ValueError, match="once each"):
        page("no marks")


def test_the_numbers_of_the_page_come_out() -> None:
    assert slope_back(54, soil_type="C").horizontal_in == 81
    assert noise_dose([NoiseExposure(task="drill", level_dba=100, hours=0.5)]).share == 0.25
