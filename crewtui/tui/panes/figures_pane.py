"""The live figures of one anchor: mark, aim, rod, torque, worked out anew at every key press."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import ClassVar

from crewtui.day.steps.advice import AIM, Advice, own_aim
from crewtui.day.steps.calculators import CalcInput, CalcRow, Sheet, calculate
from crewtui.tui.keys.commands import PaneName, key_item
from crewtui.tui.questions.advice_question import ask_advice
from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.dialogs import DO_IT, confirm
from crewtui.tui.widgets.pane import Here, Pane
from crewtui.tui.widgets.rows import Row

_INPUT, _RESULT, _ADVICE = "input ", "result ", "advice "


class FiguresPane(Pane):
    """Inputs and results in one list; typing on an input changes every figure that follows from it."""

    pane: ClassVar[PaneName] = "figures"

    def __init__(self) -> None:
        super().__init__()
        self.sheet: Sheet | None = None
        self._inputs: dict[str, CalcInput] = {}
        self._results: dict[str, CalcRow] = {}
        self._warnings: dict[str, tuple[str, ...]] = {}
        self._advice: dict[str, Advice] = {}

    def rebuild(self, here: Here) -> None:
        """Work the figures out from the day, with what is typed here on top."""
        if self.here is not None and self.here.anchor != here.anchor:
            self.clear_drafts()
        self.here = here
        self.refigure()

    def refigure(self) -> None:
        """Work the figures out anew."""
        if self.here is None:
            return
        texts = {key.removeprefix(_INPUT): text for key, text in self.drafts.items()}
        self.sheet = calculate(self.here.day.state, self.here.anchor, texts, made=self.here.made)
        self._inputs, self._results, self._warnings = {}, {}, {}
        self.set_rows([*self._results_first(self.sheet), *self._rests_on(self.sheet)])

    def _results_first(self, sheet: Sheet) -> Iterator[Row]:
        here = self.here
        advised = {one.key: one for one in here.day.aim.advice(here.anchor)} if here is not None else {}
        self._advice = {}
        for part in sheet.parts:
            yield Row(key=f"part {part.key}", label=part.title.upper(), heading=True)
            for number, words in enumerate(part.warnings):
                key = f"{_RESULT}{part.key} warning {number}"
                yield Row(key=key, label=words, mark="!", tone="deviation")
            for result in part.rows:
                key = f"{_RESULT}{part.key} {result.key}"
                self._results[key] = result
                if result.key in advised:
                    self._advice[key] = advised.pop(result.key)
                yield Row(key=key, label=result.label, value=result.text)
            if part.key == "aim":
                yield from self._advised(advised.values())

    def _rests_on(self, sheet: Sheet) -> Iterator[Row]:
        yield Row(key="rests on", label="WHAT THESE REST ON: type a number to see what follows", heading=True)
        for part in sheet.parts:
            for one in part.inputs:
                key = _INPUT + one.key
                if key in self._inputs:
                    continue
                self._inputs[key] = one
                self._warnings[key] = part.warnings
                yield Row(
                    key=key,
                    label=one.label,
                    value=one.text,
                    note=one.fault or one.source,
                    note_tone="held" if one.fault else "quiet",
                    typed=True,
                )

    def _advised(self, others: Iterable[Advice]) -> Iterator[Row]:
        """Yield what is advised on no row of its own, judged without what is only typed; Enter takes it."""
        for one in others:
            key = f"{_ADVICE}{one.key}"
            self._advice[key] = one
            yield Row(key=key, label=one.words, mark="ask", tone="coming")

    def entered(self, key: str, text: str) -> None:
        """Aim for the depth that is typed; any other value is only tried here."""
        item = self._inputs.get(key)
        if self.here is None or self.sheet is None or item is None:
            return
        if item.key != AIM or AIM not in self.sheet.typed:
            self.refuses(f"{item.label} is tried out here; what was measured is entered on its own step.")
            return
        own = own_aim(self.here.anchor, self.sheet.typed[AIM], text)
        ask_advice(self.app, self.here, own, self.wants, row=key)

    @property
    def typed_values(self) -> dict[str, float]:
        """What is typed here and can be read, by input key."""
        return dict(self.sheet.typed) if self.sheet is not None else {}

    def saying(self) -> Saying:
        """Say what is wrong with the input, or the warnings of the part under the cursor."""
        item = self._inputs.get(self.cursor_key)
        row = self.cursor_row
        said: list[tuple[str, str]] = []
        if item is not None:
            if item.fault:
                said.append(("held", item.fault))
            said.append(
                ("quiet", f"{item.label}, in {item.unit_text}: from {item.source}. Type another to try it.")
            )
        elif row is not None and row.mark == "!":
            return Saying(lines=(("deviation", row.label),))
        elif row is not None and row.value:
            said.append(("plain", f"{row.label}: {row.value}"))
        said += [("deviation", words) for words in self._warnings.get(self.cursor_key, ())]
        return Saying(lines=tuple(said))

    def does(self) -> str:
        """Return what Enter does."""
        if self.cursor_key in self._advice:
            return "see what it changes, then take it"
        result = self._results.get(self.cursor_key)
        return "it was measured so" if result is not None and _may_be_measured(result) else ""

    def typing_does(self) -> str:
        """Say that a figure is tried and not entered, but for an aim."""
        return "see what this aim changes" if self.cursor_key == _INPUT + AIM else "keep it on trial"

    def more_keys(self) -> tuple[tuple[str, str], ...]:
        """Return what else can be done on the row."""
        typed = (("0-9", "try another"),) if self.cursor_key in self._inputs else ()
        return (*typed, key_item("readout"), key_item("next_anchor"), key_item("find"))

    def chosen(self, key: str) -> None:
        """Take a result over into the anchor's record."""
        if key in self._advice and self.here is not None:
            ask_advice(self.app, self.here, self._advice[key], self.wants)
            return
        result = self._results.get(key)
        if key in self._inputs:
            self.refuses("Type a number to see what follows; Steps is where it is entered.")
            return
        if result is None or self.here is None or not _may_be_measured(result):
            self.refuses("This figure is worked out, not measured: nothing is entered here.")
            return
        here, anchor = self.here, self.here.anchor

        def measured(choice: str | None) -> None:
            if choice == DO_IT:
                self.wants(
                    here.day.measure,
                    anchor,
                    result.step,
                    result.text,
                    takes_reason=True,
                    choice_as="then",
                    dated=True,
                    about=f"{anchor}: {result.label}",
                )

        words = "It is a figure until somebody has measured it: the record says what was built."
        question = confirm(
            f"{anchor}: {result.label}, {result.text}: measured?",
            words,
            do_it=f"Measured, and it is {result.text}: enter it",
        )
        self.app.push_screen(question, measured)


def _may_be_measured(result: CalcRow) -> bool:
    return bool(result.quantity) and result.value is not None
