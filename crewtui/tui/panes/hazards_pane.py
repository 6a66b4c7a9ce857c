"""The hazards: what must be in place, what it holds until it is, and the rule each comes from."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import ClassVar, Final

from crewtui.day.figures.anchor_figures import AnchorFigures
from crewtui.day.figures.line_places import lines_here
from crewtui.day.safety.hazard_details import loosened_words
from crewtui.day.safety.hazard_rows import HazardMark, HazardRow, hazard_rows
from crewtui.day.safety.moments import MomentPage
from crewtui.day.state.hold import Hold
from crewtui.job.tables.hazards import MOMENTS
from crewtui.tui.keys.commands import PaneName, key_item
from crewtui.tui.panes.pit_rows import PIT_ENTRY, PIT_SLOPE, PIT_SOIL, pit_rows, row_of, slope_page
from crewtui.tui.questions.advice_question import ask_advice
from crewtui.tui.questions.site_changes import SiteChange
from crewtui.tui.questions.soil_question import SoilQuestions
from crewtui.tui.questions.who import ask_initials, ask_name
from crewtui.tui.widgets.chrome import Saying
from crewtui.tui.widgets.dialogs import AskChoice, AskText
from crewtui.tui.widgets.pane import NOTHING_HERE, Here, Intent, Pane
from crewtui.tui.widgets.rows import Mark, Row, Tone
from crewtui.units import count_of, show_length

_LINE: Final = "line "
_LOOSE: Final = "loosened "
_MOMENT: Final = "moment "
_ELSEWHERE: Final = "elsewhere"
_ALLOWED: Final = "allowed"
_LEADS: Final[Mapping[str, tuple[PaneName, str]]] = {
    "drop-unknown": ("steps", "drop"),
    "watch-mark": ("steps", "watch-mark"),
    "ticket-missing": ("day", "no ticket"),
    "ticket-responses": ("day", "ticket until"),
    "ticket-utilities": ("day", "ticket until"),
    "ticket-expired": ("day", "ticket until"),
    "ticket-early": ("day", "ticket until"),
}
"""Where what releases a hold is entered, if no signature does: Enter leads there."""
_MARKS: Final[Mapping[HazardMark, tuple[Mark, Tone]]] = {
    "in place": ("done", "done"),
    "not in place": ("held", "held"),
    "open": ("held", "held"),
    "warning": ("!", "deviation"),
    "later": ("", "quiet"),
    "set aside": ("!", "deviation"),
}
"""Word and tone of each state; what does not apply is not shown."""


def released_at(hold: Hold) -> tuple[PaneName, str]:
    """Return the pane and row at which what holds a step is released."""
    return _LEADS.get(hold.id, ("hazards", row_of(hold)))


def _loosened(here: Here) -> list[Row]:
    """Return the limits that the company set less strict than their defaults."""
    words = loosened_words(here.day.state)
    if not words:
        return []
    rows = [Row(key="group loosened", label="LIMITS THAT THE COMPANY HAS LOOSENED", heading=True)]
    return rows + [
        Row(key=f"{_LOOSE}{n}", label=text, mark="!", tone="deviation") for n, text in enumerate(words)
    ]


def _holding_now(here: Here) -> frozenset[str]:
    """Return the holds of the anchor's next step: only they are shown as stopping it."""
    upcoming = next((step for step in here.day.rows(here.anchor) if step.is_next), None)
    return frozenset(hold.id for hold in upcoming.holds) if upcoming is not None else frozenset()


def _other_holds(here: Here, standing: Sequence[Hold]) -> Iterator[Row]:
    """Yield what holds besides the hazards: first what holds the next step, then what holds later ones."""
    others = [hold for hold in standing if hold.held_by != "hazard"]
    at_once = _holding_now(here)
    for heading, now in (("HOLDS THE NEXT STEP AT", True), ("HOLDS LATER STEPS AT", False)):
        found = [hold for hold in others if (hold.id in at_once) is now]
        if found:
            yield Row(key=heading, label=f"{heading} {here.anchor}", heading=True)
        for hold in found:
            typed = bool(hold.line) and hold.release == "fact"
            yield Row(
                key=hold.id,
                label=hold.text,
                mark="held",
                tone="held" if now else "plain",
                note=hold.way_on,
                typed=typed,
            )


