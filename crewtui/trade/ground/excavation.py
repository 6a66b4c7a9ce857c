"""People at and in the pit: the rules that its depth switches on, soil types, slope-back, nearby footings.

The rules are those of 29 CFR 1926 subparts M and P in our own words, read in a reprint: check the current
edition and the local rule. No depth is ever called safe: a shallow pit can cave in, and the competent person
on site decides.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final, Literal, NamedTuple

from msgspec import Struct

from crewtui.trade.checks import not_negative, positive
from crewtui.trade.vocabulary import Mark, SoilType
from crewtui.units import at_least, at_most

WAY_OUT_IN: Final = 48.0
"""At this depth or more a trench needs a way out: 29 CFR 1926.651(c)(2)."""
AIR_TEST_IN: Final = 48.0
"""Deeper than this, where bad air is to be expected, the air is tested: 29 CFR 1926.651(g)(1)(i)."""
PROTECTION_IN: Final = 60.0
"""Only a depth less than this may do without a protective system: 29 CFR 1926.652(a)(1)."""
EDGE_GUARD_IN: Final = 72.0
"""At this depth or more the edge is guarded: 29 CFR 1926.501(b)(7)(ii)."""
ENGINEER_DEPTH_IN: Final = 240.0
"""Deeper than this Table B-1 does not serve: subpart P, App. B."""
SHORT_TERM_DEPTH_IN: Final = 144.0
"""Greatest depth of the short-term slope in type A: subpart P, App. B, Table B-1."""


_SLOPES: Final[Mapping[SoilType, tuple[float, float]]] = {
    "rock": (90.0, 0.0),
    "A": (53.0, 0.75),
    "B": (45.0, 1.0),
    "C": (34.0, 1.5),
}
"""Greatest slope in degrees and its run per rise: 29 CFR 1926 subpart P, App. B, Table B-1 (reprint)."""
_SHORT_TERM_A: Final = (63.0, 0.5)


def soil_type_used(
    soil_type: SoilType | None, *, disturbed: bool = True, shaken: bool = False
) -> tuple[SoilType, tuple[str, ...]]:
    """Return the soil type that counts, and why: C until judged, at best B where dug before or shaken.

    Source: 29 CFR 1926 subpart P, App. A (reprint).
    """
    if soil_type is None:
        return "C", ("Nobody has judged the soil: it counts as type C until the competent person has.",)
    if disturbed and soil_type in {"rock", "A"}:
        return "B", (
            "This soil was dug before, as the fill beside a house always was: it counts as type B at best.",
        )
    if shaken and soil_type == "A":
        return "B", ("A hammer shakes this soil, and shaken soil is never type A: it counts as type B.",)
    return soil_type, ()


class SlopeBack(Struct, frozen=True, kw_only=True):
    """How far the sides of a pit that somebody enters are to be cut back."""

    depth_in: float
    counted_type: SoilType
    angle_deg: float
    run_per_rise: float
    horizontal_in: float
    """From the foot of each side to its rim."""
    warnings: tuple[str, ...]


def slope_back(
    depth_in: float,
    *,
    soil_type: SoilType | None,
    disturbed: bool = True,
    shaken: bool = False,
    short_term: bool = False,
) -> SlopeBack:
    """Return the steepest slope of Table B-1 and the distance that each side is cut back.

    ``short_term`` (open 24 h or less, at most 12 ft deep) steepens type A only.
    """
    positive("the pit's depth", depth_in)
    counted, warnings = soil_type_used(soil_type, disturbed=disturbed, shaken=shaken)
    angle_deg, run = _SLOPES[counted]
    if short_term and counted == "A":
        if at_most(depth_in, SHORT_TERM_DEPTH_IN):
            angle_deg, run = _SHORT_TERM_A
        else:
            warnings += (
                "The short-term slope serves down to 12 ft only: the ordinary slope of type A is shown.",
            )
    if not at_most(depth_in, ENGINEER_DEPTH_IN):
        warnings += ("Deeper than 20 ft the table does not serve: an engineer designs the protection.",)
    return SlopeBack(
        depth_in=depth_in,
        counted_type=counted,
        angle_deg=angle_deg,
        run_per_rise=run,
        horizontal_in=depth_in * run,
        warnings=warnings,
    )


RuleKey = Literal[
    "locates",
    "cover",
    "edge guard",
    "inspection",
    "spoil",
    "way out",
    "air",
    "water",
    "cave-in",
    "protection",
    "footing",
]


class PitRule(Struct, frozen=True, kw_only=True):
    """One rule, whether this pit switches it on, and whether it holds the work or only warns."""

    key: RuleKey
    applies: bool
    words: str
    source: str
    mark: Mark
    hold: bool


def pit_rules(
    depth_in: float,
    *,
    somebody_below_rim: bool | None,
    soil_type: SoilType | None,
    bad_air: bool | None,
    disturbed: bool = True,
    shaken: bool = False,
    cave_in_sign: bool | None = None,
    water: bool | None = None,
    below_footing: bool | None = None,
) -> tuple[PitRule, ...]:
    """Return every rule of the pit, in the order in which they are met: does it apply, does it hold.

    ``somebody_below_rim``: does anybody's head or trunk go below the rim? Unanswered (None) counts as yes,
    and so does ``bad_air``; a soil that nobody judged is C. A sign of cave-in counts at any depth. Where
    nobody goes in, the rules of entry fall away and the rest warn; locates and the guard of a deep edge
    hold in any case.
    """
    positive("the pit's depth", depth_in)
    entered = somebody_below_rim is not False
    air_expected = bad_air is not False
    counted, _ = soil_type_used(soil_type, disturbed=disturbed, shaken=shaken)
    deep = {
        "edge guard": at_least(depth_in, EDGE_GUARD_IN),
        "way out": at_least(depth_in, WAY_OUT_IN),
        "air": not at_most(depth_in, AIR_TEST_IN),
        "protection": at_least(depth_in, PROTECTION_IN),
    }
    needs_protection = entered and counted != "rock" and (deep["protection"] or cave_in_sign is True)
    switched: dict[RuleKey, tuple[bool, bool]] = {
        "locates": (True, True),
        "inspection": (True, entered),
        "cave-in": (entered, entered),
        "spoil": (True, entered),
        "way out": (entered and deep["way out"], True),
        "air": (entered and deep["air"] and air_expected, True),
        "water": (entered and water is not False, water is True),
        "protection": (needs_protection, True),
        "footing": (below_footing is True, True),
        "cover": (True, False),
        "edge guard": (deep["edge guard"], True),
    }
    return tuple(
        PitRule(
            key=key,
            applies=applies,
            words=_RULES[key].words,
            source=_RULES[key].source,
            mark=_RULES[key].mark,
            hold=applies and holds,
        )
        for key, (applies, holds) in switched.items()
    )


def switched_on(before: Sequence[PitRule], after: Sequence[PitRule]) -> tuple[PitRule, ...]:
    """Return the rules that apply after a change (a deeper pit, somebody who goes in) and did not before."""
    had = {rule.key for rule in before if rule.applies}
    return tuple(rule for rule in after if rule.applies and rule.key not in had)


_REPRINT: Final[Mark] = "published (reprint)"


class _RuleText(NamedTuple):
    words: str
    source: str
    mark: Mark


_RULES: Final[Mapping[RuleKey, _RuleText]] = {
    "locates": _RuleText(
        "Lines located and answered for before the ground is opened; exposed by hand inside the "
        "tolerance zone; held up and guarded while the pit is open.",
        "29 CFR 1926.651(b)",
        _REPRINT,
    ),
    "inspection": _RuleText(
        "The competent person looks at pit and ground before work starts each day, and again after rain, "
        "thaw, shaking or a burst hose.",
        "29 CFR 1926.651(k)(1)",
        _REPRINT,
    ),
    "cave-in": _RuleText(
        "At any depth: the competent person has looked for signs of cave-in and found none. One sign, "
        "and everybody comes out. A shallow pit buries a person who bends down in it.",
        "29 CFR 1926.652(a)(1)(ii)",
        _REPRINT,
    ),
    "spoil": _RuleText(
        "Spoil and gear at least 2 ft from the rim, or held back so that nothing rolls in.",
        "29 CFR 1926.651(j)(2)",
        _REPRINT,
    ),
    "way out": _RuleText(
        "4 ft or deeper: a ladder, steps or ramp stands in the pit, within 25 ft of everybody in it.",
        "29 CFR 1926.651(c)(2)",
        _REPRINT,
    ),
    "air": _RuleText(
        "Deeper than 4 ft and bad air to be expected: test the air before anybody goes in; under 19.5 % "
        "oxygen nobody does.",
        "29 CFR 1926.651(g)(1)(i)",
        _REPRINT,
    ),
    "water": _RuleText(
        "Nobody goes in while water stands or gathers, unless the competent person has set and watches "
        "what guards against it.",
        "29 CFR 1926.651(h)",
        _REPRINT,
    ),
    "protection": _RuleText(
        "5 ft or deeper, or any sign of cave-in: slope back, shore or shield before anybody goes in.",
        "29 CFR 1926.652(a)(1)",
        _REPRINT,
    ),
    "footing": _RuleText(
        "The pit goes below a footing close by: stop until it is supported, or an engineer has cleared it.",
        "29 CFR 1926.651(i)(2)",
        _REPRINT,
    ),
    "cover": _RuleText(
        "A hole that can be stepped into is covered whenever nobody works at it: twice the load that may "
        "come on it, fixed, and marked as a hole.",
        "29 CFR 1926.501(b)(4)(ii) with the agency's letter of 1998-11-17; 1926.502(i)",
        "published",
    ),
    "edge guard": _RuleText(
        "6 ft or deeper: guardrail, fence, barricade or cover at the edge.",
        "29 CFR 1926.501(b)(7)(ii)",
        "published",
    ),
}


class FootingCheck(Struct, frozen=True, kw_only=True):
    """Where the pit lies to a footing of the house, a deck or a neighbor."""

    pit_depth_in: float
    distance_in: float
    soil_type: SoilType
    below: bool
    """The pit goes deeper than the footing's bottom."""
    least_distance_in: float
    clear: bool
    words: str


