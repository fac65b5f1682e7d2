"""Stars pieced of diamonds, their counts worked out by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Studio
from tests.short_form import short_form

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

INCH = 25.4

LONE_STAR: dict[str, Any] = {
    "title": "Lone star for the lamp room",
    "units": "in",
    "tiling": "lone_star",
    "side": "3 1/2",
    "diamonds": 7,
    "quilt": {"bed": "queen", "drop": "12"},
    "fit": "nearest",
}


def size_of(answer: dict[str, Any]) -> tuple[float, float]:
    """Return width and length of a size in an answer, in."""
    return answer["width_mm"] / INCH, answer["length_mm"] / INCH


def counted(plan: dict[str, Any]) -> dict[tuple[str, str], int]:
    """Return pieces by kind and part."""
    found: dict[tuple[str, str], int] = {}
    for each in plan["pieces"]:
        key = (each["shape"]["kind"], each["part"])
        found[key] = found.get(key, 0) + each["quantity"]
    return found


def test_a_lone_star_of_seven_diamonds(studio: Studio) -> None:
    """8 points of 7 x 7 diamonds of 3 1/2 in: 392, with 4 squares of 7 x 3.5 = 24.5 in and
    4 triangles of base 24.5 x 1.41421 = 34.648 in. The block is 3.41421 x 24.5 = 83.6482 in.

    Round r from the middle has 8 min(r, 14 - r) diamonds: 8, 16, ... 56, ... 8, 13 rounds.
    Seams: in a point 2 x 7 x 6 edges of 3.5 = 294 in, in eight 2352; between the points 8 x 24.5 =
    196; to the fillers 16 x 24.5 = 392: 2940 in. Edges: 8 x 84 + 8 x 7 + 16 x 7 = 840.
    """
    plan = studio.calculated("/v1/quilt-plans", LONE_STAR)
    assert size_of(plan["assembled"]) == pytest.approx((83.6482, 83.6482), abs=1e-3)
    assert counted(plan) == {
        ("diamond_45", "whole"): 392,
        ("square", "whole"): 4,
        ("quarter_square_triangle", "whole"): 4,
    }
    rounds = [plan["colours"][f"round {number}"] for number in range(1, 14)]
    assert rounds == [8 * min(number, 14 - number) for number in range(1, 14)]
    assert plan["seams"]["length_mm"] / INCH == pytest.approx(2940.0, abs=1e-2)
    assert plan["seams"]["count"] == 840
    assert plan["seams"]["outside_mm"] / INCH == pytest.approx(4 * 83.6482, abs=1e-2)
    assert plan["counts"] == {"diamonds": 7}
    # The legend lists the rounds from the middle.
    assert list(plan["colours"])[:13] == [f"round {number}" for number in range(1, 14)]


@pytest.mark.long
def test_as_many_diamonds_as_make_one_star(studio: Studio) -> None:
    """A diamond of 3 1/2 in adds 3.41421 x 3.5 = 11.9497 in to the block; the bed is 84 by 92 in.

    Nearest to the shorter side: 84 / 11.9497 = 7.03, 7. At least the size: 92 / 11.9497 = 7.70, 8:
    95.5980 in. With borders of 1 in or more: 82 / 11.9497 = 6.86, 6: 71.6985 in, borders of
    (84 - 71.6985) / 2 = 6.1508 and (92 - 71.6985) / 2 = 10.1508 in.
    """
    body = {name: value for name, value in LONE_STAR.items() if name != "diamonds"}
    plan = studio.calculated("/v1/quilt-plans", body)
    assert plan["counts"] == {"diamonds": 7}
    plan = studio.calculated("/v1/quilt-plans", {**body, "fit": "larger"})
    assert plan["counts"] == {"diamonds": 8}
    assert "With 7 diamonds it is 83.65 in" in " ".join(plan["warnings"])
    assert size_of(plan["assembled"]) == pytest.approx((95.5980, 95.5980), abs=1e-3)
    plan = studio.calculated("/v1/quilt-plans", {**body, "fit": "borders"})
    assert plan["counts"] == {"diamonds": 6}
    (border,) = plan["borders"]
    assert border["sides_width_mm"] / INCH == pytest.approx(6.1508, abs=1e-3)
    assert border["ends_width_mm"] / INCH == pytest.approx(10.1508, abs=1e-3)
    assert size_of(plan["assembled"]) == pytest.approx((84.0, 92.0))


def test_a_border_goes_round_whole_stars(studio: Studio) -> None:
    """5 diamonds of 2 in make a star of 34.1421 in: more than 36 - 2 in, and half a star is none.

    Within 40 by 48 in one star is left 2.9289 and 6.9289 in of borders.
    """
    body = {"units": "in", "tiling": "lone_star", "side": "2", "diamonds": 5, "fit": "borders"}
    small = {**body, "quilt": {"width": "36", "length": "44"}}
    problem = studio.refused(small, "/v1/quilt-plans")
    assert [each["pointer"] for each in problem["errors"]] == ["#/quilt/width"]
    large = {**body, "quilt": {"width": "40", "length": "48"}}
    plan = studio.calculated("/v1/quilt-plans", large)
    (border,) = plan["borders"]
    assert border["sides_width_mm"] / INCH == pytest.approx(2.9289, abs=1e-3)
    assert border["ends_width_mm"] / INCH == pytest.approx(6.9289, abs=1e-3)
    assert plan["edge"]["sides"]["edge"] == "whole"


def test_half_stars_at_the_edge(studio: Studio) -> None:
    """3 diamonds of 2 in: a block of 6 x 3.41421 = 20.4853 in; filled edges end at half blocks too.

    30 in: 3 halves are 30.7279; 40 in: 4 halves are 40.9706. One and a half stars by two: 3 stars,
    3 x 8 x 9 = 216 diamonds, none of them cut. Squares: 4 for a whole block, 2 for a half: 12.
    Triangles: 4 for a whole block, 1 for a half (its outer side) and 2 cut in half: 10 and 4. Those
    have their long side on the block's edge, and the halves both legs, so that they are half-square
    triangles: sides on the outside of a block lie on the straight grain.
    Area: 216 x 4 x 0.707107 + 12 x 36 + (10 + 4 / 2) x 18 = 610.94 + 432 + 216 = 1258.94 sq in =
    30.7279 x 40.9706.
    """
    body = {
        "units": "in",
        "tiling": "lone_star",
        "side": "2",
        "diamonds": 3,
        "quilt": {"width": "30", "length": "40"},
        "fit": "nearest",
        "edge": "filled",
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["assembled"]) == pytest.approx((30.7279, 40.9706), abs=1e-3)
    assert counted(plan) == {
        ("diamond_45", "whole"): 216,
        ("square", "whole"): 12,
        ("quarter_square_triangle", "whole"): 10,
        ("half_square_triangle", "half"): 4,
    }


@pytest.mark.long
def test_small_stars_and_half_stars_about_a_star(studio: Studio) -> None:
    """3 diamonds of 2 in: corner squares of 6 in and side triangles with legs of 6 in.

    A small star's block is as wide as the square: sides of 6 / 3.41421 = 1.7574 in. Four whole ones
    have 8 diamonds, 4 squares, 4 triangles each; four halves, cut along the block's diagonal, 4
    diamonds, 1 square, 2 triangles and 2 squares cut in half, which are such triangles too.
    72 + 32 + 16 = 120 diamonds, 16 + 4 squares, 16 + 16 triangles, of which the 8 halves of squares
    have their legs on the block's edges, and so on the straight grain: half-square triangles.
    Area: 72 x 2.8284 + 48 x 2.1838 + 20 x 3.0883 + 32 x 1.5442 = 419.65 = 20.4853 x 20.4853.
    """
    body = {
        "units": "in",
        "tiling": "lone_star_with_stars",
        "side": "2",
        "diamonds": 3,
        "quilt": {"width": "20", "length": "20"},
        "fit": "nearest",
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["assembled"]) == pytest.approx((20.4853, 20.4853), abs=1e-3)
    assert counted(plan) == {
        ("diamond_45", "whole"): 72 + 48,
        ("square", "whole"): 20,
        ("quarter_square_triangle", "whole"): 24,
        ("half_square_triangle", "whole"): 8,
    }
    assert plan["colours"]["small star"] == 48


def test_a_six_point_star(studio: Studio) -> None:
    """6 points of 3 x 3 diamonds of 2 in: 54; a block of 3 x 6 = 18 by 12 x 1.73205 = 20.7846 in.

    It is completed by 4 rectangles of 6 by 5.1962 in and 8 right triangles of 3 by 5.1962 in: 54 x
    4 x 0.866025 + 4 x 31.1769 + 8 x 7.7942 = 374.12 = 18 x 20.7846.
    Seams: in a point 2 x 3 x 2 x 2 = 24, in six 144; between the points 6 x 6 = 36; round the star
    12 x 6 = 72; rectangles to triangles 4 x 5.1962; the triangles in pairs 2 x 3: 278.7846 in.
    """
    body = {
        "units": "in",
        "tiling": "six_point_lone_star",
        "side": "2",
        "diamonds": 3,
        "quilt": {"width": "18", "length": "20"},
        "fit": "nearest",
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["assembled"]) == pytest.approx((18.0, 20.7846), abs=1e-3)
    assert counted(plan) == {
        ("diamond_60", "whole"): 54,
        ("rectangle", "whole"): 4,
        ("right_triangle", "whole"): 8,
    }
    assert plan["seams"]["length_mm"] / INCH == pytest.approx(278.7846, abs=1e-2)


STARS = [
    (tiling, points, diamonds)
    for tiling, points in (("lone_star", 8), ("six_point_lone_star", 6))
    for diamonds in (1, 2, 5, 9)
]


@pytest.mark.parametrize(
    ("tiling", "points", "diamonds"),
    short_form(STARS, {("lone_star", 8, 2), ("six_point_lone_star", 6, 9)}),
)
def test_points_times_n_squared(studio: Studio, tiling: str, points: int, diamonds: int) -> None:
    """p points of n x n diamonds; every length of the block scales with n sides."""
    body = {
        "units": "in",
        "tiling": tiling,
        "side": "2",
        "diamonds": diamonds,
        "quilt": {"width": "2", "length": "2"},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    small = sum(count for (kind, _), count in counted(plan).items() if kind.startswith("diamond"))
    assert small == points * diamonds**2
    long = 2.0 * diamonds
    box = (3.414214 * long,) * 2 if points == 8 else (3.0 * long, 3.464102 * long)
    assert size_of(plan["assembled"]) == pytest.approx(box, rel=1e-6)


WRONG = [
    ({"diamonds": 0}, "#/diamonds"),
    ({"diamonds": 21}, "#/diamonds"),
    ({"diamonds": "seven"}, "#/diamonds"),
    ({"tiling": "hexagon"}, "#/diamonds"),
    ({"rounds": 2}, "#/rounds"),
]


@pytest.mark.parametrize(("change", "pointer"), WRONG)
def test_what_is_wrong_is_pointed_at(studio: Studio, change: dict[str, Any], pointer: str) -> None:
    problem = studio.refused({**LONE_STAR, **change}, "/v1/quilt-plans")
    assert pointer in [each["pointer"] for each in problem["errors"]], problem["errors"]
