"""Edges of touching pieces, cut once, in the fewest strokes."""

import math
import random
from itertools import pairwise

import networkx as nx
import pytest
import shapely

from geometry.errors import GeometryError
from geometry.layout import Item
from geometry.measure import flattened
from geometry.model.cutter import Bed, Cutter, DragBlade, IndexedBlade, Pen, Tool, WorkArea
from geometry.model.outline import Chain, Outline, Region
from geometry.model.placement import Load, Placement
from geometry.model.plan import Stroke
from geometry.model.transform import Rigid, scaled
from geometry.shapes.catalogue import CATALOGUE, build
from geometry.toolpath.kerf import widened
from geometry.toolpath.one_cut import cut_once
from geometry.toolpath.ties import Ties
from tests.layouts import lay_out
from tests.tool_plans import Planned, PlanOptions, make_plan


def honeycomb(columns: int, rows: int, side: float) -> tuple[Outline, list[tuple[float, float]]]:
    """Return a hexagon and where it lies, columns shifted by half a hexagon in turn."""
    hexagon = Outline.of(
        [(side * math.cos(k * math.pi / 3), side * math.sin(k * math.pi / 3)) for k in range(6)]
    )
    flat = side * math.sqrt(3.0)
    places = [
        (1.5 * side * i, flat * (j + 0.5 * (i % 2))) for i in range(columns) for j in range(rows)
    ]
    return hexagon, places


def small(kind: str) -> Outline:
    """Return the kind some 30 mm across."""
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    return scaled(plain, 30.0 / max(plain.bounds.width, plain.bounds.height))


def strokes_at(outline: Outline, places: list[tuple[float, float]]) -> list[Stroke]:
    return [
        Stroke("cut", Rigid(x=x, y=y).outline(outline).vertices, closed=True, placement=number)
        for number, (x, y) in enumerate(places)
    ]


def union_length(strokes: list[Stroke]) -> float:
    """Return the length of everything the strokes draw, doubled stretches once."""
    lines = []
    for stroke in strokes:
        path = Outline(stroke.vertices) if stroke.closed else Chain(stroke.vertices)
        points = flattened(path, 0.001)
        lines.append(shapely.LinearRing(points) if stroke.closed else shapely.LineString(points))
    # A grid of a thousandth puts ends together that differ by rounding.
    return float(shapely.union_all(lines, grid_size=0.001).length)


