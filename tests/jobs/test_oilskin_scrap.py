"""A ragged scrap as the bed: an L with a clamp, filled to the last square."""

from __future__ import annotations

import shapely

from tests.jobs import foreign
from tests.jobs.studio import Studio

SCRAP = [[0, 0], [300, 0], [300, 91], [140, 91], [140, 200], [0, 200]]
CLAMP = [[280, 20], [300, 20], [300, 40], [280, 40]]
REQUEST = {
    "title": "Scrap of oilskin",
    "units": "mm",
    "pieces": [
        {
            "id": "S",
            "shape": {"kind": "square", "side": 28},
            "quantity": 38,
            "seam_allowance": 6,
            "grain": "fixed",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "gap": 1,
            "formats": ["svg", "hpgl"],
            "ties": {"count": 0},
            "cutter": {
                "tool": {"kind": "laser", "kerf": 0},
                "bed": {
                    "shape": "polygon",
                    "width": 300,
                    "height": 200,
                    "points": SCRAP,
                    "keep_out": [CLAMP],
                },
                "margins": {"left": 5, "right": 5, "top": 5, "bottom": 5},
            },
            "material": {"name": "cotton scrap", "kind": "fabric"},
        }
    ],
}


def test_oilskin_scrap(studio: Studio) -> None:
    """A patch is 28 + 2 x 6 = 40 mm, 41 with the gap. 5 mm inside the L:

    its foot is 290 mm long and 91 - 10 = 81 high: two rows exactly, (290 + 1) / 41 = 7 in each.
    The clamp, grown by 5 mm, reaches from x = 275 between y = 15 and 45: the lower row, y 5 to 45,
    ends there, (270 + 1) / 41 = 6; the upper, from y = 46, keeps 7. The leg is 130 mm wide, 3
    squares, and from y = 87 to 195 high, (108 + 1) / 41 = 2 rows: 6 more. 19 per load; 38 are two.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert [(load.outlines, load.repeats) for load in run.loads] == [({"S": 19}, 2)]
    assert run.total("S") == (38, 38, 0)
    (load,) = run.loads
    room = shapely.Polygon(SCRAP)
    for lines, slack in (
        (foreign.svg(load.file("svg")), 1e-3),
        (foreign.hpgl(load.file("hpgl")), 0.02),
    ):
        squares = foreign.cells(lines)
        assert len(squares) == 19
        assert foreign.nearest(squares) >= 1.0 - 2 * slack
        drawn = foreign.drawn(lines)
        assert drawn.within(room)
        assert drawn.distance(room.exterior) >= 5.0 - slack
        assert drawn.distance(shapely.Polygon(CLAMP)) >= 5.0 - slack
    # The beam comes in from the waste, a short way for each square.
    assert 19 * 160.0 <= load.payload["cut_length_mm"] < 19 * 163.0
    assert kit.sheet.together("cut it 2 times", "19 of S")
    assert kit.sheet.together("Bed", "300 x 200 mm", "5 mm", "every side", "1 place")
    # A one-way print is laid to suit: the tops point up the picture.
    assert kit.sheet.says("tops of S", "up the picture", "Load cotton scrap, right side up")
