"""The program in a real pseudo-terminal, which Windows has not: these tests are not collected there."""

from __future__ import annotations

import sys

collect_ignore_glob = ["test_*.py"] if sys.platform == "win32" else []
