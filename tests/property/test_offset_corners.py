"""Tips, square cuts and single allowances against half-planes cut one by one.

The patch of a convex piece with straight edges is what lies within every edge's half-plane moved
out; a square cut is one half-plane more. Each is cut here from a large square with exact
line crossings, apart from the package.
"""

import math

import pytest

from geometry.measure import area, corner_turns
from geometry.model.outline import Outline
from geometry.offset.allowance import Corners, make_patch
from geometry.proof.allowance import measure_allowance
from geometry.shapes.catalogue import CATALOGUE
from tests.property import strategies

#: A half-plane: normal and greatest distance along it.
HalfPlane = tuple[float, float, float]


def is_convex(outline: Outline) -> bool:
    return not outline.has_arcs and min(corner_turns(outline)) > 0.0


CONVEX = [kind for kind in sorted(CATALOGUE) if is_convex(strategies.example(kind))]


def edge_planes(outline: Outline, widths: list[float]) -> list[HalfPlane]:
    planes = []
    for (ax, ay, _), (bx, by, _), width in zip(
        outline.vertices, outline.vertices[1:] + outline.vertices[:1], widths, strict=True
    ):
        long = math.hypot(bx - ax, by - ay)
        nx, ny = (by - ay) / long, (ax - bx) / long
        planes.append((nx, ny, nx * ax + ny * ay + width))
    return planes


def cut_plane(planes: list[HalfPlane], outline: Outline, index: int, width: float) -> HalfPlane:
    """The square cut at ``width`` beyond a corner: its normal halves those of the edges."""
    (ax, ay, _), (bx, by, _) = planes[index - 1], planes[index]
    long = math.hypot(ax + bx, ay + by)
    nx, ny = (ax + bx) / long, (ay + by) / long
    x, y, _ = outline.vertices[index]
    return nx, ny, nx * x + ny * y + width


def within(planes: list[HalfPlane]) -> list[tuple[float, float]]:
    ring = [(-1e4, -1e4), (1e4, -1e4), (1e4, 1e4), (-1e4, 1e4)]
    for nx, ny, far in planes:
        kept = []
        for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1], strict=True):
            a, b = nx * ax + ny * ay - far, nx * bx + ny * by - far
            if a <= 0.0:
                kept.append((ax, ay))
            if a * b < 0.0:
                kept.append((ax + (bx - ax) * a / (a - b), ay + (by - ay) * a / (a - b)))
        ring = kept
    return ring


def assert_is(outline: Outline, wanted: list[tuple[float, float]]) -> None:
    size = max(outline.bounds.width, outline.bounds.height)
    for x, y, _ in outline.vertices:
        assert min(math.hypot(x - u, y - v) for u, v in wanted) <= 1e-9 * size
    assert area(outline) == pytest.approx(area(Outline.of(wanted)), rel=1e-9)


@pytest.mark.parametrize("kind", CONVEX)
def test_mitred_patches_are_the_common_part_of_half_planes(kind: str) -> None:
    for step in range(20):
        outline, by = strategies.example(kind, 0.4 + 0.13 * step), 6.35 if step % 2 else 9.525
        patch = make_patch(outline, by, corners=Corners(limit=50.0))
        assert_is(patch.outline, within(edge_planes(outline, [by] * len(outline.vertices))))
        assert len(patch.outline.vertices) == len(outline.vertices)


@pytest.mark.parametrize("kind", CONVEX)
def test_blunt_patches_have_one_half_plane_more_a_corner(kind: str) -> None:
    for step in range(20):
        outline, by = strategies.example(kind, 0.4 + 0.13 * step), 6.35 if step % 2 else 9.525
        planes = edge_planes(outline, [by] * len(outline.vertices))
        cuts = [cut_plane(planes, outline, index, by) for index in range(len(planes))]
        patch = make_patch(outline, by, corners=Corners("blunt"))
        assert_is(patch.outline, within(planes + cuts))
        assert len(patch.outline.vertices) == 2 * len(outline.vertices)


@pytest.mark.parametrize("kind", CONVEX)
def test_one_corner_may_be_treated_otherwise(kind: str) -> None:
    outline, by = strategies.example(kind, 1.5), 6.35
    planes = edge_planes(outline, [by] * len(outline.vertices))
    patch = make_patch(
        outline, by, corners=Corners(limit=50.0), corner_overrides={1: Corners("blunt")}
    )
    assert_is(patch.outline, within([*planes, cut_plane(planes, outline, 1, by)]))
    assert [corner.treatment for corner in patch.corners].count("blunt") == 1


@pytest.mark.parametrize("kind", CONVEX)
def test_single_edges_may_have_their_own_allowance(kind: str) -> None:
    outline, by, own = strategies.example(kind, 2.0), 6.35, 9.525
    for edge in range(len(outline.vertices)):
        widths = [own if index == edge else by for index in range(len(outline.vertices))]
        patch = make_patch(outline, by, edges={edge: own}, corners=Corners(limit=50.0))
        assert_is(patch.outline, within(edge_planes(outline, widths)))
        found = measure_allowance(outline, patch.outline, edges={edge: own})
        assert found.edges == pytest.approx(dict(enumerate(widths)), abs=1e-6)
        assert (found.min_mm, found.max_mm) == pytest.approx((by, own), abs=1e-6)


def test_a_step_leads_from_one_allowance_to_another_where_the_edges_run_on() -> None:
    for turn in (0.0, 1e-3, -1e-3):
        rise = 30.0 * math.sin(turn)
        outline = Outline.of([(0, 0), (30, 0), (60, rise), (60, 40), (0, 40)])
        patch = make_patch(outline, 6.0, edges={1: 12.0})
        found = measure_allowance(outline, patch.outline, edges={1: 12.0})
        assert found.edges[0] == pytest.approx(6.0, abs=1e-6)
        assert found.edges[1] == pytest.approx(12.0, abs=1e-6)
