"""Plans of blocks keep the straight grain at the edges of each unit, as quilters cut them."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs.studio import Json, Studio

GEESE: Json = {
    "size": 4,
    "pieces": [
        {"points": [[0, 0], [4, 0], [2, 2]], "colour": "navy"},
        {"points": [[0, 0], [2, 2], [0, 2]], "colour": "cream"},
        {"points": [[4, 0], [4, 2], [2, 2]], "colour": "cream"},
        {"points": [[0, 2], [4, 2], [2, 4]], "colour": "navy"},
        {"points": [[0, 2], [2, 4], [0, 4]], "colour": "cream"},
        {"points": [[4, 2], [4, 4], [2, 4]], "colour": "cream"},
    ],
}
REQUEST: Json = {
    "title": "Brent geese",
    "units": "in",
    "block": GEESE,
    "quilt": {"width": 12, "length": 16},
    "fabric": {"width": "42"},
}


def _rows(plan: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {row["id"]: row for each in plan["materials"]["fabrics"] for row in each["pieces"]}


def test_flying_geese(studio: Studio) -> None:
    """12 blocks of two geese of 2 by 4 in: 24 navy triangles, 48 cream ones.

    A goose's long side is on the unit's edge, so it is a quarter-square triangle: from squares of
    4 in + 1 1/4 in (HANDBOOK, published S27, S01; exactly 1.2071), four of each: 6 squares of
    5 1/4 in, floor(42 / 5 1/4) = 8 on a strip: one strip of 5 1/4 in. Or in a strip with the long
    side on its edge, turned alternately: the height is 2 + 1/4 (1 + sqrt 2) = 2.6036 in, to a
    sixteenth 2 5/8 in; the base 5.2071 in, half of it from one to the next: 1 + floor((42 -
    5.2071) / 2.6036) = 15 on a strip, two strips: 5 1/4 in too.

    The small ones have their legs on the unit's edges: half-square triangles of 2 in, from squares
    of 2 7/8 in, two of each: 24 squares, floor(42 / 2 7/8) = 14 on a strip, two strips of 2 7/8 in.
    Nothing of either lies on the bias.
    """
    plan = studio.calculated("/v1/quilt-plans", REQUEST)
    shapes = {each["colour"]: each for each in plan["pieces"]}
    assert shapes["navy"]["shape"] == {"kind": "quarter_square_triangle", "base": 4.0}
    assert shapes["cream"]["shape"]["kind"] == "half_square_triangle"
    assert shapes["cream"]["shape"]["side"] == pytest.approx(2.0)
    assert (shapes["navy"]["quantity"], shapes["cream"]["quantity"]) == (24, 48)
    rows = _rows(plan)
    navy, cream = rows[shapes["navy"]["id"]], rows[shapes["cream"]["id"]]
    by_hand = {
        each["fabric"]: each["methods"]["rows"]["length_mm"] / 25.4
        for each in plan["materials"]["fabrics"]
    }
    assert by_hand == {"navy": pytest.approx(5.25), "cream": pytest.approx(5.75)}
    assert navy["turn_deg"] % 90.0 == 0.0
    assert cream["turn_deg"] % 90.0 == 0.0


@pytest.mark.long
def test_no_patch_of_the_kit_lies_on_the_bias(studio: Studio) -> None:
    """Patches are turned by quarters at most; templates of card may lie in any way."""
    body = studio.calculated("/v1/quilt-plans", REQUEST)["kit"]
    assert {tuple(each["grain"]) for each in body["pieces"]} == {(0.0, 90.0, 180.0, 270.0)}
    assert body["runs"][0]["grain"] == "free"
    kit = studio.kit(body)
    for run in kit.payload["runs"]:
        if run["cut"] == "patch":
            for load in run["loads"]:
                assert all(each["turn_deg"] % 90.0 == 0.0 for each in load["placements"])


def test_the_cut_may_decide(studio: Studio) -> None:
    """Over paper the bias is held: `grain: free` leaves it to the cut, and is never the default.

    HANDBOOK, common practice: paper holds bias edges, but two sides on the straight grain are
    preferred. So a quote has cloth for them: hexagons are turned by quarters, two sides on it.
    """
    body = studio.calculated("/v1/quilt-plans", {**REQUEST, "grain": "free"})["kit"]
    assert not any("grain" in each for each in [*body["pieces"], *body["runs"]])
    tiling: Json = {
        "units": "in",
        "tiling": "hexagon",
        "side": 1,
        "quilt": {"width": 12, "length": 12},
    }
    hexagons = studio.calculated("/v1/quilt-plans", tiling)["kit"]["pieces"]
    assert [each["grain"] for each in hexagons] == [[30.0 * turn for turn in range(12)]]
    free = studio.calculated("/v1/quilt-plans", {**tiling, "grain": "free"})["kit"]["pieces"]
    assert not any("grain" in each for each in free)
    wrong = studio.refused({**REQUEST, "grain": "bias"}, "/v1/quilt-plans")
    assert [each["pointer"] for each in wrong["errors"]] == ["#/grain"]


@pytest.mark.long
def test_a_block_on_point_keeps_its_own_grain(studio: Studio) -> None:
    """On point the block's edges run at 45 degrees to the quilt's: its pieces lie as before."""
    straight = studio.calculated("/v1/quilt-plans", REQUEST)
    tips = studio.calculated(
        "/v1/quilt-plans",
        {**REQUEST, "quilt": {"width": 17, "length": 23}, "setting": {"layout": "on_point"}},
    )
    kinds = {
        (each["colour"], each["shape"]["kind"])
        for each in tips["pieces"]
        if each["colour"] in GEESE_COLOURS
    }
    assert kinds == {(each["colour"], each["shape"]["kind"]) for each in straight["pieces"]}


GEESE_COLOURS = {"navy", "cream"}


def test_diamonds_of_a_star_have_two_sides_on_the_grain(studio: Studio) -> None:
    """All diamonds of a star are one kind, although every other one leans the other way.

    A 45-degree diamond of 3 in is cut from a strip as high as 3 sin 45 + 2 x 1/4 = 2.6213 in, to a
    sixteenth 2 5/8 in, with two sides on the strip's edges: the trade's way (common practice, no
    source). Along the strip each takes 2.6213 / sin 45 = 3.7071 in.
    """
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "units": "in",
            "tiling": "eight_point_star",
            "side": 3,
            "setting": {"layout": "straight"},
            "quilt": {"width": 20, "length": 20},
            "fabric": {"width": "42"},
        },
    )
    (diamond,) = (each for each in plan["pieces"] if each["shape"]["kind"] == "diamond_45")
    assert diamond["quantity"] == 32
    row = _rows(plan)[diamond["id"]]
    assert row["strip_mm"] / 25.4 == pytest.approx(2.625)
    height = 3.0 * math.sin(math.radians(45.0)) + 0.5
    first = height / math.tan(math.radians(45.0)) + height / math.sin(math.radians(45.0))
    assert row["per_row"] == 1 + math.floor((42.0 - first) / (height * math.sqrt(2.0)))
