"""Bytes that are no key: the program goes on, and the next value is entered as if they had never come."""

from __future__ import annotations

import signal
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from driver import Terminal, crewtui
from lead import Lead

from crewtui.tui.app.posix_input import FORGOTTEN_S, PASTE_FORGOTTEN_S
from crewtui.tui.app.signals import ENDED

Open = Callable[..., Terminal]

BYTES = {
    "an e with an accent as Latin-1 has it": b"\xe9",
    "half a sign": b"\xc3",
    "half of a pair": b"\xed\xa0\x80",
    "a sign that Unicode has not": b"\xf4\x90\x80\x80\xff\xfe",
    "no byte at all": b"\x00",
    "a key of no keyboard": b"\x1b[1114112u\x1b[99999999999999999999u",
    "a key that is half of a pair": b"\x1b[55296u\x1b[97;1;55296u",
    "a window of no screen": b"\x1b[48;99999;99999;1;1t\x1b[48;0;0;0;0t",
    "a mouse": b"\x1b[<0;5;5M\x1b[<0;5;5m\x1b[<35;-4;9m",
}


@pytest.mark.parametrize("data", BYTES.values(), ids=BYTES)
def test_it_goes_on_and_the_next_value_is_entered(open_job: Open, data: bytes) -> None:
    terminal = open_job()
    terminal.press("s").until("[s ")
    terminal.send(data).painted(quiet_s=0.3)
    terminal.press("esc").painted(quiet_s=0.3)
    terminal.press("s").painted(quiet_s=0.1)
    assert Lead(terminal).enter("156") == "saved"


BEGUN = {
    "a string": b"\x1bP",
    "a paste": b"\x1b[200~",
}


@pytest.mark.parametrize("data", BEGUN.values(), ids=BEGUN)
def test_what_was_begun_and_not_ended_is_let_go_after_a_silence(open_job: Open, data: bytes) -> None:
    """Half a sequence on a bad line, or Alt with a bracket: keys are heard again without one that ends it."""
    terminal = open_job()
    terminal.press("s").until("[s ")
    terminal.send(data)
    silence_s = FORGOTTEN_S if data != BEGUN["a paste"] else PASTE_FORGOTTEN_S
    time.sleep(silence_s + 0.5)  # A silence is what it is about.
    terminal.press("h").until("[h ")


def test_a_paste_with_a_pause_in_it_is_one_text(open_job: Open) -> None:
    terminal = open_job()
    terminal.press("enter").until("name")
    terminal.send(b"\x1b[200~Pat ")
    time.sleep(FORGOTTEN_S + 0.5)
    terminal.send(b"Sam\x1b[201~").until("Pat Sam")


@pytest.mark.parametrize("sign", ["INT", "USR1"])
def test_whatever_signal_ends_it_gives_the_terminal_back(open_job: Open, sign: str) -> None:
    terminal = open_job()
    terminal.child.kill(getattr(signal, f"SIG{sign}"))
    assert terminal.ended() == ENDED
    assert bytes(terminal.output).rstrip().endswith(b"\x1b[?25h") or b"\x1b[?1049l" in terminal.output


def test_a_byte_in_a_text_shows_as_a_sign_for_itself(open_job: Open) -> None:
    terminal = open_job()
    terminal.press("enter").until("name")
    terminal.send(b"Ren\xe9e").until("Ren\N{REPLACEMENT CHARACTER}e")


def test_without_a_terminal_open_says_so_and_holds_nothing(job: Path) -> None:
    done = subprocess.run(
        crewtui("open", str(job)), stdin=subprocess.DEVNULL, capture_output=True, timeout=60, check=False
    )
    assert done.returncode == 2
    assert b"open needs a terminal" in done.stderr
    assert list(job.parent.iterdir()) == [job]
