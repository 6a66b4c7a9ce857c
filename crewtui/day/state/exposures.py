"""Dust and noise of a shift: the hours entered on each tool, what Table 1 asks of them, and the noise dose.

Time that names nobody counts for everybody. The person with the most is the one shown.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from functools import lru_cache
from typing import Final

from msgspec import Struct

from crewtui.day.journal.entries import ExposureEntered
from crewtui.day.state.state import DayState, Shared
from crewtui.trade.safety.exposure import (
    NoiseDose,
    NoiseExposure,
    SilicaAdvice,
    SilicaNeed,
    SilicaTask,
    SilicaUse,
    noise_dose,
    projected_dose,
    silica_advice,
)

_HOUR_S: Final = 3_600.0


class Tool(Struct, frozen=True, kw_only=True):
    """A tool that makes dust or noise."""

    id: str
    label: str
    task: SilicaTask | None
    """Its task in 29 CFR 1926.1153 Table 1; None where it makes no such dust."""
    level_rule: str
    """The company's figure for its noise at the ear."""
    indoors: bool
    """Where it is mostly used."""


_LISTED: Final[tuple[tuple[str, str, SilicaTask | None, str, bool], ...]] = (
    ("wall drill", "Rotary hammer drill on the wall", "drilling", "drill", True),
    ("driving hammer", "Hammer that drives the rods", None, "hammer", True),
    ("chipping hammer", "Chipping hammer", "chipping or jackhammer", "chipping", True),
    ("power saw", "Hand-held power saw on masonry", "hand-held power saw", "saw", False),
    ("grinder", "Grinder on masonry", "grinding", "saw", True),
    ("mortar grinder", "Grinder cutting out mortar", "cutting out mortar", "saw", True),
    ("auger engine", "Engine of the auger", None, "auger", False),
)
TOOLS: Final = tuple(
    Tool(id=ident, label=label, task=task, level_rule=f"{rule}_level_dba", indoors=indoors)
    for ident, label, task, rule, indoors in _LISTED
)


def tool_of(ident: str) -> Tool | None:
    """Return the tool of that name, or None where there is none."""
    return next((tool for tool in TOOLS if tool.id == ident), None)


class ToolTime(Struct, frozen=True, kw_only=True):
    """One tool's hours of the shift, indoors or out."""

    tool: Tool
    indoors: bool
    hours: float
    need: SilicaNeed | None
    """What Table 1 asks; None where the tool makes no such dust."""


class ShiftExposure(Struct, frozen=True, kw_only=True):
    """What the person with the most has had this shift."""

    who: str
    """Empty where everybody had the same."""
    times: tuple[ToolTime, ...]
    dust: SilicaAdvice
    noise: NoiseDose


class ShiftNoise(Struct, frozen=True, kw_only=True):
    """The noise dose now, and what it comes to at the end of the shift."""

    now: NoiseDose
    at_this_pace: NoiseDose
    without_a_pause: NoiseDose
    """The tools run all the time that is left."""
    ends: datetime


def shift_exposure(state: DayState) -> ShiftExposure:
    """Return what was entered for the shift that is on, judged for the person who had the most."""
    return _judged(state.shared.exposures, state.shared.day_began_at, _levels(state.shared))


@lru_cache(maxsize=8)
def _judged(
    entered: tuple[ExposureEntered, ...], began: datetime | None, levels: tuple[tuple[str, float], ...]
) -> ShiftExposure:
    today = tuple(one for one in entered if began is None or one.done_at.date() >= began.date())
    people = tuple(dict.fromkeys(one.who for one in today if one.who)) or ("",)
    by_person = [_of(who, [one for one in today if one.who in {"", who}], dict(levels)) for who in people]
    return max(by_person, key=lambda one: (one.noise.share, one.dust.factor, one.dust.total_hours))


def _levels(shared: Shared) -> tuple[tuple[str, float], ...]:
    return tuple((tool.id, shared.rules.number(tool.level_rule)) for tool in TOOLS)


