"""Needlecord with a nap off a roll: which way it runs is said, drawn and cut as one arrow."""

from __future__ import annotations

import shapely

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Needlecord, one way",
    "units": "cm",
    "pieces": [
        {
            "id": "N",
            "shape": {"kind": "rectangle", "width": 8, "height": 12},
            "quantity": 66,
            "seam_allowance": 1,
            "grain": "fixed",
            "grain_arrow": True,
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "gap": "1 mm",
            "formats": ["svg", "dxf"],
            "effort": "quick",
            "cutter": {
                "tool": {"kind": "laser", "kerf": "0.2 mm"},
                "bed": {"shape": "roll", "width": 112},
                "margins": {"left": 1, "right": 1, "top": 1, "bottom": 1},
            },
            "material": {"name": "needlecord", "kind": "fabric"},
        }
    ],
}


def test_needlecord_nap(studio: Studio) -> None:
    """A patch is 10 x 14 cm; its height, along the lengthwise grain, lies along the roll.

    110 cm between the margins: (1100 + 1) / 101 = 10 across (the beam's 0.14 mm at the corners
    matters to none), 66 are 6 whole rows and 6 more: 7 rows, 7 x 140 + 6 x 1 = 986 mm, with the
    margins and 2 x 0.14 mm for the beam 1006.3 mm of roll. One row short by 4 places leaves
    14 cm by 4 x 101 - 1 = 403 mm whole if the 10 columns fill from one side, beside the strip of
    1100 - 1010 + 1 = 91 mm less the beam. All tops point one way: left, as the roll runs. An
    arrow with one head at its top tells a nap's direction (dressmakers' patterns, common practice,
    no source): two strokes on each piece, 66 x 2.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    (load,) = run.loads
    assert run.total("N") == (66, 66, 0)
    assert abs(run.payload["roll"]["length_mm"] - 1006.28) < 0.02
    assert {each["turn_deg"] % 360 for each in load.payload["placements"]} == {90}
    for lines in (foreign.dxf(load.file("dxf")), _marks(load.file("svg"))):
        marks = [line for line in lines if line.layer == "mark"]
        assert len(marks) == 132
        shafts = [line for line in marks if len(line.points) == 2]
        heads = [line for line in marks if len(line.points) == 3]
        assert (len(shafts), len(heads)) == (66, 66)
        for head in heads:
            tip = head.points[1]
            # The tip is the left end of a shaft, and its barbs trail to the right.
            (shaft,) = [s for s in shafts if shapely.Point(tip).distance(_line(s)) < 0.01]
            assert abs(min(x for x, _ in shaft.points) - tip[0]) < 0.01
            assert all(x > tip[0] + 1.0 for x, _ in (head.points[0], head.points[2]))
    assert kit.sheet.says("lengthwise grain", "tops of N", "point to the left", "nap")
    assert kit.sheet.says("112 cm wide", "100.7 cm")
    # The beam marks arrows on the side that is up.
    assert kit.sheet.says("Load needlecord, wrong side up")
    # The beam's slot is no length in centimetres.
    assert kit.sheet.says("0.14 mm", "0.1 mm")
    whole = sorted((o["width_mm"], o["height_mm"]) for o in load.payload["offcuts"])
    assert [(round(w), round(h)) for w, h in whole] == [(140, 403), (986, 90)]


def _marks(data: bytes) -> list[foreign.Line]:
    return [
        foreign.Line(line.points, line.name, "mark" if "-mark" in line.name else "cut")
        for line in foreign.svg(data)
    ]


def _line(each: foreign.Line) -> shapely.LineString:
    return shapely.LineString(each.points)
