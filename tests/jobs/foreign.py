"""Files read by libraries that are not ours, as lines in mm from the bed's lower left corner."""

from __future__ import annotations

import io
import itertools
import json
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import ezdxf.path
import numpy as np
import pypdf
import shapely
import svgelements
from defusedxml.ElementTree import fromstring
from ezdxf import filemanagement
from ezdxf.addons.hpgl2 import api as hpgl2
from ezdxf.entities.lwpolyline import LWPolyline
from gcodeparser import parse_gcode_lines
from pypdf.generic import ContentStream

Point = tuple[float, float]
#: Two ends nearer than this, mm, are one place: HP-GL has 40 steps to the millimetre.
_SAME = 0.03
#: Chords of arcs stand off by no more than this, mm.
_CHORD = 0.001


@dataclass(frozen=True)
class Line:
    """One line that the tool draws."""

    points: tuple[Point, ...]
    name: str = ""
    layer: str = ""
    colour: str = ""

    @property
    def closed(self) -> bool:
        return len(self.points) > 3 and math.dist(self.points[0], self.points[-1]) < _SAME

    @property
    def length(self) -> float:
        return sum(math.dist(a, b) for a, b in itertools.pairwise(self.points))

    @property
    def piece(self) -> str:
        """The outline that it belongs to: names like A-3.2 are parts of A-3."""
        return self.name.partition(".")[0]


def polygons(lines: Iterable[Line]) -> list[shapely.Polygon]:
    """Return the areas inside the closed lines."""
    return [shapely.Polygon(line.points) for line in lines if line.closed]


def cells(lines: Iterable[Line]) -> list[shapely.Polygon]:
    """Return the area that each line goes round, a way in from the waste left out."""
    found = []
    for line in lines:
        noded = shapely.node(shapely.set_precision(shapely.LineString(line.points), 1e-4))
        found.extend(sorted(shapely.polygonize([noded]).geoms, key=lambda each: -each.area)[:1])
    return found


def hulls(lines: Iterable[Line]) -> dict[str, shapely.Polygon]:
    """Return the convex hull of each named outline, whatever parts it is drawn in."""
    found: dict[str, list[Point]] = {}
    for line in lines:
        found.setdefault(line.piece, []).extend(line.points)
    return {name: shapely.convex_hull(shapely.MultiPoint(points)) for name, points in found.items()}


def drawn(lines: Iterable[Line]) -> shapely.MultiLineString:
    """Return all lines as one geometry."""
    return shapely.MultiLineString([line.points for line in lines])


def nearest(shapes: Sequence[shapely.Geometry]) -> float:
    """Return the least distance between any two of the shapes; below zero where they overlap."""
    least = math.inf
    tree = shapely.STRtree(list(shapes))
    for index, shape in enumerate(shapes):
        near = tree.query(shape.buffer(10.0))
        for other in (int(each) for each in near if each > index):
            overlap = shape.intersection(shapes[other]).area
            least = min(
                least, -math.sqrt(overlap) if overlap > 1e-4 else shape.distance(shapes[other])
            )
    return least


def svg(data: bytes) -> list[Line]:
    """Return what svgelements reads; y is turned up."""
    drawing = svgelements.SVG.parse(io.BytesIO(data), reify=True)
    text = data.decode()
    found_size = re.search(r'<svg[^>]* width="([\d.]+)mm" height="([\d.]+)mm"', text)
    assert found_size
    width, height = float(found_size[1]), float(found_size[2])
    scale = width / float(drawing.width)
    found = []
    for path in (each for each in drawing.elements() if isinstance(each, svgelements.Path)):
        points: list[Point] = []
        for part in path:
            steps = 1
            if isinstance(part, svgelements.Arc):
                steps = _steps(part.rx * scale, abs(part.sweep))
            if isinstance(part, svgelements.Move):
                places = [part.end]
            else:
                places = [part.point(k / steps) for k in range(1, steps + 1)]
            points.extend((p.x * scale, height - p.y * scale) for p in places)
        stroke = "" if path.stroke.value is None else path.stroke.hexrgb
        found.append(Line(tuple(points), str(path.id or ""), colour=stroke))
    return found


