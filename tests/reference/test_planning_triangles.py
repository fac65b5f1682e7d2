"""Triangles that share a rectangle, laid in it by an independent library."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from shapely import Polygon, affinity, union_all

from geometry.model.outline import Outline
from geometry.offset.allowance import make_patch
from geometry.planning.triangles import half_square_add, shared_rectangle
from geometry.shapes.catalogue import build

A = 6.35


def _polygon(outline: Outline) -> Polygon:
    return Polygon([(vertex.x, vertex.y) for vertex in outline.vertices])


@pytest.mark.parametrize(
    ("kind", "values", "is_sharp"),
    [
        ("half_square_triangle", {"side": 101.6}, True),
        ("right_triangle", {"width": 76.2, "height": 101.6, "hand": "right"}, True),
        ("right_triangle", {"width": 76.2, "height": 101.6, "hand": "left"}, True),
        ("right_triangle", {"width": 76.2, "height": 152.4, "hand": "right"}, False),
        ("quarter_square_triangle", {"base": 101.6}, True),
    ],
)
def test_patches_share_their_rectangle(
    kind: str, values: Mapping[str, float | str], *, is_sharp: bool
) -> None:
    """Turned about its middle, patches lie in the rectangle and do not overlap.

    With sharp tips they fill it; tips beyond the mitre limit are cut and leave a little.
    """
    outline = build(kind, values)
    shared = shared_rectangle(outline, A)
    assert shared is not None
    template = _polygon(outline)
    patch = _polygon(make_patch(outline, A).outline)
    rectangle = Polygon(
        [(0, 0), (shared.width, 0), (shared.width, shared.length), (0, shared.length)]
    )
    # Left or right, the right angle's edges are one allowance inside the rectangle's.
    left, low, right, _ = template.bounds
    dx = shared.width - A - right if values.get("hand") == "left" else A - left
    first = affinity.translate(patch, dx, A - low)
    middle = (shared.width / 2.0, shared.length / 2.0)
    if shared.pieces == 4:
        first = affinity.translate(first, middle[0] - first.centroid.x, 0.0)
    step = 360.0 / shared.pieces
    laid = [affinity.rotate(first, step * turn, origin=middle) for turn in range(shared.pieces)]
    area = union_all(laid).area
    assert area == pytest.approx(shared.pieces * patch.area, rel=1e-9)
    assert all(rectangle.buffer(1e-6).covers(each) for each in laid)
    filled = area / rectangle.area
    assert filled == pytest.approx(1.0, rel=1e-9) if is_sharp else 0.95 < filled < 1.0


def test_a_half_square_triangle_adds_seven_eighths() -> None:
    """Finished side + 7/8 in at 1/4 in allowance (published lists), exactly 0.8536 in."""
    shared = shared_rectangle(build("half_square_triangle", {"side": 101.6}), A)
    assert shared is not None
    assert shared.width == pytest.approx(101.6 + half_square_add(A), abs=1e-9)
    assert (shared.width - 101.6) / 25.4 == pytest.approx(0.853553, abs=1e-6)


@pytest.mark.parametrize(
    ("kind", "values"),
    [("triangle", {"side": 50.0}), ("square", {"side": 50.0}), ("circle", {"diameter": 50.0})],
)
def test_other_shapes_share_nothing(kind: str, values: Mapping[str, float]) -> None:
    """Only right triangles part a rectangle along its diagonals."""
    assert shared_rectangle(build(kind, values), A) is None
