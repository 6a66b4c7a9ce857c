"""The terminal app: the two looks, the day's screen, and the emergency page over everything."""

from __future__ import annotations

import gc
import os
from pathlib import Path
from typing import ClassVar

from textual.app import App
from textual.binding import Binding, BindingType
from textual.driver import Driver
from textual.events import Event, Key, Paste, Resize
from textual.geometry import Size
from textual.widgets import Static

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.session.day import Day
from crewtui.job.file.emergency import EmergencyWords, emergency_words
from crewtui.tui.app.day_screen import DayScreen
from crewtui.tui.app.key_gate import KeyGate
from crewtui.tui.app.looks import LOOKS, SUN, THEMES, words_of
from crewtui.tui.app.signals import Signals
from crewtui.tui.app.too_small import TooSmall
from crewtui.tui.keys.arrangement import too_small
from crewtui.tui.keys.commands import key_word
from crewtui.tui.pages.emergency_page import EmergencyPage
from crewtui.tui.widgets.chrome import SayingView
from crewtui.tui.widgets.dialogs import NOTED, WRONG

LOOK_VARIABLE = "CREWTUI_LOOK"
"""Environment variable with the look to start in: sun or basement."""

LOOKS_AT_CLOCK_S = 15.0
"""How often it is looked whether a new day has begun; the next key looks too."""


class CrewApp(App[int]):
    """One day on one job."""

    TITLE = "crewtui"
    ENABLE_COMMAND_PALETTE = False
    # Over every dialog, and in the middle of typing: nothing else is bound like this.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("exclamation_mark", "emergency", show=False, priority=True),
        Binding("e", "emergency", show=False),
        # As in other programs of a terminal; leaving and opening again does the same.
        Binding("ctrl+z", "suspend_process", show=False),
    ]
    CSS = """
    DayScreen, WordsPage, ReadoutPage { background: $paper; color: $ink; }
    Screen { color: $ink; }
    """

    def __init__(self, day: Day, *, look: str = SUN) -> None:
        """Take an open day; the caller closes it."""
        super().__init__()
        self.day = day
        self._emergency_words = emergency_words(day.job)
        self._gate = KeyGate(self, leaned_on=self._leaned_on)
        for theme in THEMES:
            self.register_theme(theme)
        self.theme = look if look in LOOKS else SUN

    def get_driver_class(self) -> type[Driver]:
        """Read keys so that nothing a terminal sends can end the program."""
        found = super().get_driver_class()
        if os.name == "posix" and found.__name__ == "LinuxDriver":
            from crewtui.tui.app.posix_input import AnyBytes  # noqa: PLC0415 - needs what Windows has not

            return AnyBytes
        return found

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Name our colors to every style sheet, whichever look is on."""
        return words_of(SUN)

    def on_mount(self) -> None:
        """Show the day."""
        if not self.is_headless:
            self._signals = Signals(self)
        self.push_screen(DayScreen(self.day))
        self._cover(self.size)
        self.set_interval(LOOKS_AT_CLOCK_S, self._turn_day)

    @staticmethod
    def on_ready() -> None:
        """Collect garbage from now on, where the start went without; what stands by now stays."""
        if not gc.isenabled():
            gc.freeze()
            gc.enable()

    def on_resize(self, event: Resize) -> None:
        """Cover everything while the window is too small."""
        self._cover(event.size)

    def _cover(self, size: Size) -> None:
        if not any(isinstance(screen, DayScreen) for screen in self.screen_stack):
            return
        covers = [screen for screen in self.screen_stack if isinstance(screen, TooSmall)]
        if too_small(*size) and not covers:
            self.push_screen(TooSmall())
        elif covers:
            self.call_later(covers[0].let_go)

    async def on_event(self, event: Event) -> None:
        """Let keys and pastes in one at a time, the first of a morning to the new day."""
        if isinstance(event, Key | Paste) and not event.is_forwarded:
            if self._gate.keeps(event):
                return
            self._turn_day()
            self._heed("")
        await super().on_event(event)

    def _turn_day(self) -> None:
        for screen in self.screen_stack:
            if isinstance(screen, DayScreen) and screen.anchor_id:
                screen.turn_day()

    async def _on_key(self, event: Key) -> None:
        """Do what a key is bound to; of one that nothing took the day's screen says so."""
        event.prevent_default()  # The framework's own handler would do it a second time.
        taken = await self._check_bindings(event.key)
        if not taken and isinstance(self.screen, DayScreen):
            self.screen.nothing_took(event)

    def _leaned_on(self, key: str) -> None:
        """Say, where the screen in front has room for words, that a key came again too soon to be meant."""
        words = f"One at a time: let go of {key_word(key)}, then press it again."
        self._heed(words)
        for said in self.screen.query(f".{WRONG}, .{NOTED}").results(Static):
            said.update(words)

    def _heed(self, words: str) -> None:
        for view in self.screen.query(SayingView):
            view.heed = words

    def action_emergency(self) -> None:
        """Show what to do now; what happened is entered when the page is left."""
        if isinstance(self.screen, EmergencyPage):
            return
        opened_at = self.day.clock()

        def happened(what: str) -> None:
            for screen in self.screen_stack:
                if isinstance(screen, DayScreen):
                    screen.emergency(what, opened_at=opened_at)

        self.push_screen(EmergencyPage(self._words_now(), happened))

    async def action_quit(self) -> None:
        """Ask before closing, whichever of the framework's own keys for it was pressed."""
        self.action_help_quit()

    def action_help_quit(self) -> None:
        """Take the key that stops other programs as leaving."""
        for screen in self.screen_stack:
            if isinstance(screen, DayScreen):
                screen.action_leave()

    @property
    def fault(self) -> Exception | None:
        """What ended the program, where something did."""
        return self._exception

    def _fatal_error(self) -> None:
        """Close without the framework's pages of program text: the command line says it in one sentence."""
        self._close_messages_no_wait()

    def _words_now(self) -> EmergencyWords:
        """Return the page's words with what was filled in on site, or those made ready before the day."""
        try:
            return emergency_words(self.day.job)
        except Exception:  # noqa: BLE001 - whatever else is broken, this page stands
            return self._emergency_words

    def change_look(self) -> None:
        """Go to the next look."""
        names = list(LOOKS)
        self.theme = names[(names.index(self.theme) + 1) % len(names)]


class ScreenEndedError(Exception):
    """The screen ended, and nobody had asked it to."""


def run_day(job_path: Path) -> int:
    """Open the day on a job file and run the screen; return the exit code.

    Raises the day's own errors (job file unreadable, journal held or not writable) before the screen opens,
    and a fault of the program itself once the terminal is restored.
    """
    day = Day.open(job_path, figures=figures_for)
    try:
        app = CrewApp(day, look=os.environ.get(LOOK_VARIABLE, SUN))
        app.run(mouse=False)
        if app.fault is not None:
            raise app.fault
        if app.return_code is None:
            raise ScreenEndedError
        return app.return_code
    finally:
        day.close()
