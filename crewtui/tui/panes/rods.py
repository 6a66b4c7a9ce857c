"""The rods: this anchor's own from end to end, and the cut list of the whole job."""

from __future__ import annotations

from typing import ClassVar

from crewtui.tui.chrome import Saying
from crewtui.tui.commands import PaneName
from crewtui.tui.panes.base import Here, Pane
from crewtui.tui.rows import Row


class RodsPane(Pane):
    """Lines of text: the rod's pieces and joints at this anchor."""

    pane: ClassVar[PaneName] = "rods"

    def rebuild(self, here: Here) -> None:
        """Show the rod of this anchor."""
        self.here = here
        self.set_rows([Row(key="rod", label="")])

    def saying(self) -> Saying:
        """Nothing more than the rows say."""
        return Saying()
