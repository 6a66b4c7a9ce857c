"""The rods: the anchor's own from end to end, the job's cut list, and the truck against what it needs."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Final

from crewtui.day.truck.cut_drawing import cut_bars, rod_drawing
from crewtui.day.truck.day_cut_list import no_rod_words, rod_of, sources_for
from crewtui.day.truck.loading import Loaded, counted_today
from crewtui.day.truck.rod_made import WORKING
from crewtui.trade.rod.rod_plan import RodPiece, RodPlan
from crewtui.trade.truck.load_out import LoadLine
from crewtui.tui.keys.commands import PaneName, key_item
from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.dialogs import DO_IT, confirm
from crewtui.tui.widgets.pane import NOTHING_HERE, Here, Pane
from crewtui.tui.widgets.rows import Row
from crewtui.units import show_length

NEXT_PIECE: Final = "next piece"
OFFCUT: Final = "offcut"
TRUCK_COUNTED: Final = "truck counted"
"""Stands before what the truck has too few of."""
_LINE: Final = "load "
_UNENTERED: Final = "unentered"
_BY_THE_LIST: Final = frozenset({"rods", "offcuts", "couplings"})
"""What is counted from the cut list, which an anchor without figures is not on."""
TRUCK_STEP: Final = "truck"
"""The step of the day that is done here."""
_BESIDE_A_LINE: Final = 8
"""Columns of a row that are not its label's: cursor, mark, and the space between."""
_LEAST_WIDTH: Final = 40


