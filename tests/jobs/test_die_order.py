"""A die for half hexagons and clamshells in whole sets: one die, pressed as often as needed."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio


def request(**effort: str) -> dict[str, Any]:
    half = "1/2"
    return {
        "title": "Dredger's die order",
        "units": "in",
        "pieces": [
            {
                "id": "HH",
                "shape": {"kind": "half_hexagon", "side": "2"},
                "quantity": 400,
                "seam_allowance": "1/4",
                "match_marks": True,
            },
            {
                "id": "CL",
                "shape": {"kind": "clamshell", "width": "3"},
                "quantity": 200,
                "seam_allowance": "1/4",
                "corners": {"kind": "blunt"},
            },
        ],
        "runs": [
            {
                "cut": "patch",
                "cutter": {
                    "tool": {"kind": "steel_rule_die", "rule": "0.028 in"},
                    "bed": {"width": "12", "height": "10"},
                    "margins": {"left": half, "right": half, "top": half, "bottom": half},
                },
                "formats": ["dxf", "pdf", "svg"],
                "layers": 6,
                "sets": True,
                "material": {"name": "quilting cotton", "kind": "fabric"},
                **effort,
            }
        ],
    }


@pytest.mark.parametrize(
    "effort",
    [pytest.param({}, marks=pytest.mark.long), {"effort": "quick"}],
    ids=["normal", "quick"],
)
def test_die_order(studio: Studio, effort: dict[str, str]) -> None:
    """The board leaves 11 x 9 in. Patches: half hexagon 4.866 x 2.232 in, clamshell 3.5 x 3.5.

    Areas: 5.196 + 10 / 4 + 4.619 / 16 = 7.985 in2 and at most 4.5 + 2.356 + 0.25 = 7.106 in2: two
    and one are 23.08 in2, so 99 in2 hold four sets at most. By ruler two: a row of two half
    hexagons turned to each other (4.866 + 3.577 + 0.1 = 8.55 in), another, and a row of
    clamshells: 2.232 + 2.232 + 3.5 + 2 x 0.094 = 8.15 in. One die holds both kinds. With two sets
    a press gives 24 + 12: 400 / 24 = 16.7, 17 presses; with four 400 / 48 = 8.3, 9 presses. The
    same die is pressed each time: one load.
    """
    kit = studio.kit(request(**effort))
    run = kit.run()
    (load,) = run.loads
    assert set(load.outlines) == {"HH", "CL"}
    sets = load.outlines["CL"]
    assert load.outlines["HH"] == 2 * sets
    assert 2 <= sets <= 4
    presses = -(-400 // (12 * sets))
    assert load.repeats == presses
    assert 9 <= presses <= 17
    assert run.total("HH") == (400, 12 * sets * presses, 12 * sets * presses - 400)
    assert run.total("CL") == (200, 6 * sets * presses, 6 * sets * presses - 200)
    lines = foreign.dxf(load.file("dxf"))
    left, bottom, right, top = foreign.drawn(lines).bounds
    assert min(left, bottom) >= 12.7 - 0.01
    assert right <= 304.8 - 12.7 + 0.01
    assert top <= 254.0 - 12.7 + 0.01
    cells = [each.area / 645.16 for each in foreign.cells(lines) if each.area > 1000.0]
    halves = [area for area in cells if area == pytest.approx(7.985, abs=0.002)]
    assert len(halves) == 2 * sets
    assert len(cells) == 3 * sets
    assert len({line.layer for line in lines}) >= 2
    assert all(page for page in foreign.pdf_pages_mm(load.file("pdf")))
    assert kit.sheet.counts("HH", *run.total("HH"))
    assert kit.sheet.counts("CL", *run.total("CL"))
    assert kit.sheet.says("die", "press", "guard", "quilting cotton", presses)
