"""What stands beside the steps: the anchor's figures, its pit as a tape, the section where there is room."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from rich.text import Text
from textual.app import ComposeResult, RenderResult
from textual.containers import Vertical
from textual.reactive import reactive
from textual.widget import Widget

from crewtui.day.figures.pit_tape import PitTape
from crewtui.trade.pictures.section import SectionPicture
from crewtui.tui.widgets.fit import wrap
from crewtui.tui.widgets.section_widget import SectionView
from crewtui.tui.widgets.tape_drawing import NEEDS_COLUMNS

NOTES_FROM: Final = 40
"""Columns from which the figures stand in words over the tape."""
SECTION_FROM: Final = 80
"""Columns from which the section stands under both."""


class Notes(Widget):
    """Figures in words, one below the other."""

    DEFAULT_CSS = "Notes { height: auto; background: $paper; color: $ink; padding: 0 1; }"
    lines: reactive[tuple[tuple[str, str], ...]] = reactive((), layout=True)
    """What it is, and the figure; a line without a figure is a heading or a sentence."""

    def _shown(self, width: int) -> list[tuple[str, bool]]:
        found: list[tuple[str, bool]] = []
        wide = max((len(label) for label, text in self.lines if text), default=0)
        for label, text in self.lines:
            if not text:
                found += [(part, label.isupper()) for part in wrap(label, width)]
                continue
            parts = wrap(text, max(1, width - wide - 1))
            found.append((f"{label:<{wide}} {parts[0]}", False))
            found += [(" " * (wide + 1) + part, False) for part in parts[1:]]
        return found

    def get_content_height(self, container: object, viewport: object, width: int) -> int:
        """As many lines as the words need."""
        del container, viewport
        return len(self._shown(width))

    def render(self) -> RenderResult:
        """Paint the lines."""
        text = Text(no_wrap=True, end="")
        for number, (words, bold) in enumerate(self._shown(self.content_size.width)):
            text.append("\n" if number else "")
            text.append(words, "bold" if bold else "")
        return text


class BesideView(Vertical):
    """The column beside the pane in front."""

    DEFAULT_CSS = """
    BesideView { border-left: solid $rule; }
    BesideView #over { height: 1fr; }
    BesideView #over.-beside { layout: horizontal; }
    BesideView #tape { height: 1fr; min-height: 6; }
    BesideView #section { height: 2fr; border-top: solid $rule; }
    """

    def compose(self) -> ComposeResult:
        """Lay out the column."""
        with Vertical(id="over"):
            yield Notes()
            yield SectionView(id="tape")
        yield SectionView(id="section")

    def show(
        self,
        columns: int,
        *,
        notes: Sequence[tuple[str, str]],
        tape: PitTape | None,
        section: SectionPicture | None,
        only_section: bool = False,
    ) -> None:
        """Show what there is room for in so many columns."""
        words, over = self.query_one(Notes), self.query_one("#over")
        tape_view, section_view = (
            self.query_one("#tape", SectionView),
            self.query_one("#section", SectionView),
        )
        words.display = columns >= NOTES_FROM or (tape is None and section is None)
        section_view.display = only_section or (columns >= SECTION_FROM and section is not None)
        over.display = not only_section
        beside = columns >= NOTES_FROM + NEEDS_COLUMNS * 2
        over.set_class(beside, "-beside")
        words.styles.width = "1fr"
        tape_view.styles.width = NEEDS_COLUMNS * 2 if beside else "1fr"
        words.lines = tuple(notes)
        tape_view.show(tape)
        section_view.show(section)


__all__ = ["BesideView", "Notes"]