class RodsPane(Pane):
    """What is short, the anchor's rod, the cut list, the load-out: pieces and counts are entered here."""

    pane: ClassVar[PaneName] = "rods"

    def __init__(self) -> None:
        super().__init__()
        self._plan: RodPlan | None = None
        self._next: RodPiece | None = None
        self._waits = False
        self._lines: dict[str, LoadLine] = {}
        self._drawn_at = 0

    def rebuild(self, here: Here) -> None:
        """Show the anchor's rod, and the job's rods as they were last worked out."""
        self.here = here
        state, loaded = here.day.state, here.loaded
        now = state.anchors[here.anchor]
        rod = rod_of(state, now)
        made = None if rod is None else here.made(rod)
        self._plan = plan = made if isinstance(made, RodPlan) else None
        self._waits = isinstance(made, str)
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
            yield Row(key=f"short {line.key}", label=_capital(line.said), mark="!", tone="deviation")
        for anchor, why in loaded.question.cannot:
            yield Row(
                key=f"cannot {anchor}",
                label=f"{anchor}: {why}",
                mark="ask",
                tone="coming",
                note="in no count",
            )
        if loaded.question.unentered:
            names = ", ".join(loaded.question.unentered)
            yield Row(key=_UNENTERED, label=f"Driven, pieces not entered: {names}", mark="ask", tone="coming")

    # The anchor's own.

    def _rod(self, here: Here) -> Iterator[Row]:
        plan = self._plan
        yield Row(key="title rod", label=f"THE ROD OF {here.anchor}", heading=True, note=self._sure(here))
        if self._waits:
            yield Row(
                key=NEXT_PIECE,
                label="Next into the ground",
                tone="quiet",
                value=WORKING,
                note="driven already? type its length",
                typed=True,
            )
            return
        if plan is None:
            yield Row(
                key="no rod",
                label=_capital(no_rod_words(here.day.state, here.day.state.anchors[here.anchor])),
                mark="ask",
                tone="coming",
            )
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
            yield Row(key="refused", label=plan.refused, mark="!", tone="deviation")
        for number, words in enumerate((*plan.mends, *plan.warnings)):
            yield Row(key=f"rod words {number}", label=words, mark="!", tone="deviation")
        for number, text in enumerate(rod_drawing(plan, self._width, system=here.system)):
            yield Row(key=f"rod {number}", label=text, still=True)

    @property
    def _width(self) -> int:
        return max(_LEAST_WIDTH, self.scrollable_content_region.width - _BESIDE_A_LINE)

    @staticmethod
    def _sure(here: Here) -> str:
        if here.no_list:
            return "by itself, without a cut list"
        if here.loaded is None or here.loaded.working:
            return "working"
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
            yield Row(key=f"cut {number}", label=text, still=True)

    def _load_out(self, here: Here) -> Iterator[Row]:
        loaded, state = here.loaded, here.day.state
        if loaded is None:
            note = "by hand: no cut list" if here.no_list else "working"
            yield Row(key="title load", label="LOAD-OUT", heading=True, note=note)
            yield self._counted_row(here)
            return
        without = _without(loaded)
        note = "counted: Enter, or type how many"
        yield Row(
            key="title load", label=f"LOAD-OUT{without.upper() if without else ''}", heading=True, note=note
        )
        for line in loaded.load.lines:
            key = _LINE + line.key
            self._lines[key] = line
            counted = counted_today(state, line)
            yield Row(
                key=key,
                label=_capital(line.item),
                mark="!" if line.short else "done" if counted else "",
                tone="deviation" if line.short else "done" if counted else "plain",
                value=_there_words(line, counted=counted),
                note=_need_words(line, loaded),
                note_tone="deviation" if line.short else "quiet",
                typed=True,
            )
        yield self._counted_row(here)

    def _counted_row(self, here: Here) -> Row:
        answered = here.day.state.shared.answers.get(TRUCK_STEP)
        return Row(
            key=TRUCK_COUNTED,
            label="Counted against the load-out",
            mark="next" if answered is None else "done",
            tone="coming" if answered is None else "done",
            note=self._left_words(here) if answered is None else "",
        )

    def _uncounted(self, here: Here) -> list[LoadLine]:
        """Return the lines that are needed and that nobody has counted today."""
        state = here.day.state
        return [line for line in self._lines.values() if line.needed and not counted_today(state, line)]

    def _left_words(self, here: Here) -> str:
        if here.loaded is None:
            return "Enter, once it is" if here.no_list else "being worked out"
        left = len(self._uncounted(here))
        of = sum(line.needed > 0 for line in self._lines.values())
        return f"{left} of {of} lines not counted" if left else "every line is: Enter"

    def _offcuts(self, here: Here) -> Iterator[Row]:
        yield Row(key="title offcuts", label="OFFCUTS ON HAND", heading=True)
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
            return Saying(lines=tuple(self._line_words(line)))
        if key == TRUCK_COUNTED and self.here is not None:
            return Saying(lines=tuple(self._counted_words(self.here)))
        if key == NEXT_PIECE and self._next is not None and self.here is not None:
            return Saying(lines=(("plain", self._piece_words(self._next, self.here)),))
        row = self.cursor_row
        return Saying(lines=(("plain", row.label),)) if row is not None else Saying()

    def _line_words(self, line: LoadLine) -> Iterator[tuple[str, str]]:
        yield ("held" if line.short else "plain", f"{line.said}.")
        if self.here is None or self.here.loaded is None:
            return
        if line.stock in _BY_THE_LIST and self.here.loaded.question.cannot:
            yield "deviation", f"{_names(self.here.loaded)} is not counted in it: no rod there yet."
        if not counted_today(self.here.day.state, line):
            known = "Nobody has counted it." if line.there is None else "That is the plan's number, no count."
            yield "quiet", f"{known} Enter if it is right, or type how many there are."

    def _counted_words(self, here: Here) -> Iterator[tuple[str, str]]:
        loaded = here.loaded
        if loaded is None:
            words = "No cut list could be worked out, so nothing here says how much is needed."
            yield ("held", words) if here.no_list else ("quiet", "The load-out is being worked out.")
            return
        left = self._uncounted(here)
        if left:
            yield "coming", f"Not counted today: {', '.join(line.item for line in left)}."
        if loaded.question.cannot:
            yield "held", f"No rod yet, so in no count of rods: {_names(loaded)}."
        if not left:
            yield "plain", "Every line is counted."

    def _piece_words(self, piece: RodPiece, here: Here) -> str:
        length = show_length(piece.length_in, here.system, step=16)
        source = "" if piece.stock_in is None else f" from {show_length(piece.stock_in, here.system)}"
        cut = f"cut{source}" if piece.cut else "a whole length"
        room = "" if piece.fits else " It does not fit the free room."
        return (
            f"Piece {piece.number}: {length}, {cut}. Coupling waxed and tight, then Enter."
            f" Another piece: type its length.{room}"
        )

    def does(self) -> str:
        """Return what Enter does."""
        key, line = self.cursor_key, self._lines.get(self.cursor_key)
        if key == NEXT_PIECE:
            return "this piece is driven in"
        if key == TRUCK_COUNTED:
            return "all of it is counted"
        return f"{line.there} are there" if line is not None and line.there is not None else ""

    def more_keys(self) -> tuple[tuple[str, str], ...]:
        """Return what else can be done on the row."""
        row = self.cursor_row
        typed = (("0-9", "type what is"),) if row is not None and row.typed else ()
        return (*typed, key_item("next_anchor"), key_item("what_now"), key_item("find"))

    def chosen(self, key: str) -> None:
        """Take what stands on the row as it is: a piece driven in, a line counted."""
        here, line = self.here, self._lines.get(key)
        if here is None:
            return
        if key == NEXT_PIECE and self._next is not None:
            self._drive(here, self._next)
        elif key == NEXT_PIECE:
            self.refuses(f"The pieces are {WORKING}: wait for them, or type the length that was driven.")
        elif key == _UNENTERED and self._next is None:
            self.refuses("Go to that anchor (n), then enter its pieces on this page.")
        elif key == TRUCK_COUNTED and TRUCK_STEP not in here.day.state.shared.answers:
            self._all_counted(here)
        elif line is not None and line.there is not None:
            self.wants(
                here.day.truck.count_stock, line.stock, line.there, given={"size_in": line.size_in}, row=key
            )
            below = [*self._lines, TRUCK_COUNTED]
            self.go_to(below[below.index(key) + 1], quietly=True)
        elif line is not None:
            self.refuses("Nobody has counted it: type how many there are.")
        elif key == OFFCUT:
            self.refuses("Type the length of the piece, then Enter.")
        elif key == TRUCK_COUNTED:
            self.refuses("It is entered as counted; u takes back the last entry.")
        else:
            self.refuses(NOTHING_HERE)

    def entered(self, key: str, text: str) -> None:
        """Take a piece's length, a count, or an offcut's length."""
        here, line = self.here, self._lines.get(key)
        if here is None:
            return
        if key == NEXT_PIECE:
            self._drive(here, text)
        elif key == OFFCUT:
            self.wants(here.day.truck.add_offcut, text, row=key)
        elif line is not None:
            self.wants(here.day.truck.count_stock, line.stock, text, given={"size_in": line.size_in}, row=key)

    def _all_counted(self, here: Here) -> None:
        """Enter that the truck was counted; where a line was not, only after a question."""

        def counted(choice: str | None = DO_IT) -> None:
            if choice == DO_IT:
                self.wants(here.day.answer, None, TRUCK_STEP, given={"answer": "yes"}, takes_reason=True)

        if here.loaded is None and not here.no_list:
            self.refuses("The load-out is still being worked out: count it when it stands here.")
            return
        open_words = [words for tone, words in self._counted_words(here) if tone != "plain"]
        if not open_words:
            counted()
            return
        title = "Counted against the load-out?"
        question = confirm(title, " ".join(open_words), do_it="All of it was counted, on paper or by eye")
        self.app.push_screen(question, counted)

    def _drive(self, here: Here, piece: RodPiece | str) -> None:
        given: dict[str, object] = {}
        if not isinstance(piece, str) and here.loaded is not None and self._plan is not None:
            driven = sum(one.driven for one in self._plan.pieces)
            source = sources_for(here.loaded.cuts, here.anchor).get(piece.number - driven)
            same = here.loaded.question.holds(self._plan, here.anchor)
            given = {"cut_from": [source]} if source is not None and same else {}
        self.wants(
            here.day.truck.drive_pieces,
            here.anchor,
            [piece if isinstance(piece, str) else piece.length_in],
            given=given,
            takes_reason=True,
            dated=True,
            row=NEXT_PIECE,
            about=f"{here.anchor}: piece of rod driven in",
        )


def _names(loaded: Loaded) -> str:
    return ", ".join(anchor for anchor, _ in loaded.question.cannot)


def _without(loaded: Loaded) -> str:
    """Return which anchors are in no count of rods, to stand behind it."""
    return f", without {_names(loaded)}" if loaded.question.cannot else ""


def _there_words(line: LoadLine, *, counted: bool) -> str:
    if line.there is None:
        return "not counted"
    return f"{line.there} counted" if counted else f"{line.there} by plan"


def _need_words(line: LoadLine, loaded: Loaded) -> str:
    """Say how many are needed; behind what is counted from the cut list also who is not on it."""
    more = f"+{_names(loaded)}" if line.stock in _BY_THE_LIST and loaded.question.cannot else ""
    if line.there is None:
        return f"{line.needed}{more} needed"
    spare = line.there - line.needed
    return f"{line.needed}{more} needed, {f'{-spare} short' if spare < 0 else f'{spare} spare'}"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
