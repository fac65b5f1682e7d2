"""Straight grain in plans against sizes by hand: geese, setting triangles, blocks on point, stars.

Common practice, no source: a flying goose's large triangle is a quarter-square triangle (finished
base + 1 1/4 in), its small ones half-square triangles (finished side + 7/8 in); side triangles of a
setting on point are the former, corner triangles the latter.
"""

from __future__ import annotations

import math

import pytest

from tests.jobs.studio import Json, Studio

INCH = 25.4
QUARTERS = [0.0, 90.0, 180.0, 270.0]
#: Two flying geese of 2 by 4 in.
GEESE: Json = {
    "size": 4,
    "pieces": [
        {"points": [[0, 0], [4, 0], [2, 2]], "colour": "goose"},
        {"points": [[0, 0], [2, 2], [0, 2]], "colour": "sky"},
        {"points": [[4, 0], [4, 2], [2, 2]], "colour": "sky"},
        {"points": [[0, 2], [4, 2], [2, 4]], "colour": "goose"},
        {"points": [[0, 2], [2, 4], [0, 4]], "colour": "sky"},
        {"points": [[4, 2], [4, 4], [2, 4]], "colour": "sky"},
    ],
}
PLAN: Json = {
    "title": "Geese over the quay",
    "units": "in",
    "block": GEESE,
    "quilt": {"width": 12, "length": 16},
    "fabric": {"width": 40, "quoted_method": "rows"},
}


def _cloth(plan: Json) -> dict[str, Json]:
    return {each["fabric"]: each for each in plan["materials"]["fabrics"]}


@pytest.mark.parametrize("turns", [[[0]], [[0, 90], [180, 270]]])
def test_flying_geese(studio: Studio, turns: list[list[int]]) -> None:
    """Twelve blocks: 24 geese of 2 by 4 in, 24 large triangles and 48 small ones, however turned.

    Large: squares of 4 + 1 1/4 = 5 1/4 in cut twice, 6 for 24 triangles, 7 on a strip: 5 1/4 in; or
    two strips of 2 5/8 in with the long side on their edges, (14 - 1) 2.6036 + 5.2071 = 39.05 in
    for 14: 5 1/4 in as well. Cut once from squares of 3 11/16 in, the long side would be on the
    bias.
    Small: squares of 2 + 7/8 = 2 7/8 in cut once, 24 for 48; floor(40 / 2.875) = 13 on a strip, 2
    strips: 5 3/4 in.
    """
    plan = studio.calculated("/v1/quilt-plans", {**PLAN, "setting": {"turns_deg": turns}})
    found = {each["colour"]: each for each in plan["pieces"]}
    assert len(plan["pieces"]) == 2
    large, small = found["goose"], found["sky"]
    assert (large["quantity"], large["shape"]) == (
        24,
        {"kind": "quarter_square_triangle", "base": pytest.approx(4.0)},
    )
    assert (small["quantity"], small["shape"]) == (
        48,
        {"kind": "half_square_triangle", "side": pytest.approx(2.0)},
    )
    assert [each["grain"] for each in plan["kit"]["pieces"]] == [QUARTERS, QUARTERS]
    cloth = _cloth(plan)
    assert cloth["goose"]["methods"]["rows"]["length_mm"] / INCH == pytest.approx(5.25)
    assert cloth["sky"]["methods"]["rows"]["length_mm"] / INCH == pytest.approx(5.75)
    (sky,) = cloth["sky"]["pieces"]
    assert sky["strip_mm"] / INCH == pytest.approx(2.875)
    assert "24 squares" in sky["method"]
    # One template serves both where sizes agree; here they differ.
    assert [row["templates"] for row in plan["materials"]["paper"]["rows"]] == [48, 24]


def test_geese_in_quarters_of_squares(studio: Studio) -> None:
    """192 geese: 48 squares of 5 1/4 in, 8 on a strip of 42 in, 6 strips: 31 1/2 in.

    In strips with the long side on their edges: (n - 1) 2.6036 + 5.2071 <= 42 gives 15; 13 strips
    of 2 5/8 in, 34 1/8 in. So squares cut twice are what is named.
    """
    body = {**PLAN, "quilt": {"width": 32, "length": 48}, "fabric": {"width": 42}}
    cloth = _cloth(studio.calculated("/v1/quilt-plans", body))["goose"]
    assert cloth["methods"]["rows"]["length_mm"] / INCH == pytest.approx(31.5)
    assert "48 squares 5 1/4 in" in " ".join(cloth["cutting"]["instructions"])
    assert "both diagonals: 192 quarter-square triangles" in cloth["cutting"]["instructions"][-1]


