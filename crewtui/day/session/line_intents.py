"""Intents about the lines in the ground: one was laid bare, at a place, so deep."""

from __future__ import annotations

import re
from datetime import datetime
from typing import Final

from crewtui import units
from crewtui.day.journal import entries as e
from crewtui.day.session.intents import Part, asking
from crewtui.day.steps.outcomes import Outcome, refuse
from crewtui.job.file.placing import yard_of

_AT: Final = re.compile(r"(.*?)\s+(?:at|@)\s+(.*)", re.IGNORECASE)
HOW_TYPED: Final = (
    "Type its depth to the middle, like 22, or with how far out from the wall, like 22 at 5' 10"
)


class LineIntents(Part):
    """What the lead says of lines in the ground."""

    @asking
    def expose_line(self, line: str, text: str, *, anchor: str, done_at: datetime | None = None) -> Outcome:
        """Keep that a line was laid bare at an anchor: its depth to the middle, below the ground right there.

        ``22`` is where the anchor asks for it to be laid bare; ``22 at 5' 10`` so far out from the wall.
        """
        from crewtui.day.figures.line_places import place_at  # noqa: PLC0415 - arithmetic, not needed to open a day

        now = self.day.anchor(anchor)
        yard = yard_of(self.day.job)
        of_wall = {item.name: item.wall for item in self.day.job.lines if yard.knows(item.wall, now.wall)}
        if line not in of_wall:
            raise refuse(f"There is no line {line} at the wall {now.wall}.")
        if not text.strip():
            raise refuse(f"{line}: {HOW_TYPED}.")
        split = _AT.fullmatch(text.strip())
        depth_in = self._length(split[1] if split is not None else text)
        if depth_in < 0:
            raise refuse("A line's depth is not negative.")
        out_in = self._length(split[2]) if split is not None else None
        try:
            place = place_at(self.day.state, anchor, line, out_in)
        except ValueError as error:
            raise refuse(str(error)) from error
        # Kept as the line's own wall has it, whichever wall's anchor it was met at.
        along_in, at_out_in = yard.carried((place,), measured_from=now.wall, to=of_wall[line])[0]
        return self.day.save(
            e.LineExposed(
                **self.day.times(done_at),
                line=line,
                depth_in=depth_in,
                along_in=along_in,
                out_in=at_out_in,
                anchor=anchor,
            )
        )

    def _length(self, text: str) -> float:
        try:
            return units.read_length(text, bare="mm" if self.day.job.job.units == "metric" else "in")
        except units.UnreadableError as error:
            raise refuse(f"{error} {HOW_TYPED}.") from error


__all__ = ["HOW_TYPED", "LineIntents"]
