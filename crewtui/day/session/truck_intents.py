"""Intents of rod and truck: pieces driven, and what was counted or found."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from crewtui import units
from crewtui.day.journal import entries as e
from crewtui.day.session.intents import Part, ask_reason, asking
from crewtui.day.state.fold_truck import SAME_LENGTH_IN
from crewtui.day.state.state import DayState
from crewtui.day.steps.outcomes import Outcome, refuse
from crewtui.units import at_least

Source = tuple[float, bool]
"""What a piece is cut from: a length, and whether that is an offcut."""


class TruckIntents(Part):
    """What goes into the ground, and what is on the truck."""

    @asking
    def drive_pieces(
        self,
        anchor: str,
        texts: Sequence[str | float],
        *,
        cut_from: Sequence[Source | None] = (),
        reason: str = "",
        done_at: datetime | None = None,
    ) -> Outcome:
        """Keep pieces of rod as driven, in their order: lengths as typed, or as the cut list has them.

        ``cut_from`` says for each what it is cut from; else the shortest on the truck that is long enough.
        """
        times = self.day.times(done_at)
        now = self.day.anchor(anchor)
        if not texts:
            raise refuse("Which piece went in? Type its length.")
        lengths_in = [self._piece_length(text) for text in texts]
        holds = self.day.holds_on("depth-found", anchor, done_at=done_at)
        ask_reason(reason, (), holds)
        given = [*cut_from, *[None] * len(lengths_in)]
        pieces = []
        for length_in, source in zip(lengths_in, given, strict=False):
            stock_in, offcut = source if source is not None else source_for(self.day.state, length_in)
            pieces.append(e.PieceDriven(length_in=length_in, stock_in=stock_in, offcut=offcut))
        return self.day.save(
            e.PiecesDriven(
                **times,
                anchor=now.id,
                pieces=tuple(pieces),
                reason=reason,
                while_held=tuple(hold.id for hold in holds),
            )
        )

    def _piece_length(self, text: str | float) -> float:
        """Return a piece's length; AskBackError for what cannot be one."""
        if isinstance(text, float | int):
            return float(text)
        metric = self.day.job.job.units == "metric"
        try:
            length_in = units.read_length(text, bare="mm" if metric else "in")
        except units.UnreadableError as error:
            raise refuse(str(error)) from error
        longest_in = max((stock.length_in for stock in self.day.job.stock.rods), default=0.0)
        if length_in <= 0 or (longest_in and length_in > longest_in + SAME_LENGTH_IN):
            shown = units.show_length(length_in, self.day.job.job.units)
            longest = units.show_length(longest_in, self.day.job.job.units)
            raise refuse(f"{shown} is no piece of this rod: the longest stock is {longest}. Type its length.")
        return length_in

    @asking
    def count_stock(self, item: str, text: str | int, *, size_in: Sequence[float] = ()) -> Outcome:
        """Keep how many of something are on the truck now."""
        try:
            count = units.read_count(text) if isinstance(text, str) else text
        except units.UnreadableError as error:
            raise refuse(str(error)) from error
        return self.day.save(
            e.StockCounted.model_validate(
                {**self.day.times(None), "item": item, "size_in": tuple(size_in), "count": count}
            )
        )

    @asking
    def add_offcut(self, text: str) -> Outcome:
        """Keep an offcut that was found or kept: one more of its length."""
        length_in = self._piece_length(text)
        least_in = self.day.rules.number("rod_piece_least_in")
        system = self.day.job.job.units
        if not at_least(length_in, least_in):
            raise refuse(
                f"{units.show_length(length_in, system)} is shorter than the company's least piece of"
                f" {units.show_length(least_in, system)}: it serves for nothing here."
            )
        same = sum(
            abs(have_in - length_in) <= SAME_LENGTH_IN for have_in in self.day.state.shared.truck.offcuts
        )
        return self.day.save(
            e.StockCounted(**self.day.times(None), item="offcuts", size_in=(length_in,), count=same + 1)
        )


def source_for(state: DayState, length_in: float) -> Source:
    """Return the shortest offcut or rod left that is long enough; the longest rod where none is left."""
    truck = state.shared.truck
    fitting = [(left_in, True) for left_in in truck.offcuts if at_least(left_in, length_in)]
    fitting += [
        (rod_in, False) for rod_in, count in truck.rods.items() if count > 0 and at_least(rod_in, length_in)
    ]
    if fitting:
        return min(fitting, key=lambda source: (source[0], not source[1]))
    listed = [rod_in for rod_in in truck.rods if at_least(rod_in, length_in)]
    return (min(listed), False) if listed else (length_in, False)
