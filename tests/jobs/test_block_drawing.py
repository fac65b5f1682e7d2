"""A customer's block of nine closed regions, inspected: areas, groups, and nothing imagined."""

from __future__ import annotations

import pytest

from tests.jobs.studio import Studio

REGIONS = {
    "centre": "M2 2 L4 2 L4 4 L2 4 Z",
    "north-tip": "M2 2 L3 0 L4 2 Z",
    "south-tip": "M2 4 L3 6 L4 4 Z",
    "west-tip": "M2 2 L0 3 L2 4 Z",
    "east-tip": "M4 2 L6 3 L4 4 Z",
    "nw": "M0 0 L3 0 L2 2 L0 3 Z",
    "ne": "M6 0 L3 0 L4 2 L6 3 Z",
    "sw": "M0 6 L3 6 L2 4 L0 3 Z",
    "se": "M6 6 L3 6 L4 4 L6 3 Z",
}
DRAWING = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="6in" height="6in" viewBox="0 0 6 6">'
    '<g id="block" fill="none" stroke="#444" stroke-width="0.02">'
    + "".join(f'<path id="{name}" d="{path}"/>' for name, path in REGIONS.items())
    + "</g></svg>"
)


def test_block_drawing(studio: Studio) -> None:
    """A 6 in block: a centre of 2 x 2 in, four tips of base 2 and height 2, four corners.

    Areas: 4, 2 each, and by the corners' points (0 0, 3 0, 2 2, 0 3) (6 + 6) / 2 = 6 each:
    4 + 4 x 2 + 4 x 6 = 36 in2. Three sorts: one, four and four alike. The regions share edges: none
    lies inside another, so there is no template within a patch and no allowance of 0, and the
    drawing states its unit, so there is nothing to warn of.
    """
    answer = studio.inspected(DRAWING, "block.svg")
    assert answer.status_code == 200
    payload = answer.get_json()
    areas = {each["name"]: each["area_mm2"] / 645.16 for each in payload["outlines"]}
    wanted = {"centre": 4.0} | {name: 2.0 if "tip" in name else 6.0 for name in REGIONS}
    wanted["centre"] = 4.0
    assert areas == pytest.approx(wanted, abs=1e-6)
    sizes = sorted(len(group) for group in payload["groups"])
    assert [each for each in sizes if each > 1] == [4, 4]
    assert all(each["inside"] is None for each in payload["outlines"])
    assert payload["allowances"] == []
    assert payload["overlaps"] == []
    assert not any("unit" in text.lower() for text in payload["warnings"])
    boxes = {each["name"]: (each["width_mm"], each["height_mm"]) for each in payload["outlines"]}
    assert boxes["north-tip"] == pytest.approx((50.8, 50.8))
    assert boxes["se"] == pytest.approx((76.2, 76.2))
