"""The page of the calculations: every worked example on it is run."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

PAGE = (Path(__file__).parents[2] / "docs" / "calculations.md").read_text(encoding="utf-8")
EXAMPLES = re.findall(r"(?s)```python\n(.*?)```", PAGE)
SUBJECTS = re.findall(r"(?m)^## (.*)$", PAGE)


def test_there_is_an_example_for_nearly_every_subject() -> None:
    assert len(EXAMPLES) >= len(SUBJECTS) - 2


@pytest.mark.parametrize("number", range(len(EXAMPLES)))
def test_the_example_comes_out_as_printed(number: int) -> None:
    exec(compile(EXAMPLES[number], f"calculations.md, example {number + 1}", "exec"), {})  # noqa: S102 - ours
