"""Random orders with common lines: what moves pieces edge to edge costs no load and no material."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import pytest
import shapely
import shapely.affinity
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from geometry.layout import Item, Layout
from geometry.layout.objective import cut_length
from geometry.layout.orders import order
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load
from geometry.shapes.catalogue import build
from tests.layouts import lay_out, require_sound

#: Shapes with straight edges only, which shapely measures exactly.
_KINDS = (
    "square", "triangle", "octagon", "hexagon", "diamond_45", "diamond_60", "jewel",
    "half_square_triangle", "half_hexagon",
)  # fmt: skip
_TURNS: list[str | tuple[float, ...]] = ["free", "free", "half-turn", "fixed", (0.0, 90.0)]
_SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]


@st.composite
def orders(draw: st.DrawFn) -> list[Item]:
    """Draw two or three kinds of one side length or two."""
    kinds = draw(st.lists(st.sampled_from(_KINDS), min_size=2, max_size=3, unique=True))
    sides = draw(st.sampled_from([(40.0,), (30.0,), (40.0, 30.0)]))
    return [
        Item(
            kind,
            build(kind, {"side": sides[number % len(sides)]}),
            draw(st.integers(1, 12)),
            draw(st.sampled_from(_TURNS)),
            draw(st.booleans()),
        )
        for number, kind in enumerate(kinds)
    ]


def rooms() -> st.SearchStrategy[WorkArea]:
    """Draw a sheet, not at the origin, or a roll."""
    sizes = st.sampled_from([(300.0, 300.0), (300.0, 270.0), (216.0, 279.0), (250.0, 500.0)])
    sheets = sizes.map(lambda size: WorkArea.rectangle(7.0, 3.0, *size))
    return st.one_of(
        sheets, st.sampled_from([260.0, 305.0]).map(lambda w: WorkArea.roll(5.0, 2.0, w))
    )


def without_moves(*_: object) -> Iterator[Sequence[Load]]:
    return iter(())


def boundary(item: Item, move: Any) -> shapely.LineString:
    """Return the outline of a placed piece, moved by shapely."""
    shape = shapely.Polygon([vertex.point for vertex in item.outline.vertices])
    if move.mirrored:
        shape = shapely.affinity.scale(shape, -1.0, 1.0, origin=(0.0, 0.0))
    shape = shapely.affinity.rotate(shape, move.turn_deg, origin=(0.0, 0.0))
    return shapely.affinity.translate(shape, move.x, move.y).boundary


def figures(layout: Layout, items: list[Item], room: WorkArea) -> tuple[int, float, float]:
    """Return loads, material and cut length of a layout that is sound and holds all."""
    outlines, by_piece = {x.piece: x.outline for x in items}, {x.piece: x for x in items}
    require_sound(layout, items, room, 0.0)
    cut = 0.0
    for load in layout.loads:
        for each in load.placements:
            item, turns = by_piece[each.piece], by_piece[each.piece].stated_turns_deg
            assert item.mirror or not each.move.mirrored
            assert turns is None or round(each.move.turn_deg % 360.0, 6) % 360.0 in turns
        length = cut_length(load.placements, outlines)
        lines = [boundary(by_piece[each.piece], each.move) for each in load.placements]
        # A finer grid than that of the layouts: lines off by rounding are still one.
        drawn = shapely.unary_union(lines, grid_size=1e-5).length
        assert length == pytest.approx(drawn, abs=1e-3 * len(lines))
        cut += length * load.repeats
    pairs = zip(layout.loads, layout.used, strict=True)
    material = sum(used.area * load.repeats for load, used in pairs)
    return sum(load.repeats for load in layout.loads), material, cut


def assert_costs_nothing(items: list[Item], room: WorkArea, effort: str) -> None:
    how: dict[str, Any] = {"gap": 0.0, "effort": effort, "common_line": True}
    loads, material, cut = figures(lay_out(items, room, **how), items, room)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(order, "shorter_cuts", without_moves)
        plain = figures(lay_out(items, room, **how), items, room)
    assert loads <= plain[0]
    if loads == plain[0]:
        assert material <= plain[1] * (1.0 + 1e-6)
        if material >= plain[1] * (1.0 - 1e-6):
            assert cut <= plain[2] + 0.01


@pytest.mark.timeout(900)
@settings(max_examples=5, deadline=None, derandomize=True, suppress_health_check=_SLOW)
@given(orders(), rooms())
def test_moves_cost_no_load_and_no_material(items: list[Item], room: WorkArea) -> None:
    assert_costs_nothing(items, room, "quick")


@pytest.mark.long
@pytest.mark.timeout(36000)
@settings(max_examples=60, deadline=None, derandomize=True, suppress_health_check=_SLOW)
@given(orders(), rooms(), st.sampled_from(["quick", "normal"]))
def test_moves_cost_nothing_in_sixty_orders(items: list[Item], room: WorkArea, effort: str) -> None:
    assert_costs_nothing(items, room, effort)
