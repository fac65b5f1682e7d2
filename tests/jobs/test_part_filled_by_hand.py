"""Part-filled loads that a person lays lower than plain rows: never more material than by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

HEXAGON: dict[str, Any] = {"kind": "hexagon", "side": "1 1/2"}
TRIANGLE: dict[str, Any] = {"kind": "triangle", "side": "1 1/2"}


def _rectangle(width: str, height: str) -> dict[str, Any]:
    return {"kind": "rectangle", "width": width, "height": height}


def _body(pieces: dict[str, tuple[dict[str, Any], int]], effort: str = "normal") -> dict[str, Any]:
    return {
        "title": "Part-filled",
        "units": "in",
        "pieces": [
            {"id": name, "shape": shape, "quantity": count}
            for name, (shape, count) in pieces.items()
        ],
        "runs": [
            {
                "cut": "template",
                "cutter": {"tool": {"kind": "pen"}, "bed": {"width": "12", "height": "18"}},
                "material": {"name": "card", "kind": "card"},
                "gap": "0",
                "effort": effort,
                "formats": ["plan"],
            }
        ],
    }


def _material(studio: Studio, pieces: dict[str, tuple[dict[str, Any], int]], **how: Any) -> float:
    """Return the square inches of the one load's strip, its pieces checked from the file."""
    kit = studio.kit(_body(pieces, **how))
    (load,) = kit.run().loads
    assert load.repeats == 1
    assert load.outlines == {name: count for name, (_, count) in pieces.items()}
    exact = foreign.polygons(foreign.plan(load.file("plan")))
    assert len(exact) == sum(count for _, count in pieces.values())
    assert foreign.nearest(exact) > -0.01
    left, bottom, right, top = foreign.drawn(foreign.plan(load.file("plan"))).bounds
    used = load.payload["used"]
    strip = used["strip"]
    assert right - left <= strip["width_mm"] + 0.01
    assert top - bottom <= strip["height_mm"] + 0.01
    assert used["area_mm2"] == pytest.approx(strip["width_mm"] * strip["height_mm"], rel=1e-6)
    return float(used["area_mm2"]) / 25.4**2


@pytest.mark.parametrize("effort", ["normal", pytest.param("best", marks=pytest.mark.long)])
def test_rows_beside_a_column(studio: Studio, effort: str) -> None:
    """7 rectangles of 5 by 2 in: on 6 in of a strip 12 in wide.

    Two lie in a row, 10 in; three such rows are 6 in high: 6. Beside them 2 in are left, one
    stands there, 5 in high. 6 standing in a row, 12 by 5, and one above would take 7 in, 9 rows of
    standing ones along 18 in 5 of 12 in: 84 and 90 square inches, not 72. The pieces are 70.
    """
    pieces = {"R": (_rectangle("5", "2"), 7)}
    assert _material(studio, pieces, effort=effort) <= 72.0 + 0.01


@pytest.mark.long
def test_triangles_between_hexagons(studio: Studio) -> None:
    """8 hexagons of 1 1/2 in in five columns are 12 in wide and 3 sqrt 3 = 5.196 in high.

    Columns of 2, 1, 2, 1 and 2: (1.5 x 5 + 0.5) x 1.5 = 12. The two single ones leave half a
    hexagon above and below each, three triangles of 1 1/2 in: 4 x 3 = 12 triangles fill them.
    """
    pieces = {"H": (HEXAGON, 8), "T": (TRIANGLE, 12)}
    assert _material(studio, pieces) <= 12.0 * 3.0 * math.sqrt(3.0) + 0.01


@pytest.mark.long
def test_squares_of_three_sizes(studio: Studio) -> None:
    """4 squares of 4 1/2 in, 8 of 2 1/2 and 12 half squares of 2 in, on 12 by 14 in.

    The large ones are 9 by 9; beside them 3 by 9 are left: 4 pairs of triangles, 2 by 8. Above are
    12 by 5: 8 squares of 2 1/2, 10 by 5, and two pairs of triangles, 2 by 4.
    """
    half = {"kind": "half_square_triangle", "side": "2"}
    pieces = {
        "L": ({"kind": "square", "side": "4 1/2"}, 4),
        "S": ({"kind": "square", "side": "2 1/2"}, 8),
        "T": (half, 12),
    }
    assert _material(studio, pieces) <= 12.0 * 14.0 + 0.01


@pytest.mark.long
def test_three_kinds_along_a_row_of_hexagons(studio: Studio) -> None:
    """9 hexagons, 6 diamonds and 12 triangles of 1 in: a strip of 18 in, 2 1/2 in high.

    9 hexagons points up are 9 sqrt 3 = 15.588 in long, 2 in high. A diamond laid flat is 1.732 by
    1 in; its blunt corner of 120 degrees fills a notch between two hexagons, 1/2 in deep: 2 1/2 in
    high with them. 8 notches: 6 diamonds, and 2 pairs of triangles as diamonds. Behind the last
    hexagon 2.41 in are left: two columns of triangles, 0.866 in wide each, of (2.5 - 0.5) / 0.5 =
    4: the other 8.
    """
    pieces = {
        "H": ({"kind": "hexagon", "side": "1"}, 9),
        "D": ({"kind": "diamond_60", "side": "1"}, 6),
        "T": ({"kind": "triangle", "side": "1"}, 12),
    }
    assert _material(studio, pieces) <= 18.0 * 2.5 + 0.01


def test_a_column_beside_two_rows(studio: Studio) -> None:
    """5 rectangles of 7 by 4 in: along 18 in, 8 in wide.

    Two by two take 14 in; one across is 4 in long and 7 wide: 18 x 8 = 144 square inches. Three
    and two standing side by side, 12 by 14, would take 168; the pieces are 140.
    """
    assert _material(studio, {"R": (_rectangle("7", "4"), 5)}) <= 144.0 + 0.01


def test_half_squares_in_two_sorts_of_rows(studio: Studio) -> None:
    """9 half squares of 4 in: three squares, 12 by 4 in, and three triangles in a row.

    With the long side of 4 sqrt 2 = 5.657 in on the edge a triangle is 2.828 in high, and three
    turned alternately are 2 x 5.657 = 11.314 in long: 12 x (4 + 2.828) = 81.94 square inches. Two
    rows of squares would take 96.
    """
    half = {"kind": "half_square_triangle", "side": "4"}
    assert _material(studio, {"T": (half, 9)}) <= 12.0 * (4.0 + 2.0 * math.sqrt(2.0)) + 0.01


def test_small_triangles_at_the_ends_of_a_row(studio: Studio) -> None:
    """3 triangles of 5 in, turned alternately, are 10 in long and 4.330 high.

    On 12 in, against the left end, a corner of 2.5 by 4.33 in is left there: a triangle of 2 in
    with a side on the edge, 1.732 in deep, fits 1 in below its upper end, where the corner is
    2.5 - 1 / sqrt 3 = 1.923 in wide. At the right end are left 4.5 in above and 2 below, with the
    same slope: three triangles of 2 in along the upper edge, 4 in long, and two below them, 3 in of
    3.5: all six.
    """
    pieces = {
        "L": ({"kind": "triangle", "side": "5"}, 3),
        "S": ({"kind": "triangle", "side": "2"}, 6),
    }
    assert _material(studio, pieces) <= 12.0 * 2.5 * math.sqrt(3.0) + 0.01