def test_the_kit_of_such_a_plan_keeps_the_grain(studio: Studio) -> None:
    """Patches lie by quarter turns in the kit's own loads: long sides along or across the cloth."""
    plan = studio.calculated("/v1/quilt-plans", PLAN)
    pieces = plan["kit"]["pieces"]
    assert [each["grain"] for each in pieces] == [QUARTERS, QUARTERS]
    kit = studio.kit(plan["kit"])
    turns = {
        place["turn_deg"] % 90.0
        for run in kit.payload["runs"]
        if run["cut"] == "patch"
        for load in run["loads"]
        for place in load["placements"]
    }
    assert turns == {0.0}


@pytest.mark.parametrize("grain", ["free", "kept"])
def test_a_run_may_ignore_the_grain(studio: Studio, grain: str) -> None:
    """Triangles of 50 by 100 mm with a fixed grain, 8 of them on 150 by 150 mm of card.

    Where the run's grain is free, they are turned into pairs, rectangles of 50 by 100 mm; kept, all
    of them stand upright.
    """
    piece = {
        "id": "A",
        "shape": {"kind": "right_triangle", "width": 50, "height": 100, "hand": "right"},
        "quantity": 8,
        "grain": "fixed",
    }
    run = {
        "cut": "template",
        "cutter": {
            "tool": {"kind": "pen"},
            "bed": {"width": 150, "height": 150},
        },
        "formats": ["svg"],
        "material": {"name": "sheet", "kind": "card"},
        "grain": grain,
    }
    kit = studio.kit({"units": "mm", "pieces": [piece], "runs": [run]})
    turns = {
        place["turn_deg"] % 360.0
        for load in kit.payload["runs"][0]["loads"]
        for place in load["placements"]
    }
    assert (turns == {0.0}) is (grain == "kept")


def test_the_cut_may_decide(studio: Studio) -> None:
    """With free grain, all are one shape again and the kit's pieces may be turned freely.

    Never more cloth than with the grain kept.
    """
    kept = studio.calculated("/v1/quilt-plans", PLAN)
    free = studio.calculated("/v1/quilt-plans", {**PLAN, "grain": "free"})
    assert all("grain" not in each for each in free["kit"]["pieces"])
    for name, cloth in _cloth(free).items():
        there = _cloth(kept)[name]
        for method in ("rows", "layout"):
            lengths = [each["methods"][method]["length_mm"] for each in (cloth, there)]
            assert lengths[0] <= lengths[1] + 1e-6


