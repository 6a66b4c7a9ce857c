"""Reading and showing lengths, angles, slopes, torques: as people write them, and nothing else."""

# ruff: noqa: E501 - a table of spellings reads best in long rows

from __future__ import annotations

import math
import re
import subprocess
import sys
import unicodedata
from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from crewtui import units
from crewtui.units import UnreadableError

quick = settings(max_examples=200, deadline=None)
READERS: list[Callable[[str], float]] = [
    units.read_length, units.read_angle, units.read_slope, units.read_torque, units.read_number, units.read_count,
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("28", 28), ("28.5", 28.5), (" 28 ", 28), ("28.", 28), (".5", 0.5), ("+28", 28), ("-3 1/2", -3.5),
        ("28 1/2", 28.5), ('28-1/2"', 28.5), ("28-1/2", 28.5), ("1/2", 0.5), ("28½", 28.5), ("½", 0.5),
        ("28 ½ in", 28.5), ("28-½", 28.5), ("28⅝", 28.625), ("1⁄2", 0.5), ("-½", -0.5), ("−28", -28), ("–28", -28),
        ("28 in", 28), ("28in.", 28), ("28 inches", 28), ("28''", 28), ("28″", 28), ("28”", 28), ("28 IN", 28),
        ("2'", 24), ("2′", 24), ("2’", 24), ("2 ft", 24), ("2ft", 24), ("2 feet", 24), ("1 foot", 12), ("1/2'", 6),
        ("2' 4 1/2\"", 28.5), ("2'4-1/2", 28.5), ("2'4½", 28.5), ("2'-4 1/2\"", 28.5), ("2 ft 4 in", 28),
        ("2′ 4″", 28), ("2’ 4”", 28), ("2' 4''", 28), ("2ft4in", 28), ("-2' 4\"", -28), ("2' ½\"", 24.5),
        ("12 ft 4 1/2 in", 148.5), ("12 ft.", 144), ("25.4 mm", 1), ("2,54 cm", 1), ("28,5", 28.5), ("0.0254m", 1),
        ("28\u00a01/2", 28.5), ("\t28", 28), ("0", 0), ("1 yd", 36),
    ],
)  # fmt: skip
def test_lengths_as_people_write_them(text: str, inches: float) -> None:
    assert units.read_length(text) == pytest.approx(inches, abs=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        "", " ", "abc", "28 1/0", "28 5/4", "5/4", "11/4", "1/0", "28 1/2048", "2 4 1/2", "2' 14\"", "28 - 1/2", "--28", "28..5", "2'4'",
        "1e3", "inf", "nan", "infinity", "1e999", "9" * 60, "28 lbf", "28 in in", "28 kg", "1,234", "1,234.5",
        "12,34,56", "0,125", "1 ft, 4 in", "٢٨", "２８", "²", "28 1/2 1/2", "28\n30", "[A-1]", "28 1/99999", "0x1c", "1_000", "⅟",
        "1/2/3", "28 /", "in", "'", '"', "1.5/2", "-", "+", "½½", "5 ft 1/0 in", "\x00",
    ],
)  # fmt: skip
def test_what_is_no_length_is_refused_in_a_sentence(text: str) -> None:
    with pytest.raises(UnreadableError, match="write a length such as") as refused:
        units.read_length(text)
    said = str(refused.value)
    assert said.endswith(".")
    assert said.isprintable()


