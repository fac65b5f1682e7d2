"""Holes of pieces that share their lines: the proof sees one that is off, or missing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from geometry.model.cutter import Bed, Cutter, Laser, Pen, Tool, WorkArea
from geometry.model.outline import Outline, Region, Vertex
from geometry.model.placement import Load, Placement
from geometry.model.plan import Stroke
from geometry.model.transform import Rigid
from geometry.proof.cut_plan import CutOptions, PlanProof
from geometry.toolpath.route import QUICK
from tests.tool_plans import PlanOptions, make_plan

#: 30 mm square, with a square hole of 10 mm; two of them edge to edge.
HOLED = Region(
    Outline.of([(0, 0), (30, 0), (30, 30), (0, 30)]),
    (Outline.of([(10, 10), (20, 10), (20, 20), (10, 20)]),),
)
PLACES = tuple(Placement("A", Rigid(0.0, x, 20.0)) for x in (20.0, 50.0))


def as_they_are(stroke: Stroke) -> list[Stroke]:
    return [stroke]


def left_out(stroke: Stroke) -> list[Stroke]:
    del stroke
    return []


def wider(stroke: Stroke) -> list[Stroke]:
    """Move the corners of a hole away from its middle by 0.1 mm, half of the beam."""
    middle_x = sum(each.x for each in stroke.vertices[-4:]) / 4.0
    middle_y = sum(each.y for each in stroke.vertices[-4:]) / 4.0
    moved = [
        Vertex(each.x + 0.1 * _sign(each.x - middle_x), each.y + 0.1 * _sign(each.y - middle_y))
        for each in stroke.vertices
    ]
    return [replace(stroke, vertices=tuple(moved))]


def _sign(value: float) -> float:
    return 1.0 if value > 0.0 else -1.0


@pytest.mark.parametrize("tool", [Laser(kerf=0.2), Pen()], ids=repr)
@pytest.mark.parametrize(
    ("change", "expected"),
    [(as_they_are, ""), (left_out, "holes are not cut"), (wider, "holes ")],
)
def test_holes_beside_common_lines(
    tool: Tool, change: Callable[[Stroke], list[Stroke]], expected: str
) -> None:
    options = PlanOptions(common_line=True, search=QUICK)
    planned = make_plan(
        Load(PLACES),
        {"A": HOLED},
        Cutter("bench", tool, Bed(200, 120)),
        WorkArea.rectangle(0, 0, 200, 120),
        title="",
        entry_angle_deg=None,
        options=options,
    )
    plan = planned.plan
    strokes = [
        made
        for stroke in plan.strokes
        for made in (change(stroke) if stroke.part == "hole" else [stroke])
    ]
    proof = PlanProof({"A": HOLED}, tool, CutOptions(common_line=True))
    found = proof.faults(PLACES, replace(plan, strokes=tuple(strokes)))
    if expected:
        assert any(each.startswith(expected) for each in found), found
    else:
        assert found == []
