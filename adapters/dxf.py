"""DXF: outlines as closed polylines with bulges, circles as circles; R2000 in mm by default.

Source:
    "DXF Reference" for AutoCAD 2000 (group codes of LWPOLYLINE, CIRCLE and the header variables
    $INSUNITS and $MEASUREMENT), as documented by the ezdxf project.
"""

from __future__ import annotations

import io
import math
import re
import threading
from collections.abc import Iterator, Mapping
from typing import Any

from adapters.axes import AXES_SETTINGS, bed_on_machine, negative_coordinates, on_machine
from adapters.colours import NUMBERS, numbers_of
from adapters.contract import CONTRACT, Kept, Setting, Written, resolved
from adapters.names import layer_of, xml_text
from adapters.numbers import number, require_finite
from adapters.split import is_circle
from geometry.model.outline import Outline, Vertex
from geometry.model.plan import CutPlan, Stroke
from geometry.model.points import Point
from geometry.model.segments import Arc, Bounds
from geometry.sentences import said
from geometry.units import MM_PER_INCH

#: $INSUNITS and $MEASUREMENT, which must agree, because some readers use one and some the other.
_HEADER = {"mm": (4, 1), "in": (1, 0)}
#: Group codes whose values are floating point numbers in entities and header.
_FLOAT_CODES = {*range(10, 60), *range(110, 150), *range(210, 240), *range(460, 470)}
#: Decimals of bulges, and of angles of arcs in degrees.
_DIGITS = {42: 10, 50: 8, 51: 8}
#: Longest title, in characters of the file: a text in R12 has at most 255.
_LONGEST = 240
_ASCII = 128
#: Held while ezdxf is loaded: see ``_new_document``.
LOADING = threading.Lock()


class DxfAdapter:
    """Writes DXF."""

    contract = CONTRACT
    name = "dxf"
    title = "DXF, R2000 or R12"
    media_type = "image/vnd.dxf"
    extension = "dxf"
    supports: frozenset[Kept] = frozenset({"arcs", "operations", "stations", "order"})
    resolution = 0.001
    settings: tuple[Setting, ...] = (
        Setting(
            "release",
            "choice",
            "R2000 states its units; R12 is for readers that support nothing newer",
            default="R2000",
            choices=("R2000", "R12"),
        ),
        Setting(
            "entities",
            "choice",
            "one polyline per outline, or exploded into separate lines and arcs",
            default="polylines",
            choices=("polylines", "exploded"),
        ),
        Setting("units", "choice", "drawing units", default="mm", choices=("mm", "in")),
        NUMBERS,
        *AXES_SETTINGS,
    )

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        """Return the plan as a DXF drawing.

        Raises:
            SettingError: for an unknown or out-of-range setting.
            CannotHoldError: for a coordinate that is not finite.
        """
        values = resolved(self.settings, settings, self.name)
        require_finite(plan)
        scale = 1.0 if values["units"] == "mm" else 1.0 / MM_PER_INCH
        drawn = on_machine(plan, values)
        document = _new_document(values["release"])
        space = document.modelspace()
        for layer, colour in numbers_of(plan, values["colours"]).items():
            document.layers.add(layer, color=colour)
        for stroke in drawn.strokes:
            layer = layer_of(stroke)
            _draw(space, stroke, layer, scale, values)
        _head(document, drawn, scale, values)
        text = io.StringIO()
        document.write(text)
        lines = _plain_numbers(text.getvalue(), 4 if values["units"] == "mm" else 6)
        notes = [f"units: {values['units']}"] if values["release"] == "R12" else []
        notes += [f"title: {_title(plan)}"] if plan.title else []
        lines = "".join(f"999\n{note}\n" for note in notes) + lines
        losses = (*_losses(plan, values), *negative_coordinates("DXF", drawn, values))
        return Written(lines.encode("ascii"), losses)


def _title(plan: CutPlan) -> str:
    """Return the title in ASCII, shortened if it is too long; other characters as code."""
    units = xml_text(plan.title).encode("utf-16-be")
    codes = [int.from_bytes(units[at : at + 2]) for at in range(0, len(units), 2)]
    title = ""
    for code in codes:
        text = chr(code) if code < _ASCII else f"\\U+{code:04X}"
        if len(title) + len(text) > _LONGEST:
            break
        title += text
    return title


