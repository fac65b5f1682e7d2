"""A quilt of 5 in squares with a border that makes up the rest, its cloth and its sheet.

By hand: a quilt of 48 x 59 in holds 9 x 11 squares, 45 x 55 in. The border is 1 1/2 in wide at the
sides and 2 in at the ends. Its sides are cut 2 x 55 1/2 in, its butted ends 2 1/2 x 48 1/2 in.

Whole strips: 2 + 2 + 2 1/2 + 2 1/2 = 9 in lie side by side along one length of 55 1/2 in, which is
1.54 yd: 1 3/4 yd by quarters. On the straight grain no layout can be shorter.

Joined strips: the sides take 2 x 55 1/2 = 111 in, three strips of 42 in less two seams of 1/2 in
(125 in; two have 83 1/2); the ends take 97 in, three strips too. 3 x 2 + 3 x 2 1/2 = 13 1/2 in:
1/2 yd.

Squares are cut 5 1/2 in, 7 to a strip: 55 take 8 strips, 44 in: 1 1/4 yd; 44 take 7: 38 1/2 in.

Templates are used three times: 55 uses take 19, 44 take 15; two lie on a sheet: 17 sheets.
Backing 56 x 67 in: two panels of 67 in, 134 in: 3 3/4 yd; or, seams crosswise, two of 56 in,
112 in: 3 1/8 yd.
"""

from __future__ import annotations

import pytest

from tests.jobs.studio import Json, Studio
from tests.printed_words import printed_words

pytestmark = pytest.mark.usefixtures("in_process")
INCH = 25.4


def _plan(*, joined: bool, **fabric: str) -> Json:
    return {
        "title": "Pier squares",
        "units": "in",
        "tiling": "square",
        "side": "5",
        "quilt": {"width": "48", "length": "59"},
        "fit": "borders",
        "borders": [{"colour": "rail", "joined": joined}],
        "colours": {"by": "repeat", "names": ["foam", "slate"]},
        "seam_allowance": "1/4",
        "fabric": {"width": "42", "step": "1/4 yd", **fabric},
        "paper": {"sheet": "letter", "reuse": 3},
    }


def _fabric(plan: Json, name: str) -> Json:
    (found,) = (each for each in plan["materials"]["fabrics"] if each["fabric"] == name)
    return dict(found)


@pytest.mark.parametrize("method", ["rows", "layout", "larger"])
def test_whole_strips_lie_side_by_side_on_the_straight_grain(studio: Studio, method: str) -> None:
    plan = studio.calculated("/v1/quilt-plans", _plan(joined=False, quoted_method=method))
    rail = _fabric(plan, "rail")
    for each in rail["methods"].values():
        assert each["length_mm"] == pytest.approx(55.5 * INCH, abs=0.5)
    assert rail["buy"] == "1 3/4 yd"
    assert [_fabric(plan, name)["buy"] for name in ("foam", "slate")] == ["1 1/4 yd", "1 1/4 yd"]


def test_joined_strips_and_what_the_sheet_says(studio: Studio) -> None:
    body = _plan(joined=True)
    plan = studio.calculated("/v1/quilt-plans", body)
    rail = _fabric(plan, "rail")
    assert rail["methods"]["rows"]["length_mm"] == pytest.approx(13.5 * INCH)
    assert rail["buy"] == "1/2 yd"
    paper = plan["materials"]["paper"]
    assert (paper["templates"], paper["sheets"]) == (19 + 15, 17)
    answer = studio.client.post("/v1/quilt-plans", json=body, headers={"Accept": "application/pdf"})
    printed = printed_words(answer.data)
    for said in ("55 1/2 in", "48 1/2 in", "34 templates", "17 sheets", "3 3/4 yd", "3 1/8 yd"):
        assert said in printed, said
