"""A tied piece is no waste: the cut that brings a drag blade into line stays out of it.

By hand: a square of 60 mm, its lower left corner at 2, 2 on a bed of 100 mm. Nearest the start of
the bed is the square itself, and a stroke of 12 offsets (3 mm) has room in it; it belongs into the
strips of 38 mm to the right of it or above.
"""

from __future__ import annotations

import shapely

from geometry.model.cutter import Bed, Cutter, DragBlade, WorkArea
from geometry.model.outline import Outline, Region
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.toolpath.ties import Ties
from tests.tool_plans import PlanOptions, make_plan


def test_the_first_cut_is_in_waste() -> None:
    square = Outline.of([(0, 0), (60, 0), (60, 60), (0, 60)])
    planned = make_plan(
        Load((Placement("A", Rigid(x=2.0, y=2.0)),)),
        {"A": Region(square)},
        Cutter("bench", DragBlade(offset=0.25), Bed(100, 100)),
        WorkArea.rectangle(0, 0, 100, 100),
        title="",
        entry_angle_deg=None,
        options=PlanOptions(ties=Ties(2, 1.0)),
    )
    first = planned.plan.strokes[0]
    assert first.part == "line-up"
    way = shapely.LineString([vertex.point for vertex in first.vertices])
    assert not shapely.box(2, 2, 62, 62).intersects(way)
