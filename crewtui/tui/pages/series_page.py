"""The wall over the years, anchor by anchor: bow or lean against its days, drawn with its doubt."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from crewtui.record.house.series import QUANTITIES, HouseSeries
from crewtui.record.house.series_plot import LEGEND, plot
from crewtui.record.house.series_words import SEASON, anchor_words, torque_words
from crewtui.tui.widgets.chrome import KeyBar
from crewtui.tui.widgets.over import Over

_AROUND = 4
"""Columns beside the drawing: margins and the scroll bar."""


class SeriesPage(Over[None]):
    """One anchor at a time; the arrows lead to the others, b turns from bow to lean and back."""

    DEFAULT_CSS = """
    SeriesPage { background: $paper; color: $ink; }
    SeriesPage .title { background: $band; text-style: bold; padding: 0 1; height: auto; }
    SeriesPage VerticalScroll { padding: 0 1; scrollbar-size-vertical: 1; scrollbar-gutter: stable; }
    SeriesPage .words { height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,enter,ctrl+j", "dismiss", show=False),
        Binding("right,n", "turn(1)", show=False),
        Binding("left,p", "turn(-1)", show=False),
        Binding("b", "quantity", show=False),
    ]

    def __init__(self, series: HouseSeries, anchor: str) -> None:
        super().__init__()
        self.series = series
        idents = [one.anchor for one in series.anchors]
        self.at = idents.index(anchor) if anchor in idents else 0
        self.quantity = QUANTITIES[0]

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        yield Static("", classes="title", markup=False)
        with VerticalScroll():
            yield Static("", classes="words", markup=False)
        bar = KeyBar()
        bar.items = (
            ("Esc", "back"),
            ("right/left", "next anchor"),
            ("b", "bow or lean"),
            ("up/down", "scroll"),
        )
        yield bar

    def on_mount(self) -> None:
        """Draw the first anchor."""
        self.draw()
        self.query_one(VerticalScroll).focus()

    def on_resize(self) -> None:
        """Draw at the width there is."""
        self.draw()

    def draw(self) -> None:
        """Show the anchor at hand."""
        one, system = self.series.anchors[self.at], self.series.units
        days = self.series.days
        span = f"{len(days)} days, {days[0].done_on} to {days[-1].done_on}"
        title = f"{one.anchor}: its {self.quantity} over {span}"
        lines = [*anchor_words(one, system)]
        lines += plot(one, self.quantity, system, width=max(40, self.size.width - _AROUND))
        lines += [f"{turned.day} torque {torque_words(turned, system)}" for turned in one.torques]
        lines += [LEGEND, SEASON, *self.series.house.said, *self.series.strange]
        self.query_one(".title", Static).update(title)
        self.query_one(".words", Static).update("\n".join(lines))

    def action_turn(self, by: int) -> None:
        """Show the next anchor, round the house."""
        self.at = (self.at + by) % len(self.series.anchors)
        self.draw()

    def action_quantity(self) -> None:
        """Turn from bow to lean and back."""
        self.quantity = QUANTITIES[1 - QUANTITIES.index(self.quantity)]
        self.draw()


__all__ = ["SeriesPage"]
