"""Room that a tool needs besides the pieces: at the edge of the bed, and for a first short cut.

A piece's outline may lie on the edge of the work area, and a tool reaches past the outline: a
beam runs half its width outside it and burns as much again, a blade set by hand stabs half its
width past a corner, a trailing blade's axis runs ahead of its tip, a rule has a thickness. What
margins leave room for is not asked for twice.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

import shapely
from shapely.geometry.base import BaseGeometry

from geometry.errors import GeometryError
from geometry.measure import flattened
from geometry.model.cutter import (
    Bed,
    DragBlade,
    IndexedBlade,
    Laser,
    SteelRuleDie,
    Tool,
    WorkArea,
)
from geometry.model.outline import Outline
from geometry.model.points import turn_between
from geometry.model.segments import Bounds
from geometry.offset.corners import Corners
from geometry.tolerance import CHORD
from geometry.toolpath.waste import CLEAR, LEAST_LONG

#: Chords of a bed's or a keep-out's arcs, mm, always on the safe side.
_CHORD = 0.02
#: Corners sharper than this limit are cut square.
_LIMIT = Corners().limit
#: Slack of the room kept for a first cut, so that its search need not hit a single spot, mm.
_SLACK = 0.05
#: Steps in which that room is moved inwards from a corner of a bed that is no rectangle.
_STEPS = 60


def over_the_line(tool: Tool) -> float:
    """Return how far outside a piece the line that the tool is led along runs, mm."""
    return tool.kerf / 2.0 if isinstance(tool, Laser) else 0.0


def over_the_bed(tool: Tool) -> float:
    """Return how far beyond a piece's outline a tool cuts or its axis moves, mm."""
    if isinstance(tool, Laser):
        return tool.kerf
    if isinstance(tool, IndexedBlade):
        return tool.width / 2.0
    if isinstance(tool, SteelRuleDie):
        return tool.rule / 2.0
    if isinstance(tool, DragBlade) and not tool.machine_compensates:
        return tool.offset
    return 0.0


