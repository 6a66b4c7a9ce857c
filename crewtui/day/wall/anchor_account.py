"""How an anchor came out: finished, clicked, deviating, accepted, held; one account for screen and paper.

The owner may turn a nut only where the plan says so and nothing about the anchor stands against it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final, Literal

from msgspec import Struct

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.state import CLICKED, TIGHTENINGS, AnchorNow, DayState
from crewtui.day.steps.open_steps import open_steps
from crewtui.day.steps.visit_word import CALL, NUT_STEP, WORD_STEP
from crewtui.day.wall.standing_findings import StandingFinding, standing_findings
from crewtui.job.tables.steps import label
from crewtui.units import UnitSystem, at_least, at_most, show_torque

AccountWord = Literal[
    "not set", "open", "call", "not tightened", "did not come up", "held", "past its torque", "deviating",
    "accepted", "finished",
]  # fmt: skip
YOURS: Final = "yours to adjust"
TURN_NOTHING: Final = "turn nothing on it"
_MOST_NAMED: Final = 3
"""So many open steps or departures of an anchor are named."""


class Departure(Struct, frozen=True, kw_only=True):
    """Something of an anchor that is not as the plan or a limit would have it."""

    what: str
    accepted: str = ""
    """Who accepted it, and why; empty while nobody has."""


class Before(Struct, frozen=True, kw_only=True):
    """How earlier days of the house left an anchor, as the job of a visit carries it."""

    torque_lbf_ft: float | None = None
    clicked: bool | None = None
    open: tuple[str, ...] = ()
    departed: tuple[str, ...] = ()
    accepted: tuple[str, ...] = ()

    @property
    def departures(self) -> tuple[Departure, ...]:
        """Return what was not as planned then, and stands."""
        return (
            *(Departure(what=what) for what in self.departed),
            *(
                Departure(what=what, accepted=who.strip() or BEFORE_TODAY)
                for what, _, who in (one.partition(":") for one in self.accepted)
            ),
        )


NOTHING_BEFORE: Final = Before()
"""Of an anchor that no earlier record tells of."""
BEFORE_TODAY: Final = "on an earlier day"
LEFT_AS_FOUND: Final = "left as found"
TORQUE_FOUND: Final = "torque_found_lbf_ft"
TORQUE_LEFT: Final = "torque_left_lbf_ft"


class NutAsLeft(Struct, frozen=True, kw_only=True):
    """The torque that the nut was left at, and whether the wrench clicked there; None where nobody said."""

    torque_lbf_ft: float | None
    clicked: bool | None


def nut_as_left(built: Mapping[str, tuple[float, str]], nut: str, before: Before) -> NutAsLeft:
    """Return how the last day to touch the nut left it: this one's tightening, or an earlier one's.

    ``built`` is value and answer after it, by quantity; ``nut`` what the visit says was done with the nut.
    """
    turned = (TORQUE_LEFT, *(at.torque for at in reversed(tuple(TIGHTENINGS.values()))))
    last = next((built[key] for key in turned if key in built), None)
    if last is not None:
        torque_lbf_ft, then = last
        return NutAsLeft(torque_lbf_ft=torque_lbf_ft, clicked=then == CLICKED if then else None)
    if nut == LEFT_AS_FOUND and TORQUE_FOUND in built:
        return NutAsLeft(torque_lbf_ft=built[TORQUE_FOUND][0], clicked=before.clicked)
    return NutAsLeft(torque_lbf_ft=before.torque_lbf_ft, clicked=before.clicked)


def with_earlier(today: Iterable[Departure], before: Before) -> tuple[Departure, ...]:
    """Return what departs today, and of earlier days what today does not say again."""
    found = tuple(today)
    said = {one.what for one in found}
    return (*found, *(one for one in before.departures if one.what not in said))


class AnchorAccount(Struct, frozen=True, kw_only=True):
    """One anchor as it came out."""

    anchor: str
    dropped: str = ""
    """Why it is not set."""
    open: tuple[str, ...] = ()
    """What is left to do, by label."""
    torque_lbf_ft: float | None = None
    """At the last tightening."""
    clicked: bool | None = None
    """At the last tightening; None where none is entered, or nobody said."""
    target_lbf_ft: float | None = None
    agrees_share: float
    """How far a torque may be from its target."""
    departures: tuple[Departure, ...] = ()
    call: bool = False
    """The visit's one word for it: ask the engineer before anything is done."""
    owner_by_plan: bool = False
    """The plan lets the owner adjust it."""

    @property
    def not_accepted(self) -> tuple[Departure, ...]:
        """Return what departs and nobody has accepted."""
        return tuple(one for one in self.departures if not one.accepted)

    @property
    def word(self) -> AccountWord:  # noqa: PLR0911 - one return a word, the worst first
        """Return how it came out, the worst that is true of it."""
        if self.dropped:
            return "not set"
        if self.open:
            return "open"
        if self.call:
            return "call"
        if self.torque_lbf_ft is None or self.clicked is None:
            return "not tightened"
        if not self.clicked:
            return "did not come up"
        target = self.target_lbf_ft
        if target is None or not at_least(self.torque_lbf_ft, target * (1 - self.agrees_share)):
            return "held"
        if not at_most(self.torque_lbf_ft, target * (1 + self.agrees_share)):
            return "past its torque"
        if self.not_accepted:
            return "deviating"
        return "accepted" if self.departures else "finished"

    @property
    def sound(self) -> bool:
        """Return whether it is finished, clicked at its torque, and as planned or accepted."""
        return self.word in {"finished", "accepted"}

    @property
    def yours(self) -> bool:
        """Return whether the owner may adjust it: by the plan, and nothing stands against it."""
        return self.owner_by_plan and self.sound

    @property
    def stop_words(self) -> str:
        """Return what is said beside a nut that nobody but the crew turns; nothing where all is sound."""
        return "" if self.sound or self.dropped else TURN_NOTHING


