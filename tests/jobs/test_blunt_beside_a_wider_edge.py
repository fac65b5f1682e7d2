"""Blunt corners where one edge has a wider allowance: an edge may not run past its neighbour.

A hexagon of 40 mm has 5 mm all round and 10 mm on edge 0, with blunt corners: square cuts at the
wider allowance beyond the corner. Between edge 0 and a neighbour the moved edges meet at
(10 + 5) / (2 cos 30) = 8.66 mm along the corner's axis, before a cut at 10 mm, so that corner keeps
its tip, sqrt(8.66^2 + 5^2) = 10 mm from the template's. The cut lay beyond it, and the edges
crossed: the files held a bow tie at each of the two corners.

With 5 mm all round the hexagon has sides of 40 + 5 x 2 tan 30 = 45.7735 mm. Edge 0 lies 5 mm
farther out, where its neighbours are 45.7735 - 2 x 5 tan 30 = 40 mm apart. Each of the other four
corners reaches 5 / cos 30 = 5.7735 mm, is cut 0.7735 mm before, and is 2 x 0.7735 / tan 30 = 2.6795
mm wide there: 1.0363 mm2. The area is 2.598076 x 45.7735^2 + 5 (45.7735 + 40) / 2 - 4 x 1.0363 =
5443.53 + 214.43 - 4.15 = 5653.82 mm2, of a ring with 2 + 4 x 2 = 10 corners.
"""

from __future__ import annotations

from typing import Any

import pytest
import shapely

from tests.jobs.studio import Studio


def _piece(shape: dict[str, Any], corners: str) -> dict[str, Any]:
    allowance = {"default": 5, "edges": {"0": 10}}
    return {
        "id": "A",
        "shape": shape,
        "seam_allowance": allowance,
        "corners": {"kind": corners},
        "quantity": 4,
    }


def _patch(studio: Studio, shape: dict[str, Any], corners: str) -> dict[str, Any]:
    body = {"units": "mm", "pieces": [_piece(shape, corners)]}
    answer = studio.client.post("/v1/outlines", json=body)
    assert answer.status_code == 200
    return dict(answer.get_json()["pieces"][0])


def test_corner_whose_tip_lies_before_the_cut_keeps_it(studio: Studio) -> None:
    """Ten corners, none crossed; two of them mitres that reach 10 mm."""
    piece = _patch(studio, {"kind": "hexagon", "side": 40}, "blunt")
    ring = shapely.Polygon([(x, y) for x, y, _ in piece["patch"]["outline"]])
    assert ring.is_valid
    assert len(ring.exterior.coords) - 1 == 10
    assert ring.area == pytest.approx(5653.82, abs=0.01)
    assert piece["patch"]["area_mm2"] == pytest.approx(ring.area)
    tips = [each for each in piece["allowance"]["corners"] if each["treatment"] == "mitre"]
    assert [each["tail_mm"] for each in tips] == pytest.approx([10.0, 10.0])


@pytest.mark.parametrize("corners", ["blunt", "round"])
@pytest.mark.parametrize(
    "shape",
    [
        {"kind": "tumbler", "top_width": 60, "bottom_width": 40, "height": 50},
        {"kind": "octagon", "side": 30},
        {"kind": "jewel", "side": 30},
        {"kind": "parallelogram", "base": 50, "side": 30, "angle_deg": 60},
    ],
)
def test_no_edge_crosses_another(studio: Studio, shape: dict[str, Any], corners: str) -> None:
    """A patch is a simple ring, whatever its corners are; no template is outside of it."""
    piece = _patch(studio, shape, corners)
    rows = piece["patch"]["outline"]
    if all(bulge == 0.0 for _, _, bulge in rows):
        ring = shapely.Polygon([(x, y) for x, y, _ in rows])
        assert ring.is_valid
        inner = shapely.Polygon([(x, y) for x, y, _ in piece["template"]["outline"]])
        assert ring.contains(inner)
    run = {"cut": "patch", "cutter": "drag-blade-sheet", "effort": "quick"}
    body = {"title": "Wide", "units": "mm", "pieces": [_piece(shape, corners)], "runs": [run]}
    assert studio.client.post("/v1/layouts", json=body).status_code == 200
