"""A quilt from cloth whose print has a top: every piece is cut as it lies in the quilt."""

from __future__ import annotations

import pytest

from tests.jobs.studio import Json, Studio

BLOCK: Json = {
    "size": 20,
    "pieces": [
        {"points": [[0, 0], [20, 0], [10, 10]], "colour": "teal"},
        {"points": [[0, 0], [10, 10], [0, 10]], "colour": "cream"},
        {"points": [[20, 0], [20, 10], [10, 10]], "colour": "cream"},
        {"points": [[0, 10], [20, 10], [10, 20]], "colour": "teal"},
        {"points": [[0, 10], [10, 20], [0, 20]], "colour": "cream"},
        {"points": [[20, 10], [20, 20], [10, 20]], "colour": "cream"},
    ],
}
REQUEST: Json = {
    "title": "Terns over the quay",
    "units": "cm",
    "block": BLOCK,
    "quilt": {"width": 40, "length": 40},
    "seam_allowance": "7.5 mm",
    "fabric": {"width": 110, "directional": True, "step": "0.1 m"},
}


def test_triangles_of_a_block_lie_as_in_the_block(studio: Studio) -> None:
    """Four blocks of two flying triangles each: 8 teal, long side level, and 16 cream corners.

    Eight corners have their right angle at the upper left, eight at the upper right: two kinds.
    Their legs of 10 cm lie along the print and across it and grow by 0.75 (2 + sqrt 2) = 2.561 cm:
    a strip of 12.6 cm by a ruler in mm, and floor(110 / 12.561) = 8 on it. One strip each: 25.2 cm.

    Teal: 10 + 0.75 (1 + sqrt 2) = 11.811 cm high, 20 + 1.5 (1 + sqrt 2) = 23.621 cm long: 4 on a
    strip of 11.9 cm, 2 strips.

    One template serves both kinds of corners, since paper may be turned: 16 and 8.
    """
    plan = studio.calculated("/v1/quilt-plans", REQUEST)
    found = {
        each["id"]: (each["colour"], each["quantity"], each["shape"]["kind"])
        for each in plan["pieces"]
    }
    assert found == {
        "A": ("cream", 8, "custom"),
        "B": ("cream", 8, "custom"),
        "C": ("teal", 8, "quarter_square_triangle"),
    }
    corners = [sorted(map(tuple, each["shape"]["points"])) for each in plan["pieces"][:2]]
    assert sorted(corners) == [
        [(-5, -5), (-5, 5), (5, 5)],
        [(-5, 5), (5, -5), (5, 5)],
    ]
    rows = {
        row["id"]: (row["strip_mm"], row["per_row"], row["rows"])
        for fabric in plan["materials"]["fabrics"]
        for row in fabric["pieces"]
    }
    assert rows == {"A": (126, 8, 1), "B": (126, 8, 1), "C": (119, 4, 2)}
    cream, teal = plan["materials"]["fabrics"]
    assert (cream["length_mm"], teal["length_mm"]) == (
        pytest.approx(252.0),
        pytest.approx(238.0),
    )
    sheets = [row["templates"] for row in plan["materials"]["paper"]["rows"]]
    assert sheets == [16, 8]


def test_the_kit_of_such_a_plan_turns_no_patch(studio: Studio) -> None:
    """The plan's own kit is cut as it is, with every patch the way up that it is drawn."""
    body = studio.calculated("/v1/quilt-plans", REQUEST)["kit"]
    kit = studio.kit(body)
    turns = {
        place["turn_deg"] % 360.0
        for run in kit.payload["runs"]
        if run["cut"] == "patch"
        for load in run["loads"]
        for place in load["placements"]
    }
    assert turns == {0.0}
    assert kit.run(2).outlines == {"A": 8, "B": 8}


def test_triangles_of_a_tiling_point_up_and_down(studio: Studio) -> None:
    """In rows of triangles every other one points down; on such a print it is a kind of its own."""
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "units": "in",
            "tiling": "triangle",
            "side": "4",
            "quilt": {"width": "24", "length": "24"},
            "fabric": {"width": "42", "directional": True},
        },
    )
    whole = [each for each in plan["pieces"] if each["part"] == "whole"]
    assert len(whole) == 2
    assert sorted(each["shape"]["kind"] for each in whole) == ["custom", "triangle"]
