"""The picture of a tool path over a load: order, starts, travel, stops; for a die its rules.

A blade set by hand has one panel for each station.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TypeAlias
from xml.sax.saxutils import escape

from geometry.measure import centroid, flattened
from geometry.model.cutter import Tool, WorkArea
from geometry.model.outline import Chain, Outline, has_arcs, segments_of
from geometry.model.plan import NOTES, Stroke
from geometry.model.points import Point, ahead, distance, heading
from geometry.toolpath.order import last_point
from service.documents.pictures import looks
from service.documents.pictures.frame import framed
from service.documents.pictures.grounds import grounds
from service.documents.pictures.legend import (
    DASHED,
    LEFT,
    ROW,
    THICK,
    THIN,
    Legend,
    entries,
    note_lines,
)
from service.documents.pictures.letters import wrapped
from service.documents.pictures.load import letter_size, title, title_text
from service.documents.pictures.looks import INK, QUIET, WAY
from service.documents.pictures.panels import Panel, octagons, panels, stop_signs
from service.documents.pictures.path import number, path_data, placed
from service.documents.pictures.stroke_numbers import stroke_numbers
from service.documents.sketch import shape_svg
from service.documents.sketches import dial_shapes
from service.pieces.model import Kit
from service.requests.runs import Run
from service.runs.planned_run import PlannedLoad
from service.texts import gettext as _
from service.tools import kind_of

_FAINT = QUIET
#: Maximum panels in a row.
_ACROSS = 2
#: Maximum letters per line under the panels, per letter height of width.
_LINE = 1.75
#: A point as x and y.
Place: TypeAlias = tuple[float, float]
#: The longest of so many first segments has the arrowhead of a stroke.
_FIRST = 3
#: Tolerance of arcs' chords, mm; it affects only where numbers stand.
_CHORD = 0.1


def path_picture(kit: Kit, run: Run, load: PlannedLoad) -> str:
    """Return an SVG picture of a load's tool path at true size, y up on the bed."""
    bed, letter = run.cutter.bed, letter_size(run)
    shown = list(panels(load))
    across = min(len(shown), _ACROSS)
    down = math.ceil(len(shown) / across)
    pad, head = 2.0 * letter, 3.2 * letter
    top = 2.6 * letter if any(panel.heading for panel in shown) else 0.0
    width = across * bed.width + (across + 1) * pad
    lines = _lines(load, run.cutter.tool, width / letter, kit.units)
    what = _(kind_of(run.cutter.tool).picture_words)
    tall = bed.height + top + pad
    legend = Legend(entries(load, run.cutter.tool, letter), (width - 2.0 * pad) / letter)
    height = head + down * tall + (len(lines) + legend.rows + 1.5) * ROW * letter
    heading = title_text(kit, run, load, what)
    body = [title(heading, width, letter), "<defs>", *_kinds(kit, run, load)]
    body.append("</defs>")
    for at, panel in enumerate(shown):
        x = pad + (at % across) * (bed.width + pad)
        y = head + (at // across) * tall
        body.append(_heading(panel, x, y + 1.6 * letter, letter))
        body.append(
            f'<g transform="translate({number(x)} {number(y + top + bed.height)}) scale(1 -1)">'
        )
        body.append(grounds(run))
        body.extend(_pieces(load))
        body.extend(_drawn(kit, run, load, panel, letter))
        body.append("</g>")
    y = head + down * tall + letter
    body.extend(legend.drawn(pad, y, letter))
    y += (legend.rows + 0.5) * ROW * letter
    body.extend(
        f'<text x="{number(pad)}" y="{number(y + row * ROW * letter)}" '
        f'font-size="{number(0.9 * letter)}" {LEFT}>{escape(line)}</text>'
        for row, line in enumerate(lines)
    )
    return framed(width, height, body, heading)


def _kinds(kit: Kit, run: Run, load: PlannedLoad) -> Iterator[str]:
    for index, piece in enumerate(load.load.outlines):
        region = kit.pieces[piece].region(run.cut)
        data = path_data(region.outline) + "".join(path_data(hole) for hole in region.holes)
        yield (
            f'<path id="kind-{index}" d="{data}" fill="#f1f3f1" '
            f'fill-rule="evenodd" stroke="{_FAINT}" stroke-width="0.2"/>'
        )


def _pieces(load: PlannedLoad) -> Iterator[str]:
    kinds = list(load.load.outlines)
    for placement in load.load.placements:
        index = kinds.index(placement.piece)
        yield f'<use href="#kind-{index}" transform="{placed(placement.move)}"/>'


def _heading(panel: Panel, x: float, y: float, letter: float) -> str:
    """Draw a station's heading and its dial: the circle, its level axis and the blade."""
    if not panel.heading:
        return ""
    parts = []
    at = x
    if panel.angle_deg is not None:
        r = 0.95 * letter
        parts.append(
            f'<g transform="translate({number(x + r)} {number(y - 0.35 * letter)}) scale(1 -1)">'
            f"{''.join(shape_svg(each, 1.0) for each in dial_shapes(panel.angle_deg, r))}</g>"
        )
        at += 2.6 * letter
    parts.append(
        f'<text x="{number(at)}" y="{number(y)}" font-size="{number(letter)}" {LEFT}>'
        f"{escape(panel.heading)}</text>"
    )
    return "".join(parts)


def _drawn(kit: Kit, run: Run, load: PlannedLoad, panel: Panel, letter: float) -> Iterator[str]:
    """Draw the strokes, then the travel, then numbers and stops on top."""
    tool = run.cutter.tool
    width = kind_of(tool).drawn_width_mm(tool)
    wide = THICK * letter if width is None else width
    for operation, style in (
        ("mark", f'stroke="{INK}" stroke-width="{number(THIN * letter)}"'),
        ("score", f'stroke="{INK}" stroke-width="{number(wide)}" stroke-dasharray="2 1"'),
        ("cut", f'stroke="{INK}" stroke-width="{number(wide)}"'),
    ):
        own = [s for s in panel.strokes if s.operation == operation and s.part not in NOTES]
        if own:
            data = "".join(path_data(_path(stroke)) for stroke in own)
            yield f'<path d="{data}" fill="none" {style}/>'
    if width is not None:
        # On top of the rules and in another colour, so that notes are not mistaken for marks.
        for part, look in (("bridge", looks.BRIDGE), ("nick", looks.NICK)):
            data = "".join(path_data(_path(s)) for s in panel.strokes if s.part == part)
            yield note_lines(data, look)
        return
    ways = list(_ways(panel))
    yield (
        f'<path d="{"".join(_straight(a, b) for a, b in ways)}" fill="none" stroke="{WAY}" '
        f'stroke-width="{number(DASHED * letter)}" stroke-dasharray="{number(0.4 * letter)} '
        f'{number(0.25 * letter)}"/>'
    )
    between = [_head(a, b, 0.5 * letter) for a, b in ways if distance(a, b) > 1.2 * letter]
    yield f'<path d="{"".join(map(_filled, between))}" fill="{WAY}"/>'
    first = [_first_way(stroke, 0.5 * letter) for stroke in panel.strokes]
    yield f'<path d="{"".join(map(_filled, first))}" fill="{INK}"/>'
    signs = [[*points, points[0]] for points in (*between, *first, *octagons(load, panel, letter))]
    lines = [*_polylines(panel), *ways, *_frames(run), *signs, *_outlines(kit, run, load)]
    yield from stroke_numbers(panel.strokes, panel.first, _middles(kit, run, load), letter, lines)
    yield from stop_signs(load, panel, letter)


def _polylines(panel: Panel) -> Iterator[list[Place]]:
    """Yield the strokes of a panel as polylines."""
    for stroke in panel.strokes:
        if has_arcs(stroke.vertices):
            points: list[Place] = [*flattened(_path(stroke), _CHORD)]
        else:
            points = [vertex[:2] for vertex in stroke.vertices]
        yield [*points, points[0]] if stroke.closed else points


def _frames(run: Run) -> Iterator[list[Point]]:
    """Yield the edges of bed, sheet and work area as polylines."""
    bed = run.cutter.bed
    edges = [bed.edge, run.area.boundary, *run.area.keep_outs, *bed.keep_outs]
    if run.sheet is not None:
        box = run.sheet.box
        edges.append(WorkArea.rectangle(box.left, box.bottom, box.width, box.height).boundary)
    for edge in edges:
        points = flattened(edge, _CHORD)
        yield [*points, points[0]]


def _path(stroke: Stroke) -> Outline | Chain:
    return Outline(stroke.vertices) if stroke.closed else Chain(stroke.vertices)


def _outlines(kit: Kit, run: Run, load: PlannedLoad) -> Iterator[list[Place]]:
    """Yield the outlines of all pieces, which other stations cut too, as polylines."""
    regions = {piece: kit.pieces[piece].region(run.cut) for piece in load.load.outlines}
    for each in load.load.placements:
        region = regions[each.piece]
        for outline in (region.outline, *region.holes):
            if outline.has_arcs or each.move.mirrored:
                points: list[Place] = [*flattened(each.move.outline(outline), _CHORD)]
            else:
                points = each.move.places(outline.vertices)
            yield [*points, points[0]]


def _ways(panel: Panel) -> Iterator[tuple[Point, Point]]:
    at = panel.come_from
    for stroke in panel.strokes:
        yield at, stroke.vertices[0].point
        at = last_point(stroke)


def _straight(a: Point, b: Point) -> str:
    return f"M{number(a.x)} {number(a.y)}L{number(b.x)} {number(b.y)}"


def _head(a: Point, b: Point, size: float) -> list[Point]:
    """Return an arrowhead in the middle of a travel move."""
    middle = Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0)
    return _arrow(middle, heading(a, b), size)


