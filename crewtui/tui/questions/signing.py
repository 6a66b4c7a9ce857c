"""Signing the record: name, passphrase, and on first use the making of the key."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from textual.app import App

from crewtui.day.session.day import Day
from crewtui.day.steps.hand_over import record_due
from crewtui.record.signed.build import RecordError
from crewtui.record.signed.hand_in import HandedIn, NotEnteredError, Preview, hand_in
from crewtui.record.signed.signing_keys import (
    KeyFileError,
    WrongPassphraseError,
    check_new_passphrase,
    make_key,
    open_key,
    own_key_path,
)
from crewtui.tui.widgets.dialogs import DO_IT, AskText, confirm
from crewtui.tui.widgets.pages import WordsPage

MEANS = (
    "The signature says that the holder of this key signed exactly these words and figures. It does not say"
    " that they are true, and it is no test of the anchors."
)


class Signing:
    """One signing, asked step by step; Esc at any question signs nothing."""

    def __init__(
        self, app: App[Any], day: Day, seen: Preview, *, done: Callable[[HandedIn | str], None]
    ) -> None:
        self._app, self._day, self._seen, self._done = app, day, seen, done
        self._name = self._reason = ""

    def ask(self) -> None:
        """Show once more what is signed, then ask."""
        kind = "complete" if self._seen.complete else "partial"
        words = "\n".join((*self._seen.words, "", MEANS))
        question = confirm(f"Sign the {kind} record?", words, do_it="Go on to the name and passphrase")
        self._app.push_screen(question, self._confirmed)

    def _confirmed(self, choice: str | None) -> None:
        if choice != DO_IT:
            return
        if self._seen.revision > 1:
            title = f"Why revision {self._seen.revision}?"
            words = "What was wrong or open in the one before."
            usual = f"End of {self._day.clock():%A %Y-%m-%d}." if record_due(self._day.state) else ""
            ask = AskText(
                title, words, initial=usual, replaces=True, needed="A reason is needed; Esc goes back."
            )
            self._app.push_screen(ask, self._reasoned)
        else:
            self._ask_name()

    def _reasoned(self, reason: str | None) -> None:
        if reason is not None:
            self._reason = reason
            self._ask_name()

    def _ask_name(self) -> None:
        lead = self._day.job.job.lead
        self._app.push_screen(AskText("Name of the lead who signs", initial=lead, replaces=True), self._named)

    def _named(self, name: str | None) -> None:
        if name is None:
            return
        self._name = name
        if own_key_path().exists():
            words = f"The record will say: signed by {name}."
            self._app.push_screen(AskText("Passphrase of your key", words, secret=True), self._opened)
            return
        words = (
            f"The record will say: signed by {name}."
            " There is no signing key on this machine yet: one is made now. Choose a passphrase, a few words."
        )
        self._app.push_screen(AskText("A new passphrase", words, secret=True, check=_refusal), self._chosen)

    def _chosen(self, passphrase: str | None) -> None:
        if passphrase is None:
            return

        def differs(again: str) -> str | None:
            return (
                None
                if again == passphrase
                else "That is not the same; type it once more, or Esc to start over."
            )

        def again(text: str | None) -> None:
            if text is not None:
                self._make(text)

        self._app.push_screen(AskText("The same passphrase again", secret=True, check=differs), again)

    def _make(self, passphrase: str) -> None:
        try:
            make_key(self._name, passphrase, today=self._day.clock().date())
        except (KeyFileError, OSError) as error:
            self._done(f"No key was made: {error}.")
            return
        self._opened(passphrase)

    def _opened(self, passphrase: str | None) -> None:
        if passphrase is None:
            return
        try:
            key = open_key(passphrase)
            handed_in = hand_in(self._day, key, lead=self._name, reason=self._reason)
        except WrongPassphraseError:
            question = AskText("Passphrase of your key", "That did not open the key. Once more?", secret=True)
            self._app.push_screen(question, self._opened)
            return
        except NotEnteredError as error:
            self._done(f"{error}.")
            return
        except (KeyFileError, RecordError, OSError) as error:
            self._done(f"Nothing was signed: {error}.")
            return
        self._done(handed_in)


def _refusal(passphrase: str) -> str | None:
    try:
        check_new_passphrase(passphrase)
    except KeyFileError as error:
        return f"{error}."
    return None


def signed_page(handed_in: HandedIn, sheet: str) -> WordsPage:
    """Return the page that says what was written and what to do with it; ``sheet`` tells of the owner's."""
    kind = "complete" if handed_in.complete else "partial"
    words = "\n".join((
        f"The {kind} record, revision {handed_in.revision}, is signed and on the disk:",
        "",
        f"  {handed_in.path}",
        "",
        "Hand this one file to the office. They check it with:",
        "",
        f"  crewtui verify {handed_in.path.name}",
        "",
        sheet,
        "",
        f"Its hash, to be read out over the phone: {handed_in.record_sha256[:16]}",
        "",
        *((handed_in.in_the_way, "") if handed_in.in_the_way else ()),
        MEANS,
    ))  # fmt: skip
    return WordsPage("Signed", words)
