"""The crew lead's day of tying back a bowed basement wall, in a terminal."""

from __future__ import annotations

from typing import Final

VERSION: Final = "0.2.0"
