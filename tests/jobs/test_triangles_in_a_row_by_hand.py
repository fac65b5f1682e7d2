"""Triangles that point up and down in turn along a bed, edge to edge, with lines in common."""

from __future__ import annotations

import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Studio


def _row(count: int, width: float, kerf: str = "0.2 mm") -> Json:
    cutter = {
        "tool": {"kind": "laser", "kerf": kerf},
        "bed": {"width": width, "height": 50},
        "margins": dict.fromkeys(("left", "right", "top", "bottom"), 0),
    }
    run = {
        "cut": "template",
        "cutter": cutter,
        "gap": 0,
        "common_line": True,
        "ties": {"count": 0},
        "formats": ["svg"],
        "material": {"name": "card", "kind": "card"},
    }
    pieces = [{"id": "T", "shape": {"kind": "triangle", "side": 50}, names.QUANTITY: count}]
    return {"title": "Pennant row", "units": "mm", "pieces": pieces, "runs": [run]}


@pytest.mark.parametrize("kerf", ["0.2 mm", "0 mm"])
@pytest.mark.parametrize(("count", "width"), [(11, 310), (11, 400), (9, 260), (5, 310)])
def test_a_row_of_triangles_is_cut_once(
    studio: Studio, count: int, width: float, kerf: str
) -> None:
    """A row of n is (n + 1) / 2 x 50 mm long and has n - 1 edges in common: n x 150 less 50 each.

    11 take 300 mm and 1650 - 500 = 1150 mm of cuts. On 310 mm the path happened to end where its
    first line does, and was taken for a beam's lead that runs into pieces: a 500.
    """
    (load,) = studio.kit(_row(count, width, kerf)).run().loads
    assert load.outlines == {"T": count}
    assert load.payload["cut_length_mm"] == pytest.approx(100 * count + 50, abs=0.1)
