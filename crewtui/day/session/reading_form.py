"""A reading of the wall while it is being typed: what is proposed, what is wrong, what it already says."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from crewtui import units
from crewtui.day.journal.entries import WallRead
from crewtui.day.session.day import Day
from crewtui.day.session.wall_intents import LINES
from crewtui.day.state.wall_reading import (
    AFTER,
    BEFORE,
    STEP,
    Visit,
    between,
    engineer_words,
    error_words,
    last_of,
    reading_words,
    visit,
    visits_of,
)
from crewtui.day.steps.outcomes import AskBackError, Outcome
from crewtui.job.file.model import AsBuilt
from crewtui.trade.wall.survey import BASE_WORDS
from crewtui.units import MM_PER_IN, TOLERANCE_IN, UnitSystem, show_length

FROM_ENDS_IN: Final = 4.0
"""Proposed distance of the lowest reading from the slab, and of the highest from the wall's top."""
FROM_ENDS_MM: Final = 100
MOST_HEIGHTS: Final = 12
_TEXTS: Final = frozenset({"fixed_to", "repeats"})


class ReadingForm:
    """One reading at one anchor; nothing is entered before ``save``."""

    def __init__(self, day: Day, anchor: str, *, earlier: Mapping[str, Visit] | None = None) -> None:
        self.day, self.anchor = day, anchor
        self.earlier = earlier or {}
        """What an earlier visit read at this anchor."""
        now = day.anchor(anchor)
        self.system: UnitSystem = day.job.job.units
        self.when = AFTER if now.value("first_torque_lbf_ft") is not None else BEFORE
        like = self._like()
        built = now.plan.built or AsBuilt()
        self.line = like.line if like is not None else built.line
        self.heights = self._proposed(like)
        self.offsets = [""] * len(self.heights)
        self.values: dict[str, str] = {
            "resolution": self._text(like.resolution_in if like else built.resolution_in or self._finest()),
            "line_offset": self._text_or_blank(like.line_offset_in if like else built.line_offset_in),
            "fixed_to": like.fixed_to if like is not None else built.fixed_to,
            "repeats": "",
            "base_from_string": "",
            "string_at_corners": self._text_or_blank(like.string_at_corners_in if like else None),
        }
        self.with_base = like is not None and like.base_from_string_in is not None
        """The base was read here the last time."""
        self.typed = False
        """Something was typed that is not entered."""

    def _finest(self) -> float:
        return self.day.rules.number("survey_reading_in")

    def _like(self) -> WallRead | None:
        """Return the reading that this one is set up like: this anchor's, else the wall's latest."""
        state = self.day.state
        own = state.anchors[self.anchor]
        if own.readings:
            return max(own.readings.values(), key=lambda entry: entry.n)
        others = [entry for now in state.live() if now.wall == own.wall for entry in now.readings.values()]
        return max(others, key=lambda entry: entry.n, default=None)

    def _proposed(self, like: WallRead | None) -> list[str]:
        """Return heights to read at: those read before, so that readings compare point by point."""
        if like is not None:
            return [self._text(one.height_in) for one in like.heights]
        built = self.day.state.anchors[self.anchor].plan.built
        if built is not None and built.heights_in:
            return [self._text(height) for height in built.heights_in]
        left = last_of(self.earlier)
        if left is not None:
            return [self._text(one.height_in) for one in left.reading.readings]
        top_in = self.day.job.wall(self.day.state.anchors[self.anchor].wall).slab_to_top_in
        if self.system == "metric":
            top = round(top_in * MM_PER_IN)
            return [f"{height} mm" for height in (FROM_ENDS_MM, round(top / 20) * 10, top - FROM_ENDS_MM)]
        return [self._text(height) for height in (FROM_ENDS_IN, round(top_in / 2), top_in - FROM_ENDS_IN)]

    def _text(self, value_in: float) -> str:
        """Return a length as it is read back, without losing what a tape does not show."""
        shown = show_length(value_in, self.system, step=STEP)
        if abs(units.read_length(shown) - value_in) <= TOLERANCE_IN:
            return shown
        if self.system == "metric":
            return f"{value_in * MM_PER_IN:.4f}".rstrip("0").rstrip(".") + " mm"
        return f"{value_in:.6f}".rstrip("0").rstrip(".") + " in"

    def _text_or_blank(self, value_in: float | None) -> str:
        return "" if value_in is None else self._text(value_in)

    # Typing.

    def put(self, key: str, text: str) -> str:
        """Keep what was typed on a row, or return why it cannot be read."""
        text = text.strip()
        if key not in _TEXTS and text:
            try:
                value_in = units.read_length(text, bare="mm" if self.system == "metric" else "in")
            except units.UnreadableError as error:
                return str(error)
            text = self._text(value_in)
        kind, number = key[:1], key[1:]
        if number.isdigit():
            (self.heights if kind == "h" else self.offsets)[int(number)] = text
        else:
            self.values[key] = text
        self.typed = True
        return ""

    def turn(self, key: str) -> None:
        """Turn a choice to its other answer."""
        if key == "when":
            self.when = AFTER if self.when == BEFORE else BEFORE
        elif key == "line":
            self.line = LINES[1 - LINES.index(self.line)]

    def add_height(self) -> None:
        """Read at one more height."""
        if len(self.heights) < MOST_HEIGHTS:
            self.heights.append("")
            self.offsets.append("")

    @property
    def ready(self) -> bool:
        """Whether every height has its distance."""
        return all(self.heights) and all(self.offsets)

    # What it says.

    def _given(self) -> dict[str, Any]:
        return {"line": self.line, **self.values}

    def _pairs(self) -> list[tuple[str, str]]:
        """Return what was read; a height without its distance was not read at."""
        return [
            (height, offset)
            for height, offset in zip(self.heights, self.offsets, strict=True)
            if offset.strip()
        ]

    def says(self) -> list[tuple[str, str]]:
        """Return (tone, words) on the reading as typed so far: what it gives, what it did, whom to call."""
        state = self.day.state
        try:
            entry, reading = self.day.walls.as_reading(self.anchor, self.when, self._pairs(), **self._given())
        except AskBackError as error:
            return [("quiet", error.outcome.sentence)]
        found = [("coming", reading_words(reading, self.system))]
        call = engineer_words(state, reading)
        if call:
            found.insert(0, ("held", call))
        now = state.anchors[self.anchor]
        this = visit(entry, along_in=now.plan.along_in)
        before = visits_of(now).get(BEFORE)
        if self.when == AFTER and before is not None:
            found += self._change("Since before tightening", before, this)
        left = last_of(self.earlier)
        if left is not None:
            found += self._change("Since the earlier visit", left, this)
        found.append(("quiet", error_words(reading, self.system)))
        if reading.base_in is None:
            found.append(("deviation", BASE_WORDS))
        return found

    def _change(self, title: str, old: Visit, new: Visit) -> list[tuple[str, str]]:
        change = between(old, new, self.system)
        tone = {"worse": "held", "better": "done"}.get(change.word, "plain")
        return [(tone, f"{title}: {change.word}. {'; '.join(change.words[:2])}.")]

    def save(self) -> Outcome:
        """Enter the reading."""
        return self.day.walls.read_wall(self.anchor, self.when, self._pairs(), **self._given())


__all__ = ["ReadingForm"]
