"""A little of each script beside this: hand-made journals, hostile folders, random keys, endings."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
A_LITTLE = {
    "hand_made.py": ("--journals", "25", "--seed", "7"),
    "layouts.py": ("--folders", "60", "--seed", "7"),
    "hammer.py": ("--keys", "120", "--seed", "7"),
    "endings.py": ("--endings", "3", "--seed", "7"),
}


@pytest.mark.skipif(os.name == "nt", reason="Windows has no pipes, links and terminals as these need them")
@pytest.mark.parametrize("script", A_LITTLE)
def test_nothing_is_lost_and_nothing_fails(script: str) -> None:
    command = [sys.executable, str(HERE / script), *A_LITTLE[script]]
    done = subprocess.run(
        command, cwd=HERE.parents[1], capture_output=True, text=True, check=False, timeout=200
    )
    assert done.returncode == 0, done.stdout + done.stderr
