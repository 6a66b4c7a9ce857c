"""The program in a real pseudo-terminal: press keys as a person does, and read what the screen shows.

Nothing here waits by the clock: a test waits until a text shows, and fails with the screen if it never does.
"""

from __future__ import annotations

import os
import re
import select
import signal
import sys
import time
import warnings
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from types import TracebackType
from typing import Final, Self

import pexpect
import pyte

KEYS: Final[Mapping[str, str]] = {
    "enter": "\r",
    "tab": "\t",
    "shift+tab": "\x1b[Z",
    "esc": "\x1b",
    "space": " ",
    "up": "\x1b[A",
    "down": "\x1b[B",
    "right": "\x1b[C",
    "left": "\x1b[D",
    "home": "\x1b[H",
    "end": "\x1b[F",
    "pgup": "\x1b[5~",
    "pgdn": "\x1b[6~",
    "backspace": "\x7f",
    "delete": "\x1b[3~",
    "ctrl+j": "\n",
}
"""What a terminal sends for each key that is no character."""
PATIENCE_S: Final = 30.0
"""How long a text may take to show on a machine that is busy with other tests; met at once as a rule."""
QUIET_S: Final = 0.06
"""No output for so long counts as painted, where a picture is taken."""
_NOT_UNDERSTOOD: Final = re.compile(rb"\x1b\[[<>=][\d;]*[a-z]")
"""Sequences about the keyboard that the emulator would print in part."""
_FULL_SCREEN, _CLEARED = b"\x1b[?1049h", b"\x1b[2J\x1b[H"
"""A terminal clears the screen that it gives to a program; the emulator does not."""
_PASTE_BEGINS, _PASTE_ENDS = "\x1b[200~", "\x1b[201~"
_CREWTUI: Final = (sys.executable, "-c", "from crewtui.cli import main; main()")


class NotShownError(AssertionError):
    """A text did not show; says what the screen showed instead."""


