"""A small sample plan for testing formats."""

from __future__ import annotations

import math

from geometry.model.cutter import WorkArea
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stop, Stroke

_QUARTER = math.tan(math.pi / 8.0)
#: 30 x 20 mm with one corner round and the opposite one notched: it has no symmetry.
FLAG = (
    Vertex(65.0, 40.0),
    Vertex(90.0, 40.0),
    Vertex(90.0, 52.0, _QUARTER),
    Vertex(82.0, 60.0),
    Vertex(60.0, 60.0),
    Vertex(60.0, 45.0),
    Vertex(65.0, 45.0),
)
_LENS = (Vertex(20.0, 20.0, 0.4), Vertex(50.0, 20.0, 0.4))
_CIRCLE = (Vertex(40.0, 80.0, 1.0), Vertex(30.0, 80.0, 1.0))


def sample_plan() -> CutPlan:
    """Return a plan with each operation, lines, arcs, a circle, two blade angles and a stop."""
    strokes = (
        Stroke("mark", FLAG[:4], closed=False, part="mark", piece="flag", placement=0),
        Stroke("score", (Vertex(5.0, 5.0), Vertex(15.0, 9.0)), closed=False, part="mark"),
        Stroke("cut", _CIRCLE, closed=True, part="hole", piece="flag", placement=0),
        Stroke("cut", FLAG, closed=True, piece="flag", placement=0),
        Stroke("cut", _LENS, closed=True, piece="lens", placement=1),
        Stroke(
            "cut", (Vertex(5.0, 90.0), Vertex(60.0, 95.0)), closed=False, station=2, angle_deg=45.0
        ),
    )
    stops = (
        Stop(0, "load-material", "Load card in the lower left corner."),
        Stop(5, "turn-blade", "Turn the blade to 45 degrees (rising to the right).", 2, 45.0),
    )
    area = WorkArea.rectangle(0.0, 0.0, 100.0, 100.0)
    return CutPlan("Conformance", 100.0, 100.0, area, strokes, stops)
