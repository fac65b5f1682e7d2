"""Patches of coated paper with creased seam lines and match marks: three operations."""

from __future__ import annotations

import collections
import itertools
import math
import re

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

COLOURS = {"cut": 1, "score": 5, "mark": 3}
REQUEST = {
    "title": "Signal flags, creased",
    "units": "in",
    "pieces": [
        {
            "id": "F",
            "shape": {"kind": "square", "side": "3"},
            "quantity": 6,
            "seam_allowance": "1/4",
            "seam_line": "score",
            "match_marks": True,
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {
                "tool": {"kind": "laser", "kerf": 0},
                "bed": {"width": 24, "height": 12},
                "formats": {"dxf": {"colours": COLOURS}},
            },
            "material": {"name": "coated paper", "kind": "coated_paper"},
            "formats": ["dxf", "hpgl"],
            "effort": "quick",
        }
    ],
}


def test_creased_flags(studio: Studio) -> None:
    """Six squares of 3 in, cut 3 1/2 in: 6 x 12 in = 1828.8 mm creased, 6 x 14 in = 2133.6 mm cut.

    A mark at the middle of each of four edges: 24. What is marked comes first, then what is
    creased, and what is cut last, or the sheet would shift. HP-GL's pens: marks 3, scores 2,
    cuts 1, and the pen put back. The cut is a little longer: the beam comes in from the waste.
    """
    kit = studio.kit(REQUEST)
    (load,) = kit.run().loads
    lengths: dict[str, float] = collections.defaultdict(float)
    layers = []
    for line in foreign.dxf(load.file("dxf")):
        lengths[line.layer] += sum(math.dist(a, b) for a, b in itertools.pairwise(line.points))
        layers.append(line.layer)
        assert line.colour == str(COLOURS[line.layer])
    assert lengths["score"] == pytest.approx(1828.8, abs=0.01)
    assert 2133.6 <= lengths["cut"] <= 2133.6 + 6 * 2
    assert layers == ["mark"] * 24 + ["score"] * 6 + ["cut"] * 6
    assert sum(lengths.values()) == pytest.approx(load.payload["cut_length_mm"], abs=0.01)
    pens = re.findall(r"SP(\d)", load.file("hpgl").decode())
    assert pens == ["3", "2", "1", "0"]
    # 3 1/2 x 3 1/2 in
    assert kit.piece("F")["patch"]["width_mm"] == pytest.approx(3.5 * 25.4)
    kit.sheet.counts("F", 6, 6, 0)
    # The picture of its path says which lines are creased and which are marks.
    path = studio.client.get(load.payload["path_picture"]).get_data(as_text=True)
    assert "crease" in path
    assert "mark on the piece" in path
    assert "polyethylene" in kit.cautions
