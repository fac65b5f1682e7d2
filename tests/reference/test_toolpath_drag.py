"""The tip of a trailing blade, simulated as a tractrix, against the outlines it should cut."""

import math
from itertools import pairwise

import numpy as np
import pytest
import shapely

from geometry.layout import Item
from geometry.measure import flattened
from geometry.model.cutter import Bed, Cutter, DragBlade, WorkArea
from geometry.model.outline import Outline, Region
from geometry.model.placement import Load, Placement
from geometry.model.plan import Stroke
from geometry.model.points import Point
from geometry.model.transform import Rigid, scaled
from geometry.proof.drag_tip import pulled, tip_paths
from geometry.shapes.catalogue import CATALOGUE, build
from geometry.toolpath.drag import compensated
from geometry.toolpath.ties import Ties
from tests.layouts import lay_out
from tests.short_form import short_form
from tests.tool_plans import PlanOptions, make_plan

WITHIN = 0.05


def smallest(outline: Outline) -> float:
    return min(min(part.length, getattr(part, "radius", math.inf)) for part in outline.segments)


def astray(trail: list[Point], outline: Outline) -> float:
    """Return the greatest distance of the tip's way from the outline, and the other way round."""
    points = flattened(outline, 1e-3)
    ring = shapely.LinearRing(points)
    there = shapely.distance(ring, shapely.points(trail)).max()
    back = shapely.distance(shapely.LineString(trail), shapely.points(points)).max()
    return float(max(there, back))


@pytest.mark.parametrize("kind", CATALOGUE)
@pytest.mark.parametrize("offset", [0.175, 0.3, 0.6, 1.0])
def test_every_shape_is_cut_true(kind: str, offset: float) -> None:
    # The smallest outline that is promised: edges and radii of three offsets.
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    outline = scaled(plain, 3.0 * offset / smallest(plain))
    stroke = Stroke("cut", outline.vertices, closed=True)
    cut, _ = compensated(DragBlade(offset=offset), [stroke], 2.0)
    ((_, trail),) = tip_paths(cut, offset, 2.0, step=0.02)
    assert astray(trail, outline) <= WITHIN


@pytest.mark.long
@pytest.mark.parametrize("kind", CATALOGUE)
@pytest.mark.parametrize("offset", [0.175, 0.25, 0.35, 0.5, 0.7, 0.85, 1.0])
def test_every_shape_from_every_corner_at_every_size(kind: str, offset: float) -> None:
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    for offsets in (3.0, 7.0, 30.0):
        whole = scaled(plain, offsets * offset / smallest(plain))
        for start in range(len(whole.vertices)):
            outline = whole.started_at(start)
            stroke = Stroke("cut", outline.vertices, closed=True)
            heading = 0.3 + 2.0 * start
            cut, _ = compensated(DragBlade(offset=offset), [stroke], heading)
            ((_, trail),) = tip_paths(cut, offset, heading, step=0.02)
            assert astray(trail, outline) <= WITHIN


@pytest.mark.parametrize("kind", ["hexagon", "jewel", "clamshell"])
@pytest.mark.parametrize("offset", [0.25, 1.0])
def test_only_ties_are_left(kind: str, offset: float) -> None:
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    outline = scaled(plain, 40.0 / max(plain.bounds.width, plain.bounds.height))
    ties = Ties(3, 0.8)
    planned = make_plan(
        Load((Placement("A", Rigid(x=60, y=60, turn_deg=11.0)),)),
        {"A": Region(outline)},
        Cutter("bench", DragBlade(offset=offset), Bed(120, 120)),
        WorkArea.rectangle(0, 0, 120, 120),
        title="",
        entry_angle_deg=None,
        options=PlanOptions(ties=ties),
    )
    trails = [
        shapely.LineString(trail)
        for stroke, trail in tip_paths(planned.plan.strokes, offset, 0.7, step=0.02)
        if stroke.placement is not None
    ]
    placed = Rigid(x=60, y=60, turn_deg=11.0).outline(outline)
    ring = shapely.LinearRing(flattened(placed, 0.001))
    for trail in trails:
        assert shapely.distance(ring, shapely.points(trail.coords)).max() <= WITHIN
    left = ring.difference(shapely.union_all(trails).buffer(WITHIN / 2.0))
    bridges = [part for part in getattr(left, "geoms", [left]) if part.length > WITHIN]
    assert len(bridges) == ties.count
    for bridge in bridges:
        assert abs(bridge.length - ties.width) <= 2.0 * WITHIN


@pytest.mark.parametrize("kind", ["square", "diamond_45", "petal"])
def test_without_compensation_it_would_not_be(kind: str) -> None:
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    outline = scaled(plain, 3.0 / smallest(plain))
    ((_, trail),) = tip_paths([Stroke("cut", outline.vertices, closed=True)], 1.0, 2.0)
    assert astray(trail, outline) > 5 * WITHIN


@pytest.mark.parametrize(
    ("kind", "sizes"), [("hexagon", {"side": 20.0}), ("clamshell", {"width": 40.0})]
)
@pytest.mark.parametrize("offset", short_form([0.25, 1.0], [0.25]))
def test_a_whole_load_from_any_heading(kind: str, sizes: dict[str, float], offset: float) -> None:
    room = WorkArea.rectangle(5, 5, 120, 120)
    outline = build(kind, sizes)
    load = lay_out([Item("A", outline, 9)], room, gap=2.0, effort="quick").loads[0]
    cutter = Cutter("bench", DragBlade(offset=offset), Bed(130, 130))
    planned = make_plan(
        load,
        {"A": Region(outline)},
        cutter,
        room,
        title="",
        entry_angle_deg=None,
        options=PlanOptions(),
    )
    placed = [each.move.outline(outline) for each in load.placements]
    pieces = shapely.union_all([shapely.Polygon(flattened(each, 1e-4)) for each in placed])
    line_up = planned.plan.strokes[0]
    assert line_up.part == "line-up"
    for degrees in range(-179, 180, 7):
        ((_, trail),) = tip_paths([line_up], offset, math.radians(degrees))
        way = shapely.LineString(trail)
        # In waste, inside the work area, and straight behind the axis at its end.
        assert way.distance(pieces) > 0.0
        assert shapely.box(5, 5, 125, 125).covers(way)
        end = math.atan2(line_up.vertices[1].y - trail[-1][1], line_up.vertices[1].x - trail[-1][0])
        assert abs(math.remainder(end - line_up.segments[0].end_heading, math.tau)) < 0.01
    for stroke, trail in tip_paths(planned.plan.strokes, offset, 0.7, step=0.02):
        if stroke.placement is not None:
            assert astray(trail, placed[stroke.placement]) <= WITHIN


def test_the_simulation_against_the_closed_form() -> None:
    # Straight pull: tan(angle / 2) falls as exp(-way / rod), the tractrix in closed form
    # (derived); here in many small steps from a right angle.
    heading = math.pi / 2
    for _ in range(1000):
        heading = pulled(heading, 0.003 + 0j, 1.0)
    assert heading == pytest.approx(2 * math.atan(math.exp(-3.0)), rel=1e-9)
    # Round a circle of radius R the tip settles on sqrt(R^2 - rod^2) (derived).
    places = 5.0 * np.exp(1j * np.linspace(0.0, 20.0, 40001))
    heading = 0.0
    for a, b in pairwise(places):
        heading = pulled(heading, complex(b - a), 1.0)
    tip = places[-1] - np.exp(1j * heading)
    assert abs(tip) == pytest.approx(math.sqrt(24.0), abs=1e-6)
