"""A perforating wheel: half a step of reach, and a warning where an edge gets no hole."""

from __future__ import annotations

import pytest

from geometry.layout import Item, lay_out
from geometry.model.cutter import Bed, Cutter, PerforatingWheel, WorkArea
from geometry.model.outline import Outline, Region
from tests.tool_plans import PlanOptions, make_plan, room_for_pieces

SQUARE = Outline.of([(0, 0), (10, 0), (10, 10), (0, 10)])


@pytest.mark.parametrize(("step", "warned"), [(1.5, False), (11.0, True)])
def test_an_edge_shorter_than_the_step_may_get_no_hole(step: float, warned: bool) -> None:
    """Edges of 10 mm: a step of 11 mm can miss one, a step of 1.5 mm cannot."""
    room, wheel = WorkArea.rectangle(0, 0, 100, 100), PerforatingWheel(step=step)
    inside = room_for_pieces(room, Bed(100, 100), wheel)
    assert inside.bounds.left == step / 2.0
    load = lay_out([Item("A", SQUARE, 4)], inside, gap=2.0, effort="quick").loads[0]
    found = make_plan(
        load,
        {"A": Region(SQUARE)},
        Cutter("bench", wheel, Bed(100, 100)),
        room,
        title="",
        entry_angle_deg=None,
        options=PlanOptions(),
    )
    assert found.plan.cut_length == pytest.approx(160.0)
    assert any("no hole" in each or "shorter" in each for each in found.warnings) == warned
