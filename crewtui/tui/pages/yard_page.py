"""The yard from above over the whole screen: walls, pits, rods, lines, and two tapes to each plate."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual.app import ComposeResult, RenderResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from crewtui.day.figures.yard_of_day import yard_pictures
from crewtui.trade.pictures.yard_from_above import YardPicture, draw_yard, legend
from crewtui.tui.widgets.chrome import KeyBar
from crewtui.tui.widgets.over import Over
from crewtui.tui.widgets.pane import Here

_TAPES: str = "Two tapes to each plate, from the corners as seen standing in the yard:"


class YardView(Widget):
    """One plan of the yard, as large as there is room for."""

    DEFAULT_CSS = "YardView { background: $paper; color: $ink; height: 1fr; padding: 0 1; }"

    def __init__(self, picture: YardPicture) -> None:
        super().__init__()
        self._picture = picture

    def render(self) -> RenderResult:
        """Paint the plan."""
        rows = draw_yard(self._picture, width=self.content_size.width, height=self.content_size.height)
        return Text("\n".join(rows), no_wrap=True, end="")


class YardPage(Over[None]):
    """The plan on top, its signs under it, then the tapes of the anchor at hand first."""

    DEFAULT_CSS = """
    YardPage { background: $paper; color: $ink; }
    YardPage .title { background: $band; text-style: bold; padding: 0 1; height: auto; }
    YardPage .signs { height: auto; padding: 0 1; border-bottom: solid $rule; }
    YardPage VerticalScroll { height: 6; padding: 0 1; scrollbar-size-vertical: 1; }
    YardPage .tapes { height: auto; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape,q,enter,ctrl+j", "leave", show=False),
        Binding("n", "turn(1)", show=False),
        Binding("p", "turn(-1)", show=False),
    ]

    def __init__(self, here: Here) -> None:
        super().__init__()
        self._here = here
        self._pictures = yard_pictures(here.day.state)
        wall = here.day.state.anchors[here.anchor].wall
        self._at = next(
            (n for n, one in enumerate(self._pictures) if any(tapes.wall == wall for tapes in one.tapes)), 0
        )

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        count = len(self._pictures)
        more = (
            f", plan {self._at + 1} of {count}: walls that are not placed to one another" if count > 1 else ""
        )
        yield Static(f"The yard from above, as seen standing in it{more}", classes="title", markup=False)
        if not self._pictures:
            yield Static("Nothing is placed in the yard yet.", classes="signs", markup=False)
        else:
            picture = self._pictures[self._at]
            yield YardView(picture)
            yield Static(";  ".join(legend(picture)), classes="signs", markup=False)
            with VerticalScroll():
                yield Static(self._tapes(picture), classes="tapes", markup=False)
        bar = KeyBar()
        turn = (("n p", "another plan"),) if count > 1 else ()
        bar.items = (("up/down", "tapes"), *turn, ("Esc", "back"))
        yield bar

    def _tapes(self, picture: YardPicture) -> str:
        mine = [tapes for tapes in picture.tapes if tapes.anchor == self._here.anchor]
        others = [tapes for tapes in picture.tapes if tapes.anchor != self._here.anchor]
        return "\n".join((*(f"{one.anchor}: {one.words}" for one in (*mine, *others)), _TAPES))

    def on_mount(self) -> None:
        """Let the arrows scroll the tapes."""
        for scroll in self.query(VerticalScroll):
            scroll.focus()

    async def action_turn(self, by: int) -> None:
        """Show another plan, where the walls are not placed in one."""
        if len(self._pictures) > 1:
            self._at = (self._at + by) % len(self._pictures)
            await self.recompose()
            self.on_mount()

    def action_leave(self) -> None:
        """Go back to the section."""
        self.dismiss()


__all__ = ["YardPage"]
