"""Sentences about lengths in a request's own units."""

from __future__ import annotations

import pytest

from service.schemas.units_in_text import in_one_unit, in_units


@pytest.mark.parametrize(
    ("text", "units", "wanted"),
    [
        # exact: 25.4 mm to the inch, 10 mm to the centimetre
        ("Leave 25.4 mm free.", "in", "Leave 1 in free."),
        ("It needs 190 by 130 mm.", "cm", "It needs 19 by 13 cm."),
        ("Curves within 0.002 mm.", "cm", "Curves within 0.0002 cm."),
        ("Curves within 0.0002 mm.", "in", "Curves within 0.0000079 in."),
        ("It moves by 0 mm.", "in", "It moves by 0 in."),
        ("Leave 3 mm free.", "mm", "Leave 3 mm free."),
        ('Piece "5 mm" is 25.4 mm wide.', "in", 'Piece "5 mm" is 1 in wide.'),
        (
            "Edges cross at (12.7, -25.4) mm; move one.",
            "in",
            "Edges cross at (0.5, -1) in; move one.",
        ),
        ("Speeds of 20 mm/s stay.", "in", "Speeds of 20 mm/s stay."),
    ],
)
def test_lengths_are_told_in_units(text: str, units: str, wanted: str) -> None:
    assert in_units(text, units) == wanted


@pytest.mark.parametrize(
    ("text", "units", "wanted"),
    [
        # exact: 25.4 mm to the inch; a thousandth of an inch, four figures, two of what is small
        ("It takes 2733 mm.", "in", "It takes 107.6 in."),
        ("Leave 0.5 mm free.", "in", "Leave 0.02 in (0.5 mm) free."),
        ("Pieces stay 0.12 mm inside.", "in", "Pieces stay 0.0047 in (0.12 mm) inside."),
        # Below a sixteenth of an inch or a millimetre a ruler shows nothing: it is said in mm.
        ("Set the offset to 0.25 mm.", "in", "Set the offset to 0.0098 in (0.25 mm)."),
        ("Bridges of 0.5 mm.", "cm", "Bridges of 0.5 mm."),
        ("Bridges of 1.5 mm.", "cm", "Bridges of 0.15 cm."),
        ("190.00 by 130.00 mm", "in", "7.48 by 5.118 in"),
        # Centimetres are as fine as hundredths of a millimetre, as everywhere on a sheet.
        ("195.628 by 285.20 mm", "cm", "19.563 by 28.52 cm"),
        ("Keep 6.35 mm free.", "cm", "Keep 0.635 cm free."),
        ("Cards of 152.4 by 158.75 mm", "cm", "Cards of 15.24 by 15.875 cm"),
        # Marks of a ruler, down to 32nds, are what it says: fractions, within what was rounded off.
        ("Leave 1.5875 mm free.", "in", "Leave 1/16 in free."),
        ("Leave 268.2875 mm free.", "in", "Leave 10 9/16 in free."),
        ("Rubber needs 2.38 mm.", "in", "Rubber needs 3/32 in."),  # 3/32 in is 2.38125 mm
        ("It needs 190.5 by 31.75 mm.", "in", "It needs 7 1/2 by 1 1/4 in."),
        ("Leave 2.733 mm free.", "mm", "Leave 2.733 mm free."),
    ],
)
def test_lengths_for_the_bench_are_rounded(text: str, units: str, wanted: str) -> None:
    assert in_units(text, units, at_the_bench=True) == wanted


@pytest.mark.parametrize(
    ("units", "second", "wanted"),
    [
        ("in", "mm", "Leave 0.0098 in (0.25 mm) at 7.48 by 5.118 in (190.00 by 130.00 mm)."),
        ("mm", "in", "Leave 0.25 mm (0.0098 in) at 190.00 by 130.00 mm (7.48 by 5.118 in)."),
        ("in", "", "Leave 0.0098 in (0.25 mm) at 7.48 by 5.118 in."),
        ("mm", "", "Leave 0.25 mm at 190.00 by 130.00 mm."),
    ],
)
def test_a_second_unit_is_told_where_it_is_asked_for(units: str, second: str, wanted: str) -> None:
    """25.4 mm to the inch: 0.25 / 25.4 = 0.00984, 190 / 25.4 = 7.480, 130 / 25.4 = 5.118."""
    text = "Leave 0.25 mm at 190.00 by 130.00 mm."
    assert in_units(text, units, at_the_bench=True, second=second) == wanted


def test_a_sheet_in_inches_alone_leaves_the_millimetres_out() -> None:
    text = in_units("Leave 0.25 mm, 190.00 mm.", "in", at_the_bench=True)
    assert text == "Leave 0.0098 in (0.25 mm), 7.48 in."
    assert in_one_unit(text) == "Leave 0.0098 in, 7.48 in."


@pytest.mark.parametrize(
    ("text", "units", "wanted"),
    [
        # 50 mm are 1.96850 in, of which 1.9685 in are 49.9999 mm: too short.
        ("At least 1, at least 50 mm.", "in", "At least 1, at least 1.9686 in."),
        # 2000 mm are 78.74016 in; 78.7402 in are 2000.001 mm: too long.
        ("It must be at most 2000 mm.", "in", "It must be at most 78.7401 in."),
        ("State less than 17.5 mm.", "in", "State less than 0.6889 in."),  # 0.68898
        # 0.1 mm are 0.00394 in, 10 mm are 0.39370 in.
        ("It lies between 0.1 and 10 mm.", "in", "It lies between 0.004 and 0.3937 in."),
        ("It must be from 0.1 to 10000 mm.", "in", "It must be from 0.004 to 393.7007 in."),
        # Whole ones stay: 4.7625 mm are 3/16 in.
        ("Take at least 4.7625 mm.", "in", "Take at least 0.1875 in."),
        ("Take at most 25.4 mm.", "in", "Take at most 1 in."),
        ("Take at least 0.0001 mm.", "cm", "Take at least 0.00001 cm."),
    ],
)
def test_bounds_are_rounded_to_the_side_on_which_they_hold(
    text: str, units: str, wanted: str
) -> None:
    assert in_units(text, units) == wanted


@pytest.mark.parametrize(
    ("text", "units", "wanted"),
    [
        # 0.00001 mm are 0.00000039 in; a million mm 39370.0787 in.
        ("It is 1e-05 mm.", "in", "It is 0.00000039 in."),
        ("It is 1e+06 mm.", "in", "It is 39370.0787 in."),
        ("It is 1.5e+06 mm.", "mm", "It is 1500000 mm."),
        ("It is -1e-05 mm.", "cm", "It is -0.000001 cm."),
        ('"1e-05 mm" is 1e-05 mm.', "mm", '"1e-05 mm" is 0.00001 mm.'),
    ],
)
def test_a_length_with_an_exponent_is_written_out(text: str, units: str, wanted: str) -> None:
    assert in_units(text, units) == wanted