class HazardsPane(Pane):
    """One list of the job's hazards and of this anchor's; Enter signs that one is in place."""

    pane: ClassVar[PaneName] = "hazards"

    def __init__(self) -> None:
        super().__init__()
        self._hazards: dict[str, HazardRow] = {}
        self._holds: dict[str, Hold] = {}
        self._at_once: frozenset[str] = frozenset()
        self._pages: dict[str, MomentPage] = {}

    def rebuild(self, here: Here) -> None:
        """Show what holds first, then every hazard that applies here, group by group."""
        self.here = here
        state = here.day.state
        standing = here.day.standing_holds(here.anchor)
        self._holds = {hold.id: hold for hold in standing}
        rows = [*_other_holds(here, standing), *self._moments(here), *pit_rows(here)]
        rows += self._lines(here)
        rows += _loosened(here)
        self._hazards, self._at_once = {}, _holding_now(here)
        group = ""
        for hazard in hazard_rows(state, here.day.hazards, here.anchor):
            if hazard.mark == "does not apply":
                continue
            self._hazards[hazard.id] = hazard
            if hazard.group != group:
                group = hazard.group
                rows.append(Row(key=f"group {group}", label=group.upper(), heading=True))
            rows.append(self._row(hazard))
        self.set_rows(rows)

    def _moments(self, here: Here) -> list[Row]:
        """Return a row for each moment of which something is still to be signed with initials."""
        self._pages = {}
        for moment in MOMENTS:
            page = here.day.safety.moment_page(moment, here.anchor)
            if page.count:
                self._pages[_MOMENT + moment] = page
        rows = [
            Row(
                key=key,
                label=f"{page.title}: {count_of(page.count, 'line')} to read aloud",
                mark="ask",
                tone="coming",
                note="one set of initials signs them all",
            )
            for key, page in self._pages.items()
        ]
        return [Row(key="group moments", label="READ ALOUD, SIGN ONCE", heading=True), *rows] if rows else []

    def _sign_moment(self, page: MomentPage) -> None:
        def signed(who: str) -> None:
            if self.here is not None:
                given = {"initials": who, "anchor": self.here.anchor}
                self.wants(self.here.day.safety.sign_moment, page.moment, given=given, dated=True)

        words = "\n".join(f"- {line}." for line in page.lines)
        named = f"\nEach by a name, on its own row: {len(page.by_name)}." if page.by_name else ""
        ask_initials(self.app, f"Read aloud; true of every line?\n{words}{named}", signed)

    def _lines(self, here: Here) -> list[Row]:
        facts = here.day.facts(here.anchor)
        lines = lines_here(here.day.state, facts) if isinstance(facts, AnchorFigures) else ()
        if not lines:
            return []
        wall = here.day.state.anchors[here.anchor].wall
        rows = [Row(key="group lines", label=f"LINES IN THE GROUND AT {wall.upper()}", heading=True)]
        return rows + [
            Row(
                key=_LINE + line.name,
                label=f"{line.name} ({line.kind})",
                mark="ask" if line.asked else "done" if line.laid_bare else "",
                tone="coming" if line.asked else "done" if line.laid_bare else "plain",
                value="" if line.depth_in is None else show_length(line.depth_in, here.system),
                note=line.note,
                typed=True,
            )
            for line in lines
        ]

    def entered(self, key: str, text: str) -> None:
        """Enter the depth of a line laid bare, typed onto its row or onto what it holds."""
        hold = self._holds.get(key)
        line = hold.line if hold is not None else key.removeprefix(_LINE)
        if self.here is not None and line:
            given = {"anchor": self.here.anchor}
            self.wants(self.here.day.ground.expose_line, line, text, given=given, dated=True, row=key)

    def _row(self, hazard: HazardRow) -> Row:
        mark, tone = _MARKS[hazard.mark]
        if tone == "held" and hazard.id not in self._at_once:
            tone = "plain"
        note = f"holds {', '.join(hazard.holds)}" if hazard.holds else "a warning, holds nothing"
        note = hazard.detail or note
        if hazard.mark == "later":
            note = f"once the pit is begun; {note}"
        if hazard.at is not None:
            note = f"{hazard.mark}, {hazard.who} {hazard.at:%H:%M}"
        elif hazard.mark == "set aside":
            note = "set aside; it stands in the record"
        where = f"{hazard.anchor}: " if hazard.anchor else ""
        note_tone: Tone = "quiet" if tone == "done" else tone
        return Row(
            key=hazard.id, label=where + hazard.text, mark=mark, tone=tone, note=note, note_tone=note_tone
        )

    def go_to_next(self) -> None:
        """From a hazard that is in place, go on to the next below that is not."""
        here = self._hazards.get(self.cursor_key)
        if here is not None and here.mark == "in place":
            below = [row.key for row in self.rows]
            below = below[below.index(self.cursor_key) + 1 :]
            upcoming = next((key for key in below if key in self._holds and key in self._hazards), None)
            if upcoming is not None:
                self.go_to(upcoming, quietly=True)

    def saying(self) -> Saying:
        """Say what to do, why, what it holds, and the rule."""
        hazard, hold = self._hazards.get(self.cursor_key), self._holds.get(self.cursor_key)
        if self.cursor_key in self._pages:
            lines = tuple(("plain", f"- {line}") for line in self._pages[self.cursor_key].lines)
            return Saying(lines=(("coming", "Enter: read these aloud, then sign them all at once."), *lines))
        if self.cursor_key == PIT_ENTRY:
            words = (
                "Enter answers. The test is this program's own; kneeling at the rim and reaching in needs the"
                " same look at the pit. If nobody goes in, way out, air and protection fall away, and"
                " inspection and spoil only warn; locates, covers and a deep pit's edge stay."
            )
            return Saying(lines=(("plain", words),))
        if hazard is not None:
            said = [("plain", f"{hazard.text}. {hazard.why}")]
            if hazard.detail:
                said.append(("deviation", f"Here: {hazard.detail}."))
            if hazard.holds:
                said.append(("held" if hold else "quiet", f"Holds: {', '.join(hazard.holds)}."))
            by = f" Asked for by {hazard.said_by}." if hazard.said_by else ""
            rule = f"{hazard.source} ({hazard.rule_mark}; {hazard.edition}). {hazard.stricter}{by}"
            said.append(("quiet", rule))
            return Saying(lines=tuple(said))
        if hold is not None:
            lead = " Enter leads there." if hold.id in _LEADS or hold.line else ""
            lead = " Enter: the ways on." if hold.yard else lead
            said = [("held", f"{hold.text} {hold.way_on}{lead}"), ("plain", hold.why)]
            return Saying(lines=(*said, ("quiet", f"{hold.source} ({hold.mark})")))
        row = self.cursor_row
        return (
            Saying(lines=(("plain", f"{row.label}: {row.value} {row.note}"),))
            if row is not None
            else Saying()
        )

    def does(self) -> str:
        """Return what Enter does."""
        key = self.cursor_key
        hazard, hold = self._hazards.get(key), self._holds.get(key)
        if key in {PIT_ENTRY, PIT_SOIL}:
            return "answer it"
        if key == PIT_SLOPE:
            return "open it"
        if hazard is not None:
            return "" if hazard.mark == "in place" else "sign that it is in place"
        if hold is not None:
            return (
                "go where it is entered"
                if key in _LEADS
                else "choose a way on"
                if hold.yard
                else "see what releases it"
                if hold.line and hold.release == "fact"
                else "say that it is so"
                if hold.release != "fact"
                else ""
            )
        return ""

    def more_keys(self) -> tuple[tuple[str, str], ...]:
        """Return what else can be done on the row."""
        key = self.cursor_key
        typed = (("0-9", "type its depth"),) if key.startswith(_LINE) else ()
        no = (key_item("otherwise"),) if key in self._hazards or key in self._holds else ()
        return (
            *typed,
            *no,
            key_item("next_anchor"),
            key_item("inspect_again", "rain, water"),
            key_item("find"),
        )

    def chosen(self, key: str) -> None:
        """Sign that it is in place: with initials or a name, asked for each time."""
        if self.here is None:
            return
        if key in self._pages:
            self._sign_moment(self._pages[key])
        elif key == PIT_ENTRY:
            self._ask_pit_entry()
        elif key == PIT_SOIL:
            self._ask_soil()
        elif key == PIT_SLOPE:
            self.app.push_screen(slope_page(self.here))
        elif key in self._hazards:
            if self._hazards[key].mark == "in place":
                self.refuses("It is signed as in place. x says that it no longer is.")
            else:
                self._sign(self._hazards[key])
        elif key in self._holds:
            self._release(self._holds[key])
        elif key.startswith(_LINE):
            self.entered(key, "")
        else:
            self.refuses(NOTHING_HERE)

    def _ask_pit_entry(self) -> None:
        choices = (
            ("somebody", "Somebody goes in, or may have to", "the rules for people apply"),
            ("nobody", "Nobody: work from above, with tools", ""),
        )

        def answered(choice: str | None) -> None:
            if choice is not None and self.here is not None:
                given = {"somebody": choice == "somebody"}
                if self.here.day.state.anchors[self.here.anchor].pit_entry is given["somebody"]:
                    return
                self.wants(self.here.day.safety.answer_pit_entry, self.here.anchor, given=given)

        words = "Does anybody's head or trunk go below this pit's rim at any time?"
        self.app.push_screen(
            AskChoice(f"The pit at {self.here.anchor}" if self.here else "", words, choices), answered
        )

    def _ask_soil(self) -> None:
        def judged(soil: str, undisturbed: bool, name: str) -> None:
            if self.here is not None:
                given = {"name": name, "undisturbed": undisturbed}
                self.wants(self.here.day.safety.judge_soil, soil, given=given, dated=True)

        if self.here is not None:
            SoilQuestions(self.app, self.here, judged=judged).ask()

    def _sign(self, hazard: HazardRow) -> None:
        words = f"{hazard.text}. {hazard.why}"
        self._ask_who(
            hazard.release, "Who looked at it? A name", words, lambda who: self._in_place(hazard, who)
        )

    def _ask_who(self, release: str, title: str, words: str, done: Callable[[str], None]) -> None:
        if release == "check":
            ask_initials(self.app, words, done)
        elif self.here is not None:
            ask_name(self.app, title, words, self.here, done)

    def _in_place(self, hazard: HazardRow, who: str) -> None:
        if self.here is not None:
            given = {"in_place": True, "initials": who, "anchor": self.here.anchor}
            self.wants(self.here.day.safety.answer_hazard, hazard.id, given=given)

    def _release(self, hold: Hold) -> None:
        if self.here is None:
            return
        if hold.id in _LEADS:
            pane, row = _LEADS[hold.id]
            self.post_message(self.Goes(pane=pane, row=row))
            return
        if hold.line and hold.release == "fact":
            self._line_held(hold)
            return
        if hold.yard:
            self._yard_held(hold)
            return
        if hold.release == "fact":
            self._released(hold, "")
            return
        words = f"{hold.text} {hold.way_on}"
        self._ask_who(hold.release, "Who says so? A name", words, lambda who: self._released(hold, who))

    def _line_held(self, hold: Hold) -> None:
        """Lead to the row that takes the line's depth, or to an advice that clears it."""
        if self.here is None:
            return
        here, row = self.here, _LINE + hold.line
        advice = {one.key: one for one in here.day.aim.advice(here.anchor) if hold.id in one.ends}
        if not advice:
            self.go_to(row)
            return
        choices = [(row, f"{hold.line}: type its depth", "")]
        choices += [(key, one.words, "") for key, one in advice.items()]

        def chosen(choice: str | None) -> None:
            if choice == row:
                self.go_to(row)
            elif choice is not None:
                ask_advice(self.app, here, advice[choice], self.wants)

        self.app.push_screen(AskChoice("What releases it", hold.text, choices), chosen)

    def _yard_held(self, hold: Hold) -> None:
        """Offer what would clear it, to type another place, and to have it allowed by name."""
        if self.here is None:
            return
        here = self.here
        advice = {one.key: one for one in here.day.aim.advice(here.anchor) if hold.id in one.ends}
        choices = [
            *((key, one.words, "") for key, one in advice.items()),
            (_ELSEWHERE, "Another place, set-back or plate, or leave it out", "asks for it and the reason"),
            (_ALLOWED, "The engineer says how: name and reason", "a deviation in the record"),
        ]

        def chosen(choice: str | None) -> None:
            if choice == _ELSEWHERE:
                SiteChange(self.app, here, self._carry).ask()
            elif choice == _ALLOWED:
                self._otherwise(hold.id, "set aside")
            elif choice is not None:
                ask_advice(self.app, here, advice[choice], self.wants)

        self.app.push_screen(AskChoice("Ways on", hold.text, choices), chosen)

    def _carry(self, intent: Intent) -> None:
        self.post_message(self.Wants(self, intent))

    def _released(self, hold: Hold, who: str) -> None:
        if self.here is not None:
            self.wants(self.here.day.safety.release_hold, hold.id, self.here.anchor, given={"initials": who})

    def otherwise(self, key: str) -> None:
        """Say that it is not in place, or set the hold aside where its rule lets it."""
        hazard, hold = self._hazards.get(key), self._holds.get(key)
        if self.here is None or (hazard is None and hold is None):
            super().otherwise(key)
            return
        choices = []
        if hazard is not None:
            choices.append(("not in place", "It is not in place", "what it holds stays held"))
        if hold is not None and hold.override != "never":
            choices.append(("set aside", "Set it aside, by somebody named", "a deviation in the record"))
        if not choices:
            self.wants(
                self.here.day.safety.override_hold, key, self.here.anchor, given={"name": "", "reason": ""}
            )
            return
        words = hold.text if hold is not None else hazard.text if hazard is not None else ""
        self.app.push_screen(
            AskChoice("Not so?", words, choices), lambda choice: self._otherwise(key, choice)
        )

    def _otherwise(self, key: str, choice: str | None) -> None:
        if choice == "not in place":
            ask_initials(self.app, "What it holds stays held.", lambda who: self._not_in_place(key, who))
        elif choice == "set aside":
            self._ask_then(
                "Who allows it? A name",
                "It stands in the record as a deviation, with this name.",
                lambda name: self._ask_then("Why?", "", lambda why: self._set_aside(key, name, why)),
            )

    def _ask_then(self, title: str, words: str, go_on: Callable[[str], None]) -> None:
        def answered(text: str | None) -> None:
            if text is not None:
                go_on(text)

        self.app.push_screen(AskText(title, words), answered)

    def _not_in_place(self, key: str, who: str) -> None:
        if self.here is not None:
            given = {"in_place": False, "initials": who, "anchor": self.here.anchor}
            self.wants(self.here.day.safety.answer_hazard, key, given=given)

    def _set_aside(self, key: str, name: str, why: str) -> None:
        if self.here is not None:
            given = {"name": name, "reason": why}
            self.wants(self.here.day.safety.override_hold, key, self.here.anchor, given=given)