def account_words(account: AnchorAccount, system: UnitSystem) -> str:
    """Return in one line how an anchor came out, and whether its nut is the owner's to turn."""
    said = _said(account, system)
    if account.stop_words:
        return f"{said}; {account.stop_words}"
    return f"{said}; {YOURS}" if account.yours else said


def _said(account: AnchorAccount, system: UnitSystem) -> str:  # noqa: C901, PLR0911 - one return a word
    torque, target = (
        show_torque(value, system) if value is not None else "no torque that is known"
        for value in (account.torque_lbf_ft, account.target_lbf_ft)
    )
    match account.word:
        case "not set":
            return f"not set: {account.dropped}"
        case "open":
            return f"not finished: {_some(account.open)}"
        case "call":
            return "call the engineer before anything is done to it"
        case "not tightened":
            return "whether the wrench clicked is not entered"
        case "did not come up":
            return f"the nut did not come up to {torque}"
        case "held":
            return f"left at {torque} of {target}"
        case "past its torque":
            return f"turned to {torque}, past its {target}"
        case "deviating":
            return f"not as planned, and nobody has accepted it: {_named(account)}"
        case "accepted":
            return f"finished; not as planned and accepted: {_named(account)}"
        case "finished":
            return "finished"


def _named(account: AnchorAccount) -> str:
    shown = account.not_accepted or account.departures
    return _some(tuple(dict.fromkeys(one.what for one in shown)))


def _some(named: Sequence[str]) -> str:
    """Return the first few of many, and how many more there are."""
    more = len(named) - _MOST_NAMED
    return f"{', '.join(named[:_MOST_NAMED])}{f' and {more} more' if more > 0 else ''}"


def account_now(state: DayState, anchor: str) -> AnchorAccount:
    """Return how an anchor stands in the day."""
    return _account(state, state.anchors[anchor], standing_findings(state))


def _account(state: DayState, now: AnchorNow, found: Sequence[StandingFinding]) -> AnchorAccount:
    torque = None if now.dropped else figures_for(state, now.id).torque
    built = now.plan.built
    before = NOTHING_BEFORE if built is None else Before(
        torque_lbf_ft=built.torque_left_lbf_ft, clicked=built.clicked, open=built.left_open,
        departed=built.departed, accepted=built.accepted,
    )  # fmt: skip
    answers = {step: answer.answer for step, answer in now.answers.items()}
    nut = nut_as_left(
        {key: (one.value, one.then) for key, one in now.as_built.items()}, answers.get(NUT_STEP, ""), before
    )
    return AnchorAccount(
        anchor=now.id,
        dropped=now.dropped,
        open=() if now.dropped else (*open_steps(state, now), *before.open),
        torque_lbf_ft=nut.torque_lbf_ft,
        clicked=nut.clicked,
        target_lbf_ft=torque.torque_lbf_ft if torque is not None else None,
        agrees_share=state.rules.number("torque_agrees_share"),
        departures=with_earlier(_departures(state, now, found), before),
        call=answers.get(WORD_STEP) == CALL,
        owner_by_plan=now.plan.owner_adjustable,
    )


def _departures(state: DayState, now: AnchorNow, found: Sequence[StandingFinding]) -> Iterator[Departure]:
    for one in now.deviations:
        what = label(one.step) if one.step else one.text
        yield Departure(what=what, accepted=state.shared.accepted.get(one.n, ""))
    for finding in found:
        if finding.anchor == now.id:
            answer = finding.answer
            accepted = f"{answer.name}: {answer.reason}" if answer is not None else ""
            yield Departure(what=f"{finding.label}, {finding.value}", accepted=accepted)


def account_lines(state: DayState) -> tuple[str, ...]:
    """Return a line for every anchor: how it stands, and whether its nut is the owner's to turn."""
    system, found = state.job.job.units, standing_findings(state)
    return tuple(
        f"{now.id}: {account_words(_account(state, now, found), system)}" for now in state.anchors.values()
    )


__all__ = [
    "BEFORE_TODAY",
    "LEFT_AS_FOUND",
    "NOTHING_BEFORE",
    "TORQUE_FOUND",
    "TORQUE_LEFT",
    "TURN_NOTHING",
    "YOURS",
    "AnchorAccount",
    "Before",
    "Departure",
    "account_lines",
    "account_now",
    "account_words",
    "nut_as_left",
    "with_earlier",
]