def _of(who: str, entered: list[ExposureEntered], levels: dict[str, float]) -> ShiftExposure:
    hours: dict[tuple[str, bool], float] = {}
    for one in entered:
        if one.tool in levels:
            place = (one.tool, one.indoors)
            hours[place] = hours.get(place, 0.0) + one.hours
    uses = {
        place: SilicaUse(task=task, hours=spent, indoors=place[1])
        for place, spent in hours.items()
        if (task := _tool(place[0]).task) is not None
    }
    dust = silica_advice(tuple(uses.values()))
    needs = dict(zip(uses, dust.needs, strict=True))
    noise = noise_dose(
        [
            NoiseExposure(
                task=_tool(one.tool).label,
                level_dba=one.level_dba if one.level_dba is not None else levels[one.tool],
                hours=one.hours,
            )
            for one in entered
            if one.tool in levels
        ]
    )
    times = tuple(
        ToolTime(tool=_tool(ident), indoors=indoors, hours=spent, need=needs.get((ident, indoors)))
        for (ident, indoors), spent in hours.items()
    )
    return ShiftExposure(who=who, times=times, dust=dust, noise=noise)


def _tool(ident: str) -> Tool:
    found = tool_of(ident)
    if found is None:
        raise KeyError(ident)
    return found


def shift_noise(state: DayState, now: datetime) -> ShiftNoise:
    """Return the dose at the end of the shift, at the pace so far and with no pause at all.

    The pace is the time on tools for each hour since the day began; somebody whose time on tools is longer
    than the day so far goes on without a pause.
    """
    so_far = shift_exposure(state).noise
    began = state.shared.day_began_at or now
    ends = began + timedelta(hours=state.rules.number("shift_h"))
    left_h = max(0.0, (ends - now).total_seconds() / _HOUR_S)
    gone_h = max((now - began).total_seconds() / _HOUR_S, so_far.hours)
    if not so_far.hours:
        return ShiftNoise(now=so_far, at_this_pace=so_far, without_a_pause=so_far, ends=ends)
    pace_h = left_h * so_far.hours / gone_h
    return ShiftNoise(
        now=so_far,
        at_this_pace=projected_dose(so_far, hours_left=pace_h),
        without_a_pause=projected_dose(so_far, hours_left=left_h),
        ends=ends,
    )


def respirator_needed(state: DayState) -> bool:
    """Return whether Table 1 asks for a respirator at the hours entered this shift."""
    return shift_exposure(state).dust.factor > 0


def noise_is_over(state: DayState) -> bool:
    """Return whether the dose of this shift is already past what is allowed."""
    return shift_exposure(state).noise.too_much


def exposure_words(state: DayState, now: datetime) -> Iterator[str]:
    """Yield what stands of dust and noise, a sentence each."""
    seen = shift_exposure(state)
    for time in seen.times:
        place = "indoors" if time.indoors else "outdoors"
        need = f": {time.need.words}" if time.need is not None else "."
        yield f"{time.tool.label}, {place}, {minutes(time.hours)}{need}"
    yield from seen.dust.warnings
    if seen.times:
        noise = shift_noise(state, now)
        yield (
            f"Noise {share(noise.now)} of a shift so far, {share(noise.at_this_pace)} by {noise.ends:%H:%M}"
            f" at this pace, {share(noise.without_a_pause)} without a pause (29 CFR {noise.now.method})."
        )
        yield from noise.now.warnings or noise.at_this_pace.warnings


def minutes(hours: float) -> str:
    """Return a time on a tool as it is said."""
    whole = round(hours * 60)
    return f"{whole // 60} h {whole % 60:02d}" if whole >= 60 else f"{whole} min"  # noqa: PLR2004 - minutes of an hour


def share(dose: NoiseDose) -> str:
    """Return a dose in percent; above the table no number serves."""
    return "over the table" if dose.share == float("inf") else f"{dose.share * 100:.0f} %"


__all__ = [
    "TOOLS",
    "ShiftExposure",
    "ShiftNoise",
    "Tool",
    "ToolTime",
    "exposure_words",
    "minutes",
    "noise_is_over",
    "respirator_needed",
    "share",
    "shift_exposure",
    "shift_noise",
    "tool_of",
]
