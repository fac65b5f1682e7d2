"""Blocks on point with sashing between them: counts by closed form, areas, and no overlap."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from geometry.planning.set_pieces import Sashing
from geometry.planning.settings import BlockSetting, set_on_point
from geometry.planning.tilings import TILINGS
from tests.jobs.studio import Json, Studio

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

INCH = 25.4
BODY: Json = {
    "title": "Tiller",
    "units": "in",
    "tiling": "square",
    "side": "6",
    "quilt": {"width": "32", "length": "42"},
    "fit": "nearest",
    "setting": {"layout": "on_point", "sashing": {"width": "1 1/2"}},
    "fabric": {"width": "42"},
}


def _kinds(plan: dict[str, Any]) -> dict[tuple[str, str], int]:
    return {(each["colour"], each["shape"]["kind"]): each["quantity"] for each in plan["pieces"]}


def test_counts_of_sashing_on_point(studio: Studio) -> None:
    """Blocks of 6 in, sashing of 1 1/2 in: 7 1/2 in from block to block, a diagonal of 10.6066 in.

    3 by 4 of them are 31.8198 by 42.4264 in. c = 3, r = 4: blocks c r + (c - 1)(r - 1) = 18; strips
    4 c r = 48, all whole; cornerstones c (r - 1) + r (c - 1) = 17, and 2 c + 2 r = 14 halves at the
    edges; side triangles 2 (c - 1) + 2 (r - 1) = 10, half a block each; 4 corners, a quarter each.
    Area: 18 x 36 + 48 x 9 + 17 x 2.25 + 14 x 1.125 + 10 x 18 + 4 x 9 = 1350 = 31.8198 x 42.4264.
    """
    plan = studio.calculated("/v1/quilt-plans", BODY)
    assert plan["assembled"]["width_mm"] / INCH == pytest.approx(31.8198, abs=1e-4)
    assert plan["assembled"]["length_mm"] / INCH == pytest.approx(42.4264, abs=1e-4)
    kinds = _kinds(plan)
    assert kinds["sashing", "rectangle"] == 48
    assert kinds["cornerstone", "square"] == 17
    assert kinds["cornerstone", "quarter_square_triangle"] == 14
    assert kinds["square", "square"] == 18
    # Long sides of the side triangles at the quilt's edge, short sides of the corner ones.
    triangles = {
        (round(size, 4), each["quantity"])
        for each in plan["pieces"]
        for size in (each["shape"].get("base"), each["shape"].get("side"))
        if each["shape"]["kind"].endswith("square_triangle")
        and each["colour"] != "cornerstone"
        and size
    }
    assert triangles == {(8.4853, 10), (4.2426, 4)}
    drawn = studio.calculated("/v1/outlines", {"units": "in", "pieces": plan["kit"]["pieces"]})
    area = sum(each["template"]["area_mm2"] * each["quantity"] for each in drawn["pieces"])
    assert area / INCH**2 == pytest.approx(1350.0, abs=1e-3)


@pytest.mark.long
def test_stars_between_sashing_on_point_and_a_border(studio: Studio) -> None:
    """Stars of 3 in are blocks of 10.2426 in; with 1 in of sashing 11.2426 in, 15.8995 in the tip.

    2 by 3: 31.7990 by 47.6985 in, and borders to 36 by 52 in. 6 + 2 = 8 stars of 8 diamonds.
    """
    body = {
        **BODY,
        "tiling": "eight_point_star",
        "side": "3",
        "quilt": {"width": "36", "length": "52"},
        "fit": "borders",
        "setting": {"layout": "on_point", "sashing": {"width": "1"}},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert plan["assembled"]["width_mm"] / INCH == pytest.approx(36.0)
    assert plan["top"]["width_mm"] / INCH == pytest.approx(31.7990, abs=1e-3)
    assert plan["top"]["length_mm"] / INCH == pytest.approx(47.6985, abs=1e-3)
    kinds = {kind: 0 for _, kind in _kinds(plan)}
    for (_, kind), count in _kinds(plan).items():
        kinds[kind] += count
    assert kinds["diamond_45"] == 64
    assert kinds["rectangle"] == 4 * 2 * 3


@settings(max_examples=25, deadline=None, derandomize=True)
@given(
    st.floats(20.0, 200.0),
    st.floats(3.0, 80.0),
    st.integers(1, 4),
    st.integers(1, 4),
    st.booleans(),
)
def test_pieces_cover_the_top_once(
    side: float, wide: float, columns: int, rows: int, plain: bool
) -> None:
    """Laid by an outside library: nothing overlaps, nothing is left open, nothing hangs out."""
    block = TILINGS["square"].draw({"side": side})
    setting = BlockSetting(
        is_on_point=True,
        sashing=Sashing(wide, "sash", "stone"),
        alternate_colour="plain" if plain else "",
        triangle_colour="edge",
    )
    assembly = set_on_point(block, setting, columns, rows)
    laid = [
        Polygon(
            [
                (x + piece.x, y + piece.y)
                for x, y, _ in assembly.plane.protos[piece.proto].outline.rows()
            ]
        )
        for piece in assembly.placed
    ]
    pitch = (side + wide) * math.sqrt(2.0)
    top = box(0.0, 0.0, columns * pitch, rows * pitch)
    assert sum(each.area for each in laid) == pytest.approx(top.area, rel=1e-9)
    # On a grid: the union in floating point loses a piece where corners meet within rounding.
    covered = shapely.union_all(laid, grid_size=1e-9)
    assert covered.symmetric_difference(top).area <= 1e-6 * top.area