def svg_layers(data: bytes) -> dict[str, str]:
    """Return the colour of every group of an SVG by its id, by a plain XML parser."""
    root = fromstring(data)
    return {
        str(each.get("id")): str(each.get("stroke")).lower()
        for each in root.iter("{http://www.w3.org/2000/svg}g")
        if each.get("id")
    }


def _steps(radius: float, sweep: float) -> int:
    if radius <= _CHORD:
        return 4
    return max(2, math.ceil(sweep / (2.0 * math.acos(1.0 - _CHORD / radius))))


def dxf(data: bytes) -> list[Line]:
    """Return what ezdxf reads, in mm whatever the drawing's unit."""
    document = filemanagement.read(io.StringIO(data.decode("utf-8")))
    scale = {1: 25.4, 4: 1.0, 0: 1.0}[document.header.get("$INSUNITS", 4)]
    found = []
    for entity in document.modelspace():
        if entity.dxftype() in {"TEXT", "MTEXT", "POINT"}:
            continue
        if isinstance(entity, LWPolyline):
            ring = [(x, y, bulge) for x, y, bulge in entity.get_points("xyb")]
            points = _unbent(ring + ring[:1] if entity.closed else ring)
        else:
            points = [(p.x, p.y) for p in ezdxf.path.make_path(entity).flattening(_CHORD / scale)]
        layer = document.layers.get(entity.dxf.layer)
        colour = entity.dxf.color if entity.dxf.color != 256 else layer.color
        places = tuple((x * scale, y * scale) for x, y in points)
        found.append(Line(places, layer=entity.dxf.layer, colour=str(colour)))
    return found


def _unbent(ring: Sequence[tuple[float, float, float]]) -> list[Point]:
    """Return the points of lines and arcs, bulge = tan(sweep / 4) as DXF has it."""
    points: list[Point] = [ring[0][:2]]
    for (x, y, bulge), (u, v, *_) in itertools.pairwise(ring):
        if abs(bulge) < 1e-12:
            points.append((u, v))
            continue
        # Centre of the arc: half the chord times (1 - b^2) / 2b to the left of its middle.
        off = (1.0 - bulge * bulge) / (4.0 * bulge)
        centre = ((x + u) / 2.0 - (v - y) * off, (y + v) / 2.0 + (u - x) * off)
        points.extend(_arc((x, y), (u, v), centre, bulge > 0.0))
    return points


def hpgl(data: bytes) -> list[Line]:
    """Return what ezdxf's HP-GL interpreter draws; strokes that meet are one line."""
    player = hpgl2.record_plotter_output(b"\x1b%1B" + data, hpgl2.MergeControl.NONE)
    joined: list[list[Point]] = []
    for _, _, path in player.recordings():
        points = [(p.x / 40.0, p.y / 40.0) for p in path.vertices()]
        for a, b in itertools.pairwise(points):
            closed = (
                joined and len(joined[-1]) > 3 and math.dist(joined[-1][0], joined[-1][-1]) < 1e-6
            )
            if joined and not closed and math.dist(joined[-1][-1], a) < 1e-6:
                joined[-1].append(b)
            else:
                joined.append([a, b])
    return [Line(tuple(points)) for points in joined]


def gcode(data: bytes) -> list[Line]:
    """Return the lines burned, or cut below Z0: words by gcodeparser, motion by G1 to G3."""
    lines: list[list[Point]] = []
    at, is_on, scale = (0.0, 0.0), False, 1.0
    for block in parse_gcode_lines(data.decode("ascii")):
        word = "".join(map(str, block.command))
        if word == "G20":
            scale = 25.4
        if word in {"M3", "M4"}:
            is_on = True
            lines.append([at])
        elif word == "M5":
            is_on = False
        elif word in {"G0", "G1"} and "Z" in block.params:
            is_on = block.params["Z"] < 0.0
            if is_on:
                lines.append([at])
        elif word in {"G0", "G1", "G2", "G3"}:
            end = (
                scale * block.params["X"] if "X" in block.params else at[0],
                scale * block.params["Y"] if "Y" in block.params else at[1],
            )
            if is_on and word in {"G2", "G3"}:
                centre = (at[0] + scale * block.params["I"], at[1] + scale * block.params["J"])
                lines[-1].extend(_arc(at, end, centre, word == "G3"))
            elif is_on and end != at:
                lines[-1].append(end)
            at = end
    return [Line(tuple(points)) for points in lines if len(points) > 1]


