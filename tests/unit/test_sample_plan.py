"""The sample plan has what its description says, so that a format is tested with all of it."""

from __future__ import annotations

import math

from adapters.sample import FLAG, sample_plan
from geometry.model.segments import Arc, Bounds


def test_its_strokes() -> None:
    """A mark and a fold, then cuts: a hole before its outline, and a line at 45 degrees."""
    plan = sample_plan()
    assert [
        (s.operation, s.part, s.piece, s.placement, s.closed, s.station, s.angle_deg)
        for s in plan.strokes
    ] == [
        ("mark", "mark", "flag", 0, False, 1, None),
        ("score", "mark", "", None, False, 1, None),
        ("cut", "hole", "flag", 0, True, 1, None),
        ("cut", "outline", "flag", 0, True, 1, None),
        ("cut", "outline", "lens", 1, True, 1, None),
        ("cut", "outline", "", None, False, 2, 45.0),
    ]
    arcs = [sum(isinstance(part, Arc) for part in s.segments) for s in plan.strokes]
    assert arcs == [1, 0, 2, 1, 2, 0]


def test_its_sizes() -> None:
    """All of it lies inside a bed of 100 x 100 mm."""
    plan = sample_plan()
    assert (plan.bed_width, plan.bed_height, plan.title) == (100.0, 100.0, "Conformance")
    xs = [v.x for s in plan.strokes for v in s.vertices]
    ys = [v.y for s in plan.strokes for v in s.vertices]
    assert 0.0 < min(xs) < max(xs) < 100.0
    assert 0.0 < min(ys) < max(ys) < 100.0
    assert plan.work_area.is_rectangle
    corners = plan.work_area.boundary.vertices
    assert Bounds(0.0, 0.0, 100.0, 100.0) == Bounds(
        min(v.x for v in corners), min(v.y for v in corners),
        max(v.x for v in corners), max(v.y for v in corners),
    )  # fmt: skip
    # The flag is 30 x 20 mm and has no symmetry: no corner has a partner on the other side.
    assert (min(v.x for v in FLAG), max(v.x for v in FLAG)) == (60.0, 90.0)
    assert (min(v.y for v in FLAG), max(v.y for v in FLAG)) == (40.0, 60.0)
    places = {(v.x, v.y) for v in FLAG}
    for turned in (
        {(150.0 - x, y) for x, y in places},
        {(x, 100.0 - y) for x, y in places},
        {(150.0 - x, 100.0 - y) for x, y in places},
    ):
        assert turned != places
    # The round corner turns by a quarter, with a radius of 8 mm.
    (round_one,) = [v for v in FLAG if v.bulge]
    assert 4.0 * math.atan(round_one.bulge) == math.pi / 2.0
    hole = plan.strokes[2].vertices
    assert math.dist((hole[0].x, hole[0].y), (hole[1].x, hole[1].y)) == 10.0


def test_its_stops() -> None:
    """One before the first stroke, and one where the blade is turned before the last."""
    first, second = sample_plan().stops
    assert (first.before_stroke, first.reason, first.station) == (0, "load-material", None)
    assert (second.before_stroke, second.reason) == (5, "turn-blade")
    assert (second.station, second.angle_deg) == (2, 45.0)
    assert first.message.startswith("Load card")
    assert "45 degrees" in second.message
