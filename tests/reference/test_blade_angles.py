"""A hand-set blade's angles, by plain angles between lines."""

from __future__ import annotations

import math

import pytest

from geometry.model.cutter import IndexedBlade, WorkArea
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.proof.blade_angles import angle_faults, mismatches

LINE = (Vertex(0.0, 0.0), Vertex(10.0, 10.0))


def plan_of(*strokes: Stroke, stops: tuple[Stop, ...] = ()) -> CutPlan:
    return CutPlan("", 99.0, 99.0, WorkArea.rectangle(0, 0, 99, 99), strokes, stops)


def faults(plan: CutPlan, limit_deg: float = 10.0) -> list[str]:
    blade = IndexedBlade(positions_deg=(0.0, 45.0, 90.0))
    return list(angle_faults(plan, blade, math.radians(limit_deg)))


def test_mismatches_are_angles_between_blade_and_line() -> None:
    quarter = math.tan(math.pi / 8.0)
    strokes = (
        Stroke("cut", LINE, closed=False, angle_deg=45.0),
        Stroke("cut", LINE[::-1], closed=False, angle_deg=40.0),  # 225 is 45
        Stroke("mark", LINE, closed=False),  # no angle counts as 0
        # A quarter from east to north: 45 either side of its middle.
        Stroke("cut", (Vertex(0, 0, quarter), Vertex(5, 5)), closed=False, angle_deg=45.0),
        # The closing side of this one lies at 90.
        Stroke("cut", (Vertex(0, 0), Vertex(9, 0), Vertex(0, 9)), closed=True, angle_deg=0.0),
        # A bulge after the last vertex of an open path means nothing.
        Stroke("cut", (Vertex(0, 0), Vertex(9, 0, 1.0)), closed=False, angle_deg=0.0),
    )
    found = [math.degrees(each) for each in mismatches(strokes)]
    assert found == pytest.approx([0.0, 5.0, 45.0, 45.0, 90.0, 0.0], abs=1e-9)
    assert not len(mismatches(()))


def test_wrong_angles_are_named() -> None:
    turn = (Stop(0, "turn-blade", "", 1, 45.0),)
    right = Stroke("cut", LINE, closed=False, station=1, angle_deg=45.0)
    assert faults(plan_of(right, stops=turn)) == []
    assert faults(plan_of()) == []
    assert "no stop sets the blade to 45 degrees" in faults(plan_of(right))[0]
    odd = Stroke("cut", LINE, closed=False, station=1, angle_deg=44.0)
    assert "cannot be set to" in faults(plan_of(odd, stops=turn))[0]
    level = (Vertex(0.0, 0.0), Vertex(10.0, 0.0))
    across = Stroke("cut", level, closed=False, station=1, angle_deg=45.0)
    assert faults(plan_of(across, stops=turn)) == ["stroke 0 is cut across the blade"]
    assert faults(plan_of(across, stops=turn), 45.0) == []
