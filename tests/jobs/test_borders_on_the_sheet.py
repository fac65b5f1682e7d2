"""Two borders of a quilt: names that say which is which, and a sheet that counts what is cut."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio
from tests.printed_words import printed_words

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

INCH = 25.4
PLAN: dict[str, Any] = {
    "title": "Two borders",
    "units": "in",
    "tiling": "square",
    "side": "4",
    "quilt": {"width": "59", "length": "73"},
    "fit": "borders",
    "borders": [
        {"width": "1", "colour": "rope", "corners": "mitred"},
        {"colour": "slate", "joined": True},
    ],
    "seam_allowance": "1/4",
    "fabric": {"width": "42", "step": "1/8 yd"},
}


def _sheet(studio: Studio, path: str, body: dict[str, Any]) -> str:
    answer = studio.client.post(path, json=body, headers={"Accept": "application/pdf"})
    assert answer.status_code == 200, answer.get_data(as_text=True)[:500]
    return printed_words(answer.data)


def _fabrics(plan: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {each["fabric"]: each for each in plan["materials"]["fabrics"]}


def test_two_borders_say_which_is_which(studio: Studio) -> None:
    """13 x 17 squares of 4 in are 52 x 68; with 1 in all round 54 x 70; the rest 2 1/2 and 1 1/2.

    Rope, mitred: sides 70 in long, ends 54, each 0.25 / tan 22.5 = 0.6036 longer at both ends:
    71.207, by ruler 71 1/4, and 55.207, 55 1/4; 1 1/2 wide. All four side by side: 71 1/4 in.
    Slate, joined from strips of 42 in, a seam takes 1/2: sides 2 x 70 1/2 = 141, (141 - 1/2) /
    41 1/2 = 3.4, 4 strips 3 in wide; ends 2 x 59 1/2 = 119, 2.9, 3 strips 2 in wide: 18 in.
    """
    plan = studio.calculated("/v1/quilt-plans", PLAN)
    cloth = _fabrics(plan)
    assert [each["id"] for each in cloth["slate"]["pieces"]] == ["border-2-sides", "border-2-ends"]
    assert [each["rows"] for each in cloth["slate"]["pieces"]] == [4, 3]
    assert cloth["slate"]["methods"]["rows"]["length_mm"] == pytest.approx(18 * INCH)
    assert [each["id"] for each in cloth["rope"]["pieces"]] == ["border-1-sides", "border-1-ends"]
    assert cloth["rope"]["methods"]["rows"]["length_mm"] == pytest.approx(71.25 * INCH)
    # Strips along the grain: a layout is as long as the longest of them.
    long = 70 + 2 * 0.603553
    laid = cloth["rope"]["methods"]["layout"]["length_mm"]
    assert laid == pytest.approx(long * INCH, abs=0.01)
    joined = plan["borders"][1]["joined_from"]
    assert [(each["places"], each[names.QUANTITY]) for each in joined] == [
        (["sides"], 4),
        (["ends"], 3),
    ]


def test_joined_strips_of_one_width_are_for_all_edges(studio: Studio) -> None:
    """A border of 2 in all round 40 x 48 in: sides 2 x 48 1/2, ends 2 x 44 1/2, 186 in of 2 1/2 in.

    (186 - 1/2) / 41 1/2 = 4.5: 5 strips, 12 1/2 in.
    """
    body = {
        **PLAN,
        "quilt": {"width": "44", "length": "52"},
        "fit": "nearest",
        "borders": [{"width": "2", "colour": "slate", "joined": True}],
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    (joined,) = plan["borders"][0]["joined_from"]
    assert (joined["places"], joined[names.QUANTITY]) == (["sides", "ends"], 5)
    (piece,) = _fabrics(plan)["slate"]["pieces"]
    assert (piece["id"], piece["rows"]) == ("border-1", 5)


def test_a_plans_sheet_counts_what_is_cut(studio: Studio) -> None:
    """13 x 17 = 221 squares; 4 strips of the mitred border and 4 + 3 of the joined one: 11.

    The sheet names the corners and gives sizes by ruler, as the sentences below it do.
    """
    words = _sheet(studio, "/v1/quilt-plans", {**PLAN, "kits": 2})
    assert "221, and 11 strips for borders" in words
    assert "pieces for one" in words
    for part in (
        "rope; mitred corners",
        "sides: 2 strips 1 1/2 in x 71 1/4 in",
        "ends: 2 strips 1 1/2 in x 55 1/4 in",
        "slate; butted corners",
        "sides: 4 strips 3 in x 42 in, joined",
        "ends: 3 strips 2 in x 42 in, joined",
    ):
        assert part in words
    assert words.index("Mitred corners:") < words.index("border-1-sides: Cut")


def test_a_sheet_without_borders_counts_pieces(studio: Studio) -> None:
    """10 x 12 squares of 4 in: 120."""
    body = {**PLAN, "quilt": {"width": "40", "length": "48"}, "fit": "nearest"}
    del body["borders"]
    words = _sheet(studio, "/v1/quilt-plans", body)
    assert "Pieces 120 " in words
    assert "Borders" not in words


def test_blunted_tips_are_told(studio: Studio) -> None:
    """A right triangle of 3 x 8 in: its tip is atan(3 / 8) = 20.556 degrees.

    A mitre would reach 1 / sin 10.278 = 5.6 allowances, more than 4, so it is cut blunt; yardage
    says so, for that piece alone, and its sheet too. 1/4 in x 5.605 = 1.401 in.
    """
    sharp = {"kind": "right_triangle", "width": "3", "height": "8", "hand": "left"}
    body = {
        "units": "in",
        "pieces": [
            {"id": "sail", "shape": sharp, "seam_allowance": "1/4", names.QUANTITY: 4},
            {"id": "hull", "width": "3", "length": "4", names.QUANTITY: 2},
        ],
        "fabric": {"width": "42"},
    }
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    (warning,) = [each for each in found["warnings"] if "blunt" in each]
    assert "sail" in warning
    assert "hull" not in warning
    for part in ("20.556", "blunt", "1.401 in"):
        assert part in warning
    assert "blunt" in _sheet(studio, "/v1/yardage", body)
    body["pieces"] = body["pieces"][1:]  # type: ignore[index]
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    assert "blunt" not in " ".join(found.get("warnings") or [])


def test_a_plan_tells_of_blunted_tips_too(studio: Studio) -> None:
    """A block of 6 in with a triangle of 6 x 2 in: its tip is atan(2 / 6) = 18.435 degrees.

    1 / sin 9.2175 = 6.24 allowances, more than 4; the other piece has corners of 71 degrees up.
    """
    body = {
        "title": "Pennants",
        "units": "in",
        "block": {
            "size": "6",
            "pieces": [
                {"points": [[0, 0], [6, 0], [6, 2]], "colour": "flag"},
                {"points": [[0, 0], [6, 2], [6, 6], [0, 6]], "colour": "sky"},
            ],
        },
        "quilt": {"width": "24", "length": "36"},
    }
    cloth = _fabrics(studio.calculated("/v1/quilt-plans", body))
    (warning,) = [each for each in cloth["flag"]["warnings"] if "blunt" in each]
    assert "18.43" in warning
    assert "blunt" in warning
    assert "blunt" not in " ".join(cloth["sky"].get("warnings") or [])


SHORT: dict[str, Any] = {
    **PLAN,
    "side": "5",
    "quilt": {"width": "36", "length": "41"},
    "fit": "nearest",
    "borders": [{"width": "3", "colour": "slate", "joined": True}],
    "fabric": {"width": "40", "step": "1/8 yd"},
}


def test_strips_that_fit_across_the_cloth_are_not_joined(studio: Studio) -> None:
    """6 x 7 squares of 5 in are 30 x 35 in; a border of 3 in makes 36 x 41.

    Sides 35 1/2 x 3 1/2 in, ends 36 1/2 x 3 1/2: each is one strip across 40 in. Four rows of
    3 1/2 in, 14 in; 14 / 4.5 = 3.1, 4 eighths: 1/2 yd. On the sheet 42 squares and 4 strips.
    """
    plan = studio.calculated("/v1/quilt-plans", SHORT)
    assert plan["borders"][0]["joined_from"] == []
    slate = _fabrics(plan)["slate"]
    assert [each["id"] for each in slate["pieces"]] == ["border-1-sides", "border-1-ends"]
    assert slate["methods"]["rows"]["length_mm"] == pytest.approx(14 * INCH)
    assert slate[names.BUY] == "1/2 yd"
    sheet = _sheet(studio, "/v1/quilt-plans", SHORT)
    assert "sides: 2 strips 3 1/2 in x 35 1/2 in" in sheet
    assert "ends: 2 strips 3 1/2 in x 36 1/2 in" in sheet
    assert "42, and 4 strips for borders" in sheet
    assert "joined" not in sheet


def test_a_strip_as_long_as_the_cloth_is_wide_is_not_joined(studio: Studio) -> None:
    """Of 36 1/2 in the ends fit exactly. Of 36 they do not, and all four are joined.

    2 x 35 1/2 + 2 x 36 1/2 = 144 in; a seam takes 1/2: (144 - 1/2) / 35 1/2 = 4.04, 5 strips.
    """
    exact = studio.calculated("/v1/quilt-plans", {**SHORT, "fabric": {"width": "36 1/2"}})
    assert exact["borders"][0]["joined_from"] == []
    narrow = studio.calculated("/v1/quilt-plans", {**SHORT, "fabric": {"width": "36"}})
    (joined,) = narrow["borders"][0]["joined_from"]
    assert (joined["places"], joined[names.QUANTITY]) == (["sides", "ends"], 5)


@pytest.mark.parametrize(
    ("quilt", "joined"),
    [
        # 5 squares of 4 in: 20 1/2 and 26 1/2 in, none beside another in 40: 4 strips whole, and
        # (94 - 1/2) / 39 1/2 = 2.4, 3 joined.
        ("26", [3]),
        # 4 squares: 16 1/2 and 22 1/2 in go together into 39 of 40: 2 strips whole, and
        # (78 - 1/2) / 39 1/2 = 1.96, 2 joined.
        ("22", []),
    ],
)
def test_short_strips_are_joined_where_that_saves_some(
    studio: Studio, quilt: str, joined: list[int]
) -> None:
    body = {**SHORT, "side": "4", "quilt": {"width": quilt, "length": quilt}}
    plan = studio.calculated("/v1/quilt-plans", body)
    assert [each[names.QUANTITY] for each in plan["borders"][0]["joined_from"]] == joined


def test_of_two_widths_only_the_long_ones_are_joined(studio: Studio) -> None:
    """48 x 31 in: 9 x 5 squares are 45 x 25; with 6 rows the ends would be 1/2 in wide, too narrow.

    Sides of 1 1/2 in, as cut 2 x 25 1/2, fit across 40 in: 2 strips. Ends of 3 in, 3 1/2 x 48 1/2:
    97 in, of which each strip gives 39 1/2: (97 - 1/2) / 39 1/2 = 2.4, 3 strips.
    """
    body = {
        **SHORT,
        "quilt": {"width": "48", "length": "31"},
        "fit": "borders",
        "borders": [{"colour": "slate", "joined": True}],
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    (joined,) = plan["borders"][0]["joined_from"]
    assert (joined["places"], joined[names.QUANTITY]) == (["ends"], 3)
    sheet = _sheet(studio, "/v1/quilt-plans", body)
    assert "sides: 2 strips 2 in x 25 1/2 in" in sheet
    assert "ends: 3 strips 3 1/2 in x 40 in, joined end to end" in sheet


def test_pre_cut_strips_that_are_long_enough_are_not_joined(studio: Studio) -> None:
    """Strips of 6 x 40 in: each gives one side or one end, 3 1/2 in wide, so 4 are used."""
    fabric = {"pre_cut": {"width": "6", "length": "40"}}
    plan = studio.calculated("/v1/quilt-plans", {**SHORT, "fabric": fabric})
    assert plan["borders"][0]["joined_from"] == []
    slate = _fabrics(plan)["slate"]
    assert {each["id"] for each in slate["pieces"]} == {"border-1-sides", "border-1-ends"}