def test_setting_triangles(studio: Studio) -> None:
    """Blocks of 12 in on point, 4 by 5: 14 sides and 4 corners, with straight grain outside.

    Sides: 16.9706 + 1.2071 = 18.1777 in, squares of 18 3/16 in cut twice (handouts: 12 x 1.414 + 1
    1/4 = 18 1/4): 4 squares, 2 on a strip of 42 in.
    Corners: 8.4853 + 0.8536 = 9.3388 in, 2 squares of 9 3/8 in cut once (HANDBOOK C49).
    """
    body = {
        "units": "in",
        "tiling": "square",
        "side": "12",
        "quilt": {"width": 68, "length": 85},
        "fit": "nearest",
        "fabric": {"width": 42},
        "setting": {"layout": "on_point", "alternate_colour": "cream", "triangle_colour": "navy"},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    navy = {each["shape"]["kind"]: each for each in plan["pieces"] if each["colour"] == "navy"}
    assert {kind: each["quantity"] for kind, each in navy.items()} == {
        "quarter_square_triangle": 14,
        "half_square_triangle": 4,
    }
    assert navy["half_square_triangle"]["shape"]["side"] == pytest.approx(8.4853, abs=1e-3)
    rows = {row["id"]: row for row in _cloth(plan)["navy"]["pieces"]}
    corner = rows[navy["half_square_triangle"]["id"]]
    assert corner["strip_mm"] / INCH == pytest.approx(9.375)
    assert "2 squares" in corner["method"]
    assert all(each["grain"] == QUARTERS for each in plan["kit"]["pieces"])


def test_a_block_on_point_keeps_its_own_grain(studio: Studio) -> None:
    """Blocks turned to stand on their tips: the grain follows the block's edges, not the quilt's.

    2 by 2 blocks of 4 in on point and 1 between: 5 blocks, 10 geese, 20 small triangles.
    """
    reach = 4 * 2**0.5
    body = {
        **PLAN,
        "quilt": {"width": 2 * reach, "length": 2 * reach},
        "setting": {"layout": "on_point", "triangle_colour": "sea"},
        "fit": "nearest",
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    found = {(each["colour"], each["shape"]["kind"]): each["quantity"] for each in plan["pieces"]}
    assert found == {
        ("goose", "quarter_square_triangle"): 10,
        ("sky", "half_square_triangle"): 20,
        ("sea", "quarter_square_triangle"): 4,
        ("sea", "half_square_triangle"): 4,
    }


def test_the_diamonds_of_a_star_are_one_kind(studio: Studio) -> None:
    """Eight diamonds of a star lie eight ways; all are cut from strips, two sides on the grain.

    Diamonds of 3 in, as cut 3 + 2 x 1/4 / sin 45 = 3.7071 in along a side, strips of 3 / sqrt 2 +
    1/2 = 2.6213 in: by ruler 2 5/8. Their tips lean over by 2.6213 in, so (42 - 2.6213) / 3.7071 =
    10 on a strip of 42 in.
    """
    body = {
        "units": "in",
        "tiling": "eight_point_star",
        "side": "3",
        "quilt": {"width": 41, "length": 41},
        "fit": "nearest",
        "fabric": {"width": 42},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert {each["shape"]["kind"]: each["quantity"] for each in plan["pieces"]} == {
        "diamond_45": 128,
        "square": 64,
        "quarter_square_triangle": 64,
    }
    (star,) = _cloth(plan)["star"]["pieces"]
    assert star["strip_mm"] / INCH == pytest.approx(2.625)
    assert star["per_row"] == 10
    assert star["rows"] == 13


def test_a_ring_of_wedges_is_one_kind(studio: Studio) -> None:
    """Eight wedges about the middle of a 10 in block, four of them askew, and four corners cut off.

    A base is 10 tan 22.5 = 4.1421 in, and 5 in from the middle. All eight are cut with the base on
    the strip's edge (common practice, no source), not four so and four with a side of 5.4120 in.
    Corners: legs of 5 - 2.0711 = 2.9289 in on the grain.
    """
    near, far, half = 5 - 5 * math.tan(math.pi / 8), 5 + 5 * math.tan(math.pi / 8), 5
    ring = [[10, near], [10, far], [far, 10], [near, 10], [0, far], [0, near], [near, 0], [far, 0]]
    wedges = [
        {"points": [[half, half], ring[index], ring[(index + 1) % 8]], "colour": "sail"}
        for index in range(8)
    ]
    corners = [
        {"points": [ring[index], point, ring[index + 1]], "colour": "sky"}
        for index, point in ((1, [10, 10]), (3, [0, 10]), (5, [0, 0]))
    ]
    corners.append({"points": [ring[7], [10, 0], ring[0]], "colour": "sky"})
    body = {
        **PLAN,
        "block": {"size": 10, "pieces": [*wedges, *corners]},
        "quilt": {"width": 10, "length": 10},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    found = {each["colour"]: (each["shape"]["kind"], each["quantity"]) for each in plan["pieces"]}
    assert len(plan["pieces"]) == 2
    assert found == {"sail": ("custom", 8), "sky": ("half_square_triangle", 4)}
    assert [each["grain"] for each in plan["kit"]["pieces"]] == [QUARTERS, QUARTERS]
    points = next(each["shape"]["points"] for each in plan["pieces"] if each["colour"] == "sail")
    width, height = (max(row) - min(row) for row in zip(*points, strict=True))
    assert sorted((width, height)) == pytest.approx([4.1421, 5.0], abs=1e-3)


def test_an_unknown_grain_is_pointed_at(studio: Studio) -> None:
    problem = studio.refused({**PLAN, "grain": "bias"}, "/v1/quilt-plans")
    assert [each["pointer"] for each in problem["errors"]] == ["#/grain"]