def least_strokes(strokes: list[Stroke]) -> tuple[int, int]:
    """Return odd corners and the least strokes of a net of unparted edges, from its graph."""
    graph = nx.Graph()
    for stroke in strokes:
        ends = [(round(v.x, 3), round(v.y, 3)) for v in stroke.vertices]
        graph.add_edges_from(zip(ends, ends[1:] + ends[:1], strict=True))
    odd = {node for node, degree in graph.degree() if degree % 2}
    parts = nx.connected_components(graph)
    return len(odd), sum(max(1, len(odd & part) // 2) for part in parts)


def test_a_honeycomb_of_28() -> None:
    # Derived from its graph: 54 corners of three edges, so 27 strokes at least.
    outline, places = honeycomb(7, 4, 25.4)
    strokes = strokes_at(outline, places)
    cut, payload = cut_once(strokes, None, 0.0)
    assert least_strokes(strokes) == (54, 27)
    assert len(cut) == 27
    assert payload == ()
    length = sum(stroke.length for stroke in cut)
    assert length == pytest.approx(union_length(strokes), rel=1e-4)
    # Edges of a honeycomb, counted by hand: corners + cells - 1 (Euler).
    assert length == pytest.approx(25.4 * (28 * 6 - (6 * 4 + 3 * 7 + 6 * 3)))


@pytest.mark.parametrize("seed", range(20))
def test_scattered_cells(seed: int) -> None:
    lots = random.Random(seed)  # noqa: S311 - no secret
    outline, places = honeycomb(6, 5, 10.0)
    if seed % 2:
        outline = Outline.of([(0, 0), (8, 0), (8, 8), (0, 8)])
        places = [(8.0 * i, 8.0 * j) for i in range(6) for j in range(5)]
    strokes = strokes_at(outline, lots.sample(places, lots.randint(1, 29)))
    cut, _ = cut_once(strokes, None, 0.0)
    assert len(cut) == least_strokes(strokes)[1]
    drawn = sum(stroke.length for stroke in cut)
    assert drawn == pytest.approx(union_length(strokes), rel=1e-4)
    assert union_length(cut) == pytest.approx(drawn, rel=1e-4)


STRAIGHT = [kind for kind in CATALOGUE if not small(kind).has_arcs]


@pytest.mark.parametrize("kind", STRAIGHT)
@pytest.mark.parametrize("kerf", [0.0, 0.2])
def test_real_layouts_of_every_straight_shape(kind: str, kerf: float) -> None:
    outline = small(kind)
    room = WorkArea.rectangle(5, 5, 105, 105)
    items = [Item("A", outline, 500)]
    load = lay_out(items, room, gap=kerf, effort="quick", common_line=True).loads[0]
    wide = widened(Region(outline), kerf)[0].outline
    strokes = [
        Stroke("cut", each.move.outline(wide).vertices, closed=True, placement=number)
        for number, each in enumerate(load.placements)
    ]
    cut, _ = cut_once(strokes, None, 0.0)
    # The union of the edges and its net of corners, by a general geometry and a graph library.
    rings = [shapely.LinearRing([vertex.point for vertex in each.vertices]) for each in strokes]
    net = shapely.union_all(rings, grid_size=0.0001)
    assert sum(stroke.length for stroke in cut) == pytest.approx(net.length, rel=0.01)
    graph = nx.Graph()
    for line in net.geoms if hasattr(net, "geoms") else [net]:
        graph.add_edges_from(pairwise([(round(x, 4), round(y, 4)) for x, y in line.coords]))
    odd = {node for node, degree in graph.degree() if degree % 2}
    parts = list(nx.connected_components(graph))
    assert len(cut) == sum(max(1, len(odd & part) // 2) for part in parts)


def test_rows_that_are_shifted_share_stretches_of_edges() -> None:
    square = Outline.of([(0, 0), (10, 0), (10, 10), (0, 10)])
    strokes = strokes_at(square, [(0, 0), (10, 0), (3, 10)])
    cut, _ = cut_once(strokes, None, 0.0)
    # 3 squares of 40 less one whole common side and one that is common in two parts.
    assert sum(stroke.length for stroke in cut) == pytest.approx(120 - 10 - 10)


def test_arcs_are_shared_too() -> None:
    circle = build("circle", {"diameter": 20.0})
    twice = strokes_at(circle, [(0, 0), (0, 0)])
    cut, _ = cut_once(twice, None, 0.0)
    assert len(cut) == 1
    assert cut[0].closed
    assert cut[0].length == pytest.approx(20 * math.pi)


def test_pieces_that_touch_nothing_keep_their_name() -> None:
    square = Outline.of([(0, 0), (10, 0), (10, 10), (0, 10)])
    cut, _ = cut_once(strokes_at(square, [(0, 0), (30, 0)]), None, 0.0)
    assert [stroke.placement for stroke in cut] == [0, 1]
    assert all(stroke.closed for stroke in cut)


def test_ties_take_more_strokes_and_that_is_said() -> None:
    outline, places = honeycomb(3, 3, 20.0)
    strokes = strokes_at(outline, places)
    cut, payload = cut_once(strokes, Ties(2, 0.5), 0.0)
    plain, _ = cut_once(strokes, None, 0.0)
    assert len(cut) > len(plain)
    assert f"{len(cut)} strokes instead of {len(plain)}" in payload[0]
    # Every outline has at least its two ties: measured on the outlines themselves.
    lines = shapely.union_all(
        [shapely.LineString(flattened(Chain(s.vertices), 0.01)) for s in cut if not s.closed]
    )
    for stroke in strokes:
        ring = shapely.LinearRing(flattened(Outline(stroke.vertices), 0.01))
        uncut = ring.difference(lines.buffer(1e-4))
        assert uncut.length >= 2 * 0.5 - 0.01


def planned(tool: Tool, outline: Outline, places: list[tuple[float, float]]) -> Planned:
    load = Load(tuple(Placement("A", Rigid(x=x + 30, y=y + 30)) for x, y in places))
    return make_plan(
        load,
        {"A": Region(outline)},
        Cutter("bench", tool, Bed(400, 400)),
        WorkArea.rectangle(0, 0, 400, 400),
        title="",
        entry_angle_deg=None,
        options=PlanOptions(common_line=True, ties=Ties(0)),
    )


def test_a_drag_blade_is_refused_with_a_reason() -> None:
    outline, places = honeycomb(2, 2, 20.0)
    with pytest.raises(GeometryError, match="swings into") as caught:
        planned(DragBlade(), outline, places)
    assert caught.value.where == ("common_line",)


def test_in_a_plan() -> None:
    outline, places = honeycomb(7, 4, 25.4)
    assert len(planned(Pen(), outline, places).plan.strokes) == 27


def test_a_set_blade_cuts_common_lines_angle_by_angle() -> None:
    outline, places = honeycomb(4, 3, 20.0)
    found = planned(IndexedBlade(), outline, places)
    angles = [stroke.angle_deg for stroke in found.plan.strokes]
    assert angles == sorted(angles, key=lambda angle: (0, 45, 135).index(int(angle or 0)))
    assert len([stop for stop in found.plan.stops if stop.reason == "turn-blade"]) == 2