def _head(document: Any, plan: CutPlan, scale: float, values: Mapping[str, Any]) -> None:  # noqa: ANN401
    if values["release"] != "R12":
        document.header["$INSUNITS"], document.header["$MEASUREMENT"] = _HEADER[values["units"]]
    bed = bed_on_machine(plan, values)
    boxes = [part.bounds() for stroke in plan.strokes for part in stroke.segments] or [bed]
    box = Bounds.around(boxes)
    ends = (bed.left, bed.bottom), (bed.right, bed.top)
    extents = [(x * scale, y * scale, 0.0) for x, y in (box[:2], box[2:])]
    document.header["$EXTMIN"], document.header["$EXTMAX"] = extents
    # Also on the layout: when ezdxf saves, it copies the layout's values to the header, but not
    # those at 0, 0.
    document.modelspace().reset_extents(*extents)
    document.modelspace().reset_limits(*((x * scale, y * scale) for x, y in ends))


def _draw(space: Any, stroke: Stroke, layer: str, scale: float, values: Mapping[str, Any]) -> None:  # noqa: ANN401
    attributes = {"layer": layer}
    if is_circle(stroke):
        centre, radius = _circle(stroke)
        place = (centre.x * scale, centre.y * scale)
        space.add_circle(place, radius * scale, dxfattribs=attributes)
    elif values["entities"] == "exploded":
        for part in stroke.segments:
            if isinstance(part, Arc):
                _draw_arc(space, part, scale, attributes)
            else:
                ends = [(point.x * scale, point.y * scale) for point in (part.start, part.end)]
                space.add_line(*ends, dxfattribs=attributes)
    else:
        rows = [(x * scale, y * scale, bulge) for x, y, bulge in _ending_straight(stroke)]
        add = space.add_polyline2d if values["release"] == "R12" else space.add_lwpolyline
        add(rows, format="xyb", close=stroke.closed, dxfattribs=attributes)


def _draw_arc(space: Any, part: Arc, scale: float, attributes: dict[str, str]) -> None:  # noqa: ANN401
    # The format has only counter-clockwise arcs.
    arc = part if part.bulge > 0.0 else part.reversed()
    centre = arc.centre
    first, last = (
        math.degrees(math.atan2(end.y - centre.y, end.x - centre.x)) for end in (arc.start, arc.end)
    )
    space.add_arc(
        (centre.x * scale, centre.y * scale), arc.radius * scale, first, last, dxfattribs=attributes
    )


def _new_document(release: str) -> Any:  # noqa: ANN401 - ezdxf's drawing
    """Return an empty drawing; the first call loads the library."""
    # Loaded here, so that only DXF files wait for it, and by one thread at a time: its modules
    # import each other, and two threads could see them half initialised.
    with LOADING:
        from ezdxf._options import options  # noqa: PLC0415
        from ezdxf.document import Drawing  # noqa: PLC0415

        # No dates and no random ids: the same plan gives the same bytes.
        options.write_fixed_meta_data_for_testing = True
    return Drawing.new(release)


def _circle(stroke: Stroke) -> tuple[Point, float]:
    a, b = stroke.vertices[0].point, stroke.vertices[1].point
    centre = Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)
    return centre, ((a.x - b.x) ** 2 + (a.y - b.y) ** 2) ** 0.5 / 2.0


def _ending_straight(stroke: Stroke) -> tuple[Vertex, ...]:
    """Return the vertices of a ring from such a start that a line closes it, if it has a line."""
    vertices = stroke.vertices
    if not stroke.closed or not vertices[-1].bulge:
        return vertices
    for index, vertex in enumerate(vertices):
        if not vertex.bulge:
            return Outline(vertices).started_at(index + 1).vertices
    return vertices


def _plain_numbers(text: str, digits: int) -> str:
    """Rewrite all floating point values without exponent or negative zero."""
    lines = text.splitlines()
    for at in range(0, len(lines) - 1, 2):
        code = int(lines[at])
        if code in _FLOAT_CODES and re.fullmatch(r"\s*[-+\d.eE]+\s*", lines[at + 1]):
            lines[at + 1] = number(float(lines[at + 1]), _DIGITS.get(code, digits), 1)
    return "\n".join(lines) + "\n"


def _losses(plan: CutPlan, values: Mapping[str, Any]) -> Iterator[str]:
    if len({stroke.angle_deg for stroke in plan.strokes} - {None}) > 1:
        yield said("DXF cannot stop the machine: each blade angle has its own layer instead.")
    elif any(0 < stop.before_stroke < len(plan.strokes) for stop in plan.stops):
        yield said("DXF cannot stop the machine: the run sheet says after which stroke to stop it.")
    if any(stroke.piece for stroke in plan.strokes):
        yield said("DXF files carry no piece names: see the load's picture.")
    if values["release"] == "R12":
        yield (
            said("DXF R12 does not state its units: import it in inches.")
            if values["units"] == "in"
            else said("DXF R12 does not state its units: import it in millimetres.")
        )
    if values["entities"] == "exploded":
        yield said("DXF exploded: lines and arcs are separate, outlines are not joined.")


ADAPTER = DxfAdapter()
