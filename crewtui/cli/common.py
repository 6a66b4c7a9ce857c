"""What the commands share: refusals in one sentence, words that fit 80 columns, the clock, the known keys."""

# ruff: noqa: PLC0415 - a command imports what it needs when it runs; help is there at once

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Final

import click

from crewtui.foreign import cleaned

if TYPE_CHECKING:
    from crewtui.record.signed.known_keys import KnownKeys

WIDTH: Final = 80
REFUSED: Final = 2
_BAR_FROM: Final = 20
"""Files, from which on a bar shows how far the work is."""
PATH: Final = click.Path(path_type=Path)


class Refusal(click.ClickException):
    """What was asked for cannot be done; the message says where, what, and what would be right."""

    exit_code = REFUSED

    def show(self, file: IO[Any] | None = None) -> None:
        """Say it on standard error, each thing that is wrong on a line of its own."""
        for words in self.format_message().split("\n"):
            click.echo(f"crewtui: {cleaned(words)}", file=file, err=file is None)


@contextmanager
def refusing(*kinds: type[Exception]) -> Iterator[None]:
    """Turn a part's own errors, whose text is one sentence, into refusals."""
    try:
        yield
    except kinds as error:
        raise Refusal(str(error)) from error


class Commands(click.Group):
    """Commands in the order in which a job meets them, not by the alphabet."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the names as they were added."""
        del ctx
        return list(self.commands)


def help_if_alone(context: click.Context) -> int:
    """Print a group's help when no command of it was named."""
    if context.invoked_subcommand is None:
        click.echo(context.get_help())
    return 0


def say(text: str, *, indent: str = "", hang: int = 0) -> None:
    """Print a sentence within 80 columns; its further lines hang by so many blanks."""
    further = indent + " " * hang
    filled = textwrap.fill(
        cleaned(text.replace("\n", " ")),
        WIDTH,
        initial_indent=indent,
        subsequent_indent=further,
        break_on_hyphens=False,
    )
    click.echo(filled)


def line(text: str = "", *, err: bool = False) -> None:
    """Print one line as it is, however long; nothing in it moves the cursor or turns text round."""
    click.echo(cleaned(text), err=err)


def page(text: str) -> None:
    """Print a text of many lines as it is laid out."""
    click.echo("\n".join(cleaned(each) for each in text.split("\n")), nl=False)


def print_json(value: object) -> None:
    """Print plain values as JSON, which writes what is not ASCII as its code."""
    click.echo(json.dumps(value, indent=2))


def now() -> datetime:
    """Return the time with its offset from UTC."""
    return datetime.now().astimezone()


def today() -> date:
    """Return the day here."""
    return now().date()


def known_keys(path: Path | None) -> KnownKeys:
    """Return the list of known keys that was named, or this user's own."""
    from crewtui.record.signed.known_keys import load_known
    from crewtui.record.signed.signing_keys import KeyFileError

    with refusing(KeyFileError):
        return load_known(path)


@contextmanager
def progress(length: int, label: str) -> Iterator[Callable[[], None]]:
    """Show how far a long work over many files is, where a person looks on."""
    if length < _BAR_FROM or not sys.stderr.isatty():
        yield lambda: None
        return
    with click.progressbar(length=length, label=label, file=sys.stderr) as bar:
        yield lambda: bar.update(1)
