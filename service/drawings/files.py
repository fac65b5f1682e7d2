"""Files of drawings: their format, guessed from their beginning where it is not stated."""

from __future__ import annotations

import re

from service.drawings.drawing import MAX_BYTES, Drawing, DrawingError
from service.drawings.dxf import read_dxf
from service.drawings.gcode import read_gcode
from service.drawings.hpgl import read_hpgl
from service.drawings.plan import read_plan
from service.drawings.svg import read_svg
from service.requests.inspections import InspectionRequest

#: Instructions at which an HP-GL file may begin, with numbers or another instruction after them.
_HPGL = re.compile(
    rb"[;\s]*(?:IN|DF|SP|PU|PD|PA|PR|SC|IP|IW|RO|LT|VS|AS|FS|PS|PW|CO|DT|BP|NP|TR|VN|EA|ER|AA|CI)"
    rb"(?=[-+0-9;,\s\"]|[A-Z]{2}|$)",
    re.IGNORECASE,
)
_GCODE = re.compile(rb"\s*(?:N[0-9]+\s*)?(?:[GMTFS]\s*[0-9]|[XYZ]\s*[-+.0-9])", re.IGNORECASE)


def read_file(data: bytes, request: InspectionRequest) -> Drawing:
    """Return the drawing of a file.

    Raises:
        DrawingError: when it cannot be used.
    """
    units, tolerance = request.units, request.tolerance_mm
    if not data:
        raise DrawingError("The file is empty; send a drawing.")
    if len(data) > MAX_BYTES:
        raise DrawingError(f"A drawing has at most {MAX_BYTES} bytes.")
    kind = request.format or guessed(data)
    if kind == "svg":
        return read_svg(data, units=units, tolerance=tolerance)
    if kind == "dxf":
        return read_dxf(data, units=units, tolerance=tolerance)
    if kind == "hpgl":
        return read_hpgl(data, units=units, tolerance=tolerance)
    return read_gcode(data, units=units) if kind == "gcode" else read_plan(data, units=units)


def guessed(data: bytes) -> str:
    """Return the format of a file, guessed from its beginning.

    Raises:
        DrawingError: when it begins like none.
    """
    head = data[:400].lstrip(b"\xef\xbb\xbf \t\r\n")
    if head.startswith(b"<"):
        return "svg"
    if head.startswith(b"{"):
        return "plan"
    if head.startswith(b"\x1b") or _HPGL.match(head):
        return "hpgl"
    if head[:3].strip() in {b"0", b"999"} or b"SECTION" in head:
        return "dxf"
    if head.startswith((b"%", b"(", b";")) or _GCODE.match(head):
        return "gcode"
    raise DrawingError(
        "The beginning of the file is not that of SVG, DXF, HP-GL, G-code or a plan; "
        'state "format", and send it as text, not packed.'
    )
