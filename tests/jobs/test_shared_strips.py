"""Strips of one width that several sizes share: a shop buys no strip twice."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

SVG = "{http://www.w3.org/2000/svg}"


def _fabric(studio: Studio, pieces: list[dict[str, Any]], **fabric: Any) -> dict[str, Any]:
    body = {"units": "in", "pieces": pieces, "fabric": {"width": "42", **fabric}}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    return dict(found)


def _size(name: str, width: str, length: str, quantity: int, **more: Any) -> dict[str, Any]:
    return {"id": name, "width": width, "length": length, names.QUANTITY: quantity, **more}


def test_two_sizes_share_the_last_strip(studio: Studio) -> None:
    """20 squares of 3 1/2 in and 3 rectangles of 4 1/2 by 3 1/2 in, on 42 in.

    Rectangles first, as they are longer: 3 x 4 1/2 = 13 1/2 in of one strip, 28 1/2 in are left,
    8 squares of 28 in. The 12 other squares fill a strip: 12 x 3 1/2 = 42 in. 2 strips, 7 in;
    each size in strips of its own would take 2 + 1 strips, 10 1/2 in.
    """
    found = _fabric(
        studio, [_size("S", "3 1/2", "3 1/2", 20), _size("R", "4 1/2", "3 1/2", 3)], step="1/8 yd"
    )
    assert found["rows"] == 2
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(7 * 25.4)
    assert found["methods"]["rows"]["buy"] == "1/4 yd"
    square, rectangle = found["pieces"]
    assert (square["rows"], square["from_rests"]) == (1, 8)
    assert (rectangle["rows"], rectangle["from_rests"]) == (1, 0)
    assert found["cutting"]["instructions"][1:] == [
        "R: Cut 1 strip 3 1/2 in x width of fabric; from it 3 rectangles 4 1/2 in by 3 1/2 in.",
        (
            "S: Cut 1 strip 3 1/2 in x width of fabric; from it and the rest of the strip for R "
            "20 squares 3 1/2 in."
        ),
    ]
    root = ET.fromstring(found["cutting"]["picture"])  # noqa: S314 - our own text
    strips = [each for each in root.iter(f"{SVG}g") if each.get("class") == "strip"]
    # Both strips are drawn, and each once.
    assert [len(each.findall(f".//{SVG}path")) for each in strips] == [12, 11]
    assert [each.text for each in root.iter(f"{SVG}text")] == [
        "S: 1 strip 3 1/2 in x width of fabric",
        "R, S: 1 strip 3 1/2 in x width of fabric",
    ]


def test_rests_of_every_strip_are_used(studio: Studio) -> None:
    """4 squares of 25 in leave 17 in of each of 4 strips: 2 x 8 1/2 in of rectangles in each.

    7 rectangles of 8 1/2 by 25 in: 2 + 2 + 2 + 1, no strip of their own: 100 in, not 150.
    """
    found = _fabric(studio, [_size("A", "25", "25", 4), _size("B", "8 1/2", "25", 7)])
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(100 * 25.4)
    assert [each["rows"] for each in found["pieces"]] == [4, 0]
    assert found["cutting"]["instructions"][-1] == (
        "B: From the rest of the strips for A cut 7 rectangles 8 1/2 in by 25 in."
    )


def test_half_square_triangles_share_strips_with_squares(studio: Studio) -> None:
    """Squares of 4 7/8 in, a diagonal each: 61 take 31; 8 to a strip of 42 in, 7 in the fourth.

    34 1/8 in of that are used, 7 7/8 in left: one square of 4 7/8 in goes there as well. Nine
    are that one and a strip of 8; two take a strip of their own in any case, and no rest.
    """
    triangle = {
        "id": "T",
        "shape": {"kind": "half_square_triangle", "side": "4"},
        "seam_allowance": "1/4",
        "grain": "half-turn",
        names.QUANTITY: 61,
    }
    found = _fabric(studio, [triangle, _size("Q", "4 7/8", "4 7/8", 9)])
    assert [(each["rows"], each["from_rests"]) for each in found["pieces"]] == [(4, 0), (1, 1)]
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(5 * 4.875 * 25.4)
    assert found["cutting"]["instructions"][-1] == (
        "Q: Cut 1 strip 4 7/8 in x width of fabric; from it and the rest of strip 4 for T 9 "
        "squares 4 7/8 in."
    )
    two = _fabric(studio, [triangle, _size("Q", "4 7/8", "4 7/8", 2)])
    assert [(each["rows"], each["from_rests"]) for each in two["pieces"]] == [(4, 0), (1, 0)]
    assert two["methods"]["rows"]["length_mm"] == pytest.approx(5 * 4.875 * 25.4)


def test_strips_of_other_widths_come_from_the_higher_one(studio: Studio) -> None:
    """2 of 3 by 2 1/16 in leave 36 in of a strip of 42; a strip of 2 in comes from that: 2 1/16 in.

    Two strips of their own would take 4 1/16 in.
    """
    found = _fabric(studio, [_size("A", "3", "2", 2), _size("B", "3", "2 1/16", 2)])
    assert [each["rows"] for each in found["pieces"]] == [0, 1]
    assert [each["from_rests"] for each in found["pieces"]] == [2, 0]
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(2.0625 * 25.4)
    assert found["cutting"]["instructions"][-1] == (
        "A: From the rest of the strip for B cut 1 strip 2 in x 36 in; from it 2 rectangles 3 in "
        "by 2 in."
    )
