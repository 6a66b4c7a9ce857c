"""Reading lengths, angles, slopes and torques as people write them.

Whatever is typed gives a float or an ``UnreadableError`` that says in one sentence what can be read.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Final

from crewtui.units.scale import LengthUnit, TorqueUnit, convert, length_from, torque_from
from crewtui.units.slips import FRACTION_SIGNS, fraction_meant, is_on_a_tape, perhaps, slip_in, written_out


class UnreadableError(ValueError):
    """What was typed cannot be read; the text is one sentence that says what can."""


_LONGEST: Final = 60
_GREATEST_IN: Final = 120_000.0
_GREATEST_TORQUE_LBF_FT: Final = 1e6
_RIGHT_ANGLE_DEG: Final = 90.0
_INCHES_IN_FOOT: Final = 12.0
_MINUTES: Final = 60.0

_NUMBER: Final = r"(?:\d+(?:\.\d*)?|\.\d+)"
_MIXED: Final = rf"(?:\d+[ -]\d+/\d+|\d+/\d+|{_NUMBER})"
_FOOT: Final = r"(?:'|ft\.?|feet|foot)"
_INCH: Final = r"(?:\"|''|in\.?|inch|inches)"
_INCHES_ALONE: Final = re.compile(rf"({_MIXED}) ?{_INCH}")
_FEET_INCHES: Final = re.compile(rf"({_MIXED}) ?{_FOOT}(?:[ -]?({_MIXED}) ?{_INCH}?)?")
_METRIC_LENGTH: Final = re.compile(rf"({_MIXED}) ?(mm|cm|m)")
_RARE_LENGTH: Final = re.compile(rf"({_MIXED}) ?(yd|dm)")
_LENGTH_ALONE: Final = re.compile(_MIXED)
_DEGREES: Final = re.compile(rf"({_NUMBER}) ?(?:°|deg\.?|degrees?)?")
_DEGREES_MINUTES: Final = re.compile(rf"(\d+) ?(?:°|deg) ?({_NUMBER}) ?(?:'|min)")
_PERCENT: Final = re.compile(rf"({_NUMBER}) ?(?:%|percent)")
_RATIO: Final = re.compile(rf"({_NUMBER}) ?: ?({_NUMBER})")
_PER: Final = re.compile(
    rf"(?P<drop>.+?) ?(?P<by>/|per|in) ?(?P<run>(?:{_MIXED} ?)?(?:{_FOOT}|{_INCH}|(?P<metric>mm|cm|m)|yd))"
)
_TORQUE: Final = re.compile(rf"({_MIXED}) ?([a-z·.*\- ]*)")
_FOOT_POUNDS: Final = frozenset({
    "lbfft", "ftlbf", "lbft", "ftlb", "ftlbs", "lbsft", "footpound", "footpounds", "poundfoot", "poundfeet",
})  # fmt: skip
_INCH_POUNDS: Final = frozenset({
    "lbfin", "inlbf", "lbin", "inlb", "inlbs", "lbsin", "inchpound", "inchpounds", "poundinch", "poundinches",
})  # fmt: skip
_NEWTON_METRES: Final = frozenset({"nm", "newtonmetre", "newtonmetres", "newtonmeter", "newtonmeters"})
_TORQUE_WORDS: Final[Mapping[str, TorqueUnit]] = {
    **dict.fromkeys(_FOOT_POUNDS, "lbf·ft"),
    **dict.fromkeys(_INCH_POUNDS, "lbf·in"),
    **dict.fromkeys(_NEWTON_METRES, "N·m"),
}
_RARE_TORQUES: Final[Mapping[str, str]] = {"ncm": "Ncm", "knm": "kNm", "kgfm": "kgfm", "kgfcm": "kgfcm"}
_SAME: Final = str.maketrans({
    "’": "'", "‘": "'", "′": "'", "´": "'", "`": "'", "”": '"', "“": '"', "″": '"',
    "−": "-", "–": "-", "—": "-", "⁄": "/", "∕": "/", "×": "*", "⋅": "·", "•": "·", "º": "°", "∘": "°",
    "\u00a0": " ", "\u202f": " ", "\u2009": " ", "\t": " ",
})  # fmt: skip

_LENGTH_SENTENCE: Final = "write a length such as 28 1/2, 2' 4 1/2\", 28.5 in, 72 cm or 1.2 m"
_ANGLE_SENTENCE: Final = "write an angle such as 5.3, 5 1/4 in/ft or 9 %"
_SLOPE_SENTENCE: Final = "write a slope such as 5 %, 0.05, 6 in in 10 ft or 1:20"
_TORQUE_SENTENCE: Final = "write a torque such as 90, 90 lbf·ft, 90 ft-lb or 122 N·m"
_COUNT_SENTENCE: Final = "write a whole number such as 4"
_NUMBER_SENTENCE: Final = "write a number such as 4 or 4.5"


def _shown(text: str) -> str:
    printable = "".join(char if char.isprintable() else "?" for char in text.strip())
    return printable if len(printable) <= _LONGEST else printable[:_LONGEST] + "..."


def _unreadable(text: str, sentence: str) -> UnreadableError:
    if not text.strip():
        return UnreadableError(f"Nothing is written here: {sentence}.")
    return UnreadableError(f'"{_shown(text)}" cannot be read: {sentence}.')


def _tidy(text: str, sentence: str) -> tuple[str, float]:
    """Return the text in one spelling of its signs, lower case, without its leading sign, and that sign."""
    if len(text) > _LONGEST:
        raise _unreadable(text, sentence)
    same = re.sub(r" +", " ", text.translate(_SAME)).strip()
    if slip := slip_in(same):
        raise UnreadableError(f'"{_shown(text)}" {slip}: {sentence}.')
    spelled = "".join(f" {written_out(char)}" if char in FRACTION_SIGNS else char for char in same)
    tidy = re.sub(r" +", " ", spelled).strip().lower()
    tidy = re.sub(r"(?<=\d)- (?=\d+/\d)", "-", tidy)
    tidy = _without_comma(tidy, text, sentence)
    if not tidy.isascii() and set(tidy) - set("°·") - {c for c in tidy if c.isascii()}:
        raise _unreadable(text, sentence)
    if tidy[:1] in {"-", "+"}:
        return tidy[1:].strip(), -1.0 if tidy[0] == "-" else 1.0
    return tidy, 1.0


def _without_comma(tidy: str, text: str, sentence: str) -> str:
    """Read a decimal comma where it can be nothing else; refuse it aloud where it may part thousands."""
    if "," not in tidy:
        return tidy
    if re.search(r"\d,\d{1,2}(?!\d)", tidy) and tidy.count(",") == 1 and "." not in tidy:
        return tidy.replace(",", ".")
    raise UnreadableError(
        f'"{_shown(text)}" has a comma that may part thousands or decimals: {sentence}; no comma.'
    )


def _mixed(text: str, original: str, sentence: str) -> float:
    """Return the value of ``28``, ``28.5``, ``1/2`` or ``28 1/2``."""
    whole, _, fraction = re.sub(r"(\d)-(\d)", r"\1 \2", text.strip()).rpartition(" ")
    value = float(whole) if whole else 0.0
    if "/" not in fraction:
        return value + float(fraction)
    over, under = fraction.split("/")
    if not is_on_a_tape(int(under)):
        meant = perhaps(fraction_meant(whole, over, under))
        raise UnreadableError(f'"{_shown(original)}" has no fraction that a tape has{meant}: {sentence}.')
    if whole and int(over) >= int(under):
        raise UnreadableError(
            f'"{_shown(original)}" has a fraction of one or more beside a whole number: {sentence}.'
        )
    if int(over) > int(under):
        raise UnreadableError(
            f'"{_shown(original)}" is more than one, perhaps a whole number and a fraction without the blank'
            f" between: {sentence}."
        )
    return value + int(over) / int(under)


def _bounded(value: float, greatest: float, original: str, sentence: str) -> float:
    if not math.isfinite(value) or abs(value) > greatest:
        raise UnreadableError(f'"{_shown(original)}" is far too large to be meant: {sentence}.')
    return value


def read_length(text: str, *, bare: LengthUnit = "in") -> float:
    """Return the length in inches; ``bare`` is the unit of a number alone. UnreadableError if unread."""
    tidy, sign = _tidy(text, _LENGTH_SENTENCE)
    value = _length(tidy, text, bare)
    if value is None:
        raise _unreadable(text, _LENGTH_SENTENCE)
    return _bounded(sign * value, _GREATEST_IN, text, _LENGTH_SENTENCE)


def _length(tidy: str, original: str, bare: LengthUnit) -> float | None:
    if _LENGTH_ALONE.fullmatch(tidy):
        return length_from(_mixed(tidy, original, _LENGTH_SENTENCE), bare)
    if found := _INCHES_ALONE.fullmatch(tidy):
        return _mixed(found[1], original, _LENGTH_SENTENCE)
    if found := _FEET_INCHES.fullmatch(tidy):
        feet = _mixed(found[1], original, _LENGTH_SENTENCE)
        inches = _mixed(found[2], original, _LENGTH_SENTENCE) if found[2] else 0.0
        if found[2] and not found[1].isdigit():
            meant = perhaps(f"{found[1]} ft or {int(feet)} ft {found[2]} in")
            raise UnreadableError(
                f'"{_shown(original)}" has a part of a foot beside inches{meant}: {_LENGTH_SENTENCE}.'
            )
        if inches >= _INCHES_IN_FOOT:
            raise UnreadableError(f'"{_shown(original)}" has 12 in or more beside feet: {_LENGTH_SENTENCE}.')
        return feet * _INCHES_IN_FOOT + inches
    if found := _METRIC_LENGTH.fullmatch(tidy):
        unit: LengthUnit = "mm" if found[2] == "mm" else "cm" if found[2] == "cm" else "m"
        return length_from(_mixed(found[1], original, _LENGTH_SENTENCE), unit)
    if found := _RARE_LENGTH.fullmatch(tidy):
        return convert(_mixed(found[1], original, _LENGTH_SENTENCE), found[2], "in")
    return None


def read_angle(text: str) -> float:
    """Return the angle from level in degrees, also of ``1 1/8 in/ft``. UnreadableError if unread."""
    tidy, sign = _tidy(text, _ANGLE_SENTENCE)
    if found := _DEGREES.fullmatch(tidy):
        value = float(found[1])
    elif found := _DEGREES_MINUTES.fullmatch(tidy):
        if float(found[2]) >= _MINUTES:
            raise UnreadableError(
                f'"{_shown(text)}" has 60 minutes or more beside degrees: {_ANGLE_SENTENCE}.'
            )
        value = float(found[1]) + float(found[2]) / _MINUTES
    else:
        slope = _slope(tidy, text, _ANGLE_SENTENCE)
        if slope is None:
            raise _unreadable(text, _ANGLE_SENTENCE)
        value = math.degrees(math.atan(slope))
    if value >= _RIGHT_ANGLE_DEG:
        raise UnreadableError(
            f'"{_shown(text)}" is upright or past it: an angle from level is under 90 degrees.'
        )
    return sign * value


def read_slope(text: str) -> float:
    """Return a slope as drop over run, positive falling away from the wall. UnreadableError if unread."""
    tidy, sign = _tidy(text, _SLOPE_SENTENCE)
    if re.fullmatch(_NUMBER, tidy):
        value = float(tidy)
        if value >= 1.0:
            raise UnreadableError(
                f'"{_shown(text)}" may mean percent or drop over run: write {value:g} % or 0.05.'
            )
        return sign * value
    slope = _slope(tidy, text, _SLOPE_SENTENCE)
    if slope is None:
        raise _unreadable(text, _SLOPE_SENTENCE)
    return sign * _bounded(slope, 1e3, text, _SLOPE_SENTENCE)


def _slope(tidy: str, original: str, sentence: str) -> float | None:
    if found := _PERCENT.fullmatch(tidy):
        return float(found[1]) / 100.0
    if found := _RATIO.fullmatch(tidy):
        drop, run = float(found[1]), float(found[2])
    elif found := _PER.fullmatch(tidy):
        run_text, drop_text = found["run"].strip(), found["drop"].strip()
        numbered, bare = run_text[0] in "0123456789.", bool(_LENGTH_ALONE.fullmatch(drop_text))
        if bare and (found["metric"] or (numbered and found["by"] == "/")):
            return None  # "5/8 in" is a length, and "92/m" does not say of what
        drop_in = _length(drop_text, original, "in")
        run_in = _length(run_text if numbered else f"1 {run_text}", original, "in")
        if drop_in is None or run_in is None:
            return None
        drop, run = drop_in, run_in
    else:
        return None
    if run <= 0:
        raise _unreadable(original, sentence)
    return drop / run


def read_torque(text: str, *, bare: TorqueUnit = "lbf·ft") -> float:
    """Return the torque in lbf·ft; ``bare`` is the unit of a number alone. UnreadableError if unread."""
    tidy, sign = _tidy(text, _TORQUE_SENTENCE)
    found = _TORQUE.fullmatch(tidy)
    if not found or sign < 0:
        raise _unreadable(text, _TORQUE_SENTENCE)
    value = _mixed(found[1], text, _TORQUE_SENTENCE)
    word = re.sub(r"[ ·.*\-]", "", found[2])
    if not found[2]:
        result = torque_from(value, bare)
    elif word in _TORQUE_WORDS:
        result = torque_from(value, _TORQUE_WORDS[word])
    elif word in _RARE_TORQUES:
        result = convert(value, _RARE_TORQUES[word], "lbfft")
    else:
        raise _unreadable(text, _TORQUE_SENTENCE)
    return _bounded(result, _GREATEST_TORQUE_LBF_FT, text, _TORQUE_SENTENCE)


def read_number(text: str) -> float:
    """Return a plain number. UnreadableError if unread."""
    tidy, sign = _tidy(text, _NUMBER_SENTENCE)
    if not re.fullmatch(_MIXED, tidy):
        raise _unreadable(text, _NUMBER_SENTENCE)
    return _bounded(sign * _mixed(tidy, text, _NUMBER_SENTENCE), 1e9, text, _NUMBER_SENTENCE)


def read_count(text: str) -> int:
    """Return a whole number of things, zero or more. UnreadableError if unread."""
    tidy, sign = _tidy(text, _COUNT_SENTENCE)
    if not re.fullmatch(r"\d{1,6}", tidy) or sign < 0:
        raise _unreadable(text, _COUNT_SENTENCE)
    return int(tidy)
