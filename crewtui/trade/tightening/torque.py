"""Torque on the wall nut: the target, what to set the wrench to, rounds along the wall, click and pull-in.

The engineer's plan and the maker's sheet govern. A torque that is reached says how hard the nut was turned;
it is no test of the anchor in the ground. What tension it may mean is in ``tension``.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final, Literal

from msgspec import Struct

from crewtui.trade.checks import not_negative, positive
from crewtui.trade.vocabulary import WallType
from crewtui.units import at_least, at_most

TorqueSource = Literal["office", "plan", "wall type"]
Verdict = Literal["ok", "caution", "hold"]
ClickState = Literal["clicked", "keep on", "stop"]

GOVERNS: Final = (
    "The engineer's plan and the maker's sheet govern the torque. A torque reached is no test of the anchor."
)

TORQUE_BY_WALL_LBF_FT: Final[Mapping[WallType, float]] = {
    "poured concrete": 90.0,
    "block": 80.0,
    "clay tile": 60.0,
}
"""Common practice, no source; stated for a 3/4 in rod."""

STATED_FOR_ROD_IN: Final = 0.75
"""The rod that the torques by wall type were stated for (common practice, no source)."""

WRENCH_LEAST_SHARE: Final = 0.2
"""Least share of a wrench's scale at which it reads true (company setting, from memory)."""

PULL_IN_GREATEST_IN: Final = 1.0
"""Pull-in without a click past which nobody turns on (company setting, from memory)."""

THIRDS: Final[tuple[float, ...]] = (1 / 3, 2 / 3, 1.0)

_STRAIGHT_BACK_DEG: Final = 180.0
_FINEST_ROD_FRACTION: Final = 16


class TorqueTarget(Struct, frozen=True, kw_only=True):
    """The torque to bring the nut to, and where the figure comes from."""

    wall_type: WallType
    rod_diameter_in: float
    torque_lbf_ft: float
    source: TorqueSource
    other_rod: bool
    """The figure comes from the wall type and was stated for another rod."""
    warnings: tuple[str, ...]
    advice: str = GOVERNS


def target(
    wall_type: WallType,
    *,
    rod_diameter_in: float,
    plan_lbf_ft: float | None = None,
    office_lbf_ft: float | None = None,
    by_wall_lbf_ft: Mapping[WallType, float] = TORQUE_BY_WALL_LBF_FT,
    stated_for_rod_in: float = STATED_FOR_ROD_IN,
) -> TorqueTarget:
    """Return the target: the office's figure of the day, else the plan's, else that of the wall type.

    The figures by wall type are common practice without a source, stated for a 3/4 in rod.
    """
    positive("the rod's diameter", rod_diameter_in)
    positive("the rod that the torque is stated for", stated_for_rod_in)
    source: TorqueSource
    if office_lbf_ft is not None:
        torque, source = office_lbf_ft, "office"
    elif plan_lbf_ft is not None:
        torque, source = plan_lbf_ft, "plan"
    elif wall_type in by_wall_lbf_ft:
        torque, source = by_wall_lbf_ft[wall_type], "wall type"
    else:
        raise ValueError(f"there is no torque for a wall of type '{wall_type}'; take it from the plan")
    positive("the torque", torque)
    same_rod = at_least(rod_diameter_in, stated_for_rod_in) and at_most(rod_diameter_in, stated_for_rod_in)
    other_rod = source == "wall type" and not same_rod
    warnings: list[str] = []
    if source == "wall type":
        warnings.append(
            "The plan gives no torque: this is the trade's rule of thumb for the wall's type, stated for a "
            f"{_rod(stated_for_rod_in)} rod. Ask the office for the figure."
        )
    if other_rod:
        warnings.append(
            f"This rod is another than the {_rod(stated_for_rod_in)} rod that the rule of thumb was "
            "stated for. Do not tighten until the plan or the office gives the figure."
        )
    return TorqueTarget(
        wall_type=wall_type,
        rod_diameter_in=rod_diameter_in,
        torque_lbf_ft=torque,
        source=source,
        other_rod=other_rod,
        warnings=tuple(warnings),
    )


def _rod(diameter_in: float) -> str:
    """Write a rod's size as the trade does, as a fraction of an inch where it is one."""
    numerator, denominator = diameter_in.as_integer_ratio()
    if numerator < denominator <= _FINEST_ROD_FRACTION:
        return f"{numerator}/{denominator} in"
    return f"{diameter_in:g} in"