def test_a_comma_is_read_only_where_it_cannot_part_thousands() -> None:
    assert units.read_length("12,5") == 12.5
    assert units.read_length("1,25 m") == units.read_length("1.25 m")
    with pytest.raises(UnreadableError, match="comma that may part thousands"):
        units.read_length("1,250")


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("28½2", "28 1/2"), ("36¼4", "36 1/4"), ("28½.5", "28 1/2"), ("½½", "1/2"), ("28½ 2", "28 1/2"), ("28-⅝3", "28 5/8"),
        ("2'4½1", "4 1/2"), ("28½/2", "28 1/2"), ("28½,5", "28 1/2"), ("28 1/22", "28 1/2"), ("36 1/44", "36 1/4"), ("3/88", "3/8"),
        ("28 1/165", "28 1/16"), ("13½'2", "13 1/2 ft or 13 ft 2 in"), ("8.5'4", "8.5 ft or 8 ft 4 in"), ("1/2' 3", "1/2 ft or 0 ft 3 in"),
        ("2.5 ft 3 in", "2.5 ft or 2 ft 3 in"), ("1'000", "1000"), ("1’000", "1000"), ("1'250", "1250"), ("12'000 mm", "12000"),
        ("1'000'000", "1000000"), ("1 000", "1000"), ("1\u202f250 mm", "1250"), ("1_000", "1000"), ("1'0005", "10005"), ("1'000½", "1000"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("bare", ["in", "mm"])
def test_a_slip_that_would_read_as_another_length_is_refused_with_what_was_meant(
    text: str, meant: str, bare: units.LengthUnit
) -> None:
    with pytest.raises(UnreadableError, match=re.escape(f"perhaps {meant} is meant: write a length")):
        units.read_length(text, bare=bare)


@pytest.mark.parametrize(
    ("read", "text", "meant"),
    [
        (units.read_torque, "90½0", "90 1/2"), (units.read_torque, "90 1/20", "90 1/2"), (units.read_torque, "1'000 N·m", "1000"),
        (units.read_count, "1'000", "1000"), (units.read_number, "4½5", "4 1/2"), (units.read_number, "1 000", "1000"),
        (units.read_slope, "1½5 in/ft", "1 1/2"), (units.read_angle, "1⅛2 in/ft", "1 1/8"), (units.read_angle, "1/88 in/ft", "1/8"),
        (units.read_slope, "8.5' 4\" in 90 ft", "8.5 ft or 8 ft 4 in"),
    ],
)  # fmt: skip
def test_the_same_slips_are_refused_by_every_reader(
    read: Callable[[str], float], text: str, meant: str
) -> None:
    with pytest.raises(UnreadableError, match=re.escape(f"perhaps {meant} is meant: ")):
        read(text)


SIGNS = "".join(chr(code) for code in (*range(0xBC, 0xBF), *range(0x2150, 0x215F)))
whole_numbers = st.integers(0, 400).map(str)


@quick
@given(
    whole=whole_numbers,
    sign=st.sampled_from(SIGNS),
    more=st.text(f"0123456789./{SIGNS}", min_size=1, max_size=3),
)
def test_nothing_is_read_behind_a_fraction(whole: str, sign: str, more: str) -> None:
    for read in READERS:
        with pytest.raises(UnreadableError):
            read(f"{whole}{sign}{more}")


@quick
@given(
    feet=st.one_of(
        st.builds("{}{}".format, whole_numbers, st.sampled_from(SIGNS)),
        st.builds("{}.{}".format, whole_numbers, st.integers(0, 99)),
        st.builds("{} 1/{}".format, whole_numbers, st.sampled_from([2, 4, 8])),
    ),
    foot=st.sampled_from(["'", "′", "’", " ft", " ft "]),
    inches=st.one_of(st.integers(0, 11).map(str), st.sampled_from(SIGNS)),
    inch=st.sampled_from(["", '"', " in"]),
)
def test_feet_beside_inches_are_whole(feet: str, foot: str, inches: str, inch: str) -> None:
    with pytest.raises(UnreadableError, match="part of a foot beside inches"):
        units.read_length(f"{feet}{foot}{inches}{inch}")


@quick
@given(
    first=st.integers(1, 999),
    more=st.lists(st.integers(0, 999), min_size=1, max_size=2),
    mark=st.sampled_from(["'", "’", "′", " ", "\u202f", "\u2009", "_", ","]),
    unit=st.sampled_from(["", " mm", " m", " in", '"', " lbf·ft", " N·m"]),
)
def test_thousands_are_never_parted(first: int, more: list[int], mark: str, unit: str) -> None:
    text = mark.join([str(first), *(f"{three:03}" for three in more)]) + unit
    for read in READERS:
        with pytest.raises(UnreadableError):
            read(text)


def _by_hand(text: str) -> Fraction:
    """Return inches as a strict hand reads them: whole feet beside them, a number, one fraction."""
    sign, body = (-1, text[1:]) if text[0] == "-" else (1, text.removeprefix("+"))
    feet, _, rest = body.rpartition("'")
    if feet and not rest:
        return sign * 12 * _by_hand(feet.strip())
    apart = "".join(f" {unicodedata.normalize('NFKC', char)} " if char in SIGNS else char for char in rest)
    words = re.split(r"[ -]+", apart.replace("⁄", "/").removesuffix('"').strip(" -"))
    if len(words) > 2 or (len(words) == 2 and not (words[0].isdigit() and "/" in words[1])):
        raise ValueError(text)
    return sign * (int(feet or 0) * 12 + sum(Fraction(word or 0) for word in words))


@settings(max_examples=600, deadline=None)
@given(text=st.text("0123456789 ½¼⅛/'\".-", min_size=1, max_size=9))
@example(text="2'4½")
@example(text="2'")
@example(text='28-1/2 "')
@example(text="28½2")
def test_what_is_read_is_what_a_strict_hand_reads(text: str) -> None:
    try:
        value = units.read_length(text)
    except UnreadableError:
        return
    by_hand = _by_hand(text.replace("''", '"').strip())
    assert value == pytest.approx(float(by_hand), abs=1e-9)


def test_a_bare_number_is_in_the_fields_own_unit() -> None:
    assert units.read_length("730", bare="mm") == pytest.approx(730 / 25.4)
    assert units.read_length("12", bare="ft") == 144
    assert units.read_length('28"', bare="mm") == 28
    assert units.read_torque("122", bare="N·m") == units.torque_from(122, "N·m")


@pytest.mark.parametrize(
    ("text", "angle_deg"),
    [
        ("5.3", 5.3), ("5.3°", 5.3), ("5.3 deg", 5.3), ("5,3", 5.3), ("5° 16'", 5 + 16 / 60), ("5°16′", 5 + 16 / 60),
        ("-2", -2), ("−2°", -2), ("0", 0), ("1 1/8 in/ft", math.degrees(math.atan(1.125 / 12))),
        ("9 %", math.degrees(math.atan(0.09))), ("9%", math.degrees(math.atan(0.09))), ("1:1", 45),
        ("92 mm/m", math.degrees(math.atan(0.092))), ("1⅛ in per ft", math.degrees(math.atan(1.125 / 12))),
        ("9.2 cm/m", math.degrees(math.atan(0.092))), ("12 in/ft", 45), ("1 1/8 in / ft", math.degrees(math.atan(1.125 / 12))),
    ],
)  # fmt: skip
def test_angles(text: str, angle_deg: float) -> None:
    assert units.read_angle(text) == pytest.approx(angle_deg, abs=1e-12)


@pytest.mark.parametrize(
    "text", ["", "90", "95°", "1000", "5° 60'", "5/8 in", "1/2'", "1 1/8 in", "9 %%", "92/m", "5.3 rad", "x", "1:0", "28 mm"]
)  # fmt: skip
def test_what_is_no_angle(text: str) -> None:
    with pytest.raises(UnreadableError) as refused:
        units.read_angle(text)
    assert str(refused.value).endswith(".")


@pytest.mark.parametrize(
    ("text", "slope"),
    [
        ("5 %", 0.05), ("0.05", 0.05), ("6 in in 10 ft", 0.05), ("6 in 10 ft", 0.05), ("5/8 in/ft", 0.625 / 12), ("1:20", 0.05),
        ("-2 %", -0.02), ("5 percent", 0.05), ("150 mm in 3 m", 0.05), ("6\" in 10'", 0.05), ("1/4 per ft", 0.25 / 12),
        ("6 in / 10 ft", 0.05), ("0", 0.0), ("50 mm/m", 0.05), ("½ in/ft", 0.5 / 12),
    ],
)  # fmt: skip
def test_slopes(text: str, slope: float) -> None:
    assert units.read_slope(text) == pytest.approx(slope, abs=1e-12)


@pytest.mark.parametrize(
    "text", ["", "5", "1", "5/8 in", "5/8 in/", "6 in in 0 ft", "1:0", "in/ft", "50/m", "5 % %", "per ft"]
)
def test_what_is_no_slope(text: str) -> None:
    with pytest.raises(UnreadableError):
        units.read_slope(text)


@pytest.mark.parametrize(
    "text",
    [
        "90", "90 lbf·ft", "90 ft-lb", "90 lb-ft", "90 ft·lb", "90 ft lbs", "90lbf-ft", "90 lbf.ft", "90 lbf*ft", "90 FT-LB",
        "90 foot-pounds", "1080 lbf·in", "1080 in-lb", "1080 inch pounds", "122.02361534983602 N·m", "122.02361534983602Nm",
        "122.02361534983602 N m", "122.02361534983602 newton metres",
    ],
)  # fmt: skip
def test_ninety_in_every_spelling(text: str) -> None:
    assert units.read_torque(text) == pytest.approx(90.0, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["", "-90", "90 -", "90 ·", "90 N", "90 lb", "90 kg", "ninety", "1e9", "9999999", "90-100"]
)
def test_what_is_no_torque(text: str) -> None:
    with pytest.raises(UnreadableError, match="write a torque such as"):
        units.read_torque(text)


def test_counts_and_numbers() -> None:
    assert units.read_count(" 4 ") == 4
    assert units.read_number("4 1/2") == 4.5
    assert units.read_number("-0.25") == -0.25
    for text in ("", "4.5", "-1", "four", "1234567"):
        with pytest.raises(UnreadableError, match="whole number"):
            units.read_count(text)
    for text in ("", "1e3", "4 in", "nan", "1,234"):
        with pytest.raises(UnreadableError):
            units.read_number(text)


written = st.text(alphabet=" 0123456789.,-/½⅝'\"′″°%:inftmcyd·lbfNs+", max_size=20)


@pytest.mark.parametrize("read", READERS)
@quick
@given(text=st.one_of(st.text(max_size=80), written))
@example(text="1" * 59 + "/1")
@example(text="\ud800")
@example(text="5/8 in/" + "0" * 40 + " in")
@example(text="." * 60)
def test_any_text_gives_a_finite_number_or_one_sentence(read: Callable[[str], float], text: str) -> None:
    try:
        value = read(text)
    except UnreadableError as refused:
        said = str(refused)
        assert said.endswith(".")
        assert said.isprintable()
        assert len(said) < 250
    else:
        assert math.isfinite(value)


lengths = st.floats(min_value=-4_000, max_value=4_000, allow_nan=False)


@quick
@given(value_in=lengths, step=st.sampled_from([1, 2, 4, 8, 16, 32, 64]))
def test_a_tape_length_reads_back_within_half_a_step(value_in: float, step: int) -> None:
    shown = units.show_length(value_in, step=step)
    assert abs(units.read_length(shown) - value_in) <= 0.5 / step + 1e-9
    assert units.show_length(units.read_length(shown), step=step) == shown


@quick
@given(value_in=lengths)
def test_a_metric_length_reads_back_within_half_a_millimetre(value_in: float) -> None:
    shown = units.show_length(value_in, "metric")
    assert abs(units.read_length(shown, bare="mm") - value_in) * 25.4 <= 0.5 + 1e-9


@quick
@given(
    limit_in=st.floats(min_value=1, max_value=200),
    gap_in=st.floats(min_value=-0.5, max_value=0.5),
    system=st.sampled_from(["imperial", "metric"]),
)
@example(limit_in=36.0, gap_in=-1 / 32, system="imperial")
@example(limit_in=36.0, gap_in=-2e-6, system="metric")
@example(limit_in=36.0, gap_in=-2e-6, system="imperial")
def test_a_verdict_can_be_seen_in_what_is_shown(
    limit_in: float, gap_in: float, system: units.UnitSystem
) -> None:
    value_in = limit_in + gap_in
    value = units.read_length(units.show_length_fine(value_in, limit_in, system))
    limit = units.read_length(units.show_length_fine(limit_in, value_in, system))
    if value_in - limit_in < -units.TOLERANCE_IN:
        assert value < limit
    elif value_in - limit_in > units.TOLERANCE_IN:
        assert value > limit


def test_fine_lengths() -> None:
    assert units.show_length_fine(36 - 1 / 32, 36) == "35 31/32 in"
    assert units.show_length_fine(33.0, 36) == "33 in"
    assert units.show_length_fine(36.0, 36.0) == "36 in"
    assert units.show_length_fine(36 - 5e-7, 36) == "36 in"  # inside the one tolerance: no verdict to show
    assert units.show_length_fine(35.99999, 36) == "35.999990 in"
    assert units.show_length_fine(899.96 / 25.4, 900 / 25.4, "metric") == "899.96 mm"
    assert units.show_length_fine(-0.001, 1, "metric") == "0 mm"


def test_shown() -> None:
    assert units.show_length(28.75) == "28 3/4 in"
    assert units.show_length(148.5) == "12 ft 4 1/2 in"
    assert units.show_length(95.99) == "8 ft"
    assert units.show_length(95.875) == "95 7/8 in"
    assert units.show_length(144) == "12 ft"
    assert units.show_length(-0.01) == "0 in"
    assert units.show_length(-0.01, "metric") == "0 mm"
    assert units.show_length(-0.5) == "-1/2 in"
    assert units.show_length(730 / 25.4, "metric") == "730 mm"
    assert units.show_length(28.0625, step=16) == "28 1/16 in"
    assert units.show_angle(5.2624) == "5.3°"
    assert units.show_angle(-0.01) == "0.0°"
    assert units.show_fall(5.2624) == "1 1/8 in/ft"
    assert units.show_fall(5.2624, "metric") == "92 mm/m"
    assert units.show_slope(0.05) == "5.0 %"
    assert units.show_torque(90) == "90 lbf·ft (122 N·m)"
    assert units.show_torque(90, "metric") == "122 N·m (90 lbf·ft)"
    assert units.show_force(12_024) == "12 kip"
    assert units.show_force(7_183, "metric") == "32 kN"
    assert units.show_share(0.87) == "87 %"


def test_a_share_is_never_shown_as_all_or_none_unless_it_is() -> None:
    assert [units.show_share(share) for share in (0.0, 1.0)] == ["0 %", "100 %"]
    assert units.show_share(0.997) == "99.7 %"
    assert units.show_share(0.99999) == "over 99.9 %"
    assert units.show_share(1.00001) == "over 100 %"
    assert units.show_share(0.004) == "0.4 %"
    assert units.show_share(0.00001) == "under 0.1 %"
    assert units.show_share(1.06) == "106 %"


@quick
@given(angle_deg=st.floats(min_value=-60, max_value=60), system=st.sampled_from(["imperial", "metric"]))
def test_shown_angles_falls_and_slopes_read_back(angle_deg: float, system: units.UnitSystem) -> None:
    assert units.read_angle(units.show_angle(angle_deg)) == pytest.approx(angle_deg, abs=0.05 + 1e-9)
    slope = math.tan(math.radians(angle_deg))
    half = 0.5 / 16 / 12 if system == "imperial" else 0.5 / 1000
    fall = units.read_angle(units.show_fall(angle_deg, system))
    assert math.tan(math.radians(fall)) == pytest.approx(slope, abs=half + 1e-9)
    assert units.read_slope(units.show_slope(slope)) == pytest.approx(slope, abs=0.0005 + 1e-9)


@quick
@given(torque_lbf_ft=st.floats(min_value=0, max_value=2_000), unit=st.sampled_from(["lbf·ft", "N·m"]))
def test_shown_torques_read_back(torque_lbf_ft: float, unit: units.TorqueUnit) -> None:
    shown = units.show_torque(torque_lbf_ft, "imperial" if unit == "lbf·ft" else "metric").split(" (")[0]
    assert units.read_torque(shown) == pytest.approx(torque_lbf_ft, abs=0.5 + 1e-9)


def test_limits_are_inclusive_with_one_tolerance() -> None:
    assert units.at_least(36.0, 36.0)
    assert units.at_least(36.0 - 9e-7, 36.0)
    assert not units.at_least(36.0 - 2e-6, 36.0)
    assert units.at_most(36.0 + 9e-7, 36.0)
    assert not units.at_most(36.0 + 2e-6, 36.0)
    assert not units.at_least(math.nan, 36.0)
    assert units.at_least(units.read_length("914.4 mm"), 36.0)


def test_reading_what_is_common_does_not_load_the_units_library() -> None:
    script = """
import sys
from crewtui import units
units.read_length("28 1/2"), units.read_length("2' 4½\\""), units.read_length("730", bare="mm")
units.read_angle("5.3"), units.read_angle("1 1/8 in/ft"), units.read_slope("6 in in 10 ft")
units.read_torque("90"), units.read_torque("90 ft-lb"), units.read_torque("122", bare="N·m")
units.read_length("72 cm"), units.read_length("1.2 m"), units.read_length("30 mm"), units.read_angle("92 mm/m")
units.read_torque("122 N·m"), units.read_torque("1080 in-lb"), units.read_slope("9 %")
units.show_length(28.5, "metric"), units.show_torque(90), units.show_fall(5.3, "metric"), units.show_force(7000, "metric")
assert "pint" not in sys.modules, "loaded too early"
assert units.read_length("1 yd") and "pint" in sys.modules
"""
    subprocess.run([sys.executable, "-X", "utf8", "-c", script], check=True, timeout=60)