def past_corners(outlines: Iterable[Outline]) -> float:
    """Return how many times further a line beside outlines stands off at their sharpest corner.

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
    area: WorkArea, bed: Bed, tool: Tool, outlines: Iterable[Outline] = ()
) -> WorkArea:
    """Return where outlines may lie so that the tool keeps to the area and cuts on the bed only.

    Shape:
        The area itself where its margins suffice; else it is smaller, keep-outs larger.

    Args:
        area: where cut lines may lie.
        bed: the whole opening.
        tool: what cuts.
        outlines: of the pieces: a beam's line, or a rule's side, reaches farther at sharp corners.

    Raises:
        GeometryError: when no area is left.
    """
    line, edge = over_the_line(tool), over_the_bed(tool)
    if not line and not edge:
        return area
    if isinstance(tool, Laser | SteelRuleDie):
        further = past_corners(outlines)
        line, edge = line * further, edge - line + line * further if line else edge * further
    keep_outs = tuple(_grown(each, edge) for each in area.keep_outs)
    if bed.boundary is None and replace(area, keep_outs=()).is_rectangle:
        box = _inside(area, bed, line, edge)
        if box.width <= 0.0 or box.height <= 0.0:
            raise _nothing_left(edge)
        if box == area.bounds and keep_outs == area.keep_outs:
            return area
        if area.open_right:
            # As much behind the last outline as before the first one.
            longest = area.longest - 2.0 * (box.left - area.bounds.left)
            return WorkArea.roll(box.left, box.bottom, box.height, longest)
        room = WorkArea.rectangle(box.left, box.bottom, box.width, box.height)
        return replace(room, keep_outs=keep_outs)
    opening = _polygon(bed.boundary or _rectangle(bed))
    left: BaseGeometry = _polygon(area.boundary).buffer(-line, join_style="mitre")
    left = left.intersection(opening.buffer(-edge, join_style="mitre"))
    if left.geom_type != "Polygon" or left.is_empty:
        raise _nothing_left(edge)
    ring = shapely.get_coordinates(shapely.orient_polygons(left))[:-1]
    return WorkArea(Outline.of(ring.tolist()), keep_outs, area.open_right)


def _nothing_left(edge: float) -> GeometryError:
    return GeometryError(
        f"The tool needs {edge:g} mm round every piece, and the bed leaves no area then; use a "
        "larger bed or smaller margins.",
        where=("cutter", "bed"),
    )


def _rectangle(bed: Bed) -> Outline:
    return WorkArea.rectangle(0.0, 0.0, bed.width, bed.height).boundary


def _polygon(outline: Outline) -> shapely.Polygon:
    return shapely.Polygon(flattened(outline, CHORD))


def _inside(area: WorkArea, bed: Bed, line: float, edge: float) -> Bounds:
    box = area.bounds
    right = box.right if area.open_right else min(box.right - line, bed.width - edge)
    return Bounds(
        max(box.left + line, edge),
        max(box.bottom + line, edge),
        right,
        min(box.top - line, bed.height - edge),
    )


def _grown(outline: Outline, by: float) -> Outline:
    grown = _polygon(outline).buffer(by + _CHORD * outline.has_arcs, join_style="mitre")
    ring = shapely.get_coordinates(shapely.orient_polygons(grown))[:-1]
    return Outline.of(ring.tolist())


def kept_free(area: WorkArea, blade: DragBlade) -> Iterator[WorkArea]:
    """Give the area with room kept for the cut that brings a trailing blade into line.

    Shape:
        In turn with a small rectangle at each corner, along the bed or across it: which of them
        costs no piece depends on the layout. Of a roll with a narrow strip before all pieces.

    Args:
        area: where outlines may lie.
        blade: its offset sets the size.
    """
    offset = blade.offset
    long = (LEAST_LONG + 2.0) * offset + CLEAR + _SLACK
    wide = 2.0 * offset + CLEAR + _SLACK
    if area.open_right:
        box = area.bounds
        yield WorkArea.roll(box.left + wide, box.bottom, box.height, area.longest - wide)
        return
    whole: BaseGeometry = _polygon(area.boundary)
    for keep_out in area.keep_outs:
        whole = whole.difference(_polygon(keep_out))
    box = area.bounds
    for corner in range(4):
        width, height = (wide, long) if corner % 2 else (long, wide)
        placed = _in_corner(whole, box, corner, width, height)
        if placed is not None:
            yield replace(area, keep_outs=(*area.keep_outs, placed))


def _in_corner(
    whole: BaseGeometry, box: Bounds, corner: int, width: float, height: float
) -> Outline | None:
    """Return a rectangle as near to a corner of the box as the area lets it lie."""
    right, top = corner in {1, 2}, corner in {2, 3}
    for step in range(_STEPS):
        share = step / _STEPS / 2.0
        dx, dy = share * (box.width - width), share * (box.height - height)
        if min(dx, dy) < 0.0:
            return None
        x = box.right - width - dx if right else box.left + dx
        y = box.top - height - dy if top else box.bottom + dy
        if whole.buffer(_SLACK / 10.0).covers(shapely.box(x, y, x + width, y + height)):
            return WorkArea.rectangle(x, y, width, height).boundary
    return None


def inwards(area: WorkArea, bed: Bed, tool: Tool) -> WorkArea:
    """Return where the tool's own line may run so that its cut stays on the bed."""
    edge = over_the_bed(tool) - over_the_line(tool)
    if not edge:
        return area
    rest = replace(area, keep_outs=tuple(_grown(each, edge) for each in area.keep_outs))
    opening = _polygon(bed.boundary or _rectangle(bed)).buffer(-edge, join_style="mitre")
    left = _polygon(area.boundary).intersection(opening)
    if left.geom_type != "Polygon" or left.is_empty or math.isclose(left.area, 0.0):
        return rest
    ring = shapely.get_coordinates(shapely.orient_polygons(left))[:-1]
    return replace(rest, boundary=Outline.of(ring.tolist()))
