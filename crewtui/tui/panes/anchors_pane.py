"""Every anchor in one list: how far it is, what is next at it, what holds it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar, Final

from crewtui.day.steps.pace import Pace
from crewtui.day.steps.step_rows import AnchorRow
from crewtui.tui.keys.commands import PaneName, key_item
from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.pane import Here, Pane
from crewtui.tui.widgets.rows import Mark, Row, Tone
from crewtui.units import count_of

_WORDS: Final[Mapping[str, tuple[Mark, Tone]]] = {
    "not begun": ("", "plain"),
    "under way": ("open", "coming"),
    "covered": ("open", "deviation"),
    "closed": ("done", "done"),
    "dropped": ("", "quiet"),
}


def _deviations(number: int) -> str:
    return count_of(number, "deviation") if number else ""


MANY: Final = 40
"""From here up, what holds an anchor is said only for the one under the cursor."""


def _pace_words(pace: Pace) -> str:
    """Say how the day goes, and when it would be done."""
    if pace.minutes_each is None or pace.finish_at is None:
        return ""
    if pace.left <= 0:
        return f"{pace.minutes_each:.0f} min an anchor; all are done."
    left = f"{pace.left:.1f}".removesuffix(".0")
    said = f"So far {pace.minutes_each:.0f} min an anchor; {left} to go, done about {pace.finish_at:%H:%M}"
    if pace.finish_early is not None and pace.finish_late is not None:
        said += f" ({pace.finish_early:%H:%M} to {pace.finish_late:%H:%M})"
    return f"{said}."


class AnchorsPane(Pane):
    """The job's anchors; the one under the cursor is the one that everything else is about."""

    pane: ClassVar[PaneName] = "anchors"

    def __init__(self) -> None:
        super().__init__()
        self.anchors: tuple[AnchorRow, ...] = ()

    def rebuild(self, here: Here) -> None:
        """Show a line for each anchor."""
        self.here = here
        self.anchors = here.day.overview(held=len(here.day.state.anchors) <= MANY)
        self.set_rows([self._row(anchor) for anchor in self.anchors], cursor=here.anchor)

    def _row(self, anchor: AnchorRow) -> Row:
        mark, tone = _WORDS[anchor.word]
        note, note_tone = anchor.next_label, "quiet"
        if anchor.held_by:
            mark, tone = "held", "deviation"
        return Row(
            key=anchor.id,
            label=f"{anchor.id}  {anchor.wall}",
            mark=mark,
            tone=tone,
            value=f"{anchor.done}/{anchor.total}",
            note="; ".join(
                part
                for part in (
                    "covered for tomorrow" if anchor.word == "covered" else "",
                    _deviations(anchor.deviations),
                    note,
                )
                if part
            ),
            note_tone=note_tone,  # type: ignore[arg-type]
        )

    def saying(self) -> Saying:
        """Say what is next at the anchor, what holds it, and what the plan says of it."""
        if self.here is None or self.cursor_key not in self.here.day.state.anchors:
            return Saying()
        anchor = self.here.day.anchor_row(self.cursor_key)
        said: list[tuple[str, str]] = [
            ("plain", f"{anchor.id}: {anchor.word}, {anchor.done} of {anchor.total} steps.")
        ]
        if anchor.held_by:
            said.append(("held", f"Next, {anchor.next_label}, is held: {anchor.held_by}"))
        elif anchor.next_label:
            said.append(("coming", f"At {anchor.id}, then: {anchor.next_label}."))
        now = self.here.day.state.anchors[anchor.id]
        if now.dropped:
            said.append(("deviation", f"Dropped: {now.dropped}"))
        if now.plan.obstacle:
            said.append(("quiet", f"In the way outside: {now.plan.obstacle}."))
        said.append(("quiet", _pace_words(self.here.day.pace())))
        return Saying(lines=tuple(words for words in said if words[1]))

    def does(self) -> str:
        """Return what Enter does."""
        return f"work at {self.cursor_key}"

    def more_keys(self) -> tuple[tuple[str, str], ...]:
        """Return what else can be done at the anchor."""
        return (key_item("read_wall"), key_item("site_change"), key_item("find"))

    def chosen(self, key: str) -> None:
        """Work at that anchor."""
        self.post_message(self.Goes(anchor=key, pane="steps"))