def near_footing(
    pit_depth_in: float,
    *,
    footing_bottom_in: float,
    distance_in: float,
    soil_type: SoilType | None = None,
    disturbed: bool = True,
    shaken: bool = False,
) -> FootingCheck:
    """Return whether the pit stays above a line that falls from the footing's bottom at the soil's own slope.

    Depths from one level; ``distance_in`` from the footing's edge to the pit's nearest edge. That digging
    below a footing so as to endanger people is barred is 29 CFR 1926.651(i)(2); the line by Table B-1's
    slope is common practice without a source, and the engineer's word replaces it.
    """
    positive("the pit's depth", pit_depth_in)
    not_negative("the depth of the footing's bottom", footing_bottom_in)
    not_negative("the distance to the footing", distance_in)
    counted, _ = soil_type_used(soil_type, disturbed=disturbed, shaken=shaken)
    run = _SLOPES[counted][1]
    below = not at_most(pit_depth_in, footing_bottom_in)
    least_in = max(0.0, pit_depth_in - footing_bottom_in) * run
    clear = not below or at_least(distance_in, least_in)
    if not below:
        words = "The pit does not go below this footing."
    elif clear:
        words = "The pit goes below this footing but stays outside its slope line: watch it while it is open."
    else:
        words = _RULES["footing"].words
    return FootingCheck(
        pit_depth_in=pit_depth_in,
        distance_in=distance_in,
        soil_type=counted,
        below=below,
        least_distance_in=least_in,
        clear=clear,
        words=words,
    )
