"""A clamp in the corner of a bed: no line comes near it, and all else is used."""

from __future__ import annotations

import copy
import re

import pytest
import shapely
import svgelements

from service.documents.pictures import looks
from tests.jobs import foreign
from tests.jobs.studio import Json, Studio

CLAMP = [[0, 0], [60, 0], [60, 60], [0, 60]]
REQUEST: Json = {
    "title": "Clamped board",
    "units": "mm",
    "pieces": [
        {"id": "Q", "shape": {"kind": "square", "side": 40}, "quantity": 8, "grain": "fixed"}
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "pen"},
                "bed": {"width": 200, "height": 150, "keep_out": [CLAMP]},
                "margins": {"left": 10, "right": 10, "top": 10, "bottom": 10},
            },
            "material": {"name": "card", "kind": "card"},
            "gap": 1,
            "formats": ["hpgl", "plan"],
        }
    ],
}


def test_keep_out_clamp(studio: Studio) -> None:
    """The head reaches 10 mm, so the pen stays 10 mm from the clamp as from the bed's edges.

    180 x 130 mm are left, less what lies within 10 mm of 60 x 60. Right of x = 70: columns 109 to
    149 and 150 to 190, three rows each (3 x 41 - 1 = 122 of 130): 6. Above y = 70: 100 to 140
    high, at x = 10 and 51: 2 more. 8 on one load by ruler; area 180 x 130 - 60 x 60 = 19,800
    less, over 1600 = 12 at most.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert run.load_count == 1
    assert run.outlines == {"Q": 8}
    clamp = shapely.Polygon(CLAMP)
    for kind, read, grid in (("hpgl", foreign.hpgl, 0.02), ("plan", foreign.plan, 0.0)):
        drawn = foreign.drawn(read(run.loads[0].file(kind)))
        assert drawn.distance(clamp) >= 10.0 - 0.01 - grid, kind
        left, bottom, right, top = drawn.bounds
        assert min(left, bottom) >= 10.0 - grid - 1e-6
        assert right <= 190.0 + grid + 1e-6
        assert top <= 140.0 + grid + 1e-6
    squares = foreign.polygons(foreign.plan(run.loads[0].file("plan")))
    assert [each.area for each in squares] == pytest.approx([1600.0] * 8)
    assert foreign.nearest(squares) >= 1.0 - 1e-6
    assert kit.sheet.counts("Q", 8, 8, 0)
    # The clamp is 10 mm wider in the picture, too, and ends where the bed does.
    look = re.escape(looks.KEPT_FREE.svg())
    (kept_free,) = re.findall(rf'<path d="([^"]+)" {look}', run.loads[0].picture)
    assert svgelements.Path(kept_free).bbox() == pytest.approx((0.0, 0.0, 70.0, 70.0), abs=0.01)


def test_the_sheet_s_corner_is_seen_on_the_clamp(studio: Studio) -> None:
    """A sheet as large as the bed: its corner is at 0, 0, under the clamp of 60 x 60 mm.

    The mark's arms are 10 mm, less than a quarter of 200 and of 150: up to 0, 10 and right to
    10, 0. It is drawn after the clamp in both pictures, so that it lies on top.
    """
    body = copy.deepcopy(REQUEST)
    body["runs"][0]["material"].update(width=200, height=150)
    (load,) = studio.kit(body).run().loads
    clamp = re.compile(rf'<path d="[^"]+" {re.escape(looks.KEEP_OUT.svg())}/>')
    assert "the material's lower left corner" in load.picture
    path = studio.client.get(load.payload["path_picture"]).get_data(as_text=True)
    for picture in (load.picture, path):
        drawn = clamp.search(picture)
        assert drawn is not None
        assert picture.count('<path d="M0 10V0H10"') == 1
        assert picture.index('<path d="M0 10V0H10"') > drawn.end()
