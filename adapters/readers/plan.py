"""A reader of the neutral cut plan in JSON."""

from __future__ import annotations

import json

from adapters.readers.strokes import ReadSegment, ReadStop, ReadStroke
from geometry.model.points import Point

READER = "JSON reader"


def read(data: bytes) -> tuple[list[ReadStroke], list[ReadStop]]:
    """Return the strokes of a plan file, mm, y up, and its stops.

    Raises:
        ValueError: when it is not a plan in millimetres.
    """
    document = json.loads(data)
    if document["units"] != "mm":
        raise ValueError("the plan is not in millimetres")
    strokes = []
    for row in document["strokes"]:
        points = row["points"]
        ends = [*points[1:], points[0]] if row["closed"] else points[1:]
        segments = []
        for (x, y, bulge), (ex, ey, _) in zip(points, ends, strict=False):
            middle = Point((x + ex + bulge * (ey - y)) / 2, (y + ey - bulge * (ex - x)) / 2)
            segments.append(ReadSegment(middle, Point(ex, ey)))
        angle = row.get("angle_deg")
        group = row["operation"] if angle is None else f"{row['operation']}@{angle:g}"
        start = Point(points[0][0], points[0][1])
        strokes.append(ReadStroke(start, tuple(segments), row["closed"], group))
    stops = [ReadStop(row["before_stroke"], row["message"]) for row in document["stops"]]
    return strokes, stops
