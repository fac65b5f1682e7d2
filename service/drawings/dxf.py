"""DXF drawings: lines, arcs, circles, polylines, ellipses and splines of model space.

Source:
    "DXF Reference" for AutoCAD 2000, as read by the ezdxf library; curves of higher degree use the
    library's construction tools.
"""

from __future__ import annotations

import io
import math
import re
from typing import Any

from adapters.dxf import LOADING
from geometry.model.outline import Vertex
from geometry.model.points import Point
from geometry.shapes.curves import ellipse_arc, fitted
from geometry.shapes.splines import spline
from service.drawings.drawing import (
    MAX_BYTES,
    MAX_ELEMENTS,
    MAX_SEGMENTS,
    UNITS_MM,
    Drawing,
    DrawingError,
    Path,
    counted,
    joined,
)

_UNIT_MM = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0}
_WORD_MM = {"ft": 304.8, **UNITS_MM}
#: Not geometry of a piece: skipped and listed.
_SKIPPED = {"TEXT", "MTEXT", "ATTDEF", "IMAGE", "WIPEOUT", "POINT", "VIEWPORT", "LEADER"}
_SKIPPED |= {"DIMENSION", "MULTILEADER", "TOLERANCE", "MESSAGE"}
_INSUNITS = re.compile(r"\$INSUNITS\s*\n\s*70\s*\n\s*(\d+)")
#: The start of a record: group code 0 and its name, each on its own line.
_RECORD = re.compile(r"^[ \t]*0[ \t]*\r?\n[ \t]*([A-Z][A-Z0-9_]*)[ \t]*\r?$", re.MULTILINE)
#: Maximum records that draw nothing (objects, thumbnails).
_OTHER_RECORDS = 2_000
_MAX_DEGREE = 10
#: Maximum control and fit points of a spline; fit points require solving equations.
_MAX_SPLINE_POINTS = 500
_FLAT = 1.0e-6


def read_dxf(data: bytes, *, units: str | None, tolerance: float) -> Drawing:
    """Return a DXF drawing's paths.

    Args:
        data: the file.
        units: units of its numbers; its own ``$INSUNITS`` when ``None``.
        tolerance: chord tolerance of curves, mm.

    Raises:
        DrawingError: when it cannot be read, is too large, states no unit, or holds unsupported
            entities.
    """
    if len(data) > MAX_BYTES:
        raise DrawingError(f"A drawing has at most {MAX_BYTES} bytes.")
    text = _text(data)
    scale = _scale(text, units)
    entities, hidden = _entities(text)
    if len(entities) > MAX_ELEMENTS:
        raise DrawingError(f"A drawing has at most {MAX_ELEMENTS} entities.")
    points = sum(
        len(entity.control_points) + len(entity.fit_points)
        for entity in entities
        if entity.dxftype() == "SPLINE"
    )
    if points > MAX_SEGMENTS:
        raise DrawingError(f"A drawing's splines have at most {MAX_SEGMENTS} points.")
    paths: list[Path] = []
    vertices = 0
    skipped = [kind for each in entities if (kind := each.dxftype()) in _SKIPPED] + hidden
    for entity in entities:
        if entity.dxftype() in _SKIPPED:
            continue
        paths.append(_path(entity, scale, tolerance))
        vertices += len(paths[-1].vertices)
        if vertices > 2 * MAX_SEGMENTS:
            raise DrawingError(f"The drawing needs more than {2 * MAX_SEGMENTS} lines and arcs.")
    return Drawing("dxf", joined(paths), skipped=counted(skipped))


def _text(data: bytes) -> str:
    if data[:22] == b"AutoCAD Binary DXF\r\n\x1a\x00" or b"\x00" in data[:4096]:
        raise DrawingError("This is a binary DXF or not a DXF; save the drawing as text DXF.")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError:
        text = data.decode("cp1252", "replace")
    # ezdxf reads a text whose lines end otherwise as an empty drawing.
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _scale(text: str, units: str | None) -> float:
    if units is not None:
        return _WORD_MM[units]
    # From the header's text, because the library's default without a header is metres.
    found = _INSUNITS.search(text)
    scale = _UNIT_MM.get(int(found[1])) if found is not None else None
    if scale is None:
        raise DrawingError(
            'The drawing states no unit that is known ($INSUNITS 1, 2, 4, 5 or 6): state "units".'
        )
    return scale


