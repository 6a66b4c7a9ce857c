"""The rods: the anchor's own from end to end, the job's cut list, and the truck against what it needs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from crewtui.day.cut_drawing import cut_bars, rod_drawing
from crewtui.day.cut_list import NO_ROD, rod_by_list, rod_of, sources_for
from crewtui.day.loading import Loaded, counted_today
from crewtui.trade.load_out import LoadLine
from crewtui.trade.rods import Piece, RodPlan
from crewtui.tui.chrome import Saying
from crewtui.tui.commands import PaneName
from crewtui.tui.panes.base import Here, Pane
from crewtui.tui.rows import Row
from crewtui.units import show_length

NEXT_PIECE: Final = "next piece"
OFFCUT: Final = "offcut"
TRUCK_COUNTED: Final = "truck counted"
LACKS: Final = "LACK"
"""Stands before what the truck has too few of."""
_LINE: Final = "load "
_TRUCK_STEP: Final = "truck"
_BESIDE_A_LINE: Final = 8
"""Columns of a row that are not its label's: cursor, mark, and the space between."""
_LEAST_WIDTH: Final = 40


class RodsPane(Pane):
    """What is short, the anchor's rod, the cut list, the load-out: pieces and counts are entered here."""

    pane: ClassVar[PaneName] = "rods"

    def __init__(self) -> None:
        super().__init__()
        self._plan: RodPlan | None = None
        self._next: Piece | None = None
        self._lines: dict[str, LoadLine] = {}
        self._drawn_at = 0

    def rebuild(self, here: Here) -> None:
        """Show the anchor's rod, and the job's rods as they were last worked out."""
        self.here = here
        state, loaded = here.day.state, here.loaded
        now = state.anchors[here.anchor]
        plan = rod_of(state, now)
        if plan is not None and loaded is not None and loaded.question.holds(plan, here.anchor):
            plan = rod_by_list(plan, loaded.cuts, here.anchor, system=here.system)
        self._plan = plan
        self._next = next((piece for piece in plan.pieces if not piece.driven), None) if plan else None
        self._lines = {}
        self._drawn_at = self._width
        self.set_rows(
            [
                *self._short(loaded),
                *self._rod(here),
                *self._cut_list(here),
                *self._load_out(here),
                *self._offcuts(here),
            ]
        )

    def on_resize(self) -> None:
        """Draw anew at the width there is."""
        super().on_resize()
        if self.here is not None and self._drawn_at != self._width:
            self.rebuild(self.here)

    # What is short.

    def _short(self, loaded: Loaded | None) -> Iterator[Row]:
        if loaded is None or not (loaded.short or loaded.question.cannot or loaded.question.unentered):
            return
        yield Row(key="title short", label="THE TRUCK", heading=True)
        for line in loaded.short:
            yield Row(key=f"short {line.key}", label=_capital(line.said), mark=LACKS, tone="held")
        for anchor, why in loaded.question.cannot:
            yield Row(
                key=f"cannot {anchor}", label=f"{anchor} stands on no list: {why}", mark="!", tone="held"
            )
        if loaded.question.unentered:
            names = ", ".join(loaded.question.unentered)
            yield Row(
                key="unentered", label=f"Driven, pieces not entered: {names}", mark="ask", tone="coming"
            )

    # The anchor's own.

    def _rod(self, here: Here) -> Iterator[Row]:
        plan = self._plan
        yield Row(key="title rod", label=f"THE ROD OF {here.anchor}", heading=True, note=self._sure(here))
        if plan is None:
            yield Row(key="no rod", label=NO_ROD.capitalize(), mark="ask", tone="coming")
            return
        if self._next is not None:
            piece = self._next
            number, of = piece.number, len(plan.pieces)
            yield Row(
                key=NEXT_PIECE,
                label=f"Next into the ground, {number} of {of}",
                mark="next",
                tone="coming",
                value=show_length(piece.length_in, here.system, step=16),
                note="Enter: driven in",
                typed=True,
            )
        elif plan.pieces:
            yield Row(key="all in", label="Every piece is in the ground", mark="done", tone="done")
        if plan.refused:
            yield Row(key="refused", label=plan.refused, mark="!", tone="held")
        for number, words in enumerate((*plan.mends, *plan.warnings)):
            yield Row(key=f"rod words {number}", label=words, mark="!", tone="deviation")
        for number, text in enumerate(rod_drawing(plan, self._width, system=here.system)):
            yield Row(key=f"rod {number}", label=text)

    @property
    def _width(self) -> int:
        return max(_LEAST_WIDTH, self.scrollable_content_region.width - _BESIDE_A_LINE)

    @staticmethod
    def _sure(here: Here) -> str:
        if here.no_list:
            return "by itself, without a cut list"
        if here.loaded is None or here.loaded.working:
            return "working: pieces may change"
        return ""

    # The job's.

    def _cut_list(self, here: Here) -> Iterator[Row]:
        loaded = here.loaded
        if loaded is None:
            yield Row(
                key="title cuts",
                label="CUT LIST",
                heading=True,
                note="none could be worked out" if here.no_list else "working",
            )
            return
        state = "working; the last answer stands below" if loaded.working else loaded.cuts.state
        yield Row(key="title cuts", label="CUT LIST", heading=True, note=state)
        if not loaded.question.rods:
            yield Row(key="no cuts", label="Nothing is left to be cut.")
            return
        for number, text in enumerate(cut_bars(loaded.cuts, self._width, system=here.system)):
            yield Row(key=f"cut {number}", label=text)

    def _load_out(self, here: Here) -> Iterator[Row]:
        loaded, state = here.loaded, here.day.state
        if loaded is None:
            return
        yield Row(key="title load", label="LOAD-OUT", heading=True, note="counted: Enter, or type how many")
        for line in loaded.load.lines:
            key = _LINE + line.key
            self._lines[key] = line
            counted = counted_today(state, line)
            yield Row(
                key=key,
                label=_capital(line.item),
                mark=LACKS if line.short else "done" if counted else "",
                tone="held" if line.short else "done" if counted else "plain",
                value="not counted" if line.there is None else f"{line.there} there",
                note=_need_words(line),
                note_tone="held" if line.short else "quiet",
                typed=True,
            )
        answered = state.shared.answers.get(_TRUCK_STEP)
        yield Row(
            key=TRUCK_COUNTED,
            label="Counted against the load-out",
            mark="next" if answered is None else "done",
            tone="coming" if answered is None else "done",
            note="Enter, once every line is" if answered is None else "",
        )

    def _offcuts(self, here: Here) -> Iterator[Row]:
        yield Row(key="title offcuts", label="OFFCUTS LYING ABOUT", heading=True)
        found = here.day.state.shared.truck.offcuts
        if found:
            words = ", ".join(show_length(length_in, here.system, step=16) for length_in in found)
            yield Row(key="offcuts there", label=words)
        yield Row(key=OFFCUT, label="One more, that long", note="type its length", typed=True)

    # What is said and entered.

    def saying(self) -> Saying:
        """Say the row in whole words."""
        key = self.cursor_key
        line = self._lines.get(key)
        if line is not None:
            return Saying(lines=(("held" if line.short else "plain", f"{line.said}."),))
        if key == NEXT_PIECE and self._next is not None and self.here is not None:
            return Saying(lines=(("plain", self._piece_words(self._next, self.here)),))
        row = self.cursor_row
        return Saying(lines=(("plain", row.label),)) if row is not None else Saying()

    def _piece_words(self, piece: Piece, here: Here) -> str:
        length = show_length(piece.length_in, here.system, step=16)
        source = "" if piece.stock_in is None else f" from {show_length(piece.stock_in, here.system)}"
        cut = f"cut{source}" if piece.cut else "a whole length"
        room = "" if piece.fits else " It does not fit the free room."
        return (
            f"Piece {piece.number}: {length}, {cut}. Coupling waxed and tight, then Enter."
            f" Another piece: type its length.{room}"
        )

    def chosen(self, key: str) -> None:
        """Take what stands on the row as it is: a piece driven in, a line counted."""
        here, line = self.here, self._lines.get(key)
        if here is None:
            return
        if key == NEXT_PIECE and self._next is not None:
            self._drive(here, self._next)
        elif key == TRUCK_COUNTED and _TRUCK_STEP not in here.day.state.shared.answers:
            self.wants(here.day.answer, None, _TRUCK_STEP, given={"answer": "yes"}, takes_reason=True)
        elif line is not None and line.there is not None:
            self.wants(here.day.count_stock, line.stock, line.there, given={"size_in": line.size_in}, row=key)
            below = [*self._lines, TRUCK_COUNTED]
            self.go_to(below[below.index(key) + 1], quietly=True)

    def entered(self, key: str, text: str) -> None:
        """Take a piece's length, a count, or an offcut's length."""
        here, line = self.here, self._lines.get(key)
        if here is None:
            return
        if key == NEXT_PIECE:
            self._drive(here, text)
        elif key == OFFCUT:
            self.wants(here.day.add_offcut, text, row=key)
        elif line is not None:
            self.wants(here.day.count_stock, line.stock, text, given={"size_in": line.size_in}, row=key)

    def _drive(self, here: Here, piece: Piece | str) -> None:
        given: dict[str, object] = {}
        if not isinstance(piece, str) and here.loaded is not None and self._plan is not None:
            driven = sum(one.driven for one in self._plan.pieces)
            source = sources_for(here.loaded.cuts, here.anchor).get(piece.number - driven)
            same = here.loaded.question.holds(self._plan, here.anchor)
            given = {"cut_from": [source]} if source is not None and same else {}
        self.wants(
            here.day.drive_pieces,
            here.anchor,
            [piece if isinstance(piece, str) else piece.length_in],
            given=given,
            takes_reason=True,
            dated=True,
            row=NEXT_PIECE,
            about=f"{here.anchor}: piece of rod driven in",
        )


def _need_words(line: LoadLine) -> str:
    if line.there is None:
        return f"{line.needed} needed"
    spare = line.there - line.needed
    return f"{line.needed} needed, {-spare} short" if spare < 0 else f"{line.needed} needed, {spare} spare"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
