"""DXF by ezdxf and GDAL, HP-GL by ezdxf's plotter backend, and G-code by hand."""

from __future__ import annotations

import functools
import io
import math
import tempfile
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.foreign.parts import SETS, Circle, Drawing, Part, moved

_BLOCK = {"xscale": 0.5, "yscale": 0.5, "rotation": 30}


def by_ezdxf(parts: tuple[Part, ...], manner: str) -> bytes:
    """Return polylines and circles, in one of several releases, units and manners."""
    from ezdxf.filemanagement import new

    release = {"R12": "R12", "inch": "R2000", "lines": "R2010", "block": "R2018"}.get(
        manner, "R2007"
    )
    document = new(release, setup=False)
    unit = {"inch": (1, 25.4), "centimetre": (5, 10.0)}.get(manner, (4, 1.0))
    document.header["$INSUNITS"] = unit[0]
    target: Any = document.modelspace()
    if manner == "block":
        target = document.blocks.new("PIECES", base_point=(10, 5))
        at = {"insert": (60, 20)}
        document.modelspace().add_blockref("PIECES", at["insert"], dxfattribs=_BLOCK)
    for part in parts:
        add_to(target, part, 1.0 / unit[1], manner)
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def add_to(target: Any, part: Part, scale: float, manner: str) -> None:
    """Draw a part."""
    if isinstance(part, Circle):
        centre, radius = (part.x * scale, part.y * scale), part.radius * scale
        if manner == "lines":
            # In no order, in both directions.
            target.add_arc(centre, radius, 90, 225)
            target.add_arc(centre, radius, 0, 90)
            target.add_arc(centre, radius, 225, 360)
        elif manner == "centimetre":
            rows = [(centre[0] + radius, centre[1], 1), (centre[0] - radius, centre[1], 1)]
            target.add_lwpolyline(rows, format="xyb", close=True)
        else:
            target.add_circle(centre, radius)
        return
    corners = [(x * scale, y * scale) for x, y in part.corners]
    if manner == "lines":
        for k in range(0, len(corners), 2):
            target.add_line(corners[k], corners[k - 1])
        for k in range(1, len(corners), 2):
            target.add_line(corners[k - 1], corners[k])
    elif manner == "R12":
        target.add_polyline2d(corners, close=True)
    elif manner == "below":
        # Seen from below, x counts to the left.
        mirrored = [(-x, y) for x, y in corners]
        target.add_lwpolyline(mirrored, close=True, dxfattribs={"extrusion": (0, 0, -1)})
    else:
        target.add_lwpolyline(corners, close=True)


def by_gdal(parts: tuple[Part, ...], *, states_units: bool) -> bytes:
    """Return rings as line strings; circles have 720 chords."""
    import pyogrio
    import shapely

    rings = []
    for part in parts:
        if isinstance(part, Circle):
            turns = [math.tau * k / 720 for k in range(721)]
            r = part.radius
            points = [(part.x + r * math.cos(t), part.y + r * math.sin(t)) for t in turns]
        else:
            points = [*part.corners, part.corners[0]]
        rings.append(shapely.to_wkb(shapely.LineString(points)))
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "a.dxf"
        options = {"INSUNITS": "MILLIMETERS" if states_units else "UNITLESS"}
        with warnings.catch_warnings():
            # It warns of a missing coordinate system, which a drawing of pieces does not have.
            warnings.simplefilter("ignore")
            pyogrio.raw.write(
            file, geometry=rings, field_data=[], fields=[], geometry_type="LineString", crs=None,
            driver="DXF", encoding="utf-8", **options,
        )  # fmt: skip
        return file.read_bytes()


def by_plotter(parts: tuple[Part, ...]) -> bytes:
    """Return HP-GL by ezdxf's plotter backend, which moves the drawing to its page's middle."""
    from ezdxf.addons.drawing import hpgl2, layout
    from ezdxf.addons.drawing.frontend import Frontend
    from ezdxf.addons.drawing.properties import RenderContext
    from ezdxf.filemanagement import new

    document = new("R2010")
    document.header["$INSUNITS"] = 4
    for part in parts:
        add_to(document.modelspace(), part, 1.0, "plain")
    backend = hpgl2.PlotterBackend()
    Frontend(RenderContext(document), backend).draw_layout(document.modelspace())
    page = layout.Page(0, 0, layout.Units.mm, layout.Margins.all(0))
    return bytes(backend.high_quality(page, layout.Settings(fit_page=False)))


def by_hand(parts: tuple[Part, ...], *, is_inch: bool) -> bytes:
    """Return G-code: absolute mm with centres, or incremental inches with radii."""
    scale, mode = (1 / 25.4, "G20 G91") if is_inch else (1.0, "G21 G90")
    text, at = [f"%\n({'incremental' if is_inch else 'absolute'})\n{mode} G17\nM5"], (0.0, 0.0)

    def to(x: float, y: float) -> str:
        nonlocal at
        base = at if is_inch else (0.0, 0.0)
        at = (x, y)
        return f"X{(x - base[0]) * scale:.6f} Y{(y - base[1]) * scale:.6f}"

    for part in parts:
        if isinstance(part, Circle):
            x, y, r = part.x, part.y, part.radius
            text += [f"G0 {to(x + r, y)}", "M3 S500"]
            for end in ((x, y + r), (x - r, y), (x, y - r), (x + r, y)):
                centre = f"I{x - at[0]:.6f} J{y - at[1]:.6f}"
                text.append(f"G3 {to(*end)} " + (f"R{r * scale:.6f}" if is_inch else centre))
        else:
            text += [f"G0 {to(*part.corners[0])}", "M3 S500"]
            text += [f"G1 {to(*corner)}" for corner in (*part.corners[1:], part.corners[0])]
        text.append("M5")
    return "\n".join([*text, "M2", "%"]).encode()


def drawings() -> Iterator[tuple[str, Drawing]]:
    """Yield all drawings with their names."""
    for name, parts in SETS.items():
        for manner in ("R12", "inch", "lines", "block", "centimetre", "below"):
            units = "mm" if manner == "R12" else None
            drawn = parts
            if manner == "block":
                drawn = moved(moved(parts, 0, 1, (-10, -5)), 30, 0.5, (60, 20))
            make = functools.partial(by_ezdxf, parts, manner)
            yield f"ezdxf {name} {manner}", Drawing(make, drawn, units=units)
        for states in (True, False):
            make = functools.partial(by_gdal, parts, states_units=states)
            yield f"gdal {name} {states}", Drawing(make, parts, units=None if states else "mm")
        make = functools.partial(by_plotter, parts)
        yield f"plotter {name}", Drawing(make, parts, is_floating=True)
        for is_inch in (False, True):
            make = functools.partial(by_hand, parts, is_inch=is_inch)
            yield f"gcode {name} {is_inch}", Drawing(make, parts)
