"""The nominal strokes of a load, without compensation: marks, holes and outlines in place."""

from __future__ import annotations

from collections.abc import Mapping

from geometry.model.outline import Operation, Outline, Region, Vertex
from geometry.model.placement import Load
from geometry.model.plan import Part, Stroke

#: Drawing and creasing come before cutting, and holes before the outline that frees the piece.
_ORDER: Mapping[tuple[Operation, str], int] = {
    ("mark", "mark"): 0,
    ("score", "mark"): 1,
    ("cut", "hole"): 2,
    ("cut", "outline"): 3,
}


def nominal_strokes(load: Load, pieces: Mapping[str, Region]) -> list[Stroke]:
    """Return one stroke per mark, hole and outline.

    Shape:
        In the order of placements; within each: marks, creases, holes, outline.
    """
    strokes: list[Stroke] = []
    for number, placement in enumerate(load.placements):
        region = placement.move.region(pieces[placement.piece])
        piece = placement.piece
        strokes.extend(
            Stroke(
                "score" if mark.operation == "score" else "mark",
                mark.path.vertices,
                closed=isinstance(mark.path, Outline),
                piece=piece,
                placement=number,
                part="mark",
            )
            for mark in region.marks
        )
        rings: tuple[tuple[Part, tuple[Outline, ...]], ...] = (
            ("hole", region.holes),
            ("outline", (region.outline,)),
        )
        strokes.extend(
            Stroke("cut", ring.vertices, closed=True, piece=piece, placement=number, part=part)
            for part, some in rings
            for ring in some
        )
    return sorted(strokes, key=lambda stroke: (stroke.placement or 0, rank(stroke)))


def rank(stroke: Stroke) -> int:
    """Return the rank of a stroke's kind in the order of work, starting with 0."""
    return _ORDER.get((stroke.operation, stroke.part), 3)


def along(stroke: Stroke, vertices: tuple[Vertex, ...], *, closed: bool) -> Stroke:
    """Return a stroke with another path."""
    # Half as slow as dataclasses.replace, and every stroke of a plan is made several times.
    return Stroke(
        stroke.operation,
        vertices,
        closed,
        stroke.station,
        stroke.angle_deg,
        stroke.piece,
        stroke.placement,
        stroke.part,
        stroke.pass_number,
    )
