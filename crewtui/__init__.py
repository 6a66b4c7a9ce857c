"""The crew lead's day of tying back a bowed basement wall, in a terminal."""

from __future__ import annotations

import os
from typing import Final

VERSION: Final = "0.2.0"

# No plugin has a say in what the models read here, and looking for one is a sixth of the start.
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
