"""What makes one layout better than another, in one stated order.

Fewer pieces missing; fewer loads; less material; fewer different loads; and with common lines a
shorter cut. The material of a load is the strip of its sheet that is used: everything between one
side of the sheet and the far end of the pieces, along the side that leaves the larger whole
rectangle. Travel and stops follow from the tool path, which comes later.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from geometry import polygons
from geometry.layout.fitting.holding_polygons import turned
from geometry.layout.item import Used
from geometry.layout.strip_areas import least_of, strip_areas
from geometry.measure import flattened
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Load, Placement
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid

#: Material and lengths that differ by less than this share are the same: rounding.
_SAME_SHARE = 1e-7
#: Chords of arcs, and the grid on which lines that lie on each other are found to be one, mm.
_CHORD, _GRID = 0.02, 1e-4

#: Missing pieces, loads, share of the sheets used, different loads, cut length in mm.
Score = tuple[int, int, float, int, float]


def placement_bounds(placements: Sequence[Placement], outlines: Mapping[str, Outline]) -> Bounds:
    """Return the box around all placements, mm."""
    alike: dict[tuple[str, float, bool], list[Rigid]] = {}
    for each in placements:
        move = each.move
        alike.setdefault((each.piece, move.turn_deg, move.mirrored), []).append(move)
    left = bottom = float("inf")
    right = top = float("-inf")
    for (piece, turn_deg, mirrored), moves in alike.items():
        box = turned(outlines[piece], turn_deg, mirrored).bounds
        across, up = [move.x for move in moves], [move.y for move in moves]
        left, right = min(left, min(across) + box.left), max(right, max(across) + box.right)
        bottom, top = min(bottom, min(up) + box.bottom), max(top, max(up) + box.top)
    return Bounds(left, bottom, right, top)


def used_strip(
    placements: Sequence[Placement], outlines: Mapping[str, Outline], room: WorkArea
) -> Used:
    """Return the strip of the work area that placements use, the one that leaves most."""
    used, whole = placement_bounds(placements, outlines), room.bounds
    if room.open_right:
        length = used.right - whole.left
        size = length * whole.height
        return Used(whole.left, whole.bottom, used.right, whole.top, size, 1.0)
    strips = [
        (whole.left, whole.bottom, min(used.right, whole.right), whole.top),
        (whole.left, whole.bottom, whole.right, min(used.top, whole.top)),
        (max(used.left, whole.left), whole.bottom, whole.right, whole.top),
        (whole.left, max(used.bottom, whole.bottom), whole.right, whole.top),
    ]
    areas = strip_areas(room)
    sizes = areas.around(used)
    best = least_of(sizes)
    return Used(*strips[best], sizes[best], sizes[best] / areas.whole)


def score(
    loads: Sequence[Load],
    outlines: Mapping[str, Outline],
    room: WorkArea,
    wanted: int,
    lines: Mapping[str, Outline] | None = None,
) -> Score:
    """Return what a layout is judged by: the lower of two is the better one.

    Args:
        loads: the layout.
        outlines: of the pieces, by their names.
        room: where they may lie.
        wanted: how many pieces are to be placed.
        lines: what is cut round each piece where common lines are cut once; ``None`` where the
            length of the cut is no matter.
    """
    placed = sum(len(load.placements) * load.repeats for load in loads)
    load_count = sum(load.repeats for load in loads)
    unit = room.bounds.height if room.open_right else strip_areas(room).whole
    material = sum(
        used_strip(load.placements, outlines, room).area / unit * load.repeats for load in loads
    )
    length = 0.0
    if lines is not None:
        length = sum(cut_length(load.placements, lines) * load.repeats for load in loads)
    return (wanted - placed, load_count, material, len(loads), length)


def is_better(first: Score, second: Score | None) -> bool:
    """Return whether a score is better than another by more than rounding."""
    if second is None:
        return True
    for one, other in zip(first, second, strict=True):
        slack = _SAME_SHARE * max(1.0, abs(other)) if isinstance(other, float) else 0
        if one < other - slack:
            return True
        if one > other + slack:
            return False
    return False


def cut_length(placements: Sequence[Placement], outlines: Mapping[str, Outline]) -> float:
    """Return the length of all lines, stretches that pieces have in common counted once, mm."""
    rings = [
        polygons.LinearRing(flattened(each.move.outline(outlines[each.piece]), _CHORD))
        for each in placements
    ]
    return float(polygons.union_all(rings, grid_size=_GRID).length)
