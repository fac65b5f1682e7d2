"""Cloth that is bought in squares of 5 in: what the sheet to cut by says of it."""

from __future__ import annotations

import pytest

from tests.jobs.sheet import Sheet
from tests.jobs.studio import Json, Studio

TUMBLER: Json = {"kind": "tumbler", "top_width": "4", "bottom_width": "3", "height": "4"}
SMALL: Json = {"kind": "tumbler", "top_width": "1 1/2", "bottom_width": "1", "height": "1 1/2"}


def _printed(studio: Studio, shape: Json, **fabric: object) -> Sheet:
    piece = {"shape": shape, "seam_allowance": "1/4", "quantity": 80}
    body = {"units": "in", "pieces": [piece], "fabric": fabric}
    answer = studio.client.post("/v1/yardage", json=body, headers={"Accept": "application/pdf"})
    assert answer.status_code == 200
    return Sheet(answer.data)


def test_one_tumbler_from_each_charm(studio: Studio) -> None:
    """4 9/16 x 4 1/2 in: one from each 5 in square, 80 of them; nothing lies beside it."""
    sheet = _printed(studio, TUMBLER, pre_cut="square_5")
    assert sheet.says(
        "Buy 80 5 in squares", "By ruler 80 5 in squares", "By cutter 80 5 in squares"
    )
    assert sheet.says("from them 80 tumblers, 1 to a strip")
    assert sheet.is_silent_about("off a roll", "side by side", "turned alternately")


def test_tumblers_that_share_a_charm_lie_beside_each_other(studio: Studio) -> None:
    """Ends of 2.09 and 1.42 in, 2 in high: two side by side 4.18 in of 5, and 2 strips to a charm.

    80 tumblers are 20 charms.
    """
    sheet = _printed(studio, SMALL, pre_cut="square_5")
    assert sheet.says("Buy 20 5 in squares", "80 tumblers, side by side, 2 to a strip")


@pytest.mark.parametrize("words", ["By cutter, off a roll", "By ruler"])
def test_cloth_by_the_length_comes_off_a_roll(studio: Studio, words: str) -> None:
    """Cloth 40 in wide is on a roll for a cutter, and strips for a ruler."""
    assert _printed(studio, TUMBLER, width="40").says(words)
