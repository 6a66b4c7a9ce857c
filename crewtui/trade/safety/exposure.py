"""Noise and silica dust over a shift: the noise dose, and Table 1's controls and respirator by task.

Noise by 29 CFR 1926.52 Table D-2 or by the formula of 29 CFR 1910.95 Appendix A: a result says which. Dust by
29 CFR 1926.1153 Table 1, in our own words: check the current edition and the local rule.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Final, Literal

from msgspec import Struct

from crewtui.units import at_most

NoiseMethod = Literal["1926.52 Table D-2", "1910.95 Appendix A"]

TABLE_D2: Final[tuple[tuple[float, float], ...]] = (
    (90.0, 8.0),
    (92.0, 6.0),
    (95.0, 4.0),
    (97.0, 3.0),
    (100.0, 2.0),
    (102.0, 1.5),
    (105.0, 1.0),
    (110.0, 0.5),
    (115.0, 0.25),
)
"""Level in dBA, slow response, and permitted hours: 29 CFR 1926.52(d)(1), Table D-2."""
HIGHEST_DBA: Final = 115.0
"""Past this the table ends: nobody works in it until the noise is brought down."""
APPENDIX_A_FROM_DBA: Final = 80.0
"""Levels from here up count in the dose of 29 CFR 1910.95(c) and Appendix A."""


class NoiseExposure(Struct, frozen=True, kw_only=True):
    """One stretch of work at one level."""

    task: str
    level_dba: float
    hours: float

    def __post_init__(self) -> None:
        if not (math.isfinite(self.hours) and self.hours >= 0):
            raise ValueError(f"the hours of {self.task} must be zero or more")
        if not (math.isfinite(self.level_dba) and self.level_dba >= 0):
            raise ValueError(f"the level of {self.task} must be a number of dBA")


def permitted_hours(level_dba: float, *, method: NoiseMethod) -> float | None:
    """Return the hours allowed at a level; None where it does not count, 0 above the table.

    Table D-2 lists nine levels: one between two of them takes the hours of the higher, since the table
    gives no other figure. Appendix A: T = 8/2^((L − 90)/5).
    """
    if not at_most(level_dba, HIGHEST_DBA):
        return 0.0
    if method == "1926.52 Table D-2":
        if level_dba < TABLE_D2[0][0]:
            return None
        return next(hours for listed, hours in TABLE_D2 if at_most(level_dba, listed))
    if level_dba < APPENDIX_A_FROM_DBA:
        return None
    return float(8.0 / 2.0 ** ((level_dba - 90.0) / 5.0))


class NoiseDose(Struct, frozen=True, kw_only=True):
    """The sum of time spent over time allowed; 1 is the whole of what is allowed."""

    exposures: tuple[NoiseExposure, ...]
    method: NoiseMethod
    share: float
    """Infinite where somebody was above the table."""
    hours: float
    too_much: bool
    words: str
    warnings: tuple[str, ...]


def noise_dose(exposures: Sequence[NoiseExposure], *, method: NoiseMethod = "1926.52 Table D-2") -> NoiseDose:
    """Return the dose of a shift, Σ C/T; over 1 is too much."""
    share = 0.0
    warnings: list[str] = []
    for one in exposures:
        allowed = permitted_hours(one.level_dba, method=method)
        if allowed is None or one.hours == 0:
            continue
        if allowed == 0:
            share = math.inf
            warnings.append(f"{one.task}: over 115 dBA. Stop it until the noise is brought down.")
        else:
            share += one.hours / allowed
    too_much = not at_most(share, 1.0, 1e-9)
    if too_much:
        warnings.append(
            "More noise than a shift allows: bring it down or share the work out first; for what is "
            "left, fitted hearing protection. Plain cotton is none."
        )
    return NoiseDose(
        exposures=tuple(exposures),
        method=method,
        share=share,
        hours=math.fsum(one.hours for one in exposures),
        too_much=too_much,
        words=f"Dose by {method}.",
        warnings=tuple(warnings),
    )


def projected_dose(so_far: NoiseDose, *, hours_left: float, level_dba: float | None = None) -> NoiseDose:
    """Return the dose at the end of the shift.

    With a level the hours left run at it. Without one they run at the mix of the hours so far; before any
    hour is entered there is no mix, and ValueError says so.
    """
    if not (math.isfinite(hours_left) and hours_left >= 0):
        raise ValueError("the hours left in the shift must be zero or more")
    if level_dba is not None:
        rest = [NoiseExposure(task="rest of the shift", level_dba=level_dba, hours=hours_left)]
    elif so_far.hours > 0:
        rest = [
            NoiseExposure(task=one.task, level_dba=one.level_dba, hours=one.hours * hours_left / so_far.hours)
            for one in so_far.exposures
        ]
    else:
        raise ValueError("nothing has been entered yet: give the level for the hours left")
    return noise_dose([*so_far.exposures, *rest], method=so_far.method)


SilicaTask = Literal[
    "drilling",
    "core drilling on a rig",
    "chipping or jackhammer",
    "hand-held power saw",
    "grinding",
    "cutting out mortar",
]


class Table1Row(Struct, frozen=True, kw_only=True):
    """One task of Table 1: its controls, and the respirator's protection factor (APF); 0 is none required."""

    task: SilicaTask
    place: str
    controls: str
    outdoors_up_to_4_h: int
    outdoors_over_4_h: int
    indoors_up_to_4_h: int
    indoors_over_4_h: int

    def factor(self, *, indoors: bool, over_4_h: bool) -> int:
        """Return the assigned protection factor that Table 1 asks for."""
        if indoors:
            return self.indoors_over_4_h if over_4_h else self.indoors_up_to_4_h
        return self.outdoors_over_4_h if over_4_h else self.outdoors_up_to_4_h


