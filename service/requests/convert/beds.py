"""Shapes of beds and hoops: rectangle, rounded rectangle, ellipse, polygon, with keep-outs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from geometry import units as lengths
from geometry.erosion import eroded, grown
from geometry.model.cutter import Bed, Cutter, WorkArea
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.shapes.curves import ellipse_arc, fitted
from geometry.validate import require_simple
from service.requests.convert.collector import Collector, Path, Unread

_QUARTER = math.tan(math.pi / 8.0)
#: How far the arcs that stand for an ellipse may lie off it, mm.
_OFF_ELLIPSE = 0.001


def bed_of(read: Collector, data: Mapping[str, Any], path: Path) -> Bed:
    """Return the bed that a cutter's ``bed`` object describes.

    Raises:
        Unread: when a length or an outline cannot be used.
    """
    if data.get("shape") == "roll":
        return _roll(read, data, path)
    width = read.length(data["width"], (*path, "width"), inclusive=False)
    if "height" not in data:
        read.add((*path, "height"), "Missing data for required field; only a roll has no height.")
        raise Unread
    height = read.length(data["height"], (*path, "height"), inclusive=False)
    if "length" in data:
        read.add((*path, "length"), 'Only a bed of shape "roll" has a length.')
        raise Unread
    boundary = _boundary(read, data, path, width, height)
    keep_outs = tuple(
        _polygon(read, points, (*path, "keep_out", index))
        for index, points in enumerate(data.get("keep_out") or [])
    )
    for index, outline in enumerate(keep_outs):
        box = outline.bounds
        if box.left >= width or box.bottom >= height or box.right <= 0.0 or box.top <= 0.0:
            # Most likely numbers of another unit: passed over, the tool would meet the obstacle.
            read.add(
                (*path, "keep_out", index),
                f"This place lies wholly outside the bed of {width:g} by {height:g} mm; its "
                "points are in the request's units.",
            )
            raise Unread
    return Bed(width, height, boundary, keep_outs)


def _roll(read: Collector, data: Mapping[str, Any], path: Path) -> Bed:
    for name in ("height", "radius", "points", "keep_out"):
        if name in data:
            read.add(
                (*path, name),
                f"A roll has no {name}: state its width, and as length the most that is drawn "
                "off at once, if there is a limit.",
            )
            raise Unread
    across = read.length(data["width"], (*path, "width"), inclusive=False)
    along = math.inf
    if "length" in data:
        along = read.length(data["length"], (*path, "length"), inclusive=False)
    return Bed(along, across, roll=True)


def _boundary(
    read: Collector, data: Mapping[str, Any], path: Path, width: float, height: float
) -> Outline | None:
    shape = data.get("shape", "rectangle")
    for name, owner in (("radius", "rounded"), ("points", "polygon")):
        if (name in data) != (shape == owner):
            verb = "needs" if shape == owner else "has no"
            read.add((*path, name), f"A bed of shape {shape} {verb} {name}.")
            raise Unread
    if shape == "rectangle":
        return None
    if shape == "ellipse":
        return _ellipse(width, height)
    if shape == "polygon":
        outline = _polygon(read, data["points"], (*path, "points"))
        box = outline.bounds
        if box.left < 0.0 or box.bottom < 0.0 or box.right > width or box.top > height:
            read.add((*path, "points"), "The opening must lie within the bed's width and height.")
            raise Unread
        return outline
    radius = read.length(data["radius"], (*path, "radius"), inclusive=False)
    if 2.0 * radius >= min(width, height):
        read.add((*path, "radius"), "The radius must be less than half the shorter side.")
        raise Unread
    return _rounded(width, height, radius)


def _ellipse(width: float, height: float) -> Outline:
    x, y = width / 2.0, height / 2.0
    if width == height:
        return Outline.of([(width, y, 1), (0, y, 1)])
    curve = ellipse_arc(Point(x, y), (complex(x), complex(0.0, y)), 0.0, math.tau)
    return Outline(tuple(fitted(curve, tolerance=_OFF_ELLIPSE)))


def _rounded(width: float, height: float, radius: float) -> Outline:
    w, h, r, q = width, height, radius, _QUARTER
    return Outline.of(
        [
            (r, 0),
            (w - r, 0, q),
            (w, r),
            (w, h - r, q),
            (w - r, h),
            (r, h, q),
            (0, h - r),
            (0, r, q),
        ]
    )


def _polygon(read: Collector, points: Sequence[Sequence[float]], path: Path) -> Outline:
    if read.units is None:
        read.add(path, 'Points need the "units" in which they are read.')
        raise Unread
    scale = lengths.UNIT_MM[read.units]
    with read.noting(path):
        return require_simple(Outline.of([(x * scale, y * scale) for x, y in points]))


def reach_of(cutter: Cutter) -> tuple[WorkArea, bool]:
    """Return where the tool's axis may go on a bed that is no roll, and whether that is all of it.

    Shape:
        The opening eroded by the tool's head, keep-outs grown by the head turned half round. Of
        several parts the largest: the head does not get from one to the other.

    Raises:
        ValueError: when nothing is left of the opening.
    """
    bed, keep = cutter.bed, cutter.margins
    keep_outs = tuple(grown(each, keep, cutter.head) for each in bed.keep_outs)
    if bed.boundary is None:
        width = bed.width - keep.left - keep.right
        height = bed.height - keep.bottom - keep.top
        if width <= 0.0 or height <= 0.0:
            raise ValueError("The margins leave nothing of the opening.")
        area = WorkArea.rectangle(keep.left, keep.bottom, width, height)
        return replace(area, keep_outs=keep_outs), True
    parts = eroded(bed.boundary, keep, cutter.head)
    if not parts:
        raise ValueError("The margins leave nothing of the opening.")
    return WorkArea(parts[0], keep_outs), len(parts) == 1
