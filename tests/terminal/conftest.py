"""The program in a real pseudo-terminal, which Windows has not: these tests are not collected there."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

if TYPE_CHECKING:
    from driver import Terminal

collect_ignore_glob = ["test_*.py"] if sys.platform == "win32" else []

SAMPLES = Path(__file__).parents[2] / "sample_jobs"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A sample job in a folder of its own."""
    return Path(shutil.copy(SAMPLES / "block-wall.toml", tmp_path / "block-wall.toml"))


@pytest.fixture
def run(tmp_path: Path) -> Iterator[Callable[..., Terminal]]:
    """Start a command in a terminal; every terminal is closed at the end."""
    from driver import Terminal  # noqa: PLC0415 - needs what Windows has not

    with ExitStack() as terminals:

        def start(command: tuple[str, ...], **options: Any) -> Terminal:
            return terminals.enter_context(Terminal(command, home=tmp_path / "home", **options))

        yield start


@pytest.fixture
def open_job(run: Callable[..., Terminal], job: Path) -> Callable[..., Terminal]:
    """Open the sample job's day on the screen."""
    from driver import crewtui  # noqa: PLC0415 - the same

    return lambda **options: run(crewtui("open", str(job)), **options).until("saved ", "EMERGENCY")
