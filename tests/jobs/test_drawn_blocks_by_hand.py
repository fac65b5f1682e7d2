"""Three blocks from their lines to pieces, seams, sections and patches, all worked out by hand.

Areas in square inches, lengths in inches; the service answers in mm.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs.studio import Studio

MM = 25.4
#: A bulge of a quarter of a circle: tan(90 degrees / 4).
QUARTER = math.tan(math.pi / 8)


def _groups(block: dict[str, Any]) -> list[tuple[str, int, str | None]]:
    return [(each["letter"], each["quantity"], each["mirror_of"]) for each in block["groups"]]


def _areas(block: dict[str, Any]) -> list[float]:
    return [each["area_mm2"] / MM**2 for each in block["groups"]]


def _seams(block: dict[str, Any]) -> list[float]:
    return sorted(each["length_mm"] / MM for each in block["seams"])


def _patches(studio: Studio, block: dict[str, Any]) -> dict[str, float]:
    body = {"units": block["kit"]["units"], "pieces": block["kit"]["pieces"]}
    found = studio.calculated("/v1/outlines", body)
    return {each["id"]: each["patch"]["area_mm2"] / MM**2 for each in found["pieces"]}


def test_quarter_rings_about_a_corner(studio: Studio) -> None:
    """A square of 6 in, quarter discs of radius 4 and 2 in one corner, halved from there on.

    Disc pi = 3.141593; the ring of 3 pi in halves, 1.5 pi = 4.712389 each, its own mirror image;
    the rest 36 - 4 pi in halves, 18 - 2 pi = 11.716815 each, mirror images. Seams: 2 of pi / 2,
    2 straight in the ring, 2 of pi, and 6 sqrt 2 - 4 = 4.485281: curves join {rest}, {ring} and
    {disc}, three sections. Three blocks: 3 of each half of the rest, 6 of the ring, 3 discs.
    Patches with 1/4 in: the disc pi 2.25^2 / 4 + 2.5 / 4 + 2.25 / 4 = 5.163578; half a ring
    pi / 8 (4.25^2 - 1.75^2) + 2 x 2.5 / 4 = 7.140486.
    """
    square = [[0, 0], [6, 0], [6, 6], [0, 6]]
    paths: list[dict[str, Any]] = [{"points": square, "closed": True, "fabric": "white"}]
    for radius, fabric in ((4, "blue"), (2, "red")):
        disc = [[0, 0], [radius, 0, QUARTER], [0, radius]]
        paths.append({"points": disc, "closed": True, "fabric": fabric})
    paths.append({"points": [[math.sqrt(2), math.sqrt(2)], [6, 6]]})
    block = studio.calculated("/v1/blocks", {"units": "in", "blocks": 3, "paths": paths})
    assert _groups(block) == [("A", 1, None), ("Ar", 1, "A"), ("B", 2, None), ("C", 1, None)]
    rest = 18 - 2 * math.pi
    assert _areas(block) == pytest.approx([rest, rest, 1.5 * math.pi, math.pi])
    half = math.pi / 2
    expected = [half, half, 2, math.pi, math.pi, 6 * math.sqrt(2) - 4]
    assert _seams(block) == pytest.approx(sorted(expected))
    assert [each["is_straight"] for each in block["seams"]].count(False) == 4
    assert len(block["sewing"]["sections"]) == block["sewing"]["min_sections"] == 3
    assert block["block"] is None
    quantities = {each["id"]: each["quantity"] for each in block["kit"]["pieces"]}
    assert quantities == {"A": 3, "Ar": 3, "B": 6, "C": 3}
    patches = _patches(studio, block)
    assert patches["C"] == pytest.approx(math.pi * 2.25**2 / 4 + 2.5 / 4 + 2.25 / 4, abs=1e-5)
    assert patches["B"] == pytest.approx(math.pi / 8 * (4.25**2 - 1.75**2) + 1.25, abs=1e-5)


def test_a_goose_beside_a_halved_rectangle(studio: Studio) -> None:
    """A block of 8 in: below a goose, above 3 by 4 in and 5 by 4 in halved.

    The goose 8 x 4 / 2 = 16, the rectangle 12, the halves 10 each, the goose's corners 8 each: 64.
    Seams: 2 of 4 sqrt 2; 3, 1 and 4 across; 4 and sqrt 41 above: 7. Two sections, one join. A quilt
    of 16 by 24 in has 6 blocks: 6 geese, 6 rectangles, 12 of each other, by their shapes.
    """
    lines = [[[0, 4], [8, 4]], [[0, 0], [4, 4], [8, 0]], [[3, 8], [3, 4], [8, 8]]]
    paths: list[dict[str, Any]] = [{"points": line} for line in lines]
    paths.append({"points": [[0, 0], [8, 0], [8, 8], [0, 8]], "closed": True})
    block = studio.calculated("/v1/blocks", {"units": "in", "paths": paths})
    assert _groups(block) == [("A", 1, None), ("B", 1, None), ("C", 2, None), ("D", 2, None)]
    assert _areas(block) == pytest.approx([16, 12, 10, 8])
    slant = 4 * math.sqrt(2)
    assert _seams(block) == pytest.approx([1, 3, 4, 4, slant, slant, math.sqrt(41)])
    sewing = block["sewing"]
    assert (len(sewing["sections"]), sewing["min_sections"], len(sewing["joins"])) == (2, 2, 1)
    assert [each["seam"] for each in sewing["joins"]] == ["straight"]
    quilt = {"units": "in", "block": block["block"], "quilt": {"width": 16, "length": 24}}
    plan = studio.calculated("/v1/quilt-plans", quilt)
    quantities = {each["shape"]["kind"]: each["quantity"] for each in plan["kit"]["pieces"]}
    goose, corner = "quarter_square_triangle", "half_square_triangle"
    assert quantities == {goose: 6, "rectangle": 6, "right_triangle": 12, corner: 12}


def test_a_star_of_six_diamonds_in_a_hexagon(studio: Studio) -> None:
    """Six diamonds of 60 degrees and 2 in about a point, and six triangles between their tips.

    A diamond is 4 sin 60 = 3.464102, a triangle 2 x 2 sin 120 / 2 = 1.732051. 18 seams of 2 in:
    6 between diamonds, 12 to triangles. Four sqrt 3 wide, 6 high. A ring of diamonds in p arcs,
    p of two or more, takes p and 6 - p sections: never fewer than 6.
    Patches with 1/4 in, sides and corners cut off as far out as the tips: a diamond 5.752777,
    a triangle 4.100666.
    """
    turns = [math.radians(60 * each) for each in range(6)]
    tips = [
        [2 * math.sqrt(3) * math.cos(turn), 2 * math.sqrt(3) * math.sin(turn)] for turn in turns
    ]
    inner = [[2 * math.cos(turn + math.pi / 6), 2 * math.sin(turn + math.pi / 6)] for turn in turns]
    paths: list[dict[str, Any]] = [{"points": tips, "closed": True}]
    paths += [{"points": [tips[n], inner[n], tips[(n + 1) % 6]]} for n in range(6)]
    paths += [{"points": [[0, 0], each]} for each in inner]
    block = studio.calculated("/v1/blocks", {"units": "in", "paths": paths})
    assert _groups(block) == [("A", 6, None), ("B", 6, None)]
    assert _areas(block) == pytest.approx([2 * math.sqrt(3), math.sqrt(3)])
    assert _seams(block) == pytest.approx([2.0] * 18)
    size = block["width_mm"] / MM, block["height_mm"] / MM
    assert size == pytest.approx((4 * math.sqrt(3), 6))
    sewing = block["sewing"]
    assert (len(sewing["sections"]), sewing["min_sections"], sewing["is_fewest"]) == (6, 6, True)
    assert _patches(studio, block) == pytest.approx({"A": 5.752777, "B": 4.100666}, abs=2e-5)
