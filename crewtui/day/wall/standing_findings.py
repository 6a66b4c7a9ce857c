"""What is against a limit about the walls: each is answered by somebody named, or stays a deviation.

Spacing, openings, block and marks come from the wall's layout; a bow past the company's limit and soil wedges
that meet are of their anchor. An answer counts for the value that it was given for, and no other.
"""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from crewtui.day.figures.of_anchor import figures_for
from crewtui.day.state.inputs import number_now
from crewtui.day.state.state import DayState, FindingAnswer
from crewtui.day.wall.wall_rows import wall_view
from crewtui.units import at_most, show_length

_OF_THE_PLAN = frozenset({"fewest"})
"""How many anchors a wall needs is the engineer's to say, and the gaps say the same."""


class StandingFinding(Struct, frozen=True, kw_only=True):
    """One finding against a limit, and who says that it may stay."""

    id: str
    wall: str
    anchor: str
    label: str
    value: str
    words: str
    answer: FindingAnswer | None = None


def standing_findings(state: DayState) -> tuple[StandingFinding, ...]:
    """Return every finding against a limit, wall by wall, with its answer where one still counts."""
    return tuple(_answered(state, one) for one in _all(state))


def _all(state: DayState) -> Iterator[StandingFinding]:
    for wall in state.job.walls:
        anchors = [now for now in state.live() if now.wall == wall.name]
        if not anchors:
            continue
        for found in wall_view(state, wall.name).found:
            if found.verdict == "wrong" and found.subject not in _OF_THE_PLAN:
                yield StandingFinding(
                    id=f"{wall.name}: {found.key}",
                    wall=wall.name,
                    anchor=found.anchor,
                    label=found.label,
                    value=found.value,
                    words=found.words,
                )
        for now in anchors:
            yield from _bow(state, wall.name, now.id)
            yield from _wedges(state, wall.name, now.id)


def _bow(state: DayState, wall: str, anchor: str) -> Iterator[StandingFinding]:
    system, now = state.job.job.units, state.anchors[anchor]
    limit_in = state.rules.number_or_none("engineer_bow_in")
    bow_in = number_now(state, now, "bow_in")
    if limit_in is not None and not at_most(bow_in, limit_in):
        yield StandingFinding(
            id=f"{wall}: bow {anchor}",
            wall=wall,
            anchor=anchor,
            label=f"Bow at {anchor}",
            value=show_length(bow_in, system),
            words=f"Past the company's limit of {show_length(limit_in, system)}: call the engineer.",
        )


def _wedges(state: DayState, wall: str, anchor: str) -> Iterator[StandingFinding]:
    check = figures_for(state, anchor).wedges
    if check is not None and not check.clear:
        needed = (
            f"; they clear each other from {show_length(check.least_seat_in, state.job.job.units)}"
            if check.least_seat_in is not None
            else ""
        )
        yield StandingFinding(
            id=f"{wall}: wedges {anchor}",
            wall=wall,
            anchor=anchor,
            label=f"Soil wedges at {anchor}",
            value=f"meet at {show_length(check.seat_in, state.job.job.units)}",
            words=f"Wall's and plate's soil overlap{needed}. Geometry only; the engineer says more.",
        )


def _answered(state: DayState, found: StandingFinding) -> StandingFinding:
    answer = state.shared.findings.get(found.id)
    if answer is None or answer.value != found.value:
        return found
    return StandingFinding(
        id=found.id,
        wall=found.wall,
        anchor=found.anchor,
        label=found.label,
        value=found.value,
        words=found.words,
        answer=answer,
    )


__all__ = ["StandingFinding", "standing_findings"]
