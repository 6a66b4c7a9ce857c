"""The emergency page: its first lines hold for everything; a key each says what to do about what happened.

Looking at it is no entry. On leaving it asks what happened, if anything.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.widgets import Static

from crewtui.job.file.emergency import FIRST, HAPPENED, EmergencyWords, Happened
from crewtui.tui.widgets.chrome import KeyBar
from crewtui.tui.widgets.over import Over

_NOTHING = "n"
_READING = (("Esc", "leave"), ("up/down", "scroll"))
_LEAVING = ((_NOTHING, "nothing, I only looked"), ("Esc", "nothing"))


class EmergencyPage(Over[None]):
    """What to do now; its words are ready before the day begins, so that nothing can stand in its way."""

    DEFAULT_CSS = """
    EmergencyPage { background: $paper; color: $ink; }
    EmergencyPage .title { background: $alarm; color: $alarm-ink; text-style: bold; padding: 0 1; }
    EmergencyPage VerticalScroll { padding: 0 1; scrollbar-size-vertical: 1; }
    EmergencyPage .words { height: auto; text-style: bold; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q", "go_back", show=False)]

    def __init__(self, words: EmergencyWords, happened: Callable[[str], None]) -> None:
        """Show these words; ``happened`` is told what it was, and nothing where somebody only looked."""
        super().__init__()
        self._job, self._tell = words, happened
        self._shown: Happened | None = None
        self._leaving = False

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        yield Static("EMERGENCY - STOP", classes="title", markup=False)
        with VerticalScroll():
            yield Static(self.words, classes="words", markup=False)
        bar = KeyBar()
        bar.items = _READING
        yield bar

    @property
    def words(self) -> str:
        """Return the page as it stands: what to do first, what happened, the address, the numbers."""
        if self._leaving:
            keys = [f"   {one.key}  {one.title}" for one in HAPPENED]
            asked = "WHAT HAPPENED? It is entered with its time; nothing is entered where you only looked."
            return "\n".join(["", asked, "", *keys, "", f"   {_NOTHING}  nothing: I only looked"])
        keys = [f"{one.key} {one.title}" for one in HAPPENED]
        half = (len(keys) + 1) // 2
        lines = [*FIRST, ""]
        if self._shown is None:
            lines += ["WHAT HAPPENED? " + " - ".join(keys[:half]), "   " + " - ".join(keys[half:])]
        else:
            lines += [self._shown.title.upper(), *(f"   {line}" for line in self._shown.words)]
        lines += ["", "READ OUT THIS ADDRESS", f"   {self._job.address}", f"   {self._job.site}"]
        if self._job.ticket:
            lines.append(f"   Locate ticket {self._job.ticket}")
        return "\n".join([*lines, "CALL", *(f"   {line}" for line in self._job.calls(self._shown))])

    def on_mount(self) -> None:
        """Let the arrows scroll at once."""
        self.query_one(VerticalScroll).focus()

    def on_key(self, event: events.Key) -> None:
        """Show what to do about what happened, or take what it was on leaving."""
        key = event.character or ""
        found = next((one for one in HAPPENED if one.key == key), None)
        if self._leaving and (key == _NOTHING or found is not None):
            event.stop()
            self._leave(found)
        elif found is not None:
            event.stop()
            self._shown = found
            self._repaint()

    def _repaint(self) -> None:
        self.query_one(".words", Static).update(self.words)
        self.query_one(KeyBar).items = _LEAVING if self._leaving else _READING
        self.query_one(VerticalScroll).scroll_home(animate=False)

    def action_go_back(self) -> None:
        """Ask what happened, then leave; a second time is nothing."""
        if self.app.screen is not self:
            return
        if self._leaving:
            self._leave(None)
        else:
            self._leaving = True
            self._repaint()

    def _leave(self, found: Happened | None) -> None:
        self.dismiss()
        if found is not None:
            self._tell(found.title)


__all__ = ["EmergencyPage"]
