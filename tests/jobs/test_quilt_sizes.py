"""Quilts that keep to the size requested: the nearest sizes, borders that make up the rest."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Studio

INCH = 25.4

#: A star for a queen bed with a drop of 12 in: 84 by 92 in.
STAR: dict[str, Any] = {
    "title": "Star for the lamp room",
    "units": "in",
    "tiling": "eight_point_star",
    "side": "24 1/2",
    "quilt": {"bed": "queen", "drop": "12"},
    "edge": "whole",
    "colours": {"by": "pieces", "names": ["star", "corners", "sides"]},
    "fabric": {"width": "42", "step": "1/8 yd"},
}


def size_of(answer: dict[str, Any], unit: float = INCH) -> tuple[float, float]:
    """Return width and length of a size in an answer, in another unit."""
    return answer["width_mm"] / unit, answer["length_mm"] / unit


def nearest(plan: dict[str, Any], axis: str, unit: float = INCH) -> list[tuple[float, float]]:
    """Return size and difference of the next smaller and the next larger quilt."""
    found = plan["nearest_sizes"][axis]
    return [
        (found[name]["size_mm"] / unit, found[name]["difference_mm"] / unit)
        for name in ("smaller", "larger")
        if name in found
    ]


def test_a_star_twice_the_size_requested_says_so(studio: Studio) -> None:
    """A block is 3.414214 sides (HANDBOOK C31) = 83.6482 in; one is less than 84 in.

    Two are 167.2965 in, 83.2965 more than 84 and 75.2965 more than 92; one is 0.3518 less than 84
    and 8.3518 less than 92. Both differ by more than 2 % (1.68 and 1.84 in).
    """
    plan = studio.calculated("/v1/quilt-plans", STAR)
    assert size_of(plan["assembled"]) == pytest.approx((167.2965, 167.2965), abs=1e-3)
    assert nearest(plan, "width") == [
        pytest.approx((83.6482, -0.3518), abs=1e-3),
        pytest.approx((167.2965, 83.2965), abs=1e-3),
    ]
    assert nearest(plan, "length") == [
        pytest.approx((83.6482, -8.3518), abs=1e-3),
        pytest.approx((167.2965, 75.2965), abs=1e-3),
    ]
    text = " ".join(plan["warnings"])
    assert "167.3 in wide" in text
    assert "84 in was requested" in text
    assert "83.65 in (0.352 in less)" in text


def test_the_nearest_size(studio: Studio) -> None:
    """83.6482 is nearest both: 0.42 % less than 84 (no warning), 9.1 % less than 92 (a warning)."""
    plan = studio.calculated("/v1/quilt-plans", {**STAR, "fit": "nearest"})
    assert size_of(plan["assembled"]) == pytest.approx((83.6482, 83.6482), abs=1e-3)
    assert plan["totals"]["pieces"] == 8 + 4 + 4
    (size,) = [each for each in plan["warnings"] if "requested" in each]
    assert "long" in size
    assert "wide" not in size


def test_borders_make_up_the_rest(studio: Studio) -> None:
    """Sides of 20 in: a block of 68.2843 in; borders (84 - 68.2843) / 2 = 7.8579 in at the sides,
    (92 - 68.2843) / 2 = 11.8579 in at the ends.

    Butted: the sides are as long as the block, 68.2843; the ends run across them, 84 in. Cut with
    1/4 in: 8.3579 by 68.7843 and 12.3579 by 84.5 in, two each. Lengthwise on 42 in of cloth,
    42 / 8.3579 = 5 and 42 / 12.3579 = 3 side by side: one row of each, by ruler 68 13/16 + 84 1/2 =
    153.3125 in of cloth at most (both pairs also fit side by side: 2 x 8.3579 + 2 x 12.3579 =
    41.43, 84.5 in).
    Seams: the block's own 8 x 20 (between diamonds) + 16 x 20 (diamonds to fillers) = 480 in, then
    2 x 68.2843 + 2 x 84 = 304.5685 in.
    """
    plan = studio.calculated("/v1/quilt-plans", {**STAR, "side": "20", "fit": "borders"})
    assert size_of(plan["assembled"]) == pytest.approx((84.0, 92.0), abs=1e-6)
    assert size_of(plan["top"]) == pytest.approx((68.2843, 68.2843), abs=1e-3)
    (border,) = plan["borders"]
    assert border["sides_width_mm"] / INCH == pytest.approx(7.8579, abs=1e-3)
    assert border["ends_width_mm"] / INCH == pytest.approx(11.8579, abs=1e-3)
    found = {
        each["place"]: (each["quantity"], each["cut_width_mm"] / INCH, each["cut_length_mm"] / INCH)
        for each in border["strips"]
    }
    assert found == {
        "sides": (2, pytest.approx(8.3579, abs=1e-3), pytest.approx(68.7843, abs=1e-3)),
        "ends": (2, pytest.approx(12.3579, abs=1e-3), pytest.approx(84.5, abs=1e-3)),
    }
    (cloth,) = [each for each in plan["materials"]["fabrics"] if each["fabric"] == "border"]
    assert 84.5 * INCH - 1e-6 <= cloth["length_mm"] <= 153.3126 * INCH
    assert plan["seams"]["length_mm"] / INCH == pytest.approx(480 + 304.5685, abs=1e-2)
    assert plan["totals"]["border"] == 4
    assert not [each for each in plan["warnings"] if "requested" in each]
    # Binding goes round the bordered quilt.
    assert plan["materials"]["batting"]["width_mm"] > 84 * INCH


def test_a_rest_too_narrow_for_a_border(studio: Studio) -> None:
    """One block of 83.6482 in leaves 0.1759 in on each side of 84: no border is that narrow.

    There is no smaller quilt than one block: at most 84 - 2 = 82 in wide, a side of
    82 / 3.414214 = 24.017 in.
    """
    problem = studio.refused({**STAR, "fit": "borders"}, "/v1/quilt-plans")
    pointers = {each["pointer"]: each["detail"] for each in problem["errors"]}
    assert "83.6482 in" in pointers["#/quilt"]
    assert "82 in" in pointers["#/quilt"]


def test_a_stated_border_then_a_pieced_one(studio: Studio) -> None:
    """Squares of 4 in on 60 by 72 in: an inner border of 2 in, an outer one of pieces.

    The top has at most 60 - 4 - 2 x 1 = 54 in: 13 squares, 52 in; at most 72 - 6 = 66 in: 16
    squares, 64 in. The outer border makes up (60 - 52 - 4) / 2 = 2 in and (72 - 64 - 4) / 2 = 2 in.
    Inner border, with cornerstones: 2 strips of 2 by 64, 2 of 2 by 52, 4 squares of 2 in.
    Outer border round 56 by 68 in: 68 / 2 = 34 squares on each side, 56 / 2 = 28 on each end,
    4 in the corners: 124 pieces of 2 in, cut 2 1/2 in.
    Area: 13 x 16 x 16 = 3328; inner 2(128 + 104) + 16 = 480; outer 128 x 4 = 512: 4320 = 60 x 72.
    """
    body = {
        "title": "Squares in two borders",
        "units": "in",
        "tiling": "square",
        "side": "4",
        "quilt": {"width": "60", "length": "72"},
        "fit": "borders",
        "borders": [
            {
                "width": "2",
                "colour": "navy",
                "corners": "cornerstones",
                "cornerstone_colour": "lamp",
            },
            {"piece_colours": ["tide", "sand"], "cornerstone_colour": "lamp"},
        ],
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["top"]) == pytest.approx((52.0, 64.0))
    assert size_of(plan["assembled"]) == pytest.approx((60.0, 72.0))
    inner, outer = plan["borders"]
    strips = {each["place"]: each["cut_length_mm"] / INCH for each in inner["strips"]}
    assert strips == {"sides": pytest.approx(64.5), "ends": pytest.approx(52.5)}
    assert outer["strips"] == []
    assert outer["pieces"] == 2 * 34 + 2 * 28 + 4
    assert plan["colours"] == {"square": 208, "navy": 4, "lamp": 4 + 4, "tide": 62, "sand": 62}
    assert plan["totals"] == {
        "pieces": 208 + 8 + 128,
        "whole": 208,
        "half": 0,
        "trimmed": 0,
        "border": 136,
    }
    # Squares of 2 in are pieces of the kit; strips are cut by hand and are not.
    asked = {each["id"]: each["quantity"] for each in plan["kit"]["pieces"]}
    sizes = {each["id"]: each["quantity"] for each in plan["pieces"]}
    assert asked == sizes
    assert sorted(sizes.values()) == [8, 62, 62, 208]


def test_joined_strips(studio: Studio) -> None:
    """A border of 5 in round 60 by 80 in, joined from strips across 42 in of cloth.

    Sides 2 x 80, ends 2 x 70; cut 80.5 and 70.5: 302 in. n strips joined with 1/4 in on both
    ends of a seam give 42 n - 0.5 (n - 1) = 41.5 n + 0.5: 301.5 / 41.5 = 7.27, 8 strips, each
    5 1/2 in: 44 in of cloth, 1 1/4 yd (45 in).
    """
    body = {
        "units": "in",
        "tiling": "square",
        "side": "5",
        "quilt": {"width": "70", "length": "90"},
        "borders": [{"width": "5", "colour": "navy", "joined": True}],
        "fabric": {"width": "42", "step": "1/8 yd"},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["top"]) == pytest.approx((60.0, 80.0))
    (border,) = plan["borders"]
    assert [each["quantity"] for each in border["joined_from"]] == [8]
    (cloth,) = [each for each in plan["materials"]["fabrics"] if each["fabric"] == "navy"]
    assert cloth["length_mm"] / INCH == pytest.approx(44.0)
    assert cloth["buy"] == "1 1/4 yd"


def test_mitred_borders(studio: Studio) -> None:
    """A mitred border of 5 in round 60 by 80 in: strips as long as the quilt, 90 and 70 in.

    At 45 degrees an edge moved out by 1/4 in runs on by 0.25 / tan(22.5 degrees) = 0.6036 in at
    each tip: cut 91.2071 and 71.2071 in. Seams: 2 x (60 + 80) in, four mitres of 7.0711 in.
    """
    body = {
        "units": "in",
        "tiling": "square",
        "side": "5",
        "quilt": {"width": "70", "length": "90"},
        "borders": [{"width": "5", "corners": "mitred"}],
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    (border,) = plan["borders"]
    cut = {each["place"]: each["cut_length_mm"] / INCH for each in border["strips"]}
    assert cut == {
        "sides": pytest.approx(91.2071, abs=1e-4),
        "ends": pytest.approx(71.2071, abs=1e-4),
    }
    squares = 11 * 80 + 15 * 60
    expected = squares + 280 + 4 * 7.0711
    assert plan["seams"]["length_mm"] / INCH == pytest.approx(expected, abs=1e-2)


def test_hexagons_in_centimetres(studio: Studio) -> None:
    """Hexagons of 3.5 cm on 140 by 200 cm: columns of 6.0622 cm, rows of 5.25 cm and 1.75 once.

    23 columns are 139.4301 (0.5699 less), 24 are 145.4923 (5.4923 more, 3.9 %); 37 rows are 196
    (4 less), 38 are 201.25 (1.25 more, 0.6 %). At least the size: 145.4923 by 201.25, a warning for
    the width. Nearest: 139.4301 by 201.25, no warning. Smaller: 139.4301 by 196, 2 % of 200 is 4:
    not more than 2 %, no warning.
    """
    body = {
        "title": "Überwurf Sechsecke",
        "units": "cm",
        "tiling": "hexagon",
        "side": "3.5",
        "quilt": {"width": 140, "length": 200},
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["assembled"], 10) == pytest.approx((145.4923, 201.25), abs=1e-3)
    assert nearest(plan, "width", 10) == [
        pytest.approx((139.4301, -0.5699), abs=1e-3),
        pytest.approx((145.4923, 5.4923), abs=1e-3),
    ]
    assert nearest(plan, "length", 10) == [
        pytest.approx((196.0, -4.0), abs=1e-3),
        pytest.approx((201.25, 1.25), abs=1e-3),
    ]
    assert len([each for each in plan["warnings"] if "requested" in each]) == 1
    for fit, size in (("nearest", (139.4301, 201.25)), ("smaller", (139.4301, 196.0))):
        plan = studio.calculated("/v1/quilt-plans", {**body, "fit": fit})
        assert size_of(plan["assembled"], 10) == pytest.approx(size, abs=1e-3)
        assert not [each for each in plan["warnings"] if "requested" in each]


@pytest.mark.long
def test_triangles_fill_the_width_exactly(studio: Studio) -> None:
    """Triangles of 4 in with filled edges: steps of 2 in, 30 of them are 60 in.

    Rows of 3.4641 in: 21 are 72.7461 (0.7461 more, 1.04 %), 20 are 69.2820 (2.7180 less).
    """
    body = {
        "units": "in",
        "tiling": "triangle",
        "side": "4",
        "quilt": {"width": 60, "length": 72},
        "edge": "filled",
    }
    plan = studio.calculated("/v1/quilt-plans", body)
    assert size_of(plan["assembled"]) == pytest.approx((60.0, 72.7461), abs=1e-3)
    assert nearest(plan, "width") == [pytest.approx((60, 0)), pytest.approx((60, 0))]
    assert nearest(plan, "length") == [
        pytest.approx((69.2820, -2.7180), abs=1e-3),
        pytest.approx((72.7461, 0.7461), abs=1e-3),
    ]
    assert not [each for each in plan["warnings"] if "requested" in each]
    plan = studio.calculated("/v1/quilt-plans", {**body, "edge": "trimmed"})
    assert size_of(plan["assembled"]) == pytest.approx((60.0, 72.0))


def test_templates_larger_than_the_usual_sheet(studio: Studio) -> None:
    """A square of 24 1/2 in does not go on a letter sheet less 1/4 in all round (8 by 10 1/2).

    Left to the service, the sheet is one that holds it: 24 1/2 + 2 x 1/4 = 25 in. A sheet that
    was stated is refused, with the smallest square sheet that would do.
    """
    plan = studio.calculated("/v1/quilt-plans", {**STAR, "fit": "nearest"})
    paper = plan["materials"]["paper"]
    (square,) = [row for row in paper["rows"] if row["shape"] == "square"]
    assert (square["sheets"], square["per_sheet"]) == (4, 1)
    assert square["sheet_width_mm"] / INCH == pytest.approx(25.0)
    assert square["sheet_height_mm"] / INCH == pytest.approx(25.0)
    assert paper["sheets"] == sum(row["sheets"] for row in paper["rows"]) >= 16
    assert any("sheet" in each for each in plan["warnings"])
    stated = {**STAR, "fit": "nearest", "paper": {"sheet": "letter"}}
    problem = studio.refused(stated, "/v1/quilt-plans")
    details = [each for each in problem["errors"] if each["pointer"] == "#/paper/sheet"]
    assert any("25 by 25 in" in each["detail"] for each in details)
    priced = {**STAR, "fit": "nearest", "prices": {"sheet": 0.1}}
    problem = studio.refused(priced, "/v1/quilt-plans")
    assert any(each["pointer"] == "#/prices/sheet" for each in problem["errors"])


WRONG = [
    ({"fit": "smaller"}, "#/quilt/width"),
    ({"fit": "snug"}, "#/fit"),
    ({"fit": "borders", "borders": [{"width": "3"}]}, "#/borders"),
    ({"fit": "borders", "borders": [{}, {}]}, "#/borders/1"),
    ({"borders": [{"colour": "navy"}]}, "#/borders/0"),
    ({"borders": [{"width": "0"}]}, "#/borders/0/width"),
    ({"borders": [{"width": "50"}]}, "#/borders"),
    ({"borders": [{"width": "2", "colour": ""}]}, "#/borders/0/colour"),
    ({"borders": [{"width": "2", "corners": "round"}]}, "#/borders/0/corners"),
    ({"borders": [{"width": "2", "cornerstone_colour": "red"}]}, "#/borders/0/cornerstone_colour"),
    (
        {"borders": [{"width": "2", "piece_colours": ["a"], "joined": True}]},
        "#/borders/0/joined",
    ),
    (
        {"borders": [{"width": "2", "piece_colours": ["a"], "corners": "mitred"}]},
        "#/borders/0/corners",
    ),
    ({"fit": "borders", "edge": "trimmed", "side": "5"}, "#/fit"),
    ({"tiling": "hexagon", "side": "2", "borders": [{"width": "2"}]}, "#/edge"),
    ({"borders": [{"width": "1"}] * 11}, "#/borders"),
    ({"borders": "navy"}, "#/borders"),
]


@pytest.mark.parametrize(("change", "pointer"), WRONG)
def test_what_is_wrong_is_pointed_at(studio: Studio, change: dict[str, Any], pointer: str) -> None:
    quilt = {"width": "60", "length": "70"}
    problem = studio.refused({**STAR, "quilt": quilt, **change}, "/v1/quilt-plans")
    assert pointer in [each["pointer"] for each in problem["errors"]], problem["errors"]