def _entities(text: str) -> tuple[list[Any], list[str]]:
    """Return the visible entities, and a word for each that is not: what is hidden is not meant."""
    with LOADING:
        from ezdxf.filemanagement import read  # noqa: PLC0415
    try:
        document = read(io.StringIO(text))
        reasons = [(each, _hidden(document, each)) for each in document.modelspace()]
    except MemoryError:
        raise
    except Exception as bad:  # noqa: BLE001 - whatever the parser stumbles over is in the file
        raise DrawingError(f"This DXF cannot be read: {str(bad)[:120]}") from None
    visible = [each for each, reason in reasons if not reason]
    return visible, [f"{each.dxftype()} ({reason})" for each, reason in reasons if reason]


def _hidden(document: Any, entity: Any) -> str:  # noqa: ANN401 - ezdxf's
    """Return why an entity is not shown, or an empty text."""
    if entity.dxf.get("invisible", 0):
        return "invisible"
    name = entity.dxf.layer
    layer = document.layers.get(name) if name in document.layers else None
    if layer is not None and (layer.is_off() or layer.is_frozen()):
        return f"layer {str(name)[:40]} is {'frozen' if layer.is_frozen() else 'off'}"
    return ""


def _path(entity: Any, scale: float, tolerance: float) -> Path:  # noqa: ANN401 - ezdxf's
    kind = f"{entity.dxftype()} (handle {entity.dxf.handle}, layer {str(entity.dxf.layer)[:40]})"
    reader = _READERS.get(entity.dxftype())
    if reader is None:
        raise DrawingError(
            f"The entity {kind} is not supported; draw with LINE, ARC, CIRCLE, LWPOLYLINE, "
            "POLYLINE, ELLIPSE and SPLINE (explode blocks)."
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
    return Path(plain, str(entity.dxf.layer), str(entity.dxf.handle or ""), closed=closed)


def _flat(point: Any, scale: float) -> Point:  # noqa: ANN401 - ezdxf's vector
    if abs(getattr(point, "z", 0.0)) > _FLAT:
        raise DrawingError("The drawing is not flat: a z coordinate is not zero.")
    return Point(point.x * scale, point.y * scale)


def _line(entity: Any, scale: float, _: float) -> tuple[list[Vertex], bool]:  # noqa: ANN401
    ends = _flat(entity.dxf.start, scale), _flat(entity.dxf.end, scale)
    return [Vertex(*end) for end in ends], False


def _arc(entity: Any, scale: float, _: float) -> tuple[list[Vertex], bool]:  # noqa: ANN401
    ocs = entity.ocs()
    centre, radius = entity.dxf.center, entity.dxf.radius * scale
    first = math.radians(entity.dxf.start_angle)
    sweep = (math.radians(entity.dxf.end_angle) - first) % math.tau or math.tau
    # With a negative extrusion, seen from below, the same arc is clockwise.
    hand = -1.0 if entity.dxf.extrusion.z < 0.0 else 1.0
    at = _flat(ocs.to_wcs(centre), scale)
    parts = 2 if sweep > math.pi else 1
    found = []
    for part in range(parts + 1):
        angle = first + sweep * part / parts
        bulge = hand * math.tan(sweep / parts / 4.0) if part < parts else 0.0
        x, y = at.x + hand * radius * math.cos(angle), at.y + radius * math.sin(angle)
        found.append(Vertex(x, y, bulge))
    return found, False


def _circle(entity: Any, scale: float, _: float) -> tuple[list[Vertex], bool]:  # noqa: ANN401
    at = _flat(entity.ocs().to_wcs(entity.dxf.center), scale)
    radius = entity.dxf.radius * scale
    return [Vertex(at.x + radius, at.y, 1.0), Vertex(at.x - radius, at.y, 1.0)], True


def _polyline(entity: Any, scale: float, _: float) -> tuple[list[Vertex], bool]:  # noqa: ANN401
    if entity.dxftype() == "POLYLINE":
        if not entity.is_2d_polyline:
            raise DrawingError("A POLYLINE that is not flat cannot be read.")
        rows = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in entity.vertices]
        closed = bool(entity.is_closed)
    else:
        if entity.has_width:
            raise DrawingError("A polyline with a width cannot be read; draw its middle line.")
        rows = [(x, y, b) for x, y, b in entity.get_points("xyb")]
        closed = bool(entity.closed)
    hand = -1.0 if entity.dxf.extrusion.z < 0.0 else 1.0
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
    centre = _flat(entity.dxf.center, scale)
    major = complex(*_flat(entity.dxf.major_axis, scale))
    minor = entity.dxf.ratio * major * (1j if entity.dxf.extrusion.z >= 0.0 else -1j)
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
    controls = [_flat(control, scale) for control in tool.control_points]
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
