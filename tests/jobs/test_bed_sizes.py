"""Quilts for four beds with a drop of 12 in, planned in 4 in squares."""

from __future__ import annotations

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

#: Mattress and quilt, in: teaching slides on yardage and a page on mattresses agree.
BEDS = {
    "twin": (39, 75, 63, 87),
    "full": (54, 75, 78, 87),
    "queen": (60, 80, 84, 92),
    "king": (76, 80, 100, 92),
}


@pytest.mark.parametrize("bed", BEDS)
def test_bed_sizes(studio: Studio, bed: str) -> None:
    """Published: width + 2 x 12, length + 12: 63 x 87, 78 x 87, 84 x 92, 100 x 92 in.

    In whole 4 in squares: as many as reach, ceil(width / 4) x ceil(length / 4): twin 16 x 22 = 352,
    full 20 x 22 = 440, queen 21 x 23 = 483, king 25 x 23 = 575.
    """
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "units": "in",
            "tiling": "square",
            "side": "4",
            "quilt": {"bed": bed, "drop": "12"},
            "edge": "whole",
        },
    )
    width, length, wide, long = BEDS[bed]
    payload = plan["quilt"]
    assert (payload["width_mm"], payload["length_mm"]) == pytest.approx((wide * 25.4, long * 25.4))
    assert payload["bed"]["mattress_width_mm"] == pytest.approx(width * 25.4)
    assert payload["bed"]["mattress_length_mm"] == pytest.approx(length * 25.4)
    squares = -(-wide // 4) * -(-long // 4)
    assert [each[names.QUANTITY] for each in plan["pieces"]] == [squares]
    assert sum(each["quantity"] for each in plan["kit"]["pieces"]) == squares
