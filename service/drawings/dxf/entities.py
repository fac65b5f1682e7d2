"""The entities of a DXF as lines and arcs in mm: one function for each kind.

Source:
    "DXF Reference" for AutoCAD 2000, as read by the ezdxf library; curves of higher degree use the
    library's construction tools.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from geometry.model.outline import Vertex
from geometry.model.points import Point
from geometry.shapes.curves import ellipse_arc, fitted
from geometry.shapes.splines import spline
from service.drawings.drawing import DrawingError, Path

_MAX_DEGREE = 10
#: Maximum control and fit points of a spline; fit points require solving equations.
_MAX_SPLINE_POINTS = 500
_FLAT = 1.0e-6
#: Flags of a vertex of a smoothed polyline: a point of its frame, which is not drawn.
_FRAME_POINT = 16


def read_entity(entity: Any, layer: str, name: str, scale: float, tolerance: float) -> Path:  # noqa: ANN401 - ezdxf's
    """Return an entity as a path.

    Args:
        entity: the entity.
        layer: the layer that it is drawn on.
        name: its handle, or the block that it is a part of.
        scale: mm per unit of the drawing.
        tolerance: chord tolerance of curves, mm.

    Raises:
        DrawingError: when it is of a kind that is not read, or not a line in the plane.
    """
    kind = f"{entity.dxftype()} (handle {entity.dxf.handle or 'of ' + name}, layer {layer[:40]})"
    reader = _READERS.get(entity.dxftype())
    if reader is None:
        raise DrawingError(
            f"The entity {kind} is not supported; draw with LINE, ARC, CIRCLE, LWPOLYLINE, "
            "POLYLINE, ELLIPSE, SPLINE and blocks of them."
        )
    try:
        vertices, closed = reader(entity, scale, tolerance)
    except DrawingError as error:
        raise DrawingError(f"The entity {kind} cannot be used: {error}") from None
    except (ValueError, ArithmeticError, LookupError, AttributeError, TypeError) as error:
        raise DrawingError(f"The entity {kind} cannot be used: {str(error)[:120]}") from None
    if len(vertices) < 2:  # noqa: PLR2004 - a point draws nothing
        raise DrawingError(f"The entity {kind} has fewer than two points.")
    if not all(math.isfinite(value) for vertex in vertices for value in vertex):
        raise DrawingError(f"The entity {kind} has a coordinate that is not a finite number.")
    # Plain floats, because the library returns numpy's.
    plain = tuple(Vertex(*map(float, vertex)) for vertex in vertices)
    return Path(plain, layer, name, closed=closed)


def _hand(entity: Any) -> float:  # noqa: ANN401 - ezdxf's
    """Return -1 for an entity that is seen from below, whose x axis points left, else 1."""
    extrusion = entity.dxf.extrusion
    if max(abs(extrusion.x), abs(extrusion.y)) > _FLAT * abs(extrusion.z):
        raise DrawingError("It does not lie in the plane of the drawing (its extrusion is tilted).")
    return -1.0 if extrusion.z < 0.0 else 1.0


def _seen(point: Any, scale: float) -> Point:  # noqa: ANN401 - ezdxf's vector
    """Return where a point is seen from above."""
    return Point(point.x * scale, point.y * scale)


def _flat(points: Iterable[Any], scale: float) -> list[Point]:  # ezdxf's vectors
    """Return points that lie in one plane of the drawing, at whatever height."""
    each = list(points)
    heights = [getattr(point, "z", 0.0) for point in each]
    if heights and max(heights) - min(heights) > _FLAT:
        raise DrawingError("It is not flat: its z coordinates differ.")
    return [_seen(point, scale) for point in each]


def _line(entity: Any, scale: float, _: float) -> tuple[list[Vertex], bool]:  # noqa: ANN401
    ends = _flat((entity.dxf.start, entity.dxf.end), scale)
    return [Vertex(*end) for end in ends], False


def _arc(entity: Any, scale: float, _: float) -> tuple[list[Vertex], bool]:  # noqa: ANN401
    ocs = entity.ocs()
    centre, radius = entity.dxf.center, entity.dxf.radius * scale
    first = math.radians(entity.dxf.start_angle)
    sweep = (math.radians(entity.dxf.end_angle) - first) % math.tau or math.tau
    # Seen from below, the same arc is clockwise.
    hand = _hand(entity)
    at = _seen(ocs.to_wcs(centre), scale)
    parts = 2 if sweep > math.pi else 1
    found = []
    for part in range(parts + 1):
        angle = first + sweep * part / parts
        bulge = hand * math.tan(sweep / parts / 4.0) if part < parts else 0.0
        x, y = at.x + hand * radius * math.cos(angle), at.y + radius * math.sin(angle)
        found.append(Vertex(x, y, bulge))
    return found, False


def _circle(entity: Any, scale: float, _: float) -> tuple[list[Vertex], bool]:  # noqa: ANN401
    _hand(entity)
    at = _seen(entity.ocs().to_wcs(entity.dxf.center), scale)
    radius = entity.dxf.radius * scale
    return [Vertex(at.x + radius, at.y, 1.0), Vertex(at.x - radius, at.y, 1.0)], True


def _polyline(entity: Any, scale: float, _: float) -> tuple[list[Vertex], bool]:  # noqa: ANN401
    if entity.dxftype() == "POLYLINE":
        if not (entity.is_2d_polyline or entity.is_3d_polyline):
            raise DrawingError("A mesh cannot be read.")
        drawn = [v for v in entity.vertices if not v.dxf.flags & _FRAME_POINT]
        if entity.is_3d_polyline:
            points = _flat((v.dxf.location for v in drawn), scale)
            return [Vertex(*point) for point in points], bool(entity.is_closed)
        rows = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in drawn]
        closed = bool(entity.is_closed)
    else:
        if entity.has_width:
            raise DrawingError("A polyline with a width cannot be read; draw its middle line.")
        rows = [(x, y, b) for x, y, b in entity.get_points("xyb")]
        closed = bool(entity.closed)
    hand = _hand(entity)
    vertices: list[Vertex] = []
    for index, (x, y, bulge) in enumerate(rows):
        start = Vertex(hand * x * scale, y * scale, hand * bulge)
        ends = rows[(index + 1) % len(rows)]
        end = Point(hand * ends[0] * scale, ends[1] * scale)
        vertices.extend(_halved(start, end) if abs(bulge) > 1.0 else [start])
    if not closed:
        vertices[-1] = vertices[-1]._replace(bulge=0.0)
    return vertices, closed


def _halved(start: Vertex, end: Point) -> list[Vertex]:
    """Split an arc of more than half a turn, the maximum for an outline's arcs."""
    dx, dy = end.x - start.x, end.y - start.y
    middle = (
        (start.x + end.x) / 2 + start.bulge * dy / 2,
        (start.y + end.y) / 2 - start.bulge * dx / 2,
    )
    half = math.tan(math.atan(start.bulge) / 2.0)
    return [Vertex(start.x, start.y, half), Vertex(*middle, half)]


