"""What is asked of something that the job file does not list: a line, an opening, a footing, a number.

Headless: a screen asks the questions in order and hands the texts back; ``values_of`` makes what is kept.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, get_args

from msgspec import Struct

from crewtui import units
from crewtui.day.state.state import DayState
from crewtui.job.file.model import Response
from crewtui.trade.vocabulary import InGroundKind, LineKind
from crewtui.units import UnitSystem

YES, NO = "yes", "no"


class ListingQuestion(Struct, frozen=True, kw_only=True):
    """One thing asked."""

    key: str
    title: str
    words: str = ""
    choices: tuple[str, ...] = ()
    """Answers to choose from; none for one that is typed."""
    measure: str = ""
    """length, points, or nothing for words."""
    needed: bool = True


class Listing(Struct, frozen=True, kw_only=True):
    """A list of the job that can be added to on site."""

    table: str
    label: str
    costs: str
    """What it costs that nothing is listed."""
    questions: tuple[ListingQuestion, ...]


_POINTS: Final = (
    "Seen from above: along the wall from its start corner, and out from its outer face, a point each:"
    " 12 ft, 0; 14 ft, 20 ft"
)
_ALONG: Final = "Along the wall from its start corner."
_LIKE: Final = "Like: stoop, maple, tile at the wall."
_DEEP: Final = "Below the ground right there; nothing typed counts as reaching down for good."


def _asks(key: str, title: str, words: str = "", **more: Any) -> ListingQuestion:
    return ListingQuestion(key=key, title=title, words=words, **more)


LISTINGS: Final[tuple[Listing, ...]] = (
    Listing(
        table="lines",
        label="A line in the ground",
        costs="no rod or pit is judged against a line that is not listed",
        questions=(
            _asks("name", "What is the line called here?", "Like: lamp feed, sump drain."),
            _asks("kind", "What runs in it?", choices=get_args(LineKind)),
            _asks("private", "Is it the owner's own?", choices=(YES, NO)),
            _asks("wall", "Measured from which wall?"),
            _asks("points", "Where does it run?", _POINTS, measure="points"),
        ),
    ),
    Listing(
        table="openings",
        label="A window, door, pipe or column in the wall",
        costs="no wall plate is kept clear of it",
        questions=(
            _asks("name", "What is it?", "Like: window, hose pipe, panel."),
            _asks("wall", "In which wall?"),
            _asks("from", "Where does it begin?", _ALONG, measure="length"),
            _asks("to", "Where does it end?", _ALONG, measure="length"),
            _asks("bottom", "How high over the slab does it begin?", "0: it stands on it.", measure="length"),
        ),
    ),
    Listing(
        table="in_ground",
        label="A footing, well, drain tile or root zone in the yard",
        costs="no rod or pit is judged against it",
        questions=(
            _asks("name", "What is it called here?", _LIKE),
            _asks("kind", "What is it?", choices=get_args(InGroundKind)),
            _asks("wall", "Measured from which wall?"),
            _asks("outline", "Its corners, three or more?", _POINTS, measure="points"),
            _asks("base_depth", "How deep does it reach?", _DEEP, measure="length", needed=False),
        ),
    ),
    Listing(
        table="utilities",
        label="A utility on the locate ticket",
        costs="nobody is asked whether it has answered",
        questions=(
            _asks("name", "Which utility?", "As the ticket names it."),
            _asks("kind", "What does it run?", choices=get_args(LineKind)),
            _asks("response", "What has it answered?", choices=get_args(Response)),
            _asks("note", "A number, or who said so?", needed=False),
        ),
    ),
    Listing(
        table="contacts",
        label="Somebody to call",
        costs="the emergency page has no number for it",
        questions=(
            _asks("role", "Who is it?", "Like: engineer, office, gas leaks."),
            _asks("phone", "The number?"),
            _asks("name", "A name, if there is one?", needed=False),
        ),
    ),
)


def listing_of(table: str) -> Listing:
    """Return one of the lists; KeyError where there is none."""
    return {one.table: one for one in LISTINGS}[table]


def asked_of(listing: Listing, state: DayState) -> tuple[ListingQuestion, ...]:
    """Return its questions; which wall is asked only where there are several."""
    walls = tuple(wall.name for wall in state.job.walls)
    found = []
    for one in listing.questions:
        if one.key != "wall":
            found.append(one)
        elif len(walls) > 1:
            found.append(ListingQuestion(key="wall", title=one.title, choices=walls))
    return tuple(found)


def wrong_with(question: ListingQuestion, text: str, system: UnitSystem) -> str:
    """Return what is wrong with an answer in one sentence; empty where it can be read."""
    if not text.strip():
        return f"{question.title} Type it; Esc goes back." if question.needed else ""
    try:
        _read(question, text, system)
    except ValueError as error:
        return str(error)
    return ""


def values_of(listing: Listing, texts: Mapping[str, str], state: DayState) -> dict[str, Any]:
    """Return what the day keeps of the answers; ValueError where one cannot be read."""
    system = state.job.job.units
    values: dict[str, Any] = {}
    for question in listing.questions:
        text = texts.get(question.key, "").strip()
        if question.key == "wall" and not text:
            text = state.job.walls[0].name
        if text:
            values[question.key] = _read(question, text, system)
    return values


def _read(question: ListingQuestion, text: str, system: UnitSystem) -> Any:
    if question.choices == (YES, NO):
        return text == YES
    if question.measure == "points":
        return points_of(text, system)
    if question.measure == "length":
        return f"{_length(text, system):g} in"
    return text.strip()


def points_of(text: str, system: UnitSystem) -> list[list[str]]:
    """Return points as they are typed, parted by semicolons: along the wall, a comma, out from it."""
    found = []
    for part in (part for part in text.split(";") if part.strip()):
        both = part.split(",")
        if len(both) != 2:  # noqa: PLR2004 - along and out
            words = "is no point: along the wall, a comma, out from it; a semicolon before the next."
            raise ValueError(f"{part.strip()} {words}")
        found.append([f"{_length(one, system):g} in" for one in both])
    return found


def _length(text: str, system: UnitSystem) -> float:
    return units.read_length(text, bare="mm" if system == "metric" else "in")


__all__ = [
    "LISTINGS",
    "NO",
    "YES",
    "Listing",
    "ListingQuestion",
    "asked_of",
    "listing_of",
    "points_of",
    "values_of",
    "wrong_with",
]
