"""An oval hoop whose head reaches differently on each side, round or square."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
import shapely

from tests.jobs import foreign
from tests.jobs.studio import Studio

LEFT, RIGHT, TOP, BOTTOM = 6.0, 12.0, 8.0, 25.0


def request(head: str) -> dict[str, Any]:
    return {
        "title": f"Crooked hoop, {head} head",
        "units": "mm",
        "pieces": [{"id": "D", "shape": {"kind": "diamond_60", "side": 15}, "quantity": 60}],
        "runs": [
            {
                "cut": "template",
                "cutter": {
                    "tool": {"kind": "pen"},
                    "bed": {"shape": "ellipse", "width": 240, "height": 180},
                    "head": head,
                    "margins": {"left": LEFT, "right": RIGHT, "top": TOP, "bottom": BOTTOM},
                },
                "material": {"name": "tracing paper", "kind": "paper"},
                "gap": 1,
                "formats": ["svg"],
                "effort": "quick",
            }
        ],
    }


def _head(head: str) -> np.ndarray:
    """Return the head's rim about the pen: reaches left, right, up and down."""
    if head == "rectangle":
        return np.array([[-LEFT, -BOTTOM], [RIGHT, -BOTTOM], [RIGHT, TOP], [-LEFT, TOP]])
    turns = np.linspace(0.0, math.tau, 361)
    x, y = np.cos(turns), np.sin(turns)
    reaches = (np.where(x > 0, RIGHT, LEFT) * x, np.where(y > 0, TOP, BOTTOM) * y)
    return np.stack(reaches, axis=1)


@pytest.mark.parametrize("head", ["round", "rectangle"])
def test_unequal_hoop(studio: Studio, head: str) -> None:
    """At every point of every line the whole head lies in the oval of 240 x 180 mm.

    A point (x, y) is in it where (x / 120)2 + (y / 90)2 <= 1 about its centre. The head is four
    quarter ellipses between reaches of 6, 12, 8 and 25 mm, or their rectangle.
    60 diamonds of 15 mm (194.9 mm2 each, 11,691 in all) fit by area in some 27,000 mm2.
    """
    kit = studio.kit(request(head))
    run = kit.run()
    assert run.total("D") == (60, 60, 0)
    assert run.load_count == 1
    lines = foreign.svg(run.loads[0].file("svg"))
    points = shapely.get_coordinates(shapely.segmentize(foreign.drawn(lines), 1.0))
    rim = _head(head)
    places = (points[:, None, :] + rim[None, :, :] - [120.0, 90.0]) / [120.0, 90.0]
    # 0.01 mm of 90.
    assert float(np.hypot(*np.moveaxis(places, 2, 0)).max()) <= 1.0 + 0.01 / 90.0
    cells = foreign.cells(lines)
    assert [each.area for each in cells] == pytest.approx([194.856] * 60, abs=0.02)
    assert foreign.nearest(cells) >= 1.0 - 1e-3
    assert kit.sheet.counts("D", 60, 60, 0)