def _ellipse(entity: Any, scale: float, tolerance: float) -> tuple[list[Vertex], bool]:  # noqa: ANN401
    hand = _hand(entity)
    centre = _seen(entity.dxf.center, scale)
    # From the centre: one that rises is tilted.
    major = complex(*_flat((entity.dxf.major_axis, Point(0.0, 0.0)), scale)[0])
    minor = entity.dxf.ratio * major * 1j * hand
    first = entity.dxf.start_param
    sweep = (entity.dxf.end_param - first) % math.tau or math.tau
    curve = ellipse_arc(centre, (major, minor), first, sweep)
    vertices = fitted(curve, tolerance=tolerance)
    whole = math.isclose(sweep, math.tau)
    return (vertices, True) if whole else ([*vertices, Vertex(*curve.point(1.0))], False)


def _spline(entity: Any, scale: float, tolerance: float) -> tuple[list[Vertex], bool]:  # noqa: ANN401
    if not 1 <= entity.dxf.degree <= _MAX_DEGREE:
        raise DrawingError(f"A SPLINE has a degree from 1 to {_MAX_DEGREE}.")
    if len(entity.control_points) + len(entity.fit_points) > _MAX_SPLINE_POINTS:
        raise DrawingError(f"A SPLINE has at most {_MAX_SPLINE_POINTS} points; split it.")
    tool = entity.construction_tool()
    controls = _flat(tool.control_points, scale)
    curve, sharp, spans = spline(
        tool.degree, list(tool.knots()), controls, list(tool.weights() or ())
    )
    vertices = fitted(curve, tolerance=tolerance, breaks=sharp, spans=spans)
    return [*vertices, Vertex(*curve.point(1.0))], False


_READERS = {
    "LINE": _line,
    "ARC": _arc,
    "CIRCLE": _circle,
    "LWPOLYLINE": _polyline,
    "POLYLINE": _polyline,
    "ELLIPSE": _ellipse,
    "SPLINE": _spline,
}
