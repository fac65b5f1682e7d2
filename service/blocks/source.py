"""Reads what a block is drawn with: paths of a request, or a file's."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from geometry.blocks.network import Drawn
from geometry.model.outline import Outline, Vertex
from geometry.model.points import Point
from geometry.model.segments import Bounds, segment
from geometry.shapes.curves import TOLERANCE
from service.drawings.drawing import Drawing, DrawingError, joining_notes
from service.drawings.files import read_file
from service.drawings.inspect import chosen_paths
from service.errors import DrawingRefusedError, Fault
from service.requests.drawn_blocks import DrawnBlockRequest
from service.requests.inspections import InspectionRequest
from service.requests.plain_paths import DrawnPath

#: Curves of a file are read to within this, mm, at its own size.
_CURVES = TOLERANCE


@dataclass(frozen=True)
class Source:
    """A block's drawing.

    Args:
        format: ``json`` or that of the file.
        paths: what is drawn, mm, from the lower left corner of all of it.
        notes: about its reading.
    """

    format: str
    paths: tuple[DrawnPath, ...]
    notes: tuple[str, ...]

    def drawn(self, scale: float = 1.0) -> list[Drawn]:
        """Return the lines and arcs at a scale, without those of no length."""
        found = []
        for number, path in enumerate(self.paths):
            points = [Point(x * scale, y * scale) for x, y, _ in path.vertices]
            if path.closed:
                points.append(points[0])
            for (_, _, bulge), one, two in zip(path.vertices, points, points[1:], strict=False):
                if one != two:
                    found.append(Drawn(segment(one, two, bulge), number, path.closed))
        return found


def source_of(request: DrawnBlockRequest, data: bytes | None) -> Source:
    """Return what a block is drawn with.

    Raises:
        DrawingRefusedError: when a file cannot be read.
    """
    if data is None:
        return _moved("json", request.paths, ())
    try:
        drawing = read_file(
            data,
            InspectionRequest(
                format=request.format,
                units=request.units,
                group=request.group,
                tolerance_mm=_CURVES,
                cutter="",
            ),
        )
    except DrawingError as error:
        detail = str(error)
        raise DrawingRefusedError(detail, [Fault("#/file", detail)]) from None
    chosen = chosen_paths(drawing, request.group)
    paths = [
        DrawnPath(path.vertices, path.closed, (path.fill or path.group) if path.closed else "")
        for path in chosen
    ]
    notes = (*_skipped(drawing), *drawing.notes, *joining_notes(chosen))
    return _moved(drawing.format, paths, notes)


def _skipped(drawing: Drawing) -> list[str]:
    """Return a note about what of a file was not read."""
    if not drawing.skipped:
        return []
    rows = ", ".join(f"{each.element} ({each.count})" for each in drawing.skipped)
    return [f"Not read, because it draws no line: {rows}."]


def _moved(kind: str, paths: Sequence[DrawnPath], notes: tuple[str, ...]) -> Source:
    """Return the paths from the lower left corner of their box."""
    if not paths:
        return Source(kind, (), notes)
    box = bounds_of(paths)
    made = tuple(
        DrawnPath(
            tuple([Vertex(x - box.left, y - box.bottom, bulge) for x, y, bulge in path.vertices]),
            path.closed,
            path.fabric,
        )
        for path in paths
    )
    return Source(kind, made, notes)


def bounds_of(paths: Sequence[DrawnPath]) -> Bounds:
    """Return the box about the ends of all lines and arcs."""
    across, along, _ = zip(*itertools.chain.from_iterable(p.vertices for p in paths), strict=True)
    return Bounds(min(across), min(along), max(across), max(along))


def fills(source: Source, scale: float) -> list[tuple[Outline, str]]:
    """Return the closed paths that have a fabric, in the order of drawing."""
    found = []
    for path in source.paths:
        if path.closed and path.fabric and len(path.vertices) > 1:
            rows = tuple(Vertex(v.x * scale, v.y * scale, v.bulge) for v in path.vertices)
            outline = Outline(rows)
            if math.isfinite(outline.bounds.width):
                found.append((outline, path.fabric))
    return found
