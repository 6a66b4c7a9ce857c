"""The wall: corners and spacing, openings, block, marks; its readings before, after and since last time."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, ClassVar, Final

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.css.query import NoMatches
from textual.message import Message

from crewtui.day.session.day import Day
from crewtui.day.state.wall_reading import (
    AFTER,
    BEFORE,
    Between,
    Visit,
    between,
    between_visits,
    engineer_words,
    last_of,
    overall,
    profile_words,
    reading_words,
    visits_in,
    wall_profile,
)
from crewtui.day.wall.standing_findings import StandingFinding
from crewtui.day.wall.wall_rows import WallFound, WallView
from crewtui.trade.pictures.elevation import ElevationPicture
from crewtui.tui.keys.commands import PaneName, key_item
from crewtui.tui.questions.advice_question import ask_advice
from crewtui.tui.questions.who import ask_name
from crewtui.tui.widgets.chrome import KeyBar, Saying
from crewtui.tui.widgets.dialogs import GO_BACK, AskChoice, AskText
from crewtui.tui.widgets.elevation_widget import ElevationView
from crewtui.tui.widgets.over import Over
from crewtui.tui.widgets.pane import NOTHING_HERE, Here, Pane
from crewtui.tui.widgets.rows import Mark, Row, Tone

if TYPE_CHECKING:
    from crewtui.record.house.series import HouseSeries
    from crewtui.record.house.visits import Earlier

_GO, _STAYS = "go", "stays"
DRAWING, READ, EARLIER, WHOLE, SERIES = "drawing page", "read ", "earlier", "whole wall", "series page"
_VERDICTS: Final[Mapping[str, tuple[Mark, Tone]]] = {
    "ok": ("done", "done"),
    "wrong": ("!", "deviation"),
    "unknown": ("ask", "coming"),
}
_CHANGES: Final[Mapping[str, tuple[Mark, Tone]]] = {
    "worse": ("!", "deviation"),
    "better": ("done", "done"),
    "within the reading error": ("done", "plain"),
    "not comparable": ("", "quiet"),
}
_CALL: Final[tuple[Mark, Tone]] = ("!", "deviation")
_READ: Final[tuple[Mark, Tone]] = ("done", "done")
_TITLES: Final = {
    "spacing": "CORNERS AND SPACING",
    "fewest": "",
    "opening": "",
    "block": "WHAT THE HOLES MEET",
    "marks": "MARKS INSIDE AND OUTSIDE",
}


def _saying_of(one: StandingFinding) -> Saying:
    if one.answer is not None:
        words = f"{one.label}: {one.value}. {one.answer.name} says that it may stay: {one.answer.reason}"
        return Saying(lines=(("deviation", words), ("quiet", one.words)))
    ask = "Enter: who says that it may stay? Unanswered, it stands in the record as a deviation."
    return Saying(lines=(("held", f"{one.label}: {one.value}. {one.words}"), ("plain", ask)))


def _standing_row(key: str, one: StandingFinding) -> Row:
    """Return a finding against a limit: shouted until somebody named says that it may stay."""
    said = one.answer
    return Row(
        key=key,
        label=one.label,
        mark="!" if said is None else "done",
        tone="deviation" if said is None else "done",
        value=one.value,
        note=one.words if said is None else f"may stay, says {said.name}: {said.reason}",
        note_tone="deviation" if said is None else "quiet",
    )


class WallPage(Over[None]):
    """The wall over the whole screen."""

    DEFAULT_CSS = "WallPage { background: $paper; color: $ink; } WallPage ElevationView { height: 1fr; }"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape,q,enter,ctrl+j,v", "dismiss", show=False)]

    def __init__(self, picture: ElevationPicture) -> None:
        super().__init__()
        self._picture = picture

    def compose(self) -> ComposeResult:
        """Lay out the page."""
        yield ElevationView(self._picture)
        bar = KeyBar()
        bar.items = (("Esc", "back"),)
        yield bar


class WallPane(Pane):
    """Findings about the wall of the anchor at hand, as rows; the drawing stands over them."""

    pane: ClassVar[PaneName] = "wall"

    class WantsReading(Message):
        """The wall is to be read at an anchor."""

        def __init__(self, anchor: str, earlier: Mapping[str, Visit]) -> None:
            self.anchor, self.earlier = anchor, earlier
            super().__init__()

    def __init__(self) -> None:
        super().__init__()
        self.view: WallView | None = None
        self.found: dict[str, WallFound] = {}
        self.standing: dict[str, StandingFinding] = {}
        self.words: dict[str, tuple[tuple[str, str], ...]] = {}
        self._earlier: Earlier | str | None = None
        self._series: HouseSeries | None = None
        self._earlier_of = ""

    @property
    def earlier(self) -> Mapping[str, Mapping[str, Visit]]:
        """What an earlier visit read, by anchor."""
        return {} if self._earlier is None or isinstance(self._earlier, str) else self._earlier.visits

    def rebuild(self, here: Here) -> None:
        """Show the wall as it stands."""
        self.here = here
        state = here.day.state
        self._load_earlier(here.day)
        self.view = here.day.wall(state.anchors[here.anchor].wall)
        self.found = {one.key: one for one in self.view.found}
        wall = self.view.wall.name
        self.standing = {
            one.id.removeprefix(f"{wall}: "): one
            for one in here.day.walls.standing_findings()
            if one.wall == wall
        }
        self.words = {}
        rows = [Row(key=DRAWING, label="The wall over the whole screen", note="Enter opens it")]
        rows += self._findings(self.view)
        rows += self._readings(here)
        rows += self._since(here)
        self.set_rows(rows)
        try:
            self.screen.query_one("#elevation", ElevationView).show(self.view.picture)
        except NoMatches:
            return

    def _findings(self, view: WallView) -> Iterator[Row]:
        title = ""
        for one in view.found:
            if _TITLES[one.subject] and _TITLES[one.subject] != title:
                title = _TITLES[one.subject]
                yield Row(key=f"title {one.subject}", label=title, heading=True)
            standing = self.standing.get(one.key)
            if standing is not None:
                yield _standing_row(one.key, standing)
                continue
            mark, tone = _VERDICTS[one.verdict]
            yield Row(
                key=one.key,
                label=one.label,
                mark=mark,
                tone=tone,
                value=one.value,
                note=one.words,
                note_tone=tone if one.verdict == "wrong" else "quiet",
            )
        others = {key: one for key, one in self.standing.items() if key not in self.found}
        if others:
            yield Row(key="title others", label="BOW AND SOIL", heading=True)
        for key, other in others.items():
            yield _standing_row(key, other)

    def _readings(self, here: Here) -> Iterator[Row]:
        state = here.day.state
        yield Row(key="title readings", label="READINGS FROM AN UPRIGHT LINE", heading=True)
        visits = visits_in(state)
        wall = state.anchors[here.anchor].wall
        for when in (AFTER, BEFORE):
            whole = wall_profile(state, wall, when)
            if whole is not None and len(whole.stations) > 1:
                words = profile_words(whole, here.system)
                self.words[WHOLE] = (("plain", f"{when} tightening: {words[0]}."), ("quiet", words[1]),
                                     *(("deviation", more) for more in words[2:]))  # fmt: skip
                yield Row(key=WHOLE, label=f"Along the wall, {when}", mark="done", tone="done", note=words[0])
                break
        for now in (one for one in state.live() if one.wall == wall):
            key, found = READ + now.id, visits.get(now.id, {})
            last = last_of(found)
            if last is None:
                self.words[key] = (("coming", "Not read yet: Enter reads the wall here."),)
                yield Row(key=key, label=f"{now.id} not read yet", mark="ask", tone="coming", note="Enter")
                continue
            call = engineer_words(state, last.reading)
            said = [("held", call)] if call else []
            said += [
                ("plain", f"{when} tightening: {reading_words(found[when].reading, here.system)}.")
                for when in (BEFORE, AFTER)
                if when in found
            ]
            mark, tone = _CALL if call else _READ
            note = reading_words(last.reading, here.system)
            if len(found) > 1:
                change = between(found[BEFORE], found[AFTER], here.system)
                said += [("plain", f"Since before tightening, {change.word}: {change.words[0]}.")]
                note = f"{change.word}; {note}"
            self.words[key] = tuple(said)
            label = f"{now.id} {' and '.join(when for when in (BEFORE, AFTER) if when in found)}"
            note_tone: Tone = "deviation" if call else "plain"
            yield Row(key=key, label=label, mark=mark, tone=tone, note=note, note_tone=note_tone)

    def _since(self, here: Here) -> Iterator[Row]:
        """Compare with the earlier record that the job file names."""
        if self._earlier is None:
            return
        yield Row(key="title since", label="SINCE THE EARLIER VISIT", heading=True)
        if isinstance(self._earlier, str):
            yield Row(key=EARLIER, label="The earlier record cannot be used", mark="!", tone="deviation")
            self.words[EARLIER] = (("deviation", self._earlier),)
            return
        if self._series is not None:
            from crewtui.record.house.series_words import house_words  # noqa: PLC0415 - only with earlier records

            yield Row(key=SERIES, label="Over the years", note=house_words(self._series))
            self.words[SERIES] = (("plain", f"{house_words(self._series)}."), ("quiet", "Enter draws it."))
        found = tuple(between_visits(self._earlier.visits, visits_in(here.day.state), here.system))
        label = f"Record of {self._earlier.date}" if self._earlier.date else "Earlier record"
        yield Row(key=EARLIER, label=label, note=overall(found))
        self.words[EARLIER] = (
            ("plain", f"{overall(found)}."),
            *((("deviation", self._earlier.trusted),) if self._earlier.trusted else ()),
            *(("deviation", words) for words in self._earlier.strange),
        )
        yield from (self._change(one) for one in found)

    def _change(self, one: Between) -> Row:
        key = f"since {one.anchor}"
        mark, tone = _CHANGES[one.word]
        self.words[key] = tuple((tone, words) for words in one.words) + tuple(
            ("quiet", note) for note in one.notes
        )
        return Row(
            key=key, label=one.anchor, mark=mark, tone=tone, value=one.word, note="; ".join(one.words),
            note_tone=tone,
        )  # fmt: skip

    def _load_earlier(self, day: Day) -> None:
        """Read the earlier record once; what is wrong with it is said on its row."""
        named = day.job.job.earlier_record
        if named == self._earlier_of:
            return
        self._earlier_of = named
        self._earlier = None
        if not named:
            return
        # Not needed for the first screen, where no earlier record is named.
        from crewtui.record.house.house import HouseError, load_house  # noqa: PLC0415
        from crewtui.record.house.series import series_of  # noqa: PLC0415
        from crewtui.record.house.visits import EarlierError, earlier_path, load_earlier  # noqa: PLC0415
        from crewtui.record.signed.known_keys import KnownKeys, load_known  # noqa: PLC0415
        from crewtui.record.signed.signing_keys import KeyFileError  # noqa: PLC0415

        try:
            known = load_known(None)
        except KeyFileError:
            known = KnownKeys()
        paths = [earlier_path(day.job_path, one) for one in day.job.job.earlier_records or (named,)]
        try:
            self._series = series_of(load_house(paths, known))
            self._earlier = load_earlier(earlier_path(day.job_path, named), known)
        except (EarlierError, HouseError) as error:
            self._earlier = str(error)

    def saying(self) -> Saying:
        """Say what the row means, and what to do."""
        key = self.cursor_key
        standing = self.standing.get(key)
        if standing is not None:
            return _saying_of(standing)
        one = self.found.get(key)
        if one is not None:
            tone = {"wrong": "held", "unknown": "coming"}.get(one.verdict, "plain")
            return Saying(lines=((tone, f"{one.label}: {one.value}. {one.words}"),))
        row = self.cursor_row
        if key in self.words:
            more = (("quiet", "Enter reads the wall here again."),) if key.startswith(READ) else ()
            return Saying(lines=(*self.words[key], *more))
        return Saying(lines=(("plain", row.label),)) if row is not None else Saying()

    def does(self) -> str:
        """Return what Enter does."""
        key = self.cursor_key
        if key in {DRAWING, SERIES}:
            return "open the drawing"
        if key.startswith(READ):
            return f"read the wall at {key.removeprefix(READ)}"
        if key in self.standing:
            return "say who lets it stay, or go there"
        return f"go to {self.found[key].anchor}" if self._leads_to(key) else ""

    def more_keys(self) -> tuple[tuple[str, str], ...]:
        """Return what else can be done."""
        return (key_item("read_wall"), key_item("find"))

    def _leads_to(self, key: str) -> bool:
        at = self.found.get(key)
        return at is not None and self.here is not None and at.anchor in self.here.day.state.anchors

    def chosen(self, key: str) -> None:
        """Open the drawing, or a reading."""
        if key == DRAWING and self.view is not None:
            self.app.push_screen(WallPage(self.view.picture))
        elif key == SERIES and self._series is not None and self.here is not None:
            # Only with earlier records, and not for the first screen.
            from crewtui.record.house.series import series_of  # noqa: PLC0415
            from crewtui.record.sheets.leave_sheet import told_today  # noqa: PLC0415
            from crewtui.tui.pages.series_page import SeriesPage  # noqa: PLC0415

            series = series_of(self._series.house, today=told_today(self.here.day))
            self.app.push_screen(SeriesPage(series, self.here.anchor))
        elif key.startswith(READ):
            anchor = key.removeprefix(READ)
            self.post_message(self.WantsReading(anchor, self.earlier.get(anchor, {})))
        elif key in self.standing:
            self._ask_standing(self.standing[key])
        elif self._leads_to(key):
            self.post_message(self.Goes(anchor=self.found[key].anchor, pane="steps"))
        else:
            self.refuses(NOTHING_HERE)

    def _ask_standing(self, one: StandingFinding) -> None:
        """Ask whether somebody named lets a finding stay, or go to its anchor."""

        def named(name: str) -> None:
            def why(reason: str | None) -> None:
                if reason is not None and self.here is not None:
                    given = {"name": name, "reason": reason}
                    self.wants(self.here.day.walls.answer_finding, one.id, given=given)

            self.app.push_screen(AskText("Why may it stay?", f"{one.label}: {one.value}.", label="Why:"), why)

        moves = (
            {advice.key: advice for advice in self.here.day.walls.moves(one)} if self.here is not None else {}
        )

        def answered(choice: str | None) -> None:
            if choice == _GO:
                self.post_message(self.Goes(anchor=one.anchor, pane="steps"))
            elif choice in moves and self.here is not None:
                ask_advice(self.app, self.here, moves[choice], self.wants)
            elif choice == _STAYS and self.here is not None:
                ask_name(self.app, "Who says that it may stay?", one.words, self.here, named)

        anchors = self.here.day.state.anchors if self.here is not None else {}
        choices = [(GO_BACK, "Go back", "it stands as a deviation")]
        if one.anchor in anchors:
            choices.append((_GO, f"Go to {one.anchor}", ""))
        choices += [(key, advice.words, "what it changes is shown first") for key, advice in moves.items()]
        choices.append((_STAYS, "Somebody named says that it may stay", ""))
        self.app.push_screen(AskChoice(f"{one.label}: {one.value}", one.words, choices), answered)


__all__ = ["WallPage", "WallPane"]
