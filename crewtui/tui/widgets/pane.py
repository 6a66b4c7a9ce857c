"""What every pane is: rows about the day as it stands, and words about the row under the cursor."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, ClassVar, Final

from msgspec import Struct
from textual.message import Message

from crewtui.day.session.day import Day
from crewtui.day.steps.outcomes import Outcome, Refused
from crewtui.day.steps.step_rows import StepRow
from crewtui.day.truck.loading import Loaded
from crewtui.day.truck.rod_made import WORKING, rod_made
from crewtui.trade.rod.rod_plan import RodPlan
from crewtui.tui.keys.commands import PaneName
from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.dialogs import AskText
from crewtui.tui.widgets.rows import Mark, Row, RowList, Tone
from crewtui.units import UnitSystem

NOT_SO_HERE: Final = "x is for a check that is not so, and nothing is asked on this line."
"""Why that key does nothing."""
_COMPETENT: Final = "competent-person"
NOTHING_HERE: Final = "Nothing is entered on this line; y shows all its words."
NOT_ENTERED: Final = "Not entered. What was typed stands on its row; typing begins anew."
MARKS: Mapping[str, tuple[Mark, Tone]] = {
    "done": ("done", "done"),
    "value": ("done", "done"),
    "deviation": ("!", "deviation"),
    "held": ("held", "held"),
    "open": ("", "plain"),
    "not needed": ("", "quiet"),
}
"""What stands in front of a step, by its mark: a word, and the tone that goes with it."""


class Here(Struct, frozen=True):
    """Where the lead stands: the day, and the anchor that the figures are about."""

    day: Day
    anchor: str
    loaded: Loaded | None = None
    """The truck as it was last worked out; None before the first answer."""
    no_list: bool = False
    """No cut list could be worked out."""

    @property
    def system(self) -> UnitSystem:
        """The job's own units."""
        return self.day.job.job.units

    def made(self, rod: RodPlan) -> RodPlan | str:
        """Return the anchor's rod in the pieces that it is made of; words while they are worked out."""
        found = rod_made(rod, self.anchor, self.loaded, no_list=self.no_list, system=self.system)
        return WORKING if found is None else found


class Intent(Struct, frozen=True, kw_only=True):
    """Something to be entered: the day's own method, and what is given with it."""

    method: Callable[..., Outcome]
    args: tuple[Any, ...] = ()
    given: Mapping[str, Any] = ()  # type: ignore[assignment]
    takes_reason: bool = False
    choice_as: str = ""
    """Name of the argument that an asked choice goes into."""
    dated: bool = False
    """Whether a time set with "was earlier" goes with it."""
    row: str = ""
    """The row whose draft is cleared once it is saved."""
    about: str = ""
    """Anchor and step, for the head of a question about it."""
    again: Callable[[str], None] | None = None
    """Does what is better than a reason: asks once more for a text, or shows the ways on."""
    typed: str = ""
    """What was typed in a question of its own, for it to begin from."""


