"""Beds and hoops: rectangle, rounded rectangle, ellipse, polygon, with keep-outs; and rolls."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from marshmallow import ValidationError, fields, post_load, validate

from geometry import units as lengths
from geometry.erosion import eroded, grown
from geometry.errors import GeometryError
from geometry.model.cutter import Bed, Cutter, WorkArea
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.shapes.curves import ellipse_arc, fitted
from geometry.validate import require_simple
from service.schemas.context import current
from service.schemas.errors import of_geometry, together, unread, unusable
from service.schemas.fields import Length, Num, Strict
from service.schemas.validation import List

_QUARTER = math.tan(math.pi / 8.0)
#: How far the arcs that stand for an ellipse may lie off it, mm.
_OFF_ELLIPSE = 0.001


class BedSchema(Strict):
    """Opening of bed, hoop or mat: a rectangle, another shape within it, or a roll."""

    width = Length(
        positive=True,
        required=True,
        metadata={"description": "of the opening; of a roll: from edge to edge"},
    )
    height = Length(
        positive=True,
        metadata={"description": "of the opening; a roll has none, all others need it"},
    )
    length = Length(
        positive=True,
        metadata={
            "description": "of a roll only: the most that is drawn off at once; left out: no limit"
        },
    )
    shape = fields.String(
        validate=validate.OneOf(["rectangle", "rounded", "ellipse", "polygon", "roll"]),
        load_default="rectangle",
        metadata={"description": "of the opening; a roll lies along the x axis, its width across"},
    )
    radius = Length(positive=True, metadata={"description": "of a rounded opening's corners"})
    points = List(
        List(Num(), validate=validate.Length(2, 2)),
        validate=validate.Length(3, 500),
        metadata={"description": "of a polygon, [x, y] in the units, lower left corner 0, 0"},
    )
    keep_out = List(
        List(List(Num(), validate=validate.Length(2, 2)), validate=validate.Length(3, 100)),
        validate=validate.Length(0, 20),
        metadata={"description": "polygons inside that the tool must not enter, as points"},
    )

    @post_load
    def _made(self, data: dict[str, Any], **_: Any) -> Bed:  # noqa: ANN401 - marshmallow's own
        is_roll = data["shape"] == "roll"
        if errors := list(_misplaced(data)):
            raise together(errors)
        width = data["width"]
        if is_roll:
            return Bed(data.get("length", math.inf), width, roll=True)
        height = data["height"]
        return Bed(width, height, _boundary(data), _keep_outs(data, width, height))


def _misplaced(data: Mapping[str, Any]) -> Iterator[ValidationError]:
    """Yield an error for each member that a bed of this shape lacks or does not have."""
    shape = data["shape"]
    if shape == "roll":
        for name in ("height", "radius", "points", "keep_out"):
            if name in data:
                detail = (
                    f"A roll has no {name}: state its width, and as length the most that is drawn "
                    "off at once, if there is a limit."
                )
                yield unusable(detail, name)
        return
    if "height" not in data:
        yield unusable("`height` is required; only a roll has no height.", "height")
    if "length" in data:
        yield unusable('Only a bed of shape "roll" has a length.', "length")
    for name, owner in (("radius", "rounded"), ("points", "polygon")):
        if (name in data) != (shape == owner):
            verb = "needs" if shape == owner else "has no"
            yield unusable(f"A bed of shape {shape} {verb} {name}.", name)


def _keep_outs(data: Mapping[str, Any], width: float, height: float) -> tuple[Outline, ...]:
    outlines = []
    for index, points in enumerate(data.get("keep_out", ())):
        outline = polygon(points, "keep_out", index)
        box = outline.bounds
        if box.left >= width or box.bottom >= height or box.right <= 0.0 or box.top <= 0.0:
            # Most likely numbers of another unit: passed over, the tool would meet the obstacle.
            detail = (
                f"This place lies wholly outside the bed of {width:g} by {height:g} mm; its "
                "points are in the request's units."
            )
            raise unusable(detail, "keep_out", index)
        outlines.append(outline)
    return tuple(outlines)


def _boundary(data: Mapping[str, Any]) -> Outline | None:
    shape, width, height = data["shape"], data["width"], data["height"]
    if shape == "rectangle":
        return None
    if shape == "ellipse":
        return _ellipse(width, height)
    if shape == "polygon":
        outline = polygon(data["points"], "points")
        box = outline.bounds
        if box.left < 0.0 or box.bottom < 0.0 or box.right > width or box.top > height:
            detail = "The opening must lie within the bed's width and height."
            raise unusable(detail, "points")
        return outline
    if 2.0 * data["radius"] >= min(width, height):
        raise unusable("The radius must be less than half the shorter side.", "radius")
    return _rounded(width, height, data["radius"])


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


def polygon(points: Sequence[Sequence[float]], *where: str | int) -> Outline:
    """Return the outline of points in the request's units.

    Raises:
        marshmallow.ValidationError: at ``where``, when they make no simple polygon.
    """
    known = current()
    if known.units_are_wrong:
        raise unread()
    if known.units is None:
        raise unusable('Points need the "units" in which they are read.', *where)
    scale = lengths.UNIT_MM[known.units]
    try:
        return require_simple(Outline.of([(x * scale, y * scale) for x, y in points]))
    except GeometryError as error:
        raise of_geometry(error, *where) from None


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
