"""What twenty equal quilts take to be finished, beside what one takes."""

from __future__ import annotations

import pytest

from tests.jobs.sheet import Sheet
from tests.jobs.studio import Json, Studio

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

YARD: Json = {"length": "1 yd"}
PLAN: Json = {
    "title": "Net loft class",
    "units": "in",
    "tiling": "square",
    "side": "8",
    "quilt": {"width": "40", "length": "56"},
    "kits": 20,
    "binding": {"strip": "2 1/2", "usable_width": "40", "extra": "8", "step": "1/8 yd"},
    "backing": {"extra_each_side": "2", "usable_width": "42", "seams": "crosswise"},
    "prices": {
        "currency": "EUR",
        "materials": [
            {"name": "binding", "per_length": "8.00", **YARD},
            {"name": "backing", "per_length": "6.00", **YARD},
        ],
    },
}


def test_finishing_is_bought_for_the_whole_class(studio: Studio) -> None:
    """Twenty quilts of 40 x 56 in; what is cut for all of them is rounded up once.

    Binding of one: 2 (40 + 56) + 8 = 200 in, 200/40 = 5 strips of 2 1/2 in, 12 1/2 in: 3 eighths of
    a yard (13 1/2 in). Of twenty: 100 strips, 250 in = 6 17/18 yd, so 7 yd; twenty times 3/8 yd
    would be 7 1/2 yd. Backing of one: 44 x 60 in, seams crosswise: 60/42, 2 panels of 44 in, 88 in
    = 2 4/9 yd: 2 1/2 yd. Of twenty: 1760 in = 48 8/9 yd: 49 yd. Lengthwise, 44/42: 2 panels of
    60 in, 120 in, 3 3/8 yd; of twenty 2400 in = 66 2/3 yd, 66 3/4 yd. Batting: 20 of 48 x 64 in.
    Priced: 7 x 8.00 = 56.00 and 49 x 6.00 = 294.00.
    """
    plan = studio.calculated("/v1/quilt-plans", PLAN)
    materials = plan["materials"]
    assert (materials["binding"]["strips"], materials["binding"]["buy"]) == (5, "3/8 yd")
    assert (materials["backing"]["panels"], materials["backing"]["buy"]) == (2, "2 1/2 yd")
    every = materials["finishing_for_all"]
    assert (every["binding"]["strips"], every["binding"]["buy"]) == (100, "7 yd")
    assert every["binding"]["fabric_length_mm"] == pytest.approx(250 * 25.4)
    assert (every["backing"]["panels"], every["backing"]["buy"]) == (40, "49 yd")
    assert every["backing"]["alternative"]["buy"] == "66 3/4 yd"
    assert every["battings"] == 20
    amounts = {each["name"]: each["amount"] for each in plan["quote"]["lines"]}
    assert amounts == {"binding": "56.00", "backing": "294.00"}


def test_the_sheet_says_for_how_many_quilts(studio: Studio) -> None:
    """Amounts of one quilt stand beside those of all twenty, never alone."""
    form = {"Accept": "application/pdf"}
    answer = studio.client.post("/v1/quilt-plans", json=PLAN, headers=form)
    sheet = Sheet(answer.data)
    assert sheet.together("binding", "3/8 yd", "5 strips", "20", "7 yd", "100 strips", within=60)
    assert sheet.together("backing", "2 1/2 yd", "2 panels", "20", "49 yd", within=80)
    assert sheet.together("3 3/8 yd", "20", "66 3/4 yd", within=80)
    assert sheet.together("batting", "48 in", "64 in", "20", within=40)
    one = studio.client.post("/v1/quilt-plans", json={**PLAN, "kits": 1}, headers=form)
    assert Sheet(one.data).is_silent_about("for all")


def test_one_quilt_has_nothing_for_all(studio: Studio) -> None:
    """A single quilt's own amounts are all there is."""
    plan = studio.calculated("/v1/quilt-plans", {**PLAN, "kits": 1})
    assert "finishing_for_all" not in plan["materials"]
