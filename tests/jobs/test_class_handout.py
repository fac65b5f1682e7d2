"""A class of 24: one set of a jewel and two diamonds each, in three cloths by pieces of runs."""

from __future__ import annotations

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST = {
    "title": "Class of 24 at the net loft",
    "units": "in",
    "pieces": [
        {
            "id": "J",
            "shape": {"kind": "jewel", "side": "1"},
            "quantity": 24,
            "seam_allowance": "1/4",
        },
        {
            "id": "D",
            "shape": {"kind": "diamond_60", "side": "1"},
            "quantity": 48,
            "seam_allowance": "1/4",
        },
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "pieces": [{"id": "J"}],
            "material": {"name": "net green", "kind": "fabric"},
            "formats": ["svg"],
            "layers": 3,
            "ties": {"count": 0},
            "effort": "quick",
        },
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "pieces": [{"id": "D", "quantity": 24}],
            "material": {"name": "rope", "kind": "fabric"},
            "formats": ["svg"],
            "layers": 3,
            "ties": {"count": 0},
            "effort": "quick",
        },
        {
            "cut": "patch",
            "cutter": "laser-bed",
            "pieces": [{"id": "D", "quantity": 26}],
            "material": {"name": "tar", "kind": "fabric"},
            "formats": ["svg"],
            "layers": 3,
            "ties": {"count": 0},
            "effort": "quick",
        },
    ],
}


def test_class_handout(studio: Studio) -> None:
    """In 3 layers: 24 / 3 = 8 jewels, 24 / 3 = 8 diamonds, 26 / 3 = 8.67, 9 diamonds: 27, 1 spare.

    Patches: a jewel with 1/4 in 5.0337 in2 = 3247.5 mm2, a diamond 2.154701 in2 =
    1390.13 mm2. The beam's line 0.1 mm outside adds a tenth of the way round: the jewel's
    is 2 x 2.57735 + 3 x 1.288675 = 9.0207 in = 229.1 mm, the diamond's 4 x 1.57735 in = 160.3 mm.
    """
    kit = studio.kit(REQUEST)
    wanted = [("J", 8, (24, 24, 0)), ("D", 8, (24, 24, 0)), ("D", 9, (26, 27, 1))]
    areas = {"J": 3247.5 + 22.9, "D": 1390.13 + 16.0}
    for run, (name, outlines, total) in zip(kit.runs, wanted, strict=True):
        assert run.outlines == {name: outlines}
        assert run.load_count == 1
        assert run.total(name) == total
        assert run.loads[0].pieces == {name: 3 * outlines}
        cells = foreign.cells(foreign.svg(run.loads[0].file("svg")))
        assert [each.area for each in cells] == pytest.approx([areas[name]] * outlines, abs=0.5)
        assert kit.sheet.counts(name, *total)
    assert kit.sheet.says("net green", "rope", "tar", "3 layers")
    assert "1-patch-net-green-1.svg" in kit.run(1).loads[0].file_names
    assert "3-patch-tar-1.svg" in kit.run(3).loads[0].file_names
    with kit.zip() as inside:
        assert {"1-patch-net-green-1.svg", "2-patch-rope-1.svg", "3-patch-tar-1.svg"} <= set(
            inside.namelist()
        )