def gcode_halts(data: bytes) -> int:
    """Return how often a program stops for the operator (M0)."""
    blocks = parse_gcode_lines(data.decode("ascii"))
    return sum(1 for block in blocks if "".join(map(str, block.command)) == "M0")


def _arc(start: Point, end: Point, centre: Point, ccw: bool) -> list[Point]:
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    sweep = (last - first) % math.tau or math.tau
    if not ccw:
        sweep -= math.tau
    radius = math.dist(start, centre)
    steps = _steps(radius, abs(sweep))
    points = [
        (
            centre[0] + radius * math.cos(first + sweep * k / steps),
            centre[1] + radius * math.sin(first + sweep * k / steps),
        )
        for k in range(1, steps + 1)
    ]
    # The stated end is where the tool goes: the centre's last digit is rounded.
    return [*points[:-1], end]


def plan(data: bytes) -> list[Line]:
    """Return a neutral cut plan's strokes, as JSON has them."""
    found = []
    for stroke in json.loads(data)["strokes"]:
        ring = [tuple(each) for each in stroke["points"]]
        if stroke["closed"]:
            ring.append(ring[0])
        points = _unbent(ring)
        name = f"{stroke['piece']}-{stroke['placement']}"
        found.append(Line(tuple(points), name, stroke["operation"]))
    return found


def pdf_pages_mm(data: bytes) -> list[tuple[float, float]]:
    """Return the pages' sizes, mm."""
    boxes = [page.mediabox for page in pypdf.PdfReader(io.BytesIO(data)).pages]
    return [(float(b.width) * 25.4 / 72, float(b.height) * 25.4 / 72) for b in boxes]


def pdf_text(data: bytes) -> str:
    return " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(data)).pages)


def pdf(data: bytes, page: int) -> list[Line]:
    """Return the paths of a page in mm of the paper: operators by pypdf, cubics cut in sixty."""
    reader = pypdf.PdfReader(io.BytesIO(data))
    contents = reader.pages[page].get_contents()
    assert contents is not None
    matrix, kept = np.eye(3), []
    found: list[Line] = []
    paths: list[list[Point]] = []

    def place(x: Any, y: Any) -> Point:
        u, v, _ = np.array([float(x), float(y), 1.0]) @ matrix * 25.4 / 72
        return float(u), float(v)

    for values, operator in ContentStream(contents, reader).operations:
        if operator == b"q":
            kept.append(matrix)
        elif operator == b"Q":
            matrix = kept.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = map(float, values)
            matrix = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ matrix
        elif operator == b"m":
            paths.append([place(*values)])
        elif operator == b"l":
            paths[-1].append(place(*values))
        elif operator == b"c":
            ends = [place(*values[i : i + 2]) for i in (0, 2, 4)]
            paths[-1].extend(_cubic(paths[-1][-1], *ends))
        elif operator == b"h":
            paths[-1].append(paths[-1][0])
        elif operator in {b"S", b"s", b"B", b"b", b"f", b"n"}:
            if operator in {b"S", b"s"}:
                found.extend(Line(tuple(each)) for each in paths)
            paths = []
    return found


def _cubic(a: Point, b: Point, c: Point, d: Point) -> list[Point]:
    found = []
    for k in range(1, 61):
        t = k / 60
        w = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3)
        found.append(
            (
                w[0] * a[0] + w[1] * b[0] + w[2] * c[0] + w[3] * d[0],
                w[0] * a[1] + w[1] * b[1] + w[2] * c[1] + w[3] * d[1],
            )
        )
    return found