class Terminal:
    """A program in a terminal of its own."""

    def __init__(
        self,
        command: Iterable[str],
        *,
        home: Path,
        columns: int = 80,
        rows: int = 24,
        look: str = "sun",
        environment: Mapping[str, str] | None = None,
    ) -> None:
        """Start the command; ``home`` is the program's own folder, where its keys are."""
        self.screen = pyte.Screen(columns, rows)
        self._stream = pyte.ByteStream(self.screen)
        self.output = bytearray()
        """All that the program ever wrote to the terminal."""
        program, *arguments = command
        env = {
            "PATH": os.environ.get("PATH", os.defpath),
            "TERM": "xterm-256color",
            "COLORTERM": "truecolor",
            "LANG": "C.UTF-8",
            "LC_ALL": "C.UTF-8",
            "HOME": str(home),
            **({"PYTHONPATH": os.environ["PYTHONPATH"]} if "PYTHONPATH" in os.environ else {}),
            "TZ": "UTC",
            "CREWTUI_HOME": str(home),
            "CREWTUI_LOOK": look,
            **(environment or {}),
        }
        with warnings.catch_warnings():
            # Newer Pythons warn of every fork in a test runner that has threads; the child only executes.
            warnings.simplefilter("ignore", DeprecationWarning)
            self.child = pexpect.spawn(
                program, arguments, dimensions=(rows, columns), env=env, timeout=None, echo=True
            )
        self.child.delayafterclose = self.child.delayafterterminate = 0.02
        self.child.ptyproc.delayafterclose = self.child.ptyproc.delayafterterminate = 0.02

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.child.close(force=True)

    # What shows.

    @property
    def lines(self) -> list[str]:
        """The screen, line by line, without the blanks at the end of each."""
        self._pump(0)
        return [line.rstrip() for line in self.screen.display]

    @property
    def text(self) -> str:
        """The screen as one text."""
        return "\n".join(self.lines)

    def shows(self, *texts: str) -> bool:
        """Whether all these texts are on the screen."""
        return all(text in self.text for text in texts)

    def until(self, *texts: str, gone: str = "", within_s: float = PATIENCE_S) -> Self:
        """Wait until all these texts are on the screen, and ``gone`` is not."""
        self.until_true(
            lambda: self.shows(*texts) and not (gone and gone in self.text),
            what=f"{texts!r}" + (f" without {gone!r}" if gone else ""),
            within_s=within_s,
        )
        return self

    def until_true(self, met: Callable[[], bool], *, what: str, within_s: float = PATIENCE_S) -> None:
        """Wait until the condition is met; it is looked at whenever the screen has changed."""
        end = time.monotonic() + within_s
        while not met():
            left = end - time.monotonic()
            alive = self._pump(min(0.2, max(0.0, left)))
            if left <= 0 or not alive:
                if met():
                    return
                ended = "" if alive else " (the program has ended)"
                shown = "\n".join(f"|{line}" for line in self.lines)
                raise NotShownError(f"{what} did not come{ended}; the screen:\n{shown}")

    def painted(self, *, quiet_s: float = QUIET_S) -> Self:
        """Wait until nothing more is painted, for a picture or for a look at the whole screen."""
        while self._pump(quiet_s, once=True):
            pass
        return self

    def _pump(self, wait_s: float, *, once: bool = False) -> bool:
        """Read what has come, waiting for the first of it; whether the program still runs or wrote."""
        if self.child.closed:
            return False
        ready, _, _ = select.select([self.child.child_fd], [], [], wait_s)
        wrote = False
        while ready:
            try:
                data = os.read(self.child.child_fd, 1 << 16)
            except OSError:
                return False
            if not data:
                return False
            wrote = True
            self.output += data
            self._stream.feed(_NOT_UNDERSTOOD.sub(b"", data).replace(_FULL_SCREEN, _FULL_SCREEN + _CLEARED))
            ready, _, _ = select.select([self.child.child_fd], [], [], 0)
        return wrote if once else True

    # What a person does.

    def press(self, *keys: str) -> Self:
        """Press keys one after the other without pause: names as in KEYS, anything else as it is typed."""
        return self.send("".join(KEYS.get(key, key) for key in keys).encode())

    def type(self, text: str) -> Self:
        """Type a text."""
        return self.send(text.encode())

    def enter(self, text: str) -> Self:
        """Type a text and press Enter."""
        return self.type(text).press("enter")

    def paste(self, text: str) -> Self:
        """Paste a text, as a terminal sends it to a program that asked for bracketed pastes."""
        return self.send((_PASTE_BEGINS + text + _PASTE_ENDS).encode())

    def send(self, data: bytes) -> Self:
        """Send bytes as they are, whatever they are."""
        while data:
            _, ready, _ = select.select([], [self.child.child_fd], [], 0.2)
            if ready:
                data = data[os.write(self.child.child_fd, data[:1024]) :]
            self._pump(0)
        return self

    def resize(self, columns: int, rows: int) -> Self:
        """Give the window another size."""
        self._pump(0)
        self.screen.resize(rows, columns)
        self.child.setwinsize(rows, columns)
        return self

    # What happens to it.

    def kill(self) -> None:
        """Kill it at once, as a battery that dies does."""
        self.child.kill(signal.SIGKILL)
        self.ended()

    def terminate(self) -> None:
        """End it as the machine does on shutting down."""
        self.child.kill(signal.SIGTERM)
        self.ended()

    def hang_up(self) -> None:
        """Close the window under it."""
        self.child.ptyproc.fileobj.close()
        self.child.ptyproc.closed = self.child.closed = True
        self.child.ptyproc.fd = -1
        self._reap()

    def ended(self) -> int:
        """Wait until it has ended by itself; return its exit code, or minus the signal."""
        end = time.monotonic() + PATIENCE_S
        while self._pump(0.2):
            if time.monotonic() > end:
                raise NotShownError("the program did not end; the screen:\n" + self.text)
        return self._reap()

    def _reap(self) -> int:
        end = time.monotonic() + PATIENCE_S
        while self.child.ptyproc.isalive():
            if time.monotonic() > end:
                raise NotShownError("the program did not end")
            select.select([], [], [], 0.01)
        code, by = self.child.ptyproc.exitstatus, self.child.ptyproc.signalstatus
        return code if code is not None else -(by or 0)


def crewtui(*arguments: str) -> tuple[str, ...]:
    """Return the command that starts the program of this checkout."""
    return (*_CREWTUI, *arguments)
