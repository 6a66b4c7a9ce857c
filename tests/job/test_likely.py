"""Values that another unit makes likely stop a plan; what all anchors repeat is named."""

from __future__ import annotations

import copy
import tomllib
from datetime import date
from pathlib import Path
from typing import Any, Final

import pytest
import tomli_w

from crewtui.job.check.likely_findings import likely_findings
from crewtui.job.check.shorter import repeated
from crewtui.job.file.load import load_job, read_job
from crewtui.job.file.model import Job
from crewtui.job.file.template import template

SAMPLES: Final = sorted((Path(__file__).parents[2] / "sample_jobs").glob("*.toml"))


def metric(data: dict[str, Any]) -> Job:
    changed = copy.deepcopy(data)
    changed["job"]["units"] = "metric"
    return read_job(tomli_w.dumps(changed).encode(), file="job.toml")


def test_a_template_of_which_only_the_unit_was_changed_is_stopped() -> None:
    found = list(likely_findings(metric(tomllib.loads(template(date(2026, 11, 2))))))
    stopped = {finding.key for finding in found if finding.severity == "stop"}
    assert {"walls[0].thickness", "walls[0].slab_to_top", "rod.diameter"} <= stopped
    assert "Wall thickness is given as 8 mm" in next(f.words for f in found if "thickness" in f.key)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_nothing_in_a_sample_is_unlikely(path: Path) -> None:
    assert list(likely_findings(load_job(path))) == []


def test_a_value_that_no_other_unit_explains_is_a_caution() -> None:
    data = tomllib.loads(template(date(2026, 11, 2)))
    data["walls"][0]["thickness"] = 30
    (finding,) = likely_findings(read_job(tomli_w.dumps(data).encode(), file="job.toml"))
    assert (finding.severity, finding.key) == ("caution", "walls[0].thickness")


def test_what_all_anchors_of_a_wall_repeat_is_named() -> None:
    sample = next(path for path in SAMPLES if path.stem == "block-wall")
    own = tomllib.loads(sample.read_text(encoding="utf-8"))
    assert "setback" in repeated(own)["north"]
    assert "along" not in repeated(own)["north"]
    keys = repeated(own)["north"]
    for row in own["anchors"]:
        for key in keys:
            row.pop(key)
    assert repeated(own) == {}
