"""What is walked through with the owner, from its data file: before the work, and on leaving."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import Literal

import tomli
from msgspec import Struct, convert

WalkName = Literal["before", "leaving"]


class WalkThing(Struct, frozen=True, kw_only=True):
    """One thing that is looked at, or shown."""

    id: str
    walk: WalkName
    label: str
    how: str
    """What to look for, or what to say."""


@cache
def load() -> tuple[WalkThing, ...]:
    """Return everything in the order of the walks."""
    text = files("crewtui.job.tables").joinpath("walks.toml").read_text(encoding="utf-8")
    return convert(tomli.loads(text)["things"], tuple[WalkThing, ...])


def things(walk: WalkName) -> tuple[WalkThing, ...]:
    """Return what belongs to one walk."""
    return tuple(thing for thing in load() if thing.walk == walk)