def _first_way(stroke: Stroke, size: float) -> list[Point]:
    """Return an arrowhead near the start of a stroke, which shows its direction."""
    first = stroke.vertices[: _FIRST + 1]
    is_longer = len(first) > _FIRST
    # The others are not made.
    parts = segments_of(first, closed=False) if is_longer else stroke.segments
    part = max(parts, key=lambda each: each.length)
    share = min(0.5, 2.5 * size / part.length)
    return _arrow(part.point_at(share), part.heading_at(share), size)


def _arrow(at: Point, direction: float, size: float) -> list[Point]:
    """Return the corners of an arrowhead: its tip and its wings."""
    wings = (ahead(at, direction + turn, 0.6 * size) for turn in (2.5, -2.5))
    return [ahead(at, direction, size / 2.0), *wings]


def _filled(corners: Sequence[Point]) -> str:
    return f"M{'L'.join(f'{number(c.x, 2)} {number(c.y, 2)}' for c in corners)}Z"


def _middles(kit: Kit, run: Run, load: PlannedLoad) -> list[Point]:
    """Return the middle of each placed piece."""
    regions = {piece: kit.pieces[piece].region(run.cut) for piece in load.load.outlines}
    own = {piece: centroid(region.outline) for piece, region in regions.items()}
    return [each.move.point(own[each.piece]) for each in load.load.placements]


def _lines(load: PlannedLoad, tool: Tool, letters: float, units: str) -> list[str]:
    """Return the text about the path and its stops, wrapped to the picture's width."""
    texts = kind_of(tool).picture_lines(load.planned, units)
    most = max(20, int(_LINE * letters))
    return [part for line in texts for part in wrapped(line, most)]
