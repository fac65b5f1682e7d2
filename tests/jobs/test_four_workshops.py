"""Four bags with a spare each: templates used twice, patches through four plies."""

from __future__ import annotations

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Four workshops",
    "units": "mm",
    "copies": 4,
    "spares": {"pieces": 1},
    "pieces": [
        {"id": "H", "shape": {"kind": "hexagon", "side": 20}, "quantity": 7, "seam_allowance": 8}
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": "drag-blade-sheet",
            "effort": "quick",
            "formats": ["svg"],
            "material": {"name": "card", "kind": "card"},
            "reuse": 2,
        },
        {
            "cut": "patch",
            "layers": 4,
            "cutter": "laser-bed",
            "effort": "quick",
            "formats": ["svg"],
            "ties": {"count": 0},
            "material": {"name": "sea cotton", "kind": "fabric"},
        },
    ],
}


def test_four_workshops(studio: Studio) -> None:
    """A flower of 7: templates are used twice, so a bag needs 7 / 2 = 4 and 1 spare, 20 in all.

    Patches: 7 + 1 a bag, 32 in all, through 4 plies 8 outlines. A template has 2.598 x 20^2 =
    1039.2 mm2, a patch a side of 20 + 2 x 8 / root 3 = 29.238 mm: 2.598 x 854.9 = 2221.0 mm2, and
    with half of the beam's 0.2 mm all round (175.4 mm) 17.5 mm2 more.
    """
    kit = studio.kit(REQUEST)
    templates, patches = kit.runs
    assert templates.total("H") == (16, 20, 4)
    assert patches.total("H") == (28, 32, 4)
    (first,), (second,) = templates.loads, patches.loads
    assert (first.repeats, first.outlines, first.pieces) == (1, {"H": 20}, {"H": 20})
    assert (second.repeats, second.outlines, second.pieces) == (1, {"H": 8}, {"H": 32})
    cells = [round(each.area, 1) for each in foreign.cells(foreign.svg(second.file("svg")))]
    assert len(cells) == 8
    assert all(2238.0 <= area <= 2239.5 for area in cells)
    # The blade's first short cut, into line, is in the waste.
    hulls = foreign.hulls(foreign.svg(first.file("svg")))
    assert len([name for name in hulls if name.startswith("H")]) == 20
    assert kit.sheet.together("5 of H into each of 4 bags", "20 in all")
    assert kit.sheet.together("8 of H into each of 4 bags", "32 in all")
    assert kit.sheet.counts("H", 16, 20, 4)
    assert kit.sheet.counts("H", 28, 32, 4)
    assert kit.labels.together("Copy 1 of 4")