def _lever_share(wrench_length_in: float, extension_in: float, extension_angle_deg: float) -> float:
    """Return L/(L + E·cos a), the wrench's scale over the torque at the nut."""
    not_negative("the extension", extension_in)
    if not abs(extension_angle_deg) <= _STRAIGHT_BACK_DEG:
        raise ValueError(
            "the extension's angle must lie between -180° and 180° from the handle's line; "
            f"it is {extension_angle_deg:g}°"
        )
    if extension_in == 0:
        return 1.0
    positive("the wrench's length", wrench_length_in)
    lever_in = wrench_length_in + extension_in * math.cos(math.radians(extension_angle_deg))
    if lever_in <= 0:
        raise ValueError(
            "an extension turned back as far as the grip has no lever; turn it forward or leave it off"
        )
    # setting = torque at the nut · L / (L + E·cos β): levers with one force at the grip
    return wrench_length_in / lever_in


class WrenchSetting(Struct, frozen=True, kw_only=True):
    """What to set the wrench to so that the nut gets the torque, and whether this wrench can."""

    torque_lbf_ft: float
    wrench_length_in: float
    extension_in: float
    extension_angle_deg: float
    wrench_least_lbf_ft: float | None
    wrench_greatest_lbf_ft: float | None
    setting_lbf_ft: float
    suits: bool | None
    """None while the wrench's range is not known."""
    warnings: tuple[str, ...]
    advice: str = GOVERNS


def setting(
    torque_lbf_ft: float,
    *,
    wrench_length_in: float,
    extension_in: float = 0.0,
    extension_angle_deg: float = 0.0,
    wrench_least_lbf_ft: float | None = None,
    wrench_greatest_lbf_ft: float | None = None,
    least_share: float = WRENCH_LEAST_SHARE,
) -> WrenchSetting:
    """Return TW = TA·L/(L + E·cos a) and whether it lies in the wrench's range.

    L from the middle of the square drive to the middle of the grip, E from the square drive to the nut, a
    between the extension and the handle's line (0 straight on, 90 square to it: no change). Sources: TM
    1-1500-204-23-9 for the straight extension, TM 9-254 for the angle.
    """
    positive("the torque", torque_lbf_ft)
    value = torque_lbf_ft * _lever_share(wrench_length_in, extension_in, extension_angle_deg)
    suits, warnings = _range_suits(value, wrench_least_lbf_ft, wrench_greatest_lbf_ft, least_share)
    if extension_in > 0:
        warnings += (
            "With the extension on, hold the wrench at the middle of its grip: the figure is for that.",
        )
    return WrenchSetting(
        torque_lbf_ft=torque_lbf_ft,
        wrench_length_in=wrench_length_in,
        extension_in=extension_in,
        extension_angle_deg=extension_angle_deg,
        wrench_least_lbf_ft=wrench_least_lbf_ft,
        wrench_greatest_lbf_ft=wrench_greatest_lbf_ft,
        setting_lbf_ft=value,
        suits=suits,
        warnings=warnings,
    )


def at_share(whole: WrenchSetting, share: float, *, least_share: float = WRENCH_LEAST_SHARE) -> WrenchSetting:
    """Return the setting of the same wrench for a share of the torque, as one round along the wall asks."""
    return setting(
        whole.torque_lbf_ft * share,
        wrench_length_in=whole.wrench_length_in,
        extension_in=whole.extension_in,
        extension_angle_deg=whole.extension_angle_deg,
        wrench_least_lbf_ft=whole.wrench_least_lbf_ft,
        wrench_greatest_lbf_ft=whole.wrench_greatest_lbf_ft,
        least_share=least_share,
    )


def _range_suits(
    value_lbf_ft: float, least: float | None, greatest: float | None, least_share: float
) -> tuple[bool | None, tuple[str, ...]]:
    if least is not None and greatest is not None and least > greatest:
        raise ValueError("the wrench's least torque lies above its greatest; look at its scale again")
    if greatest is not None and not at_most(value_lbf_ft, greatest):
        return False, ("The setting lies above this wrench's scale: take a larger wrench.",)
    if least is not None and not at_least(value_lbf_ft, least):
        return False, ("The setting lies below this wrench's scale: take a smaller wrench.",)
    if greatest is not None and not at_least(value_lbf_ft, least_share * greatest):
        low = (
            f"The setting lies in the lowest {least_share:.0%} of this wrench's scale, where it does not "
            "read true: take a smaller wrench."
        )
        return False, (low,)
    if greatest is None:
        return None, ("The wrench's range is not known: read its scale before setting it.",)
    return True, ()


