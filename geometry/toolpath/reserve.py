"""Reserves for tools: room at the edge of the bed, and for a first short cut.

A tool reaches beyond a piece's outline: a beam's middle is half its width outside and burns as much
again, a drag blade's axis leads its tip, a hand-set blade stabs half its width beyond a corner, a
rule has a thickness. The tool's axis stays inside the work area; its cut stays inside the bed,
which costs nothing if the margins leave room.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from geometry import polygons
from geometry.erosion import disc, eroded, grown
from geometry.errors import GeometryError
from geometry.model.cutter import Bed, DragBlade, WorkArea
from geometry.model.outline import Outline
from geometry.model.points import turn_between
from geometry.model.segments import Bounds
from geometry.offset.corners import Corners
from geometry.tolerance import CHORD
from geometry.toolpath.waste import CLEAR, MIN_LONG

#: Corners beyond this mitre limit are cut square.
_LIMIT = Corners().limit
#: Extra room for a first cut, so that its position is not a single point, mm.
_SLACK = 0.05
#: Tolerances of area, mm2, and distance, mm.
_ROUNDING = 1.0e-7
#: Steps for moving this room inwards from a corner of a bed that is not a rectangle.
_STEPS = 60


@dataclass(frozen=True, slots=True)
class ToolReach:
    """How far a tool reaches outside the outlines that it cuts, mm.

    ``axis`` is the distance of its axis, ``cut`` that of its cut or its axis, whichever is
    farther out; both grow at sharp corners if ``grows_at_corners``.
    """

    axis: float = 0.0
    cut: float = 0.0
    grows_at_corners: bool = False

    def around(self, outlines: Iterable[Outline]) -> ToolReach:
        """Return the reach around such pieces, sharp corners included."""
        if not self.grows_at_corners or not self.cut:
            return self
        further = past_corners(outlines)
        if not self.axis:
            return replace(self, cut=self.cut * further)
        # The rest of a beam's kerf is half its width at any corner.
        axis = self.axis * further
        return replace(self, axis=axis, cut=self.cut - self.axis + axis)


def past_corners(outlines: Iterable[Outline]) -> float:
    """Return the factor by which a line beside outlines is farther away at their sharpest corner.

    Source:
        Lines beside both edges meet at 1 / sin(half the corner's angle) of their distance
        (derived); sharper corners than the mitre's limit are cut square.
    """
    most = 1.0
    for outline in outlines:
        parts = outline.segments
        for before, part in zip((parts[-1], *parts), parts, strict=False):
            turn = turn_between(before.end_heading, part.start_heading)
            if turn > 0.0:
                most = max(most, 1.0 / max(math.cos(turn / 2.0), 1.0 / _LIMIT))
    return most


def room_for_pieces(
    area: WorkArea, bed: Bed, reach: ToolReach, outlines: Iterable[Outline] = ()
) -> WorkArea:
    """Return the area for outlines, so that the axis stays in its area and the cut on the bed.

    Shape:
        The area itself if its margins are sufficient; otherwise smaller, with larger keep-outs.

    Args:
        area: area for the tool's axis.
        bed: the whole opening.
        reach: of the tool.
        outlines: of the pieces, because a beam's path or a rule's side is farther away at sharp
            corners.

    Raises:
        GeometryError: when no area remains.
    """
    reach = reach.around(outlines)
    line, edge = reach.axis, reach.cut
    if not edge:
        return area
    if bed.boundary is None and replace(area, keep_outs=()).is_rectangle:
        room = _in_rectangle(area, bed, line, edge)
    else:
        inner = _inner(area.boundary, line)
        # If margins leave room for the cut, they do so everywhere.
        if inner is not None and not _lies_in(inner, bed, edge):
            inner = common(inner, _inner(bed.edge, edge))
        if inner is None:
            raise _nothing_left(edge)
        room = replace(area, boundary=inner)
    keep_outs = _keep_outs(area, bed, line, edge)
    return room if keep_outs == room.keep_outs else replace(room, keep_outs=keep_outs)


def _keep_outs(area: WorkArea, bed: Bed, line: float, edge: float) -> tuple[Outline, ...]:
    """Return the keep-outs for outlines, so that axis and cut stay off the original ones."""
    kept = [grown(each, disc(line)) for each in area.keep_outs]
    found = []
    for each, axis in zip(bed.keep_outs, kept, strict=False):
        cut = grown(each, disc(edge))
        covers = _polygon(axis).buffer(_ROUNDING).covers(_polygon(cut))
        found.append(axis if covers else _joined(axis, cut))
    return (*found, *kept[len(bed.keep_outs) :])


def _joined(first: Outline, second: Outline) -> Outline:
    whole = polygons.union(_polygon(first), _polygon(second))
    return _outline(polygons.Polygon(whole.exterior))


def _in_rectangle(area: WorkArea, bed: Bed, line: float, edge: float) -> WorkArea:
    box = _inside(area, bed, line, edge)
    if box.width <= 0.0 or box.height <= 0.0:
        raise _nothing_left(edge)
    if box == area.bounds:
        return area
    if area.open_right:
        # The same behind the last outline as before the first one.
        longest = area.longest - 2.0 * (box.left - area.bounds.left)
        return WorkArea.roll(box.left, box.bottom, box.height, longest)
    room = WorkArea.rectangle(box.left, box.bottom, box.width, box.height)
    return replace(room, keep_outs=area.keep_outs)


def _inner(boundary: Outline, by: float) -> Outline | None:
    parts = eroded(boundary, disc(by))
    return parts[0] if parts else None


def _lies_in(inner: Outline, bed: Bed, edge: float) -> bool:
    opening = polygons.flattened_polygon(bed.edge, CHORD)
    away = polygons.distance(opening.exterior, polygons.flattened_polygon(inner, CHORD))
    return bool(away >= edge)


def common(first: Outline, second: Outline | None) -> Outline | None:
    """Return the intersection of two boundaries, or its largest part."""
    if second is None:
        return None
    left = polygons.intersection(_polygon(first), _polygon(second))
    parts = [part for part in polygons.get_parts(left) if part.area > _ROUNDING]
    return _outline(max(parts, key=polygons.area)) if parts else None


def within(area: WorkArea, limits: Bounds) -> WorkArea | None:
    """Return the part of an area inside a box, or ``None``.

    Shape:
        The largest part if there are several. A roll stays open to the right for the box's length,
        which may be infinite.
    """
    box = area.bounds
    left, bottom = max(box.left, limits.left), max(box.bottom, limits.bottom)
    top = min(box.top, limits.top)
    end = box.left + area.longest if area.open_right else box.right
    right = min(end, limits.right)
    if right <= left or top <= bottom:
        return None
    if (left, bottom, right, top) == (box.left, box.bottom, end, box.top):
        return area
    if area.open_right:
        return WorkArea.roll(left, bottom, top - bottom, right - left)
    frame = WorkArea.rectangle(left, bottom, right - left, top - bottom).boundary
    if replace(area, keep_outs=()).is_rectangle:
        return replace(area, boundary=frame)
    inner = common(area.boundary, frame)
    return None if inner is None else replace(area, boundary=inner)


def _nothing_left(edge: float) -> GeometryError:
    return GeometryError(
        f"The tool needs {edge:g} mm round every piece, and the bed leaves no area then; use a "
        "larger bed or smaller margins.",
        where=("cutter", "bed"),
    )


def _polygon(outline: Outline) -> polygons.Polygon:
    return polygons.flattened_polygon(outline, CHORD / 2.0)


def _outline(polygon: polygons.Polygon) -> Outline:
    return Outline.of(polygons.outer_ring(polygon).tolist())


def _inside(area: WorkArea, bed: Bed, line: float, edge: float) -> Bounds:
    box = area.bounds
    right = box.right if area.open_right else min(box.right - line, bed.width - edge)
    return Bounds(
        max(box.left + line, edge),
        max(box.bottom + line, edge),
        right,
        min(box.top - line, bed.height - edge),
    )


def kept_free(area: WorkArea, blade: DragBlade) -> Iterator[WorkArea]:
    """Yield areas with room for the cut that aligns a drag blade.

    Shape:
        With a small rectangle at each corner in turn, along the bed or across it; the layout
        decides which one costs no piece. For a roll, with a narrow strip before all pieces.

    Args:
        area: area for outlines.
        blade: its offset determines the size.
    """
    offset = blade.offset
    long = (MIN_LONG + 2.0) * offset + CLEAR + _SLACK
    wide = 2.0 * offset + CLEAR + _SLACK
    if area.open_right:
        box = area.bounds
        yield WorkArea.roll(box.left + wide, box.bottom, box.height, area.longest - wide)
        return
    whole: polygons.BaseGeometry = _polygon(area.boundary)
    for keep_out in area.keep_outs:
        whole = whole.difference(_polygon(keep_out))
    box = area.bounds
    for corner in range(4):
        width, height = (wide, long) if corner % 2 else (long, wide)
        placed = _in_corner(whole, box, corner, width, height)
        if placed is not None:
            yield replace(area, keep_outs=(*area.keep_outs, placed))


def _in_corner(
    whole: polygons.BaseGeometry, box: Bounds, corner: int, width: float, height: float
) -> Outline | None:
    """Return a rectangle inside the area, as near as possible to a corner of the box."""
    right, top = corner in {1, 2}, corner in {2, 3}
    for step in range(_STEPS):
        share = step / _STEPS / 2.0
        dx, dy = share * (box.width - width), share * (box.height - height)
        if min(dx, dy) < 0.0:
            return None
        x = box.right - width - dx if right else box.left + dx
        y = box.top - height - dy if top else box.bottom + dy
        if whole.buffer(_SLACK / 10.0).covers(polygons.box(x, y, x + width, y + height)):
            return WorkArea.rectangle(x, y, width, height).boundary
    return None


def inwards(area: WorkArea, bed: Bed, reach: ToolReach) -> WorkArea:
    """Return the area for the tool's axis in which its cut stays on the bed."""
    edge = reach.cut - reach.axis
    if edge <= 0.0 or area.open_right:
        return area
    keep_outs = _keep_outs(area, bed, 0.0, edge)
    inner = area.boundary
    if not _lies_in(inner, bed, edge):
        found = common(inner, _inner(bed.edge, edge))
        inner = found or inner
    return WorkArea(inner, keep_outs)
