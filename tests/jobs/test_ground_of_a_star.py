"""The ground of a star: large pieces of which a layout must not take more than a ruler does."""

from __future__ import annotations

import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Studio

INCH = 25.4


def _lengths(studio: Studio, pieces: list[Json]) -> tuple[float, float, str, str]:
    fabric = {"width": "42", "step": "1/8 yd"}
    body = {"units": "in", "pieces": pieces, "fabric": fabric}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    rows, layout = (found["methods"][name]["length_mm"] / INCH for name in ("rows", "layout"))
    return rows, layout, found["quoted_method"], found[names.BUY]


def test_corners_and_sides(studio: Studio) -> None:
    """Corners: squares of 25 in, one to a strip of 42 in, 4 strips, 100 in.

    Sides: 34.648 + 1.2071 = 35.8551 in, by ruler 35 7/8: one square cut twice gives 4. Together
    135 7/8 in by ruler and 135.8551 in as they are: 3 7/8 yd of 139.5 in.
    """
    corner = {"id": "corner", "shape": {"kind": "square", "side": "24 1/2"}, names.QUANTITY: 4}
    side = {
        "id": "side",
        "shape": {"kind": "quarter_square_triangle", "base": "34.648"},
        names.QUANTITY: 4,
    }
    pieces = [{**each, "seam_allowance": "1/4"} for each in (corner, side)]
    rows, layout, quoted, buy = _lengths(studio, pieces)
    assert rows == pytest.approx(135.875)
    assert layout <= 135.8552
    assert (quoted, buy) == ("rows", "3 7/8 yd")


def test_sides_alone(studio: Studio) -> None:
    """4 triangles of one square, 35 7/8 in: 1 yd; no layout may say 53.8 in."""
    side = {"shape": {"kind": "quarter_square_triangle", "base": "34.648"}, names.QUANTITY: 4}
    rows, layout, quoted, buy = _lengths(studio, [{**side, "seam_allowance": "1/4"}])
    assert rows == pytest.approx(35.875)
    assert layout <= 35.8552
    assert (quoted, buy) == ("rows", "1 yd")


def test_small_triangles_beside_large_clamshells(studio: Studio) -> None:
    """36 quarter-square triangles of 1 1/2 in, 2 clamshells of 6 in: a quick layout wastes cloth.

    Clamshells: squares of 6 1/2 in, one strip. Triangles: (1 1/2 + 1.2071) / 2 in as cut, strips of
    their own. A cutter lays some beside the clamshells: never more than both together.
    """
    pieces: list[Json] = [
        {"shape": {"kind": "quarter_square_triangle", "base": "1 1/2"}, names.QUANTITY: 36},
        {"shape": {"kind": "clamshell", "width": "6"}, names.QUANTITY: 2, "grain": "half-turn"},
    ]
    rows, layout, quoted, _ = _lengths(
        studio, [{**each, "seam_allowance": "1/4"} for each in pieces]
    )
    assert layout <= rows
    assert quoted == "rows"


def test_many_small_triangles(studio: Studio) -> None:
    """3,000 half-square triangles of 1 1/2 in: squares of 2.3536 in, or strips of 1.6642 in.

    Two from a square, 17 squares to 42 in: 89 strips, 209.47 in. Turned alternately with the long
    side, 3.3285 in, on the strip's edge: (n - 1) 1.6642 + 3.3285 <= 42 gives 24, 125 strips, 208.03
    in. By area 3,000 x 2.3536^2 / 2 / 42 = 197.8 in. By ruler strips of 1 11/16 in give triangles
    as high: (n - 1) 1.6875 + 3.375 <= 42 gives 23, 131 strips, 221.06 in; squares of 2 3/8 in, 17
    on a strip, 89 strips, are 211.375 in.
    """
    shape = {"kind": "half_square_triangle", "side": "1 1/2"}
    piece = {"shape": shape, "seam_allowance": "1/4", names.QUANTITY: 3000}
    rows, layout, quoted, _ = _lengths(studio, [piece])
    assert rows == pytest.approx(211.375)
    assert 197.8 < layout <= 208.04
    assert quoted == "rows"
