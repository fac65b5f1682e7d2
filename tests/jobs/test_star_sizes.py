"""The nearest sizes of a pieced star: a diamond more or less along its points."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Json, Studio

INCH = 25.4
STAR: Json = {
    "units": "in",
    "tiling": "lone_star",
    "side": "3 1/2",
    "quilt": {"width": "84", "length": "92"},
    "fit": "nearest",
}


def _near(plan: Json, axis: str) -> dict[str, tuple[float, Any, Any]]:
    found = plan["nearest_sizes"][axis]
    return {
        name: (
            round(found[name]["size_mm"] / INCH, 3),
            found[name]["count"],
            found[name].get("diamonds"),
        )
        for name in ("smaller", "larger")
        if name in found
    }


@pytest.mark.long
def test_a_star_is_a_diamond_larger_or_smaller(studio: Studio) -> None:
    """A diamond of 3 1/2 in adds 3 1/2 x (2 + sqrt 2) = 11.94975 in to the star.

    For 84 in: 7 are 83.648, 8 are 95.598. For 92 in: 7 are 83.648 and 8 are 95.598 too. 7 is the
    plan's own number, so it is not stated again.
    """
    plan = studio.calculated("/v1/quilt-plans", STAR)
    assert plan["counts"] == {"diamonds": 7}
    expected = {"smaller": (83.648, 1, None), "larger": (95.598, 1, 8)}
    assert _near(plan, "width") == expected
    assert _near(plan, "length") == expected
    differences = plan["nearest_sizes"]["length"]
    assert differences["smaller"]["difference_mm"] / INCH == pytest.approx(83.64825 - 92, abs=1e-4)
    assert differences["larger"]["difference_mm"] / INCH == pytest.approx(95.59800 - 92, abs=1e-4)


def test_several_stars_may_be_nearer(studio: Studio) -> None:
    """40 by 90 in: 3 diamonds make 35.849 in across. Along, stars of 3 come to 71.698 and 107.547;
    one star of 7 to 83.648, which is nearer to 90, one of 8 to 95.598.
    """
    plan = studio.calculated(
        "/v1/quilt-plans", {**STAR, "quilt": {"width": "40", "length": "90"}, "fit": "smaller"}
    )
    assert plan["counts"] == {"diamonds": 3}
    assert _near(plan, "width") == {"smaller": (35.849, 1, None), "larger": (47.799, 1, 4)}
    assert _near(plan, "length") == {"smaller": (83.648, 1, 7), "larger": (95.598, 1, 8)}


def test_a_stated_number_is_kept_unless_nothing_is_smaller(studio: Studio) -> None:
    """8 diamonds, 95.598 in, are stated for 84 in: smaller there is only a star of fewer, 7."""
    plan = studio.calculated("/v1/quilt-plans", {**STAR, "diamonds": 8, "fit": "larger"})
    assert _near(plan, "width") == {"smaller": (83.648, 1, 7), "larger": (95.598, 1, None)}
    assert "With 7 diamonds it is 83.65 in" in " ".join(plan["warnings"])
    # 2 diamonds are 23.8995 in: 3 and 4 stars, as stated.
    plan = studio.calculated("/v1/quilt-plans", {**STAR, "diamonds": 2})
    assert _near(plan, "width") == {"smaller": (71.698, 3, None), "larger": (95.598, 4, None)}


def test_a_six_point_star(studio: Studio) -> None:
    """6 points of n diamonds of 2 in fill 6 n by 4 sqrt 3 n = 6.9282 n in.

    For 50 by 60 in: across 8 are 48 and 9 are 54; along 8 are 55.426, 9 are 62.354.
    """
    body = {**STAR, "tiling": "six_point_lone_star", "side": "2"}
    plan = studio.calculated(
        "/v1/quilt-plans", {**body, "quilt": {"width": "50", "length": "60"}, "fit": "smaller"}
    )
    assert plan["counts"] == {"diamonds": 8}
    assert _near(plan, "width") == {"smaller": (48.0, 1, None), "larger": (54.0, 1, 9)}
    assert _near(plan, "length") == {"smaller": (55.426, 1, None), "larger": (62.354, 1, 9)}
