"""How far a blade set by hand may be off an edge: along a curve it is off by all that lies between.

Blades at 0, 45, 90 and 135 degrees are 22.5 degrees off the direction between two of them. The arcs
of a clamshell turn by 90 degrees and more, so each has such a direction, however the piece is
turned: 22.5 degrees can be kept, and the next whole number is 23. A petal of 60 degrees a side has
it too (60 is more than 45). An arc of 30 degrees lies about a blade's angle and is 15 off at its
ends: a chord of 40 mm over 30 degrees has a bulge of tan(30 / 4) = 0.131652.

It was answered that 20 degrees can be kept; asked for, they came out 22.5 degrees off.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs.studio import Studio

#: A lens of two arcs of 30 degrees over 40 mm: its tips point along the chord.
LENS = {
    "kind": "custom",
    "points": [[0, 0, math.tan(math.radians(7.5))], [40, 0, math.tan(math.radians(7.5))]],
}


def _answer(studio: Studio, shape: dict[str, Any], most: float) -> Any:
    body = {
        "title": "Curves",
        "units": "mm",
        "pieces": [{"id": "C", "shape": shape, "quantity": 1}],
        "runs": [
            {
                "cut": "template",
                "cutter": "indexed-blade-hoop",
                "max_mismatch_deg": most,
                "material": {"name": "felt", "kind": "fabric"},
            }
        ],
    }
    return studio.client.post("/v1/layouts", json=body)


@pytest.mark.parametrize(
    "shape", [{"kind": "clamshell", "width": 50}, {"kind": "rosette_petal", "length": 50}]
)
def test_curve_that_passes_every_direction_is_refused_below_its_worst(
    studio: Studio, shape: dict[str, Any]
) -> None:
    """20 and 22 degrees are refused, 23 named, and 22.5 kept; part of it may lie in a tie."""
    for most in (20, 22):
        answer = _answer(studio, shape, most)
        assert answer.status_code == 422
        (fault,) = answer.json["errors"]
        assert fault["pointer"] == "#/runs/0/max_mismatch_deg"
        assert "23 degrees can be kept" in fault["detail"]
    answer = _answer(studio, shape, 22.5)
    assert answer.status_code == 200
    edges = answer.json["runs"][0]["loads"][0]["edges"]
    assert 20.0 < max(each["mismatch_deg"] for each in edges) <= 22.5


def test_short_arc_lies_about_an_angle_of_the_blade(studio: Studio) -> None:
    """15 degrees can be kept and are; 14 cannot, and 15 is named."""
    answer = _answer(studio, LENS, 15)
    assert answer.status_code == 200
    edges = answer.json["runs"][0]["loads"][0]["edges"]
    assert max(each["mismatch_deg"] for each in edges) == pytest.approx(15.0)
    answer = _answer(studio, LENS, 14)
    assert answer.status_code == 422
    assert "15 degrees can be kept" in answer.json["errors"][0]["detail"]
