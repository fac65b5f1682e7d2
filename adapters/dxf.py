"""DXF R2000 in millimetres: outlines as closed polylines with bulges, circles as circles.

Source:
    "DXF Reference" for AutoCAD 2000 (group codes of LWPOLYLINE, CIRCLE and the header variables
    $INSUNITS and $MEASUREMENT), as documented by the ezdxf project.
"""

from __future__ import annotations

import io
import re
import threading
from collections.abc import Mapping
from typing import Any

from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.names import layer_of
from adapters.numbers import number, require_finite
from adapters.split import is_circle
from geometry.model.outline import Outline, Vertex
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point

_INSUNITS_MM = 4
#: Group codes whose values are floating point numbers in entities and header.
_FLOAT_CODES = {*range(10, 60), *range(110, 150), *range(210, 240), *range(460, 470)}
_BULGE_CODE = 42
#: Held while ezdxf is loaded: see ``_new_document``.
LOADING = threading.Lock()


class DxfAdapter:
    """Writes DXF."""

    contract = CONTRACT
    name = "dxf"
    title = "DXF R2000, mm"
    media_type = "image/vnd.dxf"
    extension = "dxf"
    keeps: frozenset[Kept] = frozenset({"arcs", "operations", "stations", "order"})
    resolution = 0.001
    settings: tuple[Setting, ...] = ()

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as a DXF drawing.

        Raises:
            SettingError: for a setting it does not have.
            CannotHoldError: for a coordinate that is not finite.
        """
        resolved(self.settings, settings, self.name)
        require_finite(plan)
        document = _new_document()
        document.header["$INSUNITS"] = _INSUNITS_MM
        document.header["$MEASUREMENT"] = 1
        document.header["$EXTMIN"] = (0.0, 0.0, 0.0)
        document.header["$EXTMAX"] = (plan.bed_width, plan.bed_height, 0.0)
        space = document.modelspace()
        for stroke in plan.strokes:
            layer = layer_of(stroke)
            if layer not in document.layers:
                document.layers.add(layer, color=7)
            if is_circle(stroke):
                centre, radius = _circle(stroke)
                space.add_circle(centre, radius, dxfattribs={"layer": layer})
            else:
                rows = [tuple(vertex) for vertex in _ending_straight(stroke)]
                space.add_lwpolyline(
                    rows, format="xyb", close=stroke.closed, dxfattribs={"layer": layer}
                )
        text = io.StringIO()
        document.write(text)
        return Written(_plain_numbers(text.getvalue()).encode("ascii"), tuple(_losses(plan)))


def _new_document() -> Any:  # noqa: ANN401 - ezdxf's drawing
    """Return an empty drawing; the library is loaded by the first caller."""
    # Loaded here, for only those who ask for DXF should wait for it, and by one thread at a
    # time: its modules import each other, and two threads would see them half made.
    with LOADING:
        from ezdxf._options import options  # noqa: PLC0415
        from ezdxf.filemanagement import new  # noqa: PLC0415

        # No dates and no chance identities: the same plan gives the same bytes.
        options.write_fixed_meta_data_for_testing = True
    return new("R2000", setup=False)


def _circle(stroke: Stroke) -> tuple[Point, float]:
    a, b = stroke.vertices[0].point, stroke.vertices[1].point
    centre = Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)
    return centre, ((a.x - b.x) ** 2 + (a.y - b.y) ** 2) ** 0.5 / 2.0


def _ending_straight(stroke: Stroke) -> tuple[Vertex, ...]:
    """Return the vertices, a closed ring started so that a line closes it where it has one."""
    vertices = stroke.vertices
    if not stroke.closed or not vertices[-1].bulge:
        return vertices
    for index, vertex in enumerate(vertices):
        if not vertex.bulge:
            return Outline(vertices).started_at(index + 1).vertices
    return vertices


def _plain_numbers(text: str) -> str:
    """Rewrite every floating point value without exponent or negative zero."""
    lines = text.splitlines()
    for at in range(0, len(lines) - 1, 2):
        code = int(lines[at])
        if code in _FLOAT_CODES and re.fullmatch(r"\s*[-+\d.eE]+\s*", lines[at + 1]):
            digits = 10 if code == _BULGE_CODE else 4
            lines[at + 1] = number(float(lines[at + 1]), digits, 1)
    return "\n".join(lines) + "\n"


def _losses(plan: CutPlan) -> tuple[str, ...]:
    if len(plan.stops) > 1:
        return ("dxf cannot stop the machine: each blade angle has a layer of its own instead.",)
    return ()


ADAPTER = DxfAdapter()
