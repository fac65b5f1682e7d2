"""Quilts for a class: a bag for each kit of a plan, and both hands of a piece counted apart."""

from __future__ import annotations

import itertools
import re

import pytest

from tests.jobs.studio import Json, Studio

KITS = 3

CUSHION: Json = {
    "title": "Beacon cushion",
    "units": "in",
    "tiling": "square",
    "side": "2",
    "seam_allowance": "1/4",
    "quilt": {"width": 8, "length": 8},
    "colours": {"by": "repeat", "names": ["tide", "sand"], "shift": 1},
    "paper": {"reuse": 5},
    "kits": KITS,
}

#: A burgee: a right triangle of 6 by 3 in at the foot of a block of 6 in.
BURGEES: Json = {
    "title": "Burgees",
    "units": "in",
    "block": {
        "size": 6,
        "pieces": [
            {"points": [[0, 0], [6, 0], [6, 3]], "colour": "navy"},
            {"points": [[0, 0], [6, 3], [6, 6], [0, 6]], "colour": "cream"},
        ],
    },
    "quilt": {"width": 24, "length": 30},
    "setting": {"mirrored": [[False, True]]},
}


@pytest.fixture(scope="module")
def plan(studio: Studio) -> Json:
    """Return the plan of the three cushions."""
    return studio.calculated("/v1/quilt-plans", CUSHION)


def test_each_kit_has_a_bag(studio: Studio, plan: Json) -> None:
    """4 x 4 squares of 2 in, every other one of each colour: 8 and 8 in a kit, 24 and 24 in three.

    A template is used five times. Each kit has its own, and so has each colour of it: 8 / 5 = 1.6,
    so 2 and 2 in a bag, 12 for three kits, cut as one heap since they are alike. Shared, 48 / 5 =
    9.6, ten would do, and the third bag would go short.
    """
    kit = studio.kit(plan["kit"])
    assert kit.payload["copies"] == KITS
    assert [(each["quantity"], each["total_quantity"]) for each in kit.payload["pieces"]] == [
        (8, 24),
        (8, 24),
    ]
    assert kit.run(1).total("A")[:2] == (12, 12)
    per_copy = kit.run(1).payload["totals"]["A"]["per_copy"]
    assert {piece: each["needed"] for piece, each in per_copy.items()} == {"A": 2, "B": 2}
    assert plan["materials"]["paper"]["templates"] == 12
    assert kit.run(2).total("A") == kit.run(3).total("B") == (24, 24, 0)
    for copy in range(1, KITS + 1):
        assert kit.labels.together(f"copy {copy} of {KITS}", "Beacon cushion", within=5)
    assert kit.labels.together("8 patches", "A", "sand", within=8)
    assert kit.labels.together("8 patches", "B", "tide", within=8)
    assert kit.labels.text.count(kit.payload["number"].lower()) == KITS


def test_fabric_is_still_bought_for_all(plan: Json) -> None:
    """24 squares of 2 1/2 in from 40 in of each colour: 16 to a strip, 2 strips, 5 in: 1/4 yd."""
    for fabric in plan["materials"]["fabrics"]:
        assert fabric["methods"]["rows"]["length_mm"] == pytest.approx(5 * 25.4)
        assert fabric["buy"] == "1/4 yd"


def test_one_quilt_is_no_class(studio: Studio) -> None:
    """A plan of one quilt asks for one kit, whose bags are one for each piece."""
    body = studio.calculated("/v1/quilt-plans", {**CUSHION, "kits": 1})["kit"]
    assert "copies" not in body


def test_both_hands_are_counted_apart(studio: Studio) -> None:
    """4 by 5 blocks, every other column mirrored: 10 of each hand, of each of the two pieces.

    The right triangle of 3 by 6 in and its rest are no mirror images of themselves.
    """
    plan = studio.calculated("/v1/quilt-plans", BURGEES)
    pieces = {each["id"]: each for each in plan["pieces"]}
    assert {name: each["quantity"] for name, each in pieces.items()} == dict.fromkeys("ABCD", 10)
    assert {name: each.get("mirror_of") for name, each in pieces.items()} == {
        "A": None,
        "B": "A",
        "C": None,
        "D": "C",
    }
    assert (pieces["A"]["colour"], pieces["C"]["colour"]) == ("cream", "navy")
    words = re.findall(r"<text [^>]*>([^<]*)</text>", plan["picture"])
    # Beside these the letters of the pieces.
    assert [each for each in words if ":" in each] == [
        "navy: 20",
        "C: 10, its mirror image D: 10",
        "cream: 20",
        "A: 10, its mirror image B: 10",
    ]
    # Its lines do not meet: each stands a line lower than the one before.
    places = re.findall(r'<text transform="translate\(\S+ (\S+)\)[^>]*>[^<]*:', plan["picture"])
    heights = [float(each) for each in places]
    steps = [high - low for high, low in itertools.pairwise(heights)]
    assert min(steps) > 0.0
    assert min(steps) == pytest.approx(max(steps), abs=0.01)


def test_pieces_of_one_hand_have_no_pair(studio: Studio) -> None:
    """Without mirrored blocks there are 20 triangles of one hand, and the legend is short."""
    plan = studio.calculated("/v1/quilt-plans", {**BURGEES, "setting": {}})
    assert [each.get("mirror_of") for each in plan["pieces"]] == [None, None]
    assert "mirror" not in plan["picture"]
