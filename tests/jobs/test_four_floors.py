"""Four tilings counted by hand, and one of them cut: octagons with squares."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs import foreign, names
from tests.jobs.studio import Studio


def plan(tiling: str, width: str, length: str) -> dict[str, Any]:
    return {
        "title": "Net loft floor",
        "units": "in",
        "tiling": tiling,
        "side": "2",
        "quilt": {"width": width, "length": length},
        "seam_allowance": "1/4",
        "cutter": "laser-bed",
    }


@pytest.mark.parametrize(
    ("tiling", "asked", "size", "counts"),
    [
        ("octagon_square", ("19.3", "14.4"), (19.3137, 14.4853), {"octagon": 12, "square": 6}),
        ("hexagon_triangle", ("16", "13.8"), (16, 13.8564), {"hexagon": 14, "triangle": 28}),
        ("tumbling_blocks", ("13.8", "13"), (13.8564, 13), {"left": 14, "right": 14, "top": 14}),
        ("six_point_star", ("24", "22.5"), (24, 22.5167), {"star": 84, "filler": 54}),
    ],
)
def test_whole_pieces_of_a_floor(
    studio: Studio,
    tiling: str,
    asked: tuple[str, str],
    size: tuple[float, float],
    counts: dict[str, int],
) -> None:
    """All pieces have sides of 2 in; only whole pieces within the stated size count.

    Octagons: 2.41421 x 2 = 4.8284 in across flats, 4 by 3 of them, a square at the 3 x 2 places
    where four meet. Hexagons with triangles: 4 in from corner to corner, 4 in a row of 16 in, rows
    root 3 x 2 = 3.4641 in high, each shifted by half, so 4 + 3 + 4 + 3 = 14; two triangles at each
    place where two meet, also beside the ends of short rows: 3 + 4 + 3 + 4 = 14 places.

    Tumbling blocks: hexagons with a corner up, 3.4641 in wide and 3 in from row to row, 4 + 3 + 4
    + 3 = 14 of three diamonds: 4 x 3.4641 wide, 4 + 3 x 3 = 13 in long.

    Stars: tips 2 root 3 = 3.4641 in from the middle, valleys 2 in. Neighbours are 2 + 2 + 2 = 6 in
    apart, a filler between them: 4 in a row of 24 in, rows 6 sin 60 = 5.1962 in apart: 6.9282 + 3 x
    5.1962 = 22.5167 in, 4 + 3 + 4 + 3 = 14 stars, 84 diamonds. Fillers between neighbours: 3 + 2 +
    3 + 2 in rows and 3 x 6 between rows, 28. Others within the frame: 8 below the first row, 6
    above the last, 6 beside the outer stars of long rows, 4 at the ends of short rows, and 2 in
    the corners beside the last: 54 in all.
    """
    payload = studio.calculated("/v1/quilt-plans", plan(tiling, *asked))
    found = {each["colour"]: each[names.QUANTITY] for each in payload["pieces"]}
    assert found == counts
    assert payload["totals"]["pieces"] == sum(counts.values())
    top = (payload["top"]["width_mm"] / 25.4, payload["top"]["length_mm"] / 25.4)
    assert top == pytest.approx(size, abs=1e-3)


def test_octagons_with_squares_are_cut(studio: Studio) -> None:
    """A run for each cloth. An octagon's patch has sides of 2 + 2 x 1/4 x tan 22.5 = 2.2071 in.

    It is 5.3284 in = 135.34 mm across, 4.8284 x 2.2071^2 = 23.521 in2. The laser's 590 x 390 mm
    hold 4 across (4 x 135.34 + 3 x 0.5 = 542.9) and 2 up (3 would be 407.0), no row more however
    they are shifted, as rows of octagons are at least 135.34 mm high but for their corners: 8 to
    a load and 12 in two loads. Squares of 2 1/2 in: 6 in one load.
    """
    body = studio.calculated("/v1/quilt-plans", plan("octagon_square", "19.3", "14.4"))["kit"]
    quick = {"effort": "quick", "ties": {"count": 0}, "formats": ["svg"]}
    runs = [{**run, **quick} for run in body["runs"] if run["cut"] == "patch"]
    kit = studio.kit({**body, "runs": runs})
    assert [run.payload["material"]["name"] for run in kit.runs] == ["octagon", "square"]
    octagons, squares = kit.runs
    assert octagons.total("A") == (12, 12, 0)
    assert squares.total("B") == (6, 6, 0)
    assert (octagons.load_count, squares.load_count) == (2, 1)
    side = 2 + 0.5 * math.tan(math.pi / 8)
    for run, area, perimeter in (
        (octagons, 2 * (1 + math.sqrt(2)) * side**2, 8 * side),
        (squares, 2.5**2, 10),
    ):
        for load in run.loads:
            cells = foreign.cells(foreign.svg(load.file("svg")))
            assert len(cells) == sum(load.outlines.values())
            # The beam runs 0.1 mm outside.
            expected = area * 645.16 + 0.1 * perimeter * 25.4
            assert [each.area for each in cells] == pytest.approx([expected] * len(cells), abs=0.5)
    assert kit.sheet.counts("A", 12, 12, 0)
    assert kit.sheet.counts("B", 6, 6, 0)
    assert kit.sheet.together("A: octagon", "side 2 in")


def test_a_quilt_s_height_is_its_length(studio: Studio) -> None:
    """A quilt has a width and a length; a request with its height is corrected."""
    body = plan("hexagon_triangle", "16", "13.8")
    body["quilt"] = {"width": "16", "height": "13.8"}
    answer = studio.client.post("/v1/quilt-plans", json=body)
    assert answer.status_code == 422
    faults = {each["pointer"]: each["detail"] for each in answer.get_json()["errors"]}
    assert "`length`" in faults["#/quilt/height"]
