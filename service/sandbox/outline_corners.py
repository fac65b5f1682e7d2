"""Estimates the corners of a piece's outlines from its request, before anything is drawn."""

from __future__ import annotations

import math

from service.requests.pieces import PieceRequest
from service.requests.shapes import CustomShape, Shape

#: Corners by which a shape with curves is counted: some formats write each as many lines.
_CURVED = 40.0
_USUAL = 8.0
_STRAIGHT = {
    "hexagon": 6.0,
    "triangle": 3.0,
    "square": 4.0,
    "pentagon": 5.0,
    "octagon": 8.0,
    "rectangle": 4.0,
    "diamond_60": 4.0,
    "diamond_45": 4.0,
    "star_diamond": 4.0,
    "parallelogram": 4.0,
    "half_square_triangle": 3.0,
    "quarter_square_triangle": 3.0,
    "right_triangle": 3.0,
}
_OTHER_STRAIGHT = {
    "tumbler", "half_hexagon", "half_hexagon_flat", "hexagon_third", "jewel", "kite",
    "octagon_kite", "elongated_hexagon", "honeycomb", "elongated_hexagon_120",
}  # fmt: skip
#: Corners of a patch for each of its template's, by the treatment of that corner: a blunt one has
#: two, and some formats write a round one as many lines.
_TREATED = {"mitre": 1.0, "blunt": 2.0, "round": 8.0}


def template_corners(piece: PieceRequest) -> float:
    """Return about how many corners the larger of a piece's outlines has."""
    return _shape_corners(piece.shape) * max(_TREATED[kind] for kind in piece.corners.kinds)


def _shape_corners(shape: Shape) -> float:
    if isinstance(shape, CustomShape):
        if shape.path:
            return math.inf
        return sum(_CURVED / 2 if len(row) > 2 and row[2] else 1.0 for row in shape.points)  # noqa: PLR2004
    if "rounds" in shape.values:
        return 12.0 * float(shape.values["rounds"]) + 6.0
    if shape.kind == "regular_polygon":
        return float(shape.values.get("sides", _USUAL))
    if shape.kind in _STRAIGHT:
        return _STRAIGHT[shape.kind]
    return _USUAL if shape.kind in _OTHER_STRAIGHT else _CURVED
