"""Squares out of fat quarters and short lengths: rows are counted, never scaled."""

from __future__ import annotations

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

#: Squares out of 18 x 22 in: a handout on yardage and a quilting teacher's chart agree.
SQUARES = {
    "2": 99, "2 1/2": 56, "3": 42, "3 1/2": 30, "4": 20,
    "4 1/2": 16, "5": 12, "5 1/2": 12, "6": 9, "6 1/2": 6,
}  # fmt: skip


@pytest.mark.parametrize(("side", "each"), SQUARES.items())
def test_fat_quarters(studio: Studio, side: str, each: int) -> None:
    """Two published tables: floor(18 / side) x floor(22 / side).

    Three fat quarters hold three times as many; one square more needs a fourth.
    """
    for quantity, needed in ((3 * each, 3), (3 * each + 1, 4)):
        body = {
            "units": "in",
            "pieces": [{"id": "s", "width": side, "length": side, names.QUANTITY: quantity}],
            "fabric": {"name": "lamp yellow", "pre_cut": "fat_quarter"},
        }
        (fabric,) = studio.calculated("/v1/yardage", body)["fabrics"]
        assert fabric["pre_cuts"] == needed


def test_a_quarter_yard_is_counted_in_rows(studio: Studio) -> None:
    """A quarter yard of 44 in is 9 in long: one row of eight 5 in squares.

    A published chart halves the yard's 56 twice and prints 14: the 9th square needs a second
    row, 10 in, so 3/8 yd in eighths; 14 squares too.
    """
    for quantity, rows, buy in ((8, 1, "1/4 yd"), (9, 2, "3/8 yd"), (14, 2, "3/8 yd")):
        body = {
            "units": "in",
            "pieces": [{"id": "s", "width": "5", "length": "5", names.QUANTITY: quantity}],
            "fabric": {"name": "lamp yellow", "width": "44", "step": "1/8 yd"},
        }
        (fabric,) = studio.calculated("/v1/yardage", body)["fabrics"]
        assert (fabric["per_row"], fabric["rows"]) == (8, rows)
        assert fabric[names.BUY] == buy


def test_what_to_buy_reads_as_one_says_it(studio: Studio) -> None:
    """Squares of 3 1/2 in: floor(18 / 3.5) x floor(22 / 3.5) = 5 x 6 = 30 a fat quarter.

    100 take 4 fat quarters, 30 one fat quarter.
    """
    for count, buy in ((100, "4 fat quarters"), (30, "1 fat quarter")):
        payload = studio.calculated(
            "/v1/yardage",
            {
                "units": "in",
                "pieces": [{"id": "S", "width": "3 1/2", "length": "3 1/2", "quantity": count}],
                "fabric": {"pre_cut": "fat_quarter"},
            },
        )
        assert payload["fabrics"][0]["buy"] == buy
