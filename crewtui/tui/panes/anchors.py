"""Every anchor in one list: how far it is, what is next at it, what holds it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Final

from crewtui.day.steps_view import AnchorRow
from crewtui.tui.chrome import Saying
from crewtui.tui.commands import PaneName
from crewtui.tui.panes.base import Here, Pane
from crewtui.tui.rows import Row, Tone

_WORDS: Final[Mapping[str, tuple[str, Tone]]] = {
    "not begun": ("", "plain"),
    "under way": ("work", "coming"),
    "covered": ("cov.", "deviation"),
    "closed": ("done", "done"),
    "dropped": ("drop", "quiet"),
}


class AnchorsPane(Pane):
    """The job's anchors; the one under the cursor is the one that everything else is about."""

    pane: ClassVar[PaneName] = "anchors"

    def __init__(self) -> None:
        super().__init__()
        self.anchors: tuple[AnchorRow, ...] = ()

    def rebuild(self, here: Here) -> None:
        """Show a line for each anchor."""
        self.here = here
        self.anchors = here.day.overview()
        self.set_rows([self._row(anchor) for anchor in self.anchors], cursor=here.anchor)

    def _row(self, anchor: AnchorRow) -> Row:
        mark, tone = _WORDS[anchor.word]
        note, note_tone = anchor.next_label, "quiet"
        if anchor.held_by:
            mark, tone = "HELD", "held"
            note, note_tone = f"{anchor.next_label}: {anchor.held_by}", "held"
        return Row(
            key=anchor.id,
            label=f"{anchor.id}  {anchor.wall}",
            mark=mark,
            tone=tone,
            value=f"{anchor.done}/{anchor.total}"
            + (f" {anchor.deviations} dev." if anchor.deviations else ""),
            note=note,
            note_tone=note_tone,  # type: ignore[arg-type]
        )

    def saying(self) -> Saying:
        """Say what is next at the anchor, what holds it, and what the plan says of it."""
        anchor = next((row for row in self.anchors if row.id == self.cursor_key), None)
        if anchor is None or self.here is None:
            return Saying()
        said: list[tuple[str, str]] = [
            ("plain", f"{anchor.id}: {anchor.word}, {anchor.done} of {anchor.total} steps.")
        ]
        if anchor.held_by:
            said.append(("held", f"Next, {anchor.next_label}, is held: {anchor.held_by}"))
        elif anchor.next_label:
            said.append(("coming", f"Next: {anchor.next_label}. Enter goes to it."))
        now = self.here.day.state.anchors[anchor.id]
        if now.dropped:
            said.append(("deviation", f"Dropped: {now.dropped}"))
        if now.plan.obstacle:
            said.append(("quiet", f"In the way outside: {now.plan.obstacle}."))
        return Saying(lines=tuple(said))

    def chosen(self, key: str) -> None:
        """Work at that anchor."""
        self.post_message(self.Goes(anchor=key, pane="steps"))
