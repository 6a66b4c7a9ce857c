"""Whatever bytes a terminal sends: what is no UTF-8 shows as a sign for itself, what is no key is let go.

The framework's own reader ends the program at a byte that is no UTF-8, and at key sequences with numbers that
no key has. It is not there on Windows, which hands over characters.
"""

from __future__ import annotations

import os
import selectors
from codecs import getincrementaldecoder
from time import monotonic
from typing import Final

from textual._xterm_parser import XTermParser
from textual.drivers.linux_driver import LinuxDriver
from textual.events import Key, MouseEvent, Resize
from textual.message import Message

from crewtui.tui.app.signals import ENDED

_AT_ONCE: Final = 4096
_LOOKS_S: Final = 0.1
FORGOTTEN_S: Final = 1.0
"""A sequence that was begun and not ended is let go after so long a silence: else no key is heard again."""
PASTE_FORGOTTEN_S: Final = 5.0
"""The same of a paste, whose rest would be read as keys."""
_PASTE_BEGINS, _PASTE_ENDS = "\x1b[200~", "\x1b[201~"
_MOST_CELLS: Final = 2000
"""A window is not wider or higher; a sequence that says so is none of a terminal's."""


class _Heard:
    """How long the terminal has been silent, and whether in the middle of a paste."""

    def __init__(self) -> None:
        self._at = monotonic()
        self._forgotten = True
        self._pasting = False
        self._last = ""

    def is_to_be_forgotten(self, text: str) -> bool:
        """Return once, after a silence, that what was begun is let go; ``text`` is what came now."""
        now = monotonic()
        if text:
            self._at, self._forgotten, self._last = now, False, self._last + text
            begun, ended = self._last.rfind(_PASTE_BEGINS), self._last.rfind(_PASTE_ENDS)
            self._pasting = begun > ended or (self._pasting and ended < 0)
            self._last = self._last[-len(_PASTE_ENDS) + 1 :]
            return False
        if self._forgotten or now - self._at < (PASTE_FORGOTTEN_S if self._pasting else FORGOTTEN_S):
            return False
        self._forgotten, self._pasting = True, False
        return True


class AnyBytes(LinuxDriver):
    """Reads keys from the terminal, and survives whatever else comes."""

    def run_input_thread(self) -> None:
        """Read until the program ends; where the terminal itself is gone, end the program."""
        decode = getincrementaldecoder("utf-8")(errors="replace").decode
        parser = XTermParser(self._debug)
        heard = _Heard()
        with selectors.SelectSelector() as selector:
            selector.register(self.fileno, selectors.EVENT_READ)
            while not self.exit_event.is_set():
                text = ""
                if selector.select(_LOOKS_S):
                    data = self._read()
                    if not data:
                        self._app.call_later(self._app.exit, return_code=ENDED)
                        return
                    text = decode(data)
                parser = self._pass_on(parser, text)
                if heard.is_to_be_forgotten(text):
                    parser = XTermParser(self._debug)

    def _read(self) -> bytes:
        try:
            return os.read(self.fileno, _AT_ONCE)
        except OSError:
            return b""

    def _pass_on(self, parser: XTermParser, text: str) -> XTermParser:
        """Pass on the keys that the characters make; where they make none, begin anew behind them."""
        for sign in (*text, ""):
            try:
                for event in parser.feed(sign) if sign else parser.tick():
                    self.process_message(event)
            except (ValueError, OverflowError, ArithmeticError, LookupError):
                parser = XTermParser(self._debug)
        return parser

    def process_message(self, message: Message) -> None:
        """Let through what a keyboard or a window says."""
        if isinstance(
            message, MouseEvent
        ):  # The program asks for no mouse: whatever looks like one is chance.
            return
        if isinstance(message, Resize) and not all(0 < side <= _MOST_CELLS for side in message.size):
            return
        if isinstance(message, Key) and message.character and not _is_text(message.character):
            return
        super().process_message(message)


def _is_text(character: str) -> bool:
    """Return whether the character can stand in a text: half of a pair cannot."""
    try:
        character.encode("utf-8")
    except UnicodeEncodeError:
        return False
    return True
