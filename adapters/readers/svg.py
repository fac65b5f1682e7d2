"""An SVG reader based on svgelements."""

from __future__ import annotations

import io
from xml.etree import ElementTree as ET

from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.points import Point

READER = "svgelements"
_NAMESPACE = "{http://www.w3.org/2000/svg}"


def read(data: bytes) -> list[ReadStroke]:
    """Return the strokes of an SVG written by this project, mm, y up.

    Raises:
        ValueError: when it is not such a file.
    """
    import svgelements  # noqa: PLC0415 - only read-back and inspection need it

    root = ET.fromstring(data)  # noqa: S314 - our own bytes, never a stranger's
    width = float(root.attrib["width"].removesuffix("mm"))
    height = float(root.attrib["height"].removesuffix("mm"))
    groups = [
        group.attrib["id"]
        for group in root.iter(f"{_NAMESPACE}g")
        for _ in group.iter(f"{_NAMESPACE}path")
    ]
    # Only the points that are looked at are transformed, not every end of every segment.
    drawing = svgelements.SVG.parse(io.BytesIO(data), reify=False)
    # svgelements uses 25.4 / 96 with few digits; the ratio of widths avoids that.
    scale = width / float(drawing.width)
    paths = [element for element in drawing.elements() if isinstance(element, svgelements.Path)]
    if len(paths) != len(groups):
        raise ValueError(f"{len(groups)} paths are in groups, {len(paths)} were read")
    return [_stroke(path, scale, height, group) for path, group in zip(paths, groups, strict=True)]


def _stroke(path: object, scale: float, height: float, group: str) -> ReadStroke:
    import svgelements  # noqa: PLC0415 - as above

    move = path.transform  # type: ignore[attr-defined]
    a, b, c, d, e, f = move.a, move.b, move.c, move.d, move.e, move.f
    # In a fifth of the time that calls of ``Point`` take.
    new = tuple.__new__

    def at(point: object) -> Point:
        x, y = float(point.x), float(point.y)  # type: ignore[attr-defined]
        return new(Point, ((x * a + y * c + e) * scale, height - (x * b + y * d + f) * scale))

    segments: list[ReadSegment] = []
    start, closed = Point(0.0, 0.0), False
    here = start
    for part in path:  # type: ignore[attr-defined]
        there = at(part.end)
        if isinstance(part, svgelements.Move):
            start = there
        elif isinstance(part, (svgelements.Line, svgelements.Close)):
            closed = closed or isinstance(part, svgelements.Close)
            if there != here or not closed:
                # svgelements' own calculation of a line's mid-point takes a third of the reading
                # time.
                middle = new(Point, ((here[0] + there[0]) / 2.0, (here[1] + there[1]) / 2.0))
                segments.append(ReadSegment(middle, there))
        else:
            segments.append(ReadSegment(at(part.point(0.5)), there))
        here = there
    return ReadStroke(start, tuple(segments), closed, group)