class TorqueStage(Struct, frozen=True, kw_only=True):
    """One round along the wall: every anchor of it to this torque before any goes further."""

    number: int
    of: int
    share: float
    words: str
    advice: str = GOVERNS


def stages(shares: Sequence[float] = THIRDS) -> tuple[TorqueStage, ...]:
    """Return the rounds of tightening, from the share of its torque that every anchor is taken to in each.

    Common practice, no source: the wall is drawn in evenly, not one anchor to the full at once. The plan or
    the maker's sheet may give other rounds.
    """
    if not shares or any(b <= a for a, b in zip((0.0, *shares), shares, strict=False)) or shares[-1] != 1.0:
        raise ValueError("the stages must rise from over 0 to exactly 1")
    last = len(shares)
    return tuple(
        TorqueStage(
            number=number,
            of=last,
            share=share,
            words=f"Round {number} of {last}: every anchor along the wall to {share:.0%} of its torque, "
            + ("then tag each." if number == last else "before any goes further."),
        )
        for number, share in enumerate(shares, start=1)
    )


class ClickCheck(Struct, frozen=True, kw_only=True):
    """What one tightening with a click wrench says."""

    clicked: bool
    pull_in_in: float | None
    pull_in_greatest_in: float
    state: ClickState
    verdict: Verdict
    words: str
    warnings: tuple[str, ...]
    advice: str = GOVERNS


SETTING_AGREES_SHARE: Final = 0.04
"""How far a wrench may be set from what was wanted: its accuracy of 4 % (company setting, from memory)."""

STOP_WORDS: Final = (
    "Stop: the rod has come in past the limit and the wrench has not clicked. Leave it, note it, call "
    "the office. The plate may be drawing through soft ground."
)


def check_click(
    set_at_lbf_ft: float,
    *,
    wanted_setting_lbf_ft: float,
    clicked: bool,
    pull_in_in: float | None = None,
    pull_in_greatest_in: float = PULL_IN_GREATEST_IN,
    agrees_share: float = SETTING_AGREES_SHARE,
) -> ClickCheck:
    """Judge a tightening: a click wrench was set at a figure and clicked or not; it gives no reading.

    ``pull_in_in`` is how far the rod came into the room while the nut was turned, None if nobody measured
    it. Past the limit of pull-in without a click the step stops.
    """
    positive("the setting", set_at_lbf_ft)
    positive("the setting wanted", wanted_setting_lbf_ft)
    not_negative("the limit of pull-in", pull_in_greatest_in)
    if pull_in_in is not None:
        not_negative("the pull-in", pull_in_in)
    past_limit = pull_in_in is not None and not at_most(pull_in_in, pull_in_greatest_in)
    off_share = set_at_lbf_ft / wanted_setting_lbf_ft - 1.0
    state, verdict, words = _click_words(
        clicked=clicked, past_limit=past_limit, measured=pull_in_in is not None
    )
    warnings: tuple[str, ...] = () if verdict == "ok" else (words,)
    if not at_most(abs(off_share), agrees_share):
        side = "above" if off_share > 0 else "below"
        warnings += (
            f"The wrench was set {side} what this anchor asks for. Set it right, or enter the reason.",
        )
        verdict = "caution" if verdict == "ok" else verdict
    if clicked and pull_in_in is None:
        warnings += ("Measure the pull-in and enter it: the click alone does not tell what the plate did.",)
    return ClickCheck(
        clicked=clicked,
        pull_in_in=pull_in_in,
        pull_in_greatest_in=pull_in_greatest_in,
        state=state,
        verdict=verdict,
        words=words,
        warnings=warnings,
    )


def _click_words(*, clicked: bool, past_limit: bool, measured: bool) -> tuple[ClickState, Verdict, str]:
    if clicked and past_limit:
        return (
            "clicked",
            "caution",
            (
                "It clicked, but the rod came in past the limit. Do not turn further; note it and tell "
                "the office."
            ),
        )
    if clicked:
        return "clicked", "ok", "Set and clicked. That is how hard the nut was turned, and no more."
    if past_limit:
        return "stop", "hold", STOP_WORDS
    if not measured:
        return "keep on", "caution", "No click yet, and no pull-in measured: measure it before turning on."
    return "keep on", "caution", "No click yet: turn on slowly, and measure the pull-in as it comes."
