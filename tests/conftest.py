"""The order of the tests: the longest first, so that no core waits for one of them at the end."""

from __future__ import annotations

from typing import Final

import pytest

LONGEST: Final = ("tests/terminal/test_whole_day.py", "tests/faults/test_kill.py")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put whole days and kills before all else; the others keep their order."""
    items.sort(key=lambda item: not item.nodeid.startswith(LONGEST))
