"""Quarter circles, their hollow partners, petals and hollow squares: papers and patches."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

MARKS = {"seam_allowance": 6, "match_marks": True, "seam_line": "mark", "label": True}
GRAIN = {"grain": "half-turn", "grain_arrow": True}
B = -0.41421356
REQUEST = {
    "title": "Winding channel, 12 blocks",
    "units": "mm",
    "pieces": [
        {
            "id": "PIE",
            "shape": {"kind": "custom", "path": "M0 0 H100 A100 100 0 0 1 0 100 Z"},
            "quantity": 12,
            **MARKS,
            **GRAIN,
        },
        {
            "id": "ELL",
            "shape": {
                "kind": "custom",
                "path": "M100 0 H150 V150 H0 V100 A100 100 0 0 0 100 0 Z",
            },
            "quantity": 12,
            **MARKS,
            **GRAIN,
        },
        {"id": "PEEL", "shape": {"kind": "petal", "square": 100}, "quantity": 24, **MARKS},
        {
            "id": "HOLLOW",
            "shape": {
                "kind": "custom",
                "points": [[0, 0, B], [100, 0, B], [100, 100, B], [0, 100, B]],
            },
            "quantity": 6,
            **MARKS,
        },
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": "laser-bed",
            "formats": ["svg"],
            "effort": "quick",
            "material": {"name": "card", "kind": "card"},
        },
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "formats": ["svg", "dxf"],
            "effort": "quick",
            "material": {"name": "cotton", "kind": "fabric"},
        },
    ],
}
#: Square millimetres: a quarter circle; the square less it; two segments; square less four.
AREAS = {"PIE": 7853.98, "ELL": 14646.02, "PEEL": 5707.96, "HOLLOW": 4292.04}


@pytest.mark.long
def test_drunkards_path(studio: Studio) -> None:
    """Papers: 12 x 7854 + 12 x 14646 + 24 x 5708 + 6 x 4292 = 432,744 mm2 of 230,100: 2 loads.

    By ruler: a quarter circle lies in its partner's hollow with 0.5 mm between, a block of
    150.5 mm: 3 x 2 per load, two loads for 12 of each, each with a strip of 136 x 389 that takes
    four petals (58.6 x 141.4). A third: 16 petals in rows of 9, and 6 hollow squares of 100: 3
    loads.
    Patches, 6 mm more all round: partners' boxes of 162: 3 x 2 on each of two loads; a third holds
    15 boxes of 112 in rows of 5, 12 quarter circles and 3 hollow squares; petals of
    70.6 x 158.4: 16 upright and 3 lying on a fourth, the rest beside: 5 by ruler.
    The hollow square's corners have no angle (90 less 45 less 45): they are cut blunt, and said.
    """
    kit = studio.kit(REQUEST)
    papers, patches = kit.runs
    wanted = {"PIE": 12, "ELL": 12, "PEEL": 24, "HOLLOW": 6}
    assert papers.outlines == wanted
    assert patches.outlines == wanted
    assert 2 <= papers.load_count <= 3
    assert 2 <= patches.load_count <= 5
    for name, area in AREAS.items():
        assert kit.piece(name)["template"]["area_mm2"] == pytest.approx(area, abs=0.02)
        assert kit.allowance(name) == pytest.approx((6.0, 6.0, 6.0), abs=1e-3)
    # Not to be stated as 4.6e-07 degrees.
    assert "(0 degrees) are cut blunt" in kit.warnings
    found: list[float] = []
    for load in papers.loads:
        cells = foreign.cells(foreign.svg(load.file("svg")))
        large = [each for each in cells if each.area > 4000.0]
        found += [each.area for each in large] * load.repeats
        # The line runs 0.1 mm outside, at a square corner or a petal's tip 0.1 / sin 45 = 0.141;
        # two corners may face each other.
        assert foreign.nearest(large) >= 0.5 - 2 * 0.142
    # The beam's line runs 0.1 mm outside: about a tenth of the way round more.
    areas = sorted(area for name, area in AREAS.items() for _ in range(wanted[name]))
    assert sorted(found) == pytest.approx(areas, rel=0.011)
    for load in patches.loads:
        left, bottom, right, top = foreign.drawn(foreign.dxf(load.file("dxf"))).bounds
        assert min(left, bottom) >= 5.0 - 1e-3
        assert right <= 595.0 + 1e-3
        assert top <= 395.0 + 1e-3
        assert len({line.layer for line in foreign.dxf(load.file("dxf"))}) >= 2
    assert kit.sheet.counts("PEEL", 24, 24, 0)
    assert kit.sheet.says("cotton", "card", "grain", "6 mm")
