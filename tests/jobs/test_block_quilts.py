"""Quilts of separate blocks: sashing with cornerstones, on point, turned blocks."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs.studio import Studio

INCH = 25.4

#: Plain blocks of 12 in.
BLOCKS: dict[str, Any] = {
    "title": "Sail loft",
    "units": "in",
    "tiling": "square",
    "side": "12",
    "fit": "nearest",
    "fabric": {"width": "42"},
}

#: A block of two triangles, 6 in.
HALVES: dict[str, Any] = {
    "size": "6",
    "pieces": [
        {"points": [[0, 0], [6, 0], [6, 6]], "colour": "tide"},
        {"points": [[0, 0], [6, 6], [0, 6]], "colour": "sand"},
    ],
}


def size_of(answer: dict[str, Any]) -> tuple[float, float]:
    """Return width and length of a size in an answer, in."""
    return answer["width_mm"] / INCH, answer["length_mm"] / INCH


def by_colour(plan: dict[str, Any]) -> dict[str, int]:
    return dict(plan["colours"])


def test_sashing_with_cornerstones(studio: Studio) -> None:
    """Blocks of 12 in, sashing of 2 in between them: 14 n - 2 in. 4 by 5 blocks: 54 by 68 in.

    20 blocks; sashes 3 x 5 upright and 4 x 4 level: 31 of 2 by 12; cornerstones 3 x 4: 12 of 2 in.
    Area: 20 x 144 + 31 x 24 + 12 x 4 = 3672 = 54 x 68.
    Seams: 3 x 2 lines of 68 in and 4 x 2 of 54 in, 840 in; or from all edges, (20 x 48 + 31 x 28 +
    12 x 8 - 2 x (54 + 68)) / 2 = (960 + 868 + 96 - 244) / 2 = 840 in.
    """
    quilt = {"width": "54", "length": "68"}
    body = {**BLOCKS, "quilt": quilt, "setting": {"sashing": {"width": "2"}}}
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["assembled"]) == pytest.approx((54.0, 68.0))
    assert by_colour(plan) == {"square": 20, "sashing": 31, "cornerstone": 12}
    assert plan["seams"]["length_mm"] / INCH == pytest.approx(840.0)
    assert plan["nearest_sizes"]["width"]["larger"]["count"] == 4
    # The next size is one block and one sash more.
    plan = studio.calculated("/v1/quilt-plans", {**body, "quilt": {"width": 55, "length": 68}})
    assert plan["nearest_sizes"]["width"]["larger"]["size_mm"] / INCH == pytest.approx(68.0)


def test_sashing_all_round(studio: Studio) -> None:
    """With sashing outside too: 14 n + 2 in, 4 by 5 blocks are 58 by 72 in.

    Sashes 5 x 5 upright and 4 x 6 level: 49; cornerstones 5 x 6: 30.
    Area: 2880 + 49 x 24 + 30 x 4 = 4176 = 58 x 72.
    """
    sashing = {"width": "2", "colour": "navy", "cornerstone_colour": "lamp", "outer": True}
    quilt = {"width": "58", "length": "72"}
    body = {**BLOCKS, "quilt": quilt, "setting": {"sashing": sashing}}
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["assembled"]) == pytest.approx((58.0, 72.0))
    assert by_colour(plan) == {"square": 20, "navy": 49, "lamp": 30}


def test_stars_with_sashing_and_a_border(studio: Studio) -> None:
    """Eight-point stars of 3 in, blocks of 10.2426 in, sashing of 1 in, borders to 50 by 60 in.

    11.2426 n - 1: at most 48 by 58 in: 4 by 5 blocks, 43.9706 by 55.2132 in; borders 3.0147 and
    2.3934 in. 20 stars: 160 diamonds, 80 squares, 80 triangles; sashes 3 x 5 + 4 x 4 = 31 and 12
    cornerstones.
    """
    body = {
        "units": "in",
        "tiling": "eight_point_star",
        "side": "3",
        "quilt": {"width": "50", "length": "60"},
        "fit": "borders",
        "setting": {"sashing": {"width": "1"}},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["top"]) == pytest.approx((43.9706, 55.2132), abs=1e-3)
    assert size_of(plan["assembled"]) == pytest.approx((50.0, 60.0))
    (border,) = plan["borders"]
    assert border["sides_width_mm"] / INCH == pytest.approx(3.0147, abs=1e-3)
    assert border["ends_width_mm"] / INCH == pytest.approx(2.3934, abs=1e-3)
    assert by_colour(plan) == {
        "star": 160,
        "corner": 80,
        "triangle": 80,
        "sashing": 31,
        "cornerstone": 12,
        "border": 4,
    }


def test_on_point(studio: Studio) -> None:
    """Blocks of 12 in on point are 16.9706 in from tip to tip; 4 by 5 are 67.8823 by 84.8528 in.

    4 x 5 blocks and 3 x 4 between them; 2 x 3 + 2 x 4 = 14 side triangles of base 16.9706; 4 corner
    triangles with legs of 12 / 1.41421 = 8.4853 in: with 7/8 in that is the 9 3/8 in square of
    HANDBOOK C49. Area: 32 x 144 + 14 x 72 + 4 x 36 = 5760 = 67.8823 x 84.8528.
    Seams: (32 x 4 + 14 x 2 + 4) / 2 = 80 edges of 12 in, 960 in.
    """
    quilt = {"width": "68", "length": "85"}
    setting = {"layout": "on_point", "alternate_colour": "cream", "triangle_colour": "navy"}
    plan = studio.calculated("/v1/quilt-plans", {**BLOCKS, "quilt": quilt, "setting": setting})
    assert size_of(plan["assembled"]) == pytest.approx((67.8823, 84.8528), abs=1e-3)
    assert by_colour(plan) == {"square": 20, "cream": 12, "navy": 18}
    # The sides at the quilt's edge lie on the straight grain: the side triangles' long side, and
    # the corner triangles' legs (common practice, no source).
    shapes = {each["shape"]["kind"]: each for each in plan["pieces"] if each["colour"] == "navy"}
    sides, corners = shapes["quarter_square_triangle"], shapes["half_square_triangle"]
    assert (sides["quantity"], corners["quantity"]) == (14, 4)
    assert sides["shape"]["base"] == pytest.approx(16.9706, abs=1e-3)
    leg = corners["shape"]["side"]
    assert leg == pytest.approx(8.4853, abs=1e-4)
    assert math.ceil((leg + 7 / 8) * 8 - 1e-9) / 8 == 9.375
    assert plan["seams"]["length_mm"] / INCH == pytest.approx(960.0)
    assert plan["seams"]["count"] == 80
    plan = studio.calculated(
        "/v1/quilt-plans", {**BLOCKS, "quilt": quilt, "setting": {"layout": "on_point"}}
    )
    assert by_colour(plan) == {"square": 32, "setting triangle": 18}


def test_turned_blocks(studio: Studio) -> None:
    """A block of two triangles, 6 in, in four turns, 24 by 36 in: 24 blocks.

    24 triangles of each colour, all alike: right triangles with two sides of 6 in on the block's
    edges, so half-square triangles.
    Seams: the diagonals 24 x 8.4853 = 203.647; between the columns 3 x 36, the rows 5 x 24: 228.
    """
    body = {
        "units": "in",
        "block": HALVES,
        "quilt": {"width": "24", "length": "36"},
        "setting": {"turns_deg": [[0, 90], [270, 180]]},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["assembled"]) == pytest.approx((24.0, 36.0))
    assert by_colour(plan) == {"tide": 24, "sand": 24}
    assert [(each["quantity"], each["shape"]["kind"]) for each in plan["pieces"]] == [
        (24, "half_square_triangle"),
        (24, "half_square_triangle"),
    ]
    assert plan["pieces"][0]["shape"]["side"] == pytest.approx(6.0)
    assert plan["seams"]["length_mm"] / INCH == pytest.approx(203.647 + 228, abs=1e-2)


def test_a_block_of_odd_pieces_in_a_chequerboard(studio: Studio) -> None:
    """A 4 in block of a rectangle of 4 by 2, a square of 2 and two triangles with legs of 2 in:
    8 + 4 + 2 + 2 = 16 sq in.

    12 by 20 in: 3 x 5 = 15 places, 8 of them blocks, 7 plain squares of 4 in.
    """
    block = {
        "size": "4",
        "pieces": [
            {"points": [[0, 0], [4, 0], [4, 2], [0, 2]], "colour": "a"},
            {"points": [[0, 2], [2, 2], [2, 4], [0, 4]], "colour": "b"},
            {"points": [[2, 2], [4, 2], [2, 4]], "colour": "b"},
            # Clockwise: turned about.
            {"points": [[4, 2], [2, 4], [4, 4]], "colour": "c"},
        ],
    }
    body = {
        "units": "in",
        "block": block,
        "quilt": {"width": "12", "length": "20"},
        "setting": {"alternate_colour": "plain"},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert by_colour(plan) == {"a": 8, "b": 16, "c": 8, "plain": 7}
    kinds = {(each["colour"], each["shape"]["kind"]): each["quantity"] for each in plan["pieces"]}
    assert kinds == {
        ("a", "rectangle"): 8,
        ("b", "square"): 8,
        ("b", "half_square_triangle"): 8,
        ("c", "half_square_triangle"): 8,
        ("plain", "square"): 7,
    }
    drawn = {"units": "in", "pieces": plan["kit"]["pieces"]}
    assert len(studio.calculated("/v1/outlines", drawn)["pieces"]) == 5


QUILT = {"width": "24", "length": "24"}
WRONG: list[tuple[dict[str, Any], str]] = [
    ({"block": HALVES}, "#/block"),
    ({"tiling": "hexagon", "setting": {"layout": "on_point"}}, "#/setting"),
    ({"setting": {"layout": "askew"}}, "#/setting/layout"),
    (
        {"setting": {"layout": "on_point", "sashing": {"width": "1", "outer": True}}},
        "#/setting/sashing/outer",
    ),
    ({"setting": {"triangle_colour": "red"}}, "#/setting/triangle_colour"),
    ({"setting": {"turns_deg": [[0, 45]]}}, "#/setting/turns_deg/0/1"),
    ({"setting": {"turns_deg": [[0, 90], [0]]}}, "#/setting/turns_deg/1"),
    ({"setting": {"turns_deg": []}}, "#/setting/turns_deg"),
    ({"setting": {"sashing": {}}}, "#/setting/sashing"),
    ({"setting": {"sashing": {"width": "0"}}}, "#/setting/sashing/width"),
    ({"setting": {"layout": "on_point"}, "edge": "trimmed"}, "#/edge"),
    (
        {
            "tiling": "lone_star",
            "side": "1",
            "diamonds": 20,
            "setting": {"turns_deg": [[0] * 24] * 24},
        },
        "#/setting/turns_deg",
    ),
    (
        {
            "tiling": "rectangle",
            "width": "4",
            "height": "6",
            "setting": {"layout": "on_point"},
            "side": None,
        },
        "#/setting/layout",
    ),
    (
        {
            "side": "100",
            "quilt": {"width": "9000", "length": "9000"},
            "fit": "larger",
            "borders": [{"width": "1/4", "piece_colours": ["a"]}],
        },
        "#/borders",
    ),
    ({"setting": {"sashing": {"width": "1"}, "alternate_color": "x"}}, "#/setting/alternate_color"),
]


@pytest.mark.parametrize(("change", "pointer"), WRONG)
def test_what_is_wrong_is_pointed_at(studio: Studio, change: dict[str, Any], pointer: str) -> None:
    body = {**BLOCKS, "quilt": QUILT, **change}
    body = {name: value for name, value in body.items() if value is not None}
    problem = studio.refused(body, "/v1/quilt-plans")
    assert pointer in [each["pointer"] for each in problem["errors"]], problem["errors"]


def _block(*points: list[list[float]]) -> dict[str, Any]:
    return {"size": "6", "pieces": [{"points": each, "colour": "a"} for each in points]}


WRONG_BLOCKS: list[tuple[dict[str, Any], str, str]] = [
    (_block([[0, 0], [6, 0], [6, 6]]), "#/block/pieces", "50 %"),
    (_block([[0, 0], [7, 0], [7, 6], [0, 6]]), "#/block/pieces/0/points", "outside"),
    (
        _block([[0, 0], [6, 0], [6, 6], [0, 6]], [[0, 0], [1, 0], [1, 1]]),
        "#/block/pieces",
        "overlap",
    ),
    (_block([[0, 0], [6, 6], [6, 0], [0, 6]]), "#/block/pieces/0/points", ""),
    (_block([[0, 0], [6, 0, 0.2], [6, 6], [0, 6]]), "#/block/pieces/0/points", "straight"),
    ({"size": "6", "pieces": []}, "#/block/pieces", ""),
    ({"size": "6"}, "#/block", ""),
]


@pytest.mark.parametrize(("block", "pointer", "text"), WRONG_BLOCKS)
def test_a_block_that_its_pieces_do_not_fill(
    studio: Studio, block: dict[str, Any], pointer: str, text: str
) -> None:
    problem = studio.refused({"units": "in", "block": block, "quilt": QUILT}, "/v1/quilt-plans")
    found = [e for e in problem["errors"] if e["pointer"].startswith(pointer)]
    assert any(text in each["detail"] for each in found), problem["errors"]
