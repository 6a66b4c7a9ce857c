"""The words of which a value is one, each set once: job file, arithmetic and screens take them from here."""

from __future__ import annotations

from typing import Literal

WallType = Literal["poured concrete", "block", "clay tile"]
PitKind = Literal["auger", "hand"]
PitFace = Literal["as augered", "squared"]
"""How the house side of an augered pit is left for the plate."""
AimBy = Literal["tail", "level at the wall"]
"""What the rod's angle is taken by: the height of its tail, or a level on it where it enters the wall."""
GroundTrouble = Literal["rock", "roots", "water", "fill", "old pit"]
"""Ground that is not as hoped."""
InGroundKind = Literal["footing", "frost wall", "window well", "drain tile", "roots", "other"]
"""What stands in the ground, by its outline."""
SoilType = Literal["rock", "A", "B", "C"]
SoilName = Literal["sand and gravel", "topsoil", "loam", "common earth", "clay"]
LineKind = Literal["electric", "gas", "communication", "potable water", "reclaimed water", "sewer", "other"]
DayCount = Literal["calendar days", "working days", "hours"]
DayKind = Literal["install", "visit"]
"""A wall is tied back, or one that is tied back is looked at again."""
AnchorWord = Literal["not begun", "under way", "covered", "closed", "dropped"]
"""How far an anchor is."""
Mark = Literal["published", "published (reprint)", "common practice, no source", "from memory"]
"""How well a figure's source is known."""
