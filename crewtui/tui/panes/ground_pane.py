"""The section drawn to scale: wall, ground and its fall, rod, pit, frost, lines in the ground."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.section_of_anchor import section_picture
from crewtui.tui.keys.commands import PaneName
from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.pane import Here
from crewtui.tui.widgets.section_widget import SectionView


class GroundPane(SectionView, can_focus=True):
    """The anchor's section as it stands, or as typed into the figures."""

    pane: ClassVar[PaneName] = "ground"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter,ctrl+j,space", "yard", show=False)]

    def __init__(self) -> None:
        super().__init__(id=self.pane, classes="pane")
        self.here: Here | None = None

    def rebuild(self, here: Here, typed: dict[str, float] | None = None) -> None:
        """Draw the anchor anew."""
        self.here = here
        self.show(section_picture(here.day.state, here.anchor, typed=typed))

    def action_yard(self) -> None:
        """Show the yard from above."""
        if self.here is not None:
            from crewtui.tui.pages.yard_page import YardPage  # noqa: PLC0415 - only once it is asked for

            self.app.push_screen(YardPage(self.here))

    def saying(self) -> Saying:
        """Say the figures' warnings on what the drawing shows."""
        if self.here is None:
            return Saying()
        facts = self.here.day.facts(self.here.anchor)
        drawn = facts.said if isinstance(facts, AnchorFigures) else {}
        words = [text for subject in ("aim", "lines", "wedges") for text in drawn.get(subject, ())]
        return Saying(lines=tuple(("deviation", text) for text in words[:4]))
