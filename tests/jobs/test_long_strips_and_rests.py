"""Cloth by ruler where long strips lie side by side, and where rests of tall strips are used.

All lengths are worked by hand. A strip is as long as the cloth is wide; from what pieces leave of
it, lower strips are cut for smaller pieces, as a person does. Sizes are those as cut.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

SVG = "{http://www.w3.org/2000/svg}"
INCH = 25.4


def _fabrics(studio: Studio, body: dict[str, Any]) -> dict[str, dict[str, Any]]:
    found = studio.calculated("/v1/yardage", body)["fabrics"]
    return {each["fabric"]: each for each in found}


def _only(
    studio: Studio, pieces: list[dict[str, Any]], units: str = "in", **fabric: Any
) -> dict[str, Any]:
    body = {"units": units, "pieces": pieces, "fabric": {"name": "cloth", **fabric}}
    return _fabrics(studio, body)["cloth"]


def _size(name: str, width: Any, length: Any, quantity: int, **more: Any) -> dict[str, Any]:
    return {"id": name, "width": width, "length": length, names.QUANTITY: quantity, **more}


def _rows(found: dict[str, Any], unit: float = INCH) -> float:
    return float(found["methods"]["rows"]["length_mm"]) / unit


def _steps(found: dict[str, Any]) -> list[str]:
    """Return the instructions without the one that prepares the cloth."""
    return list(found["cutting"]["instructions"][1:])


def _drawn(found: dict[str, Any]) -> list[tuple[str, int]]:
    """Return the title of each strip of the drawing, and how many pieces it shows."""
    root = ET.fromstring(found["cutting"]["picture"])  # noqa: S314 - our own text
    strips = [each for each in root.iter(f"{SVG}g") if each.get("class") == "strip"]
    counts = [len(each.findall(f".//{SVG}path[@class='piece']")) for each in strips]
    return list(zip([str(each.text) for each in root.iter(f"{SVG}text")], counts, strict=True))


def test_borders_of_two_lengths_lie_side_by_side(studio: Studio) -> None:
    """2 of 4 x 60 in and 2 of 4 x 50 in: 4 x 4 = 16 in of the width of 42, so 60 in of cloth.

    60 / 4.5 = 13.3, 14 eighths: 1 3/4 yd. One after another they would take 110 in.
    """
    pieces = [_size("border", "4", "60", 2), _size("end", "4", "50", 2)]
    found = _only(studio, pieces, width="42", step="1/8 yd")
    assert _rows(found) == pytest.approx(60.0)
    assert found["methods"]["rows"]["buy"] == found[names.BUY] == "1 3/4 yd"
    assert _steps(found) == [
        "border: Cut 1 strip 60 in x width of fabric; from it 2 rectangles 4 in by 60 in.",
        (
            "end: From the rest of the strip for border cut 1 strip 50 in x 34 in; from it 2 "
            "rectangles 4 in by 50 in."
        ),
    ]
    assert _drawn(found) == [("border, end: 1 strip 60 in x width of fabric", 4)]


def test_sashed_squares_with_a_butted_border(studio: Studio) -> None:
    """Sides 4 1/2 x 49 1/2 in, ends 4 1/2 x 48: 18 in of 42, 49 1/2 in = exactly 11/8 yd.

    4 blocks of 8 in and 5 sashes of 1 1/2 are 39 1/2 in, 5 and 6 are 49: 47 1/2 x 57 with 4 in all
    round. The 49 sashes are cut 2 x 8 1/2 in: 21 to a strip of 8 1/2, 4 to one of 2. Two strips
    of 8 1/2 hold 42; 7 are left, two strips of 2 hold 8: 17 + 4 = 21 in, where three strips of
    8 1/2 would be 25 1/2 and thirteen of 2 in 26.
    """
    body = {
        "title": "Sashed squares",
        "units": "in",
        "tiling": "square",
        "side": "8",
        "setting": {
            "sashing": {
                "width": "1 1/2",
                "colour": "oak",
                "cornerstone_colour": "ash",
                "outer": True,
            }
        },
        "quilt": {"width": "49", "length": "59"},
        "fit": "nearest",
        "borders": [{"width": "4", "colour": "elm", "corners": "butted"}],
        "seam_allowance": "1/4",
        "fabric": {"width": "42", "step": "1/8 yd"},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    found = {each["fabric"]: each for each in plan["materials"]["fabrics"]}
    assert _rows(found["elm"]) == pytest.approx(49.5)
    assert found["elm"][names.BUY] == "1 3/8 yd"
    # The cutter does not lay borders askew: no layout of four strips is shorter than the longest.
    assert found["elm"]["methods"]["layout"]["length_mm"] == pytest.approx(49.5 * INCH, abs=0.01)
    assert _rows(found["oak"]) == pytest.approx(21.0)
    assert _steps(found["oak"]) == [
        (
            "Cut 2 strips 8 1/2 in x width of fabric; from them 42 rectangles 2 in by 8 1/2 in, "
            "21 to a strip."
        ),
        (
            "Cut 2 strips 2 in x width of fabric; from them 7 rectangles 8 1/2 in by 2 in, 4 to a "
            "strip."
        ),
    ]
    assert [
        (each["rows"], each["per_row"], each["cut"], each["turned"])
        for each in found["oak"]["pieces"]
    ] == [(2, 21, 42, True), (2, 4, 7, False)]


@pytest.mark.long
def test_octagons_with_two_borders(studio: Studio) -> None:
    """Octagons of 40 mm, 11 x 14, with a border of 30 mm and a mitred one, on 1100 mm.

    Rope: sides 42 x 1364 (1351.96 + 12), ends 42 x 1075: 2 x 42 + 2 x 42 = 168 mm of 1100: 1364.
    Slate: sides 51 (38.87 + 12) x 1532, ends 57 (44.02 + 12) x 1227: 216 mm of 1100: 1532 mm.
    Squares: 130 of 52 mm, 21 to a strip, 7 strips = 364; 4 in the last: 892 mm are left of it.
    46 quarter-square triangles 43 mm high, 24 to a strip, 2 strips = 86; the 4 of corners, 34.5 mm
    high (35 by ruler), come from that rest: 4 x 69 < 892. 364 + 86 = 450.
    """
    body = {
        "units": "mm",
        "tiling": "octagon_square",
        "side": 40,
        "quilt": {"width": 1200, "length": 1500},
        "fit": "borders",
        "borders": [
            {
                "width": 30,
                "colour": "rope",
                "corners": "cornerstones",
                "cornerstone_colour": "buoy",
            },
            {"colour": "slate", "corners": "mitred"},
        ],
        "seam_allowance": 6,
        "fabric": {"width": 1100, "step": 100},
        "speeds": {"pieces_per_hour": 30},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    found = {each["fabric"]: each for each in plan["materials"]["fabrics"]}
    assert _rows(found["rope"], 1.0) == pytest.approx(1364.0)
    assert _rows(found["slate"], 1.0) == pytest.approx(1532.0)
    assert _rows(found["square"], 1.0) <= 450.0 + 1e-6
    # Strips keep to the straight grain: as long as the longest of them, to 0.01 mm.
    assert found["rope"]["methods"]["layout"]["length_mm"] == pytest.approx(1363.96, abs=0.01)
    assert found["slate"]["methods"]["layout"]["length_mm"] == pytest.approx(1531.718, abs=0.01)


def test_squares_from_the_last_strip_of_octagons(studio: Studio) -> None:
    """76 octagons of 135 mm, 8 to a strip: 10 strips, 4 in the last, of which 560 mm are left.

    Two rows of 8 squares of 65 mm (520 x 130) fit there: 16; 60 more are 16 to a strip, 4 strips.
    1350 + 260 = 1610 mm; with 4 % shrinkage 1677, so 1.7 m. (76 = 72 with 5 % spoilage.)
    """
    pieces = [
        {
            "id": "oct",
            "shape": {"kind": "octagon", "across_flats": 12},
            "seam_allowance": 0.75,
            names.QUANTITY: 72,
        },
        {
            "id": "sq",
            "shape": {"kind": "square", "side": 4.97},
            "seam_allowance": 0.75,
            names.QUANTITY: 72,
        },
    ]
    found = _only(
        studio,
        pieces,
        "cm",
        width=110,
        step=10,
        shrinkage_percent=4,
        spoilage_percent=5,
        ruler_step="5 mm",
    )
    assert _rows(found, 10.0) == pytest.approx(161.0)
    assert found["methods"]["rows"]["buy"] == "1.7 m"
    assert [(each["rows"], each["from_rests"]) for each in found["pieces"]] == [(10, 0), (4, 16)]
    assert _steps(found)[1:] == [
        (
            "oct: Cut 10 strips 13.5 cm x width of fabric; from them 76 octagons, side by side, 8 "
            "to a strip."
        ),
        (
            "sq: From the rest of strip 10 for oct cut 2 strips 6.5 cm x 56 cm; from them 16 "
            "squares 6.5 cm, 8 to a strip."
        ),
        ("sq: Cut 4 strips 6.5 cm x width of fabric; from them 60 squares 6.5 cm, 16 to a strip."),
    ]
    assert _drawn(found)[-1] == ("oct, sq: 1 strip 13.5 cm x width of fabric", 20)


def test_small_squares_need_no_strip_of_their_own(studio: Studio) -> None:
    """13 of 6 1/2 in, 6 to a strip of 42: 3 strips, 19 1/2 in; one in the last, 35 1/2 in left.

    Two rows of 11 squares of 3 in (33 in) fit there: all 14. In strips of their own: 22 1/2 in.
    """
    found = _only(studio, [_size("big", 6.5, 6.5, 13), _size("small", 3, 3, 14)], width=42)
    assert _rows(found) == pytest.approx(19.5)
    assert _steps(found)[-1] == (
        "small: From the rest of strip 3 for big cut 2 strips 3 in x 35 1/2 in; from them 14 "
        "squares 3 in, 11 to a strip."
    )


@pytest.mark.parametrize("more", [{}, {"may_turn_across_grain": True}])
def test_more_freedom_takes_no_more_cloth(studio: Studio, more: dict[str, Any]) -> None:
    """2 of 4 1/2 x 49 1/2 in and 2 of 4 1/2 x 48 in, from 42 in: 49 1/2 in as they are drawn.

    Strips that may turn must not take more; the shortest side by side is the longest strip.
    """
    pieces = [_size("a", "4 1/2", "49 1/2", 2, **more), _size("b", "4 1/2", "48", 2, **more)]
    found = _only(studio, pieces, width=42, step="1/8 yd")
    assert _rows(found) == pytest.approx(49.5)
    assert found["methods"]["layout"]["length_mm"] <= 49.5 * INCH + 0.01