def _row(
    task: SilicaTask, place: str, controls: str, *, outdoors: tuple[int, int], indoors: tuple[int, int]
) -> Table1Row:
    return Table1Row(
        task=task,
        place=f"29 CFR 1926.1153 Table 1 {place}",
        controls=controls,
        outdoors_up_to_4_h=outdoors[0],
        outdoors_over_4_h=outdoors[1],
        indoors_up_to_4_h=indoors[0],
        indoors_over_4_h=indoors[1],
    )


TABLE_1: Final[Mapping[SilicaTask, Table1Row]] = {
    row.task: row
    for row in (
        _row(
            "drilling",
            "(vii)",
            "Shroud and dust collector with a filter of 99 % or better that cleans itself; HEPA vacuum "
            "to clean the hole.",
            outdoors=(0, 0),
            indoors=(0, 0),
        ),
        _row(
            "core drilling on a rig",
            "(vi)",
            "Water fed to the cutting edge.",
            outdoors=(0, 0),
            indoors=(0, 0),
        ),
        _row(
            "chipping or jackhammer",
            "(x)",
            "Water at the point of impact, or shroud and dust collector with a filter of 99 % or better "
            "that cleans itself.",
            outdoors=(0, 10),
            indoors=(10, 10),
        ),
        _row(
            "hand-held power saw",
            "(ii)",
            "Water fed to the blade by the saw.",
            outdoors=(0, 10),
            indoors=(10, 10),
        ),
        _row(
            "grinding",
            "(xii)",
            "Shroud and dust collector with a cyclone or filter-cleaning mechanism; outdoors water at "
            "the wheel instead.",
            outdoors=(0, 0),
            indoors=(0, 10),
        ),
        _row(
            "cutting out mortar",
            "(xi)",
            "Shroud and dust collector with a cyclone or filter-cleaning mechanism.",
            outdoors=(10, 25),
            indoors=(10, 25),
        ),
    )
}
"""Tasks of 29 CFR 1926.1153 Table 1 that this work may meet (reprint), without the table's words."""

FOUR_HOURS: Final = 4.0


class SilicaUse(Struct, frozen=True, kw_only=True):
    """One task of a person's shift; ``indoors`` unanswered (None) counts as indoors."""

    task: SilicaTask
    hours: float
    indoors: bool | None = None

    def __post_init__(self) -> None:
        if not (math.isfinite(self.hours) and self.hours >= 0):
            raise ValueError(f"the hours of {self.task} must be zero or more")


class SilicaNeed(Struct, frozen=True, kw_only=True):
    """What one task asks for in this shift."""

    use: SilicaUse
    controls: str
    factor: int
    """Assigned protection factor of the respirator; 0 is none required."""
    place: str
    words: str


class SilicaAdvice(Struct, frozen=True, kw_only=True):
    """Controls and respirator of every task of one person's shift."""

    needs: tuple[SilicaNeed, ...]
    total_hours: float
    over_4_h: bool
    factor: int
    """The highest that any of the tasks asks for."""
    warnings: tuple[str, ...]


def silica_advice(uses: Sequence[SilicaUse]) -> SilicaAdvice:
    """Return what Table 1 asks of one person's shift.

    The hours of all listed tasks count together: over 4 h in all, each takes its over-4-h column
    (29 CFR 1926.1153(c)(3)). Exactly 4 h is not over.
    """
    total = math.fsum(one.hours for one in uses)
    over = not at_most(total, FOUR_HOURS, 1e-9)
    needs = tuple(_need(one, over_4_h=over) for one in uses)
    warnings: list[str] = []
    if any(one.indoors is None for one in uses):
        warnings.append("Not said whether indoors or out: counted as indoors.")
    if uses:
        warnings.append(
            "These hold only with the controls complete and working. Indoors also move the air out. "
            "Otherwise the exposure has to be measured."
        )
    return SilicaAdvice(
        needs=needs,
        total_hours=total,
        over_4_h=over,
        factor=max((one.factor for one in needs), default=0),
        warnings=tuple(warnings),
    )


def _need(use: SilicaUse, *, over_4_h: bool) -> SilicaNeed:
    row = TABLE_1[use.task]
    indoors = use.indoors is not False
    factor = row.factor(indoors=indoors, over_4_h=over_4_h)
    respirator = f"respirator of APF {factor} or more, fitted" if factor else "no respirator by the table"
    return SilicaNeed(
        use=use,
        controls=row.controls,
        factor=factor,
        place=row.place,
        words=f"{row.controls} With that: {respirator}.",
    )
