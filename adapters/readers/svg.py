"""An SVG reader based on svgelements."""

from __future__ import annotations

import io
from collections.abc import Iterator
from functools import lru_cache
from itertools import pairwise
from typing import Any, TypeAlias
from xml.etree import ElementTree as ET

from adapters.readers.strokes import ReadSegment, ReadStroke
from geometry.model.points import Point

READER = "svgelements"
_NAMESPACE = "{http://www.w3.org/2000/svg}"
#: The attributes of a drawing that is read path by path.
_OF_SVG = frozenset({"version", "width", "height", "viewBox"})
_OF_GROUP = frozenset({"id", "fill", "stroke", "stroke-width"})
_OF_PATH = frozenset({"id", "d"})
#: What the data of lines consist of.
_OF_LINES = "MLZ 0123456789.-"
#: Members a to f of a transform.
_Transform: TypeAlias = tuple[float, float, float, float, float, float]
#: The last transform to mm, y up: a scale, and the height from which y is subtracted.
_Bed: TypeAlias = tuple[float, float]


def read(data: bytes) -> list[ReadStroke]:
    """Return the strokes of an SVG written by this project, mm, y up.

    Raises:
        ValueError: when it is not such a file.
    """
    root = ET.fromstring(data)  # noqa: S314 - our own bytes, never a stranger's
    width = float(root.attrib["width"].removesuffix("mm"))
    height = float(root.attrib["height"].removesuffix("mm"))
    owned = [
        (path, group.attrib["id"])
        for group in root.iter(f"{_NAMESPACE}g")
        for path in group.iter(f"{_NAMESPACE}path")
    ]
    if _is_plain(root):
        wide, transform = _head(tuple(root.attrib.items()))
        # svgelements uses 25.4 / 96 with few digits; the ratio of widths avoids that.
        bed = width / wide, height
        return [_path(path.attrib["d"], transform, bed, group) for path, group in owned]
    wide, found = _whole(data)
    if len(found) != len(owned):
        raise ValueError(f"{len(owned)} paths are in groups, {len(found)} were read")
    bed = width / wide, height
    return [
        _stroke(path, _members(path.transform), bed, group)
        for path, (_, group) in zip(found, owned, strict=True)
    ]


def _is_plain(root: ET.Element) -> bool:
    """Return whether a drawing holds paths in groups alone, and nothing that changes how they lie.

    Only the head and the paths of such a drawing are given to svgelements, which takes half of its
    time to pass the groups' colours on to every path. Others are read as a whole.
    """
    if root.tag != f"{_NAMESPACE}svg" or not root.attrib.keys() <= _OF_SVG:
        return False
    for part in root:
        if part.tag == f"{_NAMESPACE}title" and not len(part):
            continue
        if part.tag != f"{_NAMESPACE}g" or not part.attrib.keys() <= _OF_GROUP:
            return False
        for each in part:
            is_path = each.tag == f"{_NAMESPACE}path" and each.attrib.keys() == _OF_PATH
            if len(each) or not (is_path or each.tag == f"{_NAMESPACE}desc"):
                return False
    return True


def _whole(data: bytes) -> tuple[float, list[Any]]:
    """Return the width of a drawing and its paths."""
    import svgelements  # noqa: PLC0415 - only read-back and inspection need it

    # Only the points that are looked at are transformed, not every end of every segment.
    drawing = svgelements.SVG.parse(io.BytesIO(data), reify=False)
    paths = [each for each in drawing.elements() if isinstance(each, svgelements.Path)]
    return float(drawing.width), paths


@lru_cache(maxsize=64)
def _head(attributes: tuple[tuple[str, str], ...]) -> tuple[float, _Transform]:
    """Return the width and the transform of a drawing with such a head.

    Kept for the beds that were read last: the files of one bed have the same head.
    """
    import svgelements  # noqa: PLC0415 - as above

    head = ET.tostring(ET.Element(f"{_NAMESPACE}svg", dict(attributes)))
    drawing = svgelements.SVG.parse(io.BytesIO(head))
    return float(drawing.width), _members(svgelements.Matrix(drawing.viewbox_transform))


def _members(transform: Any) -> _Transform:  # noqa: ANN401 - svgelements has no types
    found = (getattr(transform, name) for name in "abcdef")
    return tuple(found)


def _path(data: str, transform: _Transform, bed: _Bed, group: str) -> ReadStroke:
    """Return the stroke of path data."""
    import svgelements  # noqa: PLC0415 - as above

    closed = data[-1:] == "Z"
    lines = data[:-1] if closed else data
    if lines.strip(_OF_LINES) or "Z" in lines or "M" in lines[1:] or lines[:1] != "M":
        return _stroke(svgelements.Path(data), transform, bed, group)
    corners = _Corners()
    svgelements.SVGLexicalParser().parse(corners, lines)
    places = list(_moved(corners.places, transform, bed))
    if closed and places[-1] != places[0]:
        places.append(places[0])
    new = tuple.__new__
    segments = tuple(
        [
            new(ReadSegment, (new(Point, ((a[0] + b[0]) / 2.0, (a[1] + b[1]) / 2.0)), b))
            for a, b in pairwise(places)
        ]
    )
    return ReadStroke(places[0], segments, closed, group)


class _Corners:
    """What svgelements' parser of path data calls, for one path of lines.

    Its own paths of segments take twice the time of its parser.
    """

    def __init__(self) -> None:
        self.places: list[tuple[float, float]] = []

    def start(self) -> None:
        """Begin the path."""

    def end(self) -> None:
        """End the path."""

    def move(self, place: tuple[float, float], *, relative: bool) -> None:
        """Begin at a place."""
        del relative
        self.places.append(place)

    #: A line to a place; all are absolute.
    line = move


def _moved(places: list[tuple[float, float]], transform: _Transform, bed: _Bed) -> Iterator[Point]:
    """Yield places on the bed."""
    (a, b, c, d, e, f), (scale, height) = transform, bed
    # In a fifth of the time that calls of ``Point`` take.
    new = tuple.__new__
    for x, y in places:
        yield new(Point, ((x * a + y * c + e) * scale, height - (x * b + y * d + f) * scale))


def _stroke(
    path: Any,  # noqa: ANN401 - svgelements has no types
    transform: _Transform,
    bed: _Bed,
    group: str,
) -> ReadStroke:
    """Return the stroke of a path."""
    import svgelements  # noqa: PLC0415 - as above

    def at(point: Any) -> Point:  # noqa: ANN401
        (place,) = _moved([(float(point.x), float(point.y))], transform, bed)
        return place

    segments: list[ReadSegment] = []
    start, closed = Point(0.0, 0.0), False
    here = start
    for part in path.segments(transformed=False):
        there = at(part.end)
        if isinstance(part, svgelements.Move):
            start = there
        elif isinstance(part, (svgelements.Line, svgelements.Close)):
            closed = closed or isinstance(part, svgelements.Close)
            if there != here or not closed:
                # svgelements' own calculation of a line's mid-point takes a third of the reading
                # time.
                middle = Point((here[0] + there[0]) / 2.0, (here[1] + there[1]) / 2.0)
                segments.append(ReadSegment(middle, there))
        else:
            segments.append(ReadSegment(at(part.point(0.5)), there))
        here = there
    return ReadStroke(start, tuple(segments), closed, group)
