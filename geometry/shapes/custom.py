"""Custom outlines, from points or path data."""

from __future__ import annotations

from collections.abc import Sequence

from geometry.errors import InvalidOutlineError, ShapeError
from geometry.model.outline import Outline, Vertex
from geometry.model.points import distance
from geometry.shapes.curves import TOLERANCE
from geometry.shapes.paths import subpaths, vertices_of
from geometry.tolerance import SHORTEST_EDGE
from geometry.validate import MAX_SEGMENTS, require_simple


def from_points(rows: Sequence[Sequence[float]]) -> Outline:
    """Return the outline through points ``(x, y)`` or ``(x, y, bulge)``.

    Units:
        mm, y up; bulge = tan(sweep / 4), positive counter-clockwise.

    Raises:
        InvalidOutlineError, NonFiniteError, GeometryFaults: ``where`` starts with
            ``("points", index)``.
    """
    if len(rows) > MAX_SEGMENTS:
        detail = f"An outline has at most {MAX_SEGMENTS} points."
        raise InvalidOutlineError(detail, where=("points",))
    return closing_with_line(require_simple(Outline.of(rows)))


def from_path(text: str, *, scale: float, tolerance: float = TOLERANCE) -> Outline:
    """Return the outline of SVG path data: one closed subpath of lines, arcs and curves.

    Units:
        ``scale`` mm per path unit; y points down in path data and is flipped, so that the outline
        looks as in a picture.

    Raises:
        ShapeError: when the data cannot be read, has several subpaths or is not closed.
        InvalidOutlineError, NonFiniteError, GeometryFaults: as :func:`from_points`.

    Tolerance:
        Circles are exact; other curves deviate by at most ``tolerance`` mm.
    """
    runs = [run for run in subpaths(text) if run.steps]
    if len(runs) != 1 or not runs[0].closed:
        detail = "Path data must be one closed subpath: M ... Z."
        raise ShapeError(detail, where=("path",))
    vertices = vertices_of(runs[0], (scale, 0.0, 0.0, -scale, 0.0, 0.0), tolerance=tolerance)
    return closing_with_line(require_simple(Outline(closed_up(vertices))))


def closed_up(vertices: Sequence[Vertex]) -> tuple[Vertex, ...]:
    """Return the vertices of a closed path, without repeated points or a repeated first one.

    Points closer than the shortest edge are equal, because path data has few digits.
    """
    kept: list[Vertex] = []
    for vertex in vertices:
        if kept and distance(kept[-1].point, vertex.point) < SHORTEST_EDGE:
            kept[-1] = kept[-1]._replace(bulge=vertex.bulge)
        else:
            kept.append(vertex)
    while len(kept) > 1 and distance(kept[0].point, kept[-1].point) < SHORTEST_EDGE:
        kept.pop()
    return tuple(kept)


def closing_with_line(outline: Outline) -> Outline:
    """Return the ring rotated so that it closes with a line, if it has one.

    Some readers of cut files lose the bulge of the closing segment.
    """
    count = len(outline.vertices)
    for index in range(count):
        if not outline.vertices[index - 1].bulge:
            return outline if index == 0 else outline.started_at(index)
    return outline
