"""Sizes on the run sheet that a person acts on: rests are never smaller, lengths suffice."""

from __future__ import annotations

import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Kit, Studio

LASER: Json = {"kind": "laser", "kerf": "0 mm"}


def _kit(studio: Studio, units: str, size: tuple[str, str], count: int, **run: object) -> Kit:
    shape = {"kind": "rectangle", "width": size[0], "height": size[1]}
    piece = {"id": "R", "shape": shape, names.QUANTITY: count, "grain": "fixed"}
    runs = [{"cut": "template", "formats": ["svg"], **run}]
    return studio.kit({"title": "Rests", "units": units, "pieces": [piece], "runs": runs})


@pytest.mark.parametrize(
    ("units", "bed", "size", "gap", "says", "not_says"),
    [
        ("mm", ("100.7", "50.6"), ("50", "50.6"), "1", "49 x 50 mm", "50 x 51 mm"),
        ("cm", ("10.07", "5.06"), ("5", "5.06"), "0.1", "4.9 x 5 cm", "5 x 5.1 cm"),
        ("in", ("6", "3.96"), ("2.6", "3.96"), "0.1", "3 1/4 x 3 15/16 in", "3 5/16 x 3 15/16 in"),
    ],
)
def test_a_rest_is_at_least_as_large_as_it_is_marked(
    studio: Studio,
    units: str,
    bed: tuple[str, str],
    size: tuple[str, str],
    gap: str,
    says: str,
    not_says: str,
) -> None:
    """One piece at the left of the bed; the rest is the bed's width less the piece and the gap.

    100.7 - 50 - 1 = 49.7 by 50.6 mm is marked 49 x 50 mm, and in centimetres 4.9 x 5 cm; 6 - 2.6 -
    0.1 = 3.3 by 3.96 in is 3 1/4 (3 5/16 is 3.3125) x 3 15/16 in. Rounded to the nearest mark it
    was called larger than it is, and a stock's pieces would run over its edge. The one in inches
    holds another such piece, 2.6 by 3.96, so that the picture calls it worth keeping.
    """
    cutter = {"tool": LASER, "bed": {"width": bed[0], "height": bed[1]}}
    kit = _kit(studio, units, size, 1, cutter=cutter, gap=gap, material={"kind": "card"})
    assert kit.sheet.says(says)
    assert kit.sheet.is_silent_about(not_says)
    assert (f"worth keeping: {says}" in kit.run().loads[0].picture) == (units == "in")


@pytest.mark.parametrize(
    ("units", "side", "length"),
    [("mm", "62", "647 mm"), ("cm", "6.2", "64.7 cm"), ("in", "2 1/2", "25 15/16 in")],
)
def test_what_is_drawn_off_a_roll_suffices(
    studio: Studio, units: str, side: str, length: str
) -> None:
    """Ten squares in a row along a roll too narrow for two, by a beam of 0.2 mm, gap 1 mm.

    10 x 62 + 9 x 1 = 629 mm, margins of 8.8 mm at both ends, 646.6, and the slot: the beam's
    middle runs 0.1 mm outside, at a mitred corner 0.1 x sqrt 2 = 0.141: 646.883 mm, so 647 mm.
    10 x 2 1/2 in, 9 mm, margins of 7 mm and the slot: 25 in and 23.283 mm, 25.917 in: 25 15/16.
    """
    ends = {"mm": "8.8", "cm": "0.88", "in": "7 mm"}[units]
    wide = {"mm": "100", "cm": "10", "in": "4"}[units]
    cutter = {
        "tool": {"kind": "laser", "kerf": "0.2 mm"},
        "bed": {"shape": "roll", "width": wide},
        "margins": {"left": ends, "right": ends, "top": "2 mm", "bottom": "2 mm"},
    }
    material = {"name": "card", "kind": "card"}
    kit = _kit(studio, units, (side, side), 10, cutter=cutter, gap="1 mm", material=material)
    assert kit.sheet.together("draw off", length, within=12)


def test_a_quarter_of_an_inch_is_0_635_cm_everywhere(studio: Studio) -> None:
    """The second unit says as much as the first: 1/4 in = 6.35 mm, never 0.63 cm."""
    shape = {"kind": "square", "side": "2"}
    piece = {"id": "R", "shape": shape, names.QUANTITY: 1, "seam_allowance": "1/4"}
    runs = [{"cut": "patch", "cutter": "pen-sheet", "formats": ["svg"]}]
    kit = studio.kit({"units": "in", "second_units": "cm", "pieces": [piece], "runs": runs})
    assert kit.sheet.together("seam allowance", "1/4 in", "0.635 cm", within=4)
    assert kit.sheet.is_silent_about("0.63 cm", "0.64 cm")
