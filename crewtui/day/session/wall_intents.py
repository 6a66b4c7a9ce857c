"""Intents that read the wall: distances from a plumb or laser line, as they were typed."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import datetime
from typing import Final

from crewtui import units
from crewtui.day.journal import entries as e
from crewtui.day.session.intents import Part, asking, need, need_reason
from crewtui.day.state.wall_reading import company_spread_in, engineer_words, station
from crewtui.day.steps.advice import Advice
from crewtui.day.steps.outcomes import Outcome, Saved, refuse
from crewtui.day.wall.standing_findings import StandingFinding, standing_findings
from crewtui.trade.wall.survey import WallReading, repeat_sd_in

LINES: Final = ("plumb line", "laser line")
LEAST_HEIGHTS: Final = 3
_BETWEEN: Final = re.compile(r"[;,]\s+|\s+and\s+|;")
"""Between readings that are typed one after another; a decimal comma has no blank after it."""
_UNLIKELY_BOW_IN: Final = 24.0
"""A bow past this is a slip of the unit or of a line that ran askew (from memory)."""


class WallIntents(Part):
    """What is read of the wall."""

    @asking
    def read_wall(
        self,
        anchor: str,
        when: str,
        heights: Sequence[tuple[str, str]],
        *,
        line: str = "plumb line",
        resolution: str = "",
        line_offset: str = "",
        fixed_to: str = "",
        base_from_string: str = "",
        string_at_corners: str = "",
        repeats: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep a reading at an anchor: pairs of height above the slab and distance from line to wall.

        Every length is text as a person writes it; ``resolution`` follows the company's rule where it is
        empty, and what is optional stays out where it is empty.
        """
        entry, reading = self.as_reading(
            anchor, when, heights, line=line, resolution=resolution, line_offset=line_offset,
            fixed_to=fixed_to, base_from_string=base_from_string, string_at_corners=string_at_corners,
            repeats=repeats, done_at=done_at,
        )  # fmt: skip
        done = self.day.save(entry)
        call = engineer_words(self.day.state, reading)
        return Saved(entry=done.entry, words=f"{done.words}. {call}" if call else done.words)

    def as_reading(
        self,
        anchor: str,
        when: str,
        heights: Sequence[tuple[str, str]],
        *,
        line: str,
        resolution: str = "",
        line_offset: str = "",
        fixed_to: str = "",
        base_from_string: str = "",
        string_at_corners: str = "",
        repeats: str = "",
        done_at: datetime | None = None,
    ) -> tuple[e.WallRead, WallReading]:
        """Return what would be entered, and what it says, without entering it; AskBackError if it is none."""
        now = self.day.anchor(anchor)
        repeats_in, spread_in = self._repeats(repeats)
        entry = e.WallRead(
            **self.day.times(done_at),
            anchor=anchor,
            when=when,
            line=line,
            heights=self._heights(heights, self.day.job.wall(now.wall).slab_to_top_in),
            resolution_in=self._length(resolution)
            if resolution.strip()
            else self.day.rules.number("survey_reading_in"),
            repeats_in=repeats_in,
            repeat_sd_in=spread_in,
            line_offset_in=self._length_or_none(line_offset),
            fixed_to=fixed_to,
            base_from_string_in=self._length_or_none(base_from_string),
            string_at_corners_in=self._length_or_none(string_at_corners),
        )
        try:
            reading = station(entry)
        except ValueError as error:
            words = str(error)
            raise refuse(f"{words[:1].upper()}{words[1:].rstrip('.')}.") from error
        largest = max(abs(reading.bow_in.value), abs(reading.largest_inward_in.value))
        if largest > _UNLIKELY_BOW_IN:
            shown = units.show_length(largest, self.day.job.job.units)
            raise refuse(
                f"That would be a bow of {shown}: look at the units and at the line, and read again."
            )
        return entry, reading

    def _repeats(self, typed: str) -> tuple[tuple[float, ...], float]:
        """Return the distances of one place read again, and their spread; the company's for none."""
        if not typed.strip():
            return (), company_spread_in(self.day.state)
        found = tuple(self._length(one) for one in _BETWEEN.split(typed.strip()) if one.strip())
        try:
            return found, repeat_sd_in(found)
        except ValueError as error:
            words = str(error)
            raise refuse(f"{words[:1].upper()}{words[1:]}: 4 3/4, 4 13/16, 4 3/4.") from error

    def _heights(self, typed: Sequence[tuple[str, str]], top_in: float) -> tuple[e.HeightRead, ...]:
        found = []
        for height, offset in typed:
            if not height.strip() and not offset.strip():
                continue
            if not height.strip() or not offset.strip():
                raise refuse("Each reading has a height and a distance; one of the two is missing.")
            height_in, offset_in = self._length(height), self._length(offset)
            if not (height_in >= 0 and units.at_most(height_in, top_in)):
                shown = units.show_length(top_in, self.day.job.job.units)
                raise refuse(f"{height} up is not on the wall: it is {shown} high over the slab.")
            if offset_in < 0:
                raise refuse(
                    "The distance from the line to the wall is not negative: move the line off the wall."
                )
            found.append(e.HeightRead(height_in=height_in, offset_in=offset_in))
        if len(found) < LEAST_HEIGHTS:
            raise refuse("Read the wall at three heights at least: bottom, middle and top.")
        return tuple(found)

    def _length(self, text: str) -> float:
        try:
            return units.read_length(text, bare="mm" if self.day.job.job.units == "metric" else "in")
        except units.UnreadableError as error:
            raise refuse(str(error)) from error

    def _length_or_none(self, text: str) -> float | None:
        return self._length(text) if text.strip() else None

    def standing_findings(self) -> tuple[StandingFinding, ...]:
        """Return what is against a limit about the walls, with who says that it may stay."""
        return standing_findings(self.day.state)

    def moves(self, finding: StandingFinding) -> tuple[Advice, ...]:
        """Return which anchor to move, and how far, so that the finding ends: each as it can be taken."""
        from crewtui.day.wall.move_advice import move_advice  # noqa: PLC0415 - only once it is asked for

        return move_advice(self.day.state, finding)

    @asking
    def answer_finding(self, finding: str, *, name: str, reason: str) -> Outcome:
        """Say, with a name, that a finding about a wall may stay as it is; unanswered it is a deviation."""
        found = next((one for one in self.standing_findings() if one.id == finding), None)
        if found is None:
            raise refuse(f"{finding}: there is no such finding now.")
        need(name, "Who says that it may stay? The record keeps the name.")
        need_reason(reason, "Why may it stay? The record keeps the reason.")
        return self.day.save(
            e.FindingAnswered(
                **self.day.times(None),
                finding=found.id,
                value=found.value,
                anchor=found.anchor or None,
                name=name,
                reason=reason,
            )
        )