class Pane(RowList):
    """One pane: rebuilt from the day after every entry, never itself the truth."""

    pane: ClassVar[PaneName]

    class Wants(Message):
        """Something is to be entered: the screen tries it, and asks what is asked back."""

        def __init__(self, pane: Pane, intent: Intent) -> None:
            self.pane, self.intent = pane, intent
            super().__init__()

    class Goes(Message):
        """The lead goes to another anchor or pane."""

        def __init__(self, *, anchor: str = "", pane: PaneName | None = None, row: str = "") -> None:
            self.anchor, self.pane, self.row = anchor, pane, row
            super().__init__()

    def __init__(self) -> None:
        super().__init__(id=self.pane, classes="pane")
        self.here: Here | None = None
        self._in_vain = ""

    def typed_in_vain(self) -> None:
        """Remember that a number was typed on a row that takes none: the next Enter is meant for it."""
        self._in_vain = self.cursor_key

    def enter_is_of_a_number(self, key: str) -> bool:
        """Say, once, that Enter on the row would save no number; whether it was said now."""
        in_vain, self._in_vain = self._in_vain, ""
        if in_vain != key:
            return False
        does = self.does()
        self.refuses(
            f"No number was typed: this line takes none. Enter now: {does}." if does else NOTHING_HERE
        )
        return True

    def rebuild(self, here: Here) -> None:
        """Show the day as it stands; a pane adds its rows."""
        self.here = here

    def saying(self) -> Saying:
        """Return the words about the row under the cursor."""
        return Saying()

    def entered(self, key: str, text: str) -> None:
        """Take a text typed onto a row."""

    def chosen(self, key: str) -> None:
        """Take Enter or Space on a row."""

    def otherwise(self, key: str) -> None:
        """Take "not so" on a row."""
        del key
        self.refuses(NOT_SO_HERE)

    def does(self) -> str:
        """Return what Enter does on the row under the cursor, in full; empty where it does nothing."""
        return ""

    def more_keys(self) -> tuple[tuple[str, str], ...]:
        """Return the other keys that do something on the row under the cursor, the nearest first."""
        return ()

    def typing_does(self) -> str:
        """Return what Enter does with what is typed."""
        return f"save {self.drafts.get(self.cursor_key, '').strip()}"

    def ask_text(self, step: StepRow, anchor: str | None, initial: str | None = None) -> None:
        """Ask for a step's text in a question of its own: a letter on the row stays a command."""

        def answered(text: str | None) -> None:
            if text is None or self.here is None:
                return
            self.wants(
                self.here.day.answer,
                anchor,
                step.id,
                text,
                takes_reason=True,
                dated=True,
                about=f"{anchor}: {step.label}" if anchor else step.label,
                again=lambda typed: self.ask_text(step, anchor, typed),
                typed=text,
            )

        start = step.value if initial is None else initial
        offered = self.here.day.job.job.competent_person if step.id == _COMPETENT and self.here else ""
        if not start and offered:
            # By the office; typing puts another name in its place.
            ask = AskText(step.label, step.how, initial=offered, replaces=True)
        else:
            ask = AskText(step.label, step.how, initial=start)
        self.app.push_screen(ask, answered)

    def wants(self, method: Callable[..., Outcome], *args: Any, **options: Any) -> None:
        """Ask the screen to enter something; ``given`` among the options goes to the method."""
        intent = Intent(method=method, args=args, given=dict(options.pop("given", {})), **options)
        self.post_message(self.Wants(self, intent))

    def refuses(self, sentence: str) -> None:
        """Say why Enter does nothing here: a silent key is taken for a fault."""
        self.wants(lambda: Refused(sentence=sentence))


def step_as_row(step: StepRow, *, key: str = "") -> Row:
    """Return a step as a row: mark, label, value, and beside it the limits or what holds it."""
    mark, tone = MARKS[step.mark]
    if step.is_next and step.mark == "open":
        mark, tone = "next", "coming"
    note, note_tone = "", "quiet"
    if step.mark == "held" and not step.is_next:
        mark, tone = "held", "quiet"
    if step.mark == "deviation":
        note, note_tone = step.reason or "deviation", "deviation"
    return Row(
        key=key or step.id,
        label=step.label,
        mark=mark,
        tone=tone,
        value=step.value,
        hint="not needed" if step.mark == "not needed" else "" if step.answered else step.limit,
        note=note,
        note_tone=note_tone,  # type: ignore[arg-type]
        typed=step.kind == "value",
    )


def words_about(step: StepRow) -> list[tuple[str, str]]:
    """Return what there is to say about a step, the most pressing first."""
    said: list[tuple[str, str]] = []
    for hold in step.holds[:2]:
        held = "Held" if step.mark == "held" else "Was held"
        said.append(("held", f"{held}: {hold.text.rstrip('.')}. {hold.way_on}"))
    if len(step.holds) > len(said):
        said.append(("held", f"and {len(step.holds) - len(said)} more: press h."))
    if step.mark == "deviation":
        said.append(("deviation", f"Deviation, kept with its reason: {step.reason or 'none given'}"))
    if step.how:
        said.append(("plain", step.how))
    if step.why:
        said.append(("quiet", step.why))
    return said
