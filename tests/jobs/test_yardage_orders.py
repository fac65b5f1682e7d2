"""Yardage of three orders for squares and rectangles, as published tables have it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

#: Width and length as cut, quantity, usable width, step; per row, rows, length, to buy.
ORDERS = [
    pytest.param("3", "2", 300, "40", "1/2 yd", 13, 24, 48.0, "1 1/2 yd", id="rectangles"),
    pytest.param(
        "9 1/2", "9 1/2", 63, "42", "1/8 yd", 4, 16, 152.0, "4 1/4 yd", id="large-squares"
    ),
    pytest.param(
        "3 1/2", "3 1/2", 200, "44", "1/8 yd", 12, 17, 59.5, "1 3/4 yd", id="small-squares"
    ),
    pytest.param("2 1/2", "2 1/2", 420, "45", "1/8 yd", 18, 24, 60.0, "1 3/4 yd", id="strips"),
]


@pytest.mark.parametrize(
    ("width", "length", "quantity", "cloth", "step", "per_row", "rows", "inches", "buy"), ORDERS
)
def test_yardage_orders(  # noqa: PLR0913, PLR0917 - a row of the table
    studio: Studio,
    width: str,
    length: str,
    quantity: int,
    cloth: str,
    step: str,
    per_row: int,
    rows: int,
    inches: float,
    buy: str,
) -> None:
    """Whole rows of whole pieces, rounded up to the step; four published worked examples.

    An extension service: 40 / 3 = 13 a row, 300 / 13 = 23.1, 24 rows of 2 in = 48 in = 1.333 yd,
    1 1/2 yd. A quilters' forum: 42 / 9.5 = 4, 63 / 4 = 15.75, 16 rows = 152 in = 4.222 yd, 4 1/4
    yd. A page on stacked cutting: 44 / 3.5 = 12, 200 / 12 = 16.7, 17 rows = 59.5 in = 1.653 yd, 1
    3/4 yd. A hobbyist's path of hexagons: 45 / 2.5 = 18, 420 / 18 = 23.3, 24 strips = 60 in =
    1.667 yd, 1 3/4 yd.
    """
    body: dict[str, Any] = {
        "units": "in",
        "pieces": [{"id": "sail", "width": width, "length": length, names.QUANTITY: quantity}],
        "fabric": {"name": "sailcloth", "width": cloth, "step": step},
    }
    (fabric,) = studio.calculated("/v1/yardage", body)["fabrics"]
    assert (fabric["per_row"], fabric["rows"]) == (per_row, rows)
    assert fabric["length_mm"] == pytest.approx(inches * 25.4, abs=1e-6)
    assert fabric[names.BUY] == buy
    (row,) = fabric["pieces"]
    assert (row["needed"], row["cut"], row["turned"]) == (quantity, quantity, False)
