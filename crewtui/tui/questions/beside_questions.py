"""What happens beside the anchors, asked in a list: people, inspections, calls, walks, pictures, changes."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from functools import partial
from typing import Any, Final

from textual.app import App

from crewtui.day.safety.inspections import Inspection
from crewtui.day.state.crew_hours import WORDS_OF_EVENTS, can_be_said, people_known
from crewtui.day.state.exposures import TOOLS, minutes, tool_of
from crewtui.day.state.walks_done import agreed
from crewtui.job.tables.walks import WalkName
from crewtui.tui.questions.ground_questions import ask_call, ask_ground
from crewtui.tui.questions.picture_questions import PictureQuestions
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.pane import Here, Intent

Carry = Callable[[Intent], None]
Choices = list[tuple[str, str, str]]

NOTE_WORDS: Final = (
    'It is about this anchor. Begin with "wall:" or "job:" where it is about more, with "owner:" where the'
    " owner is to read it too."
)
_WALKS: Final[tuple[tuple[WalkName, str], ...]] = (
    ("before", "Walk with the owner before the work"),
    ("leaving", "Walk with the owner on leaving"),
)
_PLACE: Final = "The place first, then a colon: north wall by the window: a hand long, old."
_SECONDS: Final = 3_600


def ask_note(app: App[Any], here: Here, carry: Carry) -> None:
    """Ask for a note at this anchor."""

    def noted(text: str | None) -> None:
        if text is not None:
            carry(Intent(method=here.day.beside.note_here, args=(text, here.anchor)))

    app.push_screen(AskText(f"A note at {here.anchor}", NOTE_WORDS), noted)


def ask_tool(app: App[Any], here: Here, carry: Carry) -> None:
    """Stop the tool that runs; where none runs, ask which one starts."""
    running = here.day.state.shared.beside.running
    if len(running) == 1:
        carry(Intent(method=here.day.beside.stop_tool, args=tuple(running), dated=True))
        return

    def chosen(key: str | None) -> None:
        if key in running:
            carry(Intent(method=here.day.beside.stop_tool, args=(key,), dated=True))
        elif key is not None:
            carry(Intent(method=here.day.beside.start_tool, args=(key,)))

    app.push_screen(AskChoice("Which tool?", "Its time counts for dust and noise.", _tools(here)), chosen)


def _tools(here: Here) -> Choices:
    running, now = here.day.state.shared.beside.running, here.day.clock()
    rows = [
        (ident, f"Stop: {_label(ident)}", f"runs {_since(now - one.done_at)}")
        for ident, one in running.items()
    ]
    last = [one.tool for one in reversed(here.day.state.shared.exposures)]
    order = sorted(TOOLS, key=lambda tool: last.index(tool.id) if tool.id in last else len(last))
    return rows + [(tool.id, f"Start: {tool.label}", "") for tool in order if tool.id not in running]


def _label(ident: str) -> str:
    tool = tool_of(ident)
    return tool.label if tool is not None else ident


def _since(ran: timedelta) -> str:
    return minutes(ran.total_seconds() / _SECONDS)


class BesideQuestions:
    """One list of what happens beside the anchors; Esc at any question leaves all as it was."""

    def __init__(self, app: App[Any], here: Here, carry: Carry) -> None:
        self._app, self._here, self._carry, self._day = app, here, carry, here.day

    def ask(self) -> None:
        """Ask what happened."""
        asks: dict[str, Callable[[], None]] = {}
        rows: Choices = []
        for key, label, note, go in self._lines():
            asks[key] = go
            rows.append((key, label, note))

        def chosen(key: str | None) -> None:
            if key is not None:
                asks[key]()

        self._app.push_screen(AskChoice("What happened beside the anchors?", "", rows), chosen)

    def _lines(self) -> list[tuple[str, str, str, Callable[[], None]]]:
        known = people_known(self._day.state)
        lines: list[tuple[str, str, str, Callable[[], None]]] = []
        for what, words in WORDS_OF_EVENTS.items():
            who = [name for name in known if what in can_be_said(self._day.state, name)]
            if who:
                note = ", ".join(who)
                lines.append((what, f"Everybody: {words}", note, partial(self._people, what)))
        lines.append(("one", "One person: on site, gone, on a break", "", self._one))
        lines += [
            (f"see {one.what}", f"Seen? {one.what}", one.words, partial(self._inspection, one))
            for one in self._day.inspections.listed()
        ]
        lines.append(("want", "Something is to be seen before a step", "permit, engineer", self._want))
        lines.append(("call", "Somebody was called", "with what they answered", self._call))
        ground = partial(ask_ground, self._app, self._here, self._carry)
        lines.append(("ground", "Ground that is not as hoped", "rock, roots, water, fill", ground))
        reads = partial(ask_call, self._app, self._here, self._carry, met="see the figures")
        lines.append(("read out", f"Call about {self._here.anchor}", "a text to read out", reads))
        for walk, label in _WALKS:
            done = "agreed" if agreed(self._day.state, walk) else ""
            lines.append((walk, label, done, partial(self._walk, walk)))
        pictures = PictureQuestions(self._app, self._here, self._carry)
        lines.append(("pictures", "Pictures from a card or a phone", "", pictures.ask))
        lines.append(("change", "A change that the owner agreed to", "", self._change))
        return lines

    # Asking for words, one after the other.

    def _text(self, title: str, go_on: Callable[[str], None], *, words: str = "", initial: str = "") -> None:
        def answered(text: str | None) -> None:
            if text is not None:
                go_on(text)

        self._app.push_screen(AskText(title, words, initial=initial), answered)

    def _choice(self, title: str, rows: Choices, go_on: Callable[[str], None], *, words: str = "") -> None:
        def answered(key: str | None) -> None:
            if key is not None:
                go_on(key)

        self._app.push_screen(AskChoice(title, words, rows), answered)

    # People.

    def _people(self, what: str, *names: str) -> None:
        self._carry(Intent(method=self._day.beside.people, args=(what, *names), dated=True))

    def _one(self) -> None:
        def who(name: str) -> None:
            if name:
                what(name)
            else:
                self._text("Who is it?", what, words="The name, as the record is to have it.")

        def what(name: str) -> None:
            can = can_be_said(self._day.state, name)
            if len(can) == 1:
                self._people(can[0], name)
                return
            rows = [(one, WORDS_OF_EVENTS[one].capitalize(), "") for one in can]
            self._choice(name, rows, lambda one: self._people(one, name))

        rows = [(name, name, "") for name in people_known(self._day.state)]
        self._choice("Who?", [*rows, ("", "Somebody else: type the name", "")], who)

    # Inspections.

    def _want(self) -> None:
        def before(what: str) -> None:
            steps = ("backfill", "drive", "drill", "plate", "pit", "first tightening", "second tightening")
            rows = [(step, f"Before: {step}", "") for step in steps]
            self._choice(
                what,
                rows,
                lambda step: self._carry(
                    Intent(method=self._day.inspections.want_inspection, args=(what,), given={"before": step})
                ),
            )

        self._text("What is to be seen?", before, words="Such as: rod and plate in the open pit.")

    def _inspection(self, one: Inspection) -> None:
        day = self._day.inspections

        def carry(method: Callable[..., Any], **given: Any) -> None:
            self._carry(Intent(method=method, args=(one.what,), given=given, dated=True))

        def chosen(key: str) -> None:
            if key == "asked":
                words = "Whom, with the number that they gave; and when they mean to come."
                self._text("Asked of whom?", lambda text: carry(day.ask_inspection, of=text), words=words)
            elif key == "nobody":
                carry(day.inspected, came=False)
            elif key == "no":
                self._text("Who came?", found)
            else:
                here = (self._here.anchor,) if key == "here" else ()
                self._text(
                    "Who came?", lambda name: carry(day.inspected, passed=True, name=name, anchors=here)
                )

        def found(name: str) -> None:
            self._text("What is not right?", lambda text: carry(day.inspected, name=name, found=text))

        rows = [
            ("all", "Passed, at every anchor", ""),
            ("here", f"Passed at {self._here.anchor}", ""),
            ("no", "Not passed", "it holds on"),
            ("asked", "It was asked for", ""),
            ("nobody", "Nobody came", ""),
        ]
        self._choice(one.what, rows, chosen, words=f"To be seen before {one.before}; {one.words}.")

    # Calls and changes.

    def _call(self) -> None:
        def said(who: str) -> None:
            given = {"who": who, "anchor": self._here.anchor}
            words = "With its number, where they gave one."
            self._text(
                "What did they answer?",
                lambda text: self._carry(
                    Intent(method=self._day.beside.call_made, given={**given, "said": text}, dated=True)
                ),
                words=words,
            )

        self._text("Who was called, and about what?", said, words="Such as: gas company, the mark at N2.")

    def _change(self) -> None:
        def before(what: str) -> None:
            self._text("Before, as agreed at first", lambda text: after(what, text), initial="as planned")

        def after(what: str, had: str) -> None:
            self._text("After, as it is done now", lambda text: why(what, had, text))

        def why(what: str, had: str, now: str) -> None:
            rows = [("", "The owner asked for it", ""), ("yes", "The site forced it", "")]
            self._choice("Why?", rows, lambda forced: name(what, had, now, bool(forced)))

        def name(what: str, had: str, now: str, forced: bool) -> None:
            given = {"before": had, "after": now, "site_forced": forced}
            self._text(
                "Who said yes to it? The owner's name",
                lambda who: self._carry(
                    Intent(
                        method=self._day.beside.change_agreed,
                        args=(what,),
                        given={**given, "name": who},
                        dated=True,
                    )
                ),
            )

        self._text("What is done otherwise than agreed?", before, words="In words and measures; no prices.")

    # Walks.

    def _walk(self, walk: WalkName) -> None:
        rows = [(row.id, row.label, row.words if row.seen else "") for row in self._day.walks.walk(walk)]
        left = sum(not note for _, _, note in rows)
        last = ("agreed", "The owner says that it is so", f"{left} to look at" if left else "name")
        self._choice(
            dict(_WALKS)[walk], [*rows, last] if left else [last, *rows], lambda key: self._thing(walk, key)
        )

    def _thing(self, walk: WalkName, key: str) -> None:
        day = self._day.walks
        if key == "agreed":
            self._text(
                "Who walked along? The owner's name",
                lambda name: self._carry(Intent(method=day.walk_agreed, args=(walk, name), dated=True)),
            )
            return
        row = next(row for row in day.walk(walk) if row.id == key)
        usual = "nothing" if walk == "before" else "shown"

        def seen(text: str) -> None:
            self._carry(Intent(method=day.seen_here, args=(walk, key, text), dated=True))
            self._walk(walk)

        self._text(row.label, seen, words=f"{row.how} {_PLACE}", initial=usual)
