"""Lengths as the trade writes them."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from geometry.errors import BadUnitError
from geometry.units import (
    PLOTTER_UNITS_PER_MM,
    format_decimal,
    format_fraction,
    format_length,
    format_mm,
    parse_length,
    round_up,
    yard_text,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("2 1/2 in", 63.5), ('2-1/2"', 63.5), ("1½ in", 38.1), ("6.35 mm", 6.35), ("6.35mm", 6.35),
        ('1/4"', 6.35), ("½”", 12.7), ("1⁄4 in", 6.35), ("2 ½ in", 63.5), (".25in", 6.35),
        ("3in.", 76.2), ("2.5 cm", 25.0), ("1 yd", 914.4), ("1'", 304.8), ("1 m", 1000.0),
        ("  7/8 inch ", 22.225), ("-3 mm", -3.0), ("10 MM", 10.0),
    ],
)  # fmt: skip
def test_reads(text: str, mm: float) -> None:
    assert parse_length(text) == pytest.approx(mm, rel=1e-15)


@pytest.mark.parametrize(
    ("value", "units", "mm"),
    [("1/4", "in", 6.35), (1, "in", 25.4), (0.1, "cm", 1.0), ("2-1/2", "in", 63.5), (3, "mm", 3.0),
     ("1/4 in", "mm", 6.35)],
)  # fmt: skip
def test_reads_bare_numbers_in_the_stated_unit(value: object, units: str, mm: float) -> None:
    assert parse_length(value, units) == mm


@pytest.mark.parametrize(
    "bad",
    ["", "in", "1//2", "1/0 in", "1/2/3", "nan", "inf", "1e5 mm", "5 furlongs", True, None,
     float("nan"), float("inf"), "9" * 50, "1 2 in", "1..2", "1/2.5", [], 1e9, 1e-9,
     "0x10 in", "1,5 mm", "\uff11 mm", "1e5", "--1 in"],
)  # fmt: skip
def test_refuses(bad: object) -> None:
    with pytest.raises(BadUnitError) as caught:
        parse_length(bad, "in")
    assert len(str(caught.value)) < 300


def test_refuses_a_number_of_thousands_of_digits() -> None:
    with pytest.raises(BadUnitError):
        parse_length(10**5000, "in")


def test_a_bare_number_without_units_says_what_would_be_right() -> None:
    with pytest.raises(BadUnitError, match='state "units"'):
        parse_length("1/4")


def test_c59_plotter_units() -> None:
    # HP-GL/2 reference guide (1996), page 12: 0.025 mm per unit, 1016 per inch
    assert parse_length("1 in") * PLOTTER_UNITS_PER_MM == 1016
    assert parse_length("1 mm") * PLOTTER_UNITS_PER_MM == 40
    assert round(parse_length("2 in") * PLOTTER_UNITS_PER_MM) == 2032


def test_c50_yards() -> None:
    # exact: 1/8 yd is 4.5 in
    assert parse_length("1/8 yd") == pytest.approx(114.3, abs=1e-12)
    assert parse_length("1 yd") == 914.4


@settings(max_examples=200, derandomize=True)
@given(st.integers(0, 40), st.integers(0, 15))
def test_sixteenths_come_back(whole: int, sixteenths: int) -> None:
    mm = float((whole + Fraction(sixteenths, 16)) * Fraction(254, 10))
    assert parse_length(format_fraction(mm) + " in") == pytest.approx(mm, abs=1e-12)


def test_formats() -> None:
    assert format_fraction(31.75) == "1 1/4"
    assert format_fraction(0.0) == "0"
    assert format_fraction(25.39) == "1"
    assert format_decimal(2.0) == "2"
    assert format_decimal(-0.00001) == "0"
    assert format_length(31.75) == "1 1/4 in"
    assert format_length(65.46469684) == "about 2 9/16 in (2.5774 in)"
    assert yard_text(1143.0) == "1 1/4 yd"
    assert yard_text(914.4) == "1 yd"


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        # A quarter inch is 6.35 mm, to the hundredth of a millimetre in either unit.
        (6.35, "cm", "0.635 cm"),
        (6.35, "mm", "6.35 mm"),
        # An eighth and three eighths of an inch, 3.175 and 9.525 mm, are halves: up they go.
        (3.175, "mm", "3.18 mm"),
        (3.175, "cm", "0.318 cm"),
        (9.525, "mm", "9.53 mm"),
        (-3.175, "mm", "-3.18 mm"),
        # As computed, 9.525 mm is a little less.
        (0.375 * 25.4 - 1e-12, "mm", "9.53 mm"),
        (12.345, "mm", "12.35 mm"),
        (123.431, "cm", "12.343 cm"),
        (304.8, "cm", "30.48 cm"),
        (120.0, "cm", "12 cm"),
        (-0.0001, "cm", "0 cm"),
    ],
)
def test_hundredths_of_a_millimetre_in_either_unit(mm: float, units: str, text: str) -> None:
    assert format_length(mm, units) == text


def test_halves_go_up_in_decimal() -> None:
    """1/32 in is 0.03125 in; what has no digits is written as it is."""
    assert format_decimal(0.03125) == "0.0313"
    assert format_decimal(2.5, 0) == "3"
    assert format_decimal(1e15 + 0.5, 0) == "1000000000000001"
    assert format_decimal(float("inf")) == "inf"


def test_rounding_up_forgives_rounding() -> None:
    assert round_up(914.4 + 1e-9, 114.3) == pytest.approx(914.4)
    assert round_up(914.5, 114.3) == pytest.approx(1028.7)


@pytest.mark.parametrize(
    ("mm", "text"),
    [
        (0.0, "0.00"),
        (12.0, "12.00"),
        (0.004, "0.004"),
        (0.0051, "0.01"),
        (0.00123, "0.0012"),
        (1e-5, "0.00001"),
        (-0.001, "-0.001"),
    ],
)
def test_millimetres_that_are_not_0_are_not_stated_as_0(mm: float, text: str) -> None:
    assert format_mm(mm) == text
