"""Rectangles that a work area of another shape holds, and orders laid in them.

A clamp in a corner, or corners that are rounded, leave a rectangle that is nearly as large as the
bed; rows of a rectangle fill it better than rows that make way.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from functools import lru_cache
from itertools import combinations, product

import numpy as np

from geometry import polygons
from geometry.layout.effort import Budget, Effort, unlimited
from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.fitting.inner_fit import boundary_polygon
from geometry.layout.item import Filling
from geometry.layout.kinds.one_mixed import one_mixed
from geometry.layout.objective import is_better, placement_bounds, used_strip
from geometry.layout.orders.loads import loads_of
from geometry.layout.strips.low_strips import lower_strips
from geometry.layout.task import Loads, Task, load_count
from geometry.measure import flattened
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load, shifted

#: Lines along each axis between which rectangles are sought; with more there are too many.
_MAX_LINES = 14
#: Rectangles that are tried, and the share of the bed's box that each must cover.
_MOST, _LEAST_SHARE = 3, 0.2
#: Rectangles narrower than this hold nothing, and areas by so much larger count as covered, mm.
_NARROW, _HAIR = 1.0, 1e-6
#: Chords of a keep-out's arcs, mm.
_CHORD = 0.02
#: Halvings of the height of a strip that all pieces of a load lie on.
_HALVINGS = 5


def in_clear_rectangles(
    task: Task, loads: Loads, effort: Effort, budget: Budget
) -> Iterator[Loads]:
    """Yield the order, and each load of a layout of it, laid in rectangles that are clear.

    In the first stage, which no steps pay for, in each of them; then in the one that was best.

    Args:
        task: the order, on a work area that is no rectangle.
        loads: the best so far.
        effort: of the stage.
        budget: pays for the later stages.

    Raises:
        SearchEnded: when the budget is spent.
    """
    best = loads
    first = effort.steps == 0.0
    rectangles = clear_rectangles(task.room) if first else [task.clear] if task.clear else []
    for rectangle in rectangles:
        for found in _laid(task, rectangle, effort, unlimited() if first else budget):
            if is_better(task.score(found), task.score(best)):
                best = found
                task.clear = rectangle if first else task.clear
            yield found
    if not task.is_of_use(load_count(best)):
        task.lowest = best
        return
    if first:
        task.lowest = tuple(_shorter(task, load, effort, is_all=len(best) == 1) for load in best)
        yield task.lowest
        return
    if is_better(task.score(task.lowest), task.score(best)):
        best = task.lowest
    for number, load in enumerate(best):
        for lower in _on_lower_strips(_alone(task, load), load, effort, budget):
            yield (*best[:number], lower, *best[number + 1 :])


def _laid(task: Task, rectangle: WorkArea, effort: Effort, budget: Budget) -> Iterator[Loads]:
    with suppress(DoesNotFit):
        for loads in loads_of(task.on(rectangle), effort, budget):
            yield tuple(_at_its_corner(task, load, rectangle) for load in loads)


def _at_its_corner(task: Task, load: Load, rectangle: WorkArea) -> Load:
    """Return a load in the corner of a rectangle from which it uses the least of the bed."""
    used, whole = placement_bounds(load.placements, task.outlines), rectangle.bounds
    corners = product(
        (whole.left - used.left, whole.right - used.right),
        (whole.bottom - used.bottom, whole.top - used.top),
    )
    moved = [shifted(load.placements, *by) for by in corners]
    areas = [round(used_strip(each, task.outlines, task.room).area, 6) for each in moved]
    return replace(load, placements=moved[areas.index(min(areas))])


def _shorter(task: Task, load: Load, effort: Effort, *, is_all: bool) -> Load:
    """Return a load, with its pieces in a clear rectangle where they take less of the bed there.

    ``is_all`` says that it is the whole order, of which the rectangles are known.
    """
    best, least = load, used_strip(load.placements, task.outlines, task.room).area
    own = _alone(task, load)
    for rectangle in () if is_all and load.repeats == 1 else clear_rectangles(task.room):
        for found in _laid(own, rectangle, effort, unlimited()):
            if len(found) > 1 or found[0].repeats > 1:
                continue
            used = used_strip(found[0].placements, task.outlines, task.room).area
            if used < least - _HAIR:
                best, least = replace(load, placements=found[0].placements), used
    for lower in _on_lower_strips(own, best, effort, unlimited()):
        best = lower
    return best


def _alone(task: Task, load: Load) -> Task:
    """Return the order of one load's pieces."""
    own = replace(task.on(task.room), max_loads=None)
    own.items = [
        replace(item, quantity=load.outlines[item.piece])
        for item in task.items
        if load.outlines.get(item.piece)
    ]
    return own


def _on_lower_strips(own: Task, load: Load, effort: Effort, budget: Budget) -> Iterator[Load]:
    """Yield a load on ever lower strips of the bed along a side of a clear rectangle.

    In a rectangle that a clamp ends, strips of both directions may take the same share, but of the
    bed one takes less. A load of several kinds is not always laid on the lower one then.

    Raises:
        SearchEnded: when the budget is spent.
    """
    if len(own.items) == 1:
        return
    bed, wanted = own.room.bounds, dict(load.outlines)

    def on_strip(strip: WorkArea) -> Filling | None:
        with suppress(DoesNotFit):
            placed = one_mixed(own.on(strip), wanted, effort, budget, strips=True)
            if len(placed) == len(load.placements):
                return tuple(each.placement for each in placed)
        return None

    for rectangle, from_left in product(clear_rectangles(own.room), (True, False)):
        box = rectangle.bounds
        side, whole, across = box.width, bed.width, box.height
        if not from_left:
            side, whole, across = box.height, bed.height, box.width
        least = used_strip(load.placements, own.outlines, own.room).area / side
        # Along a part of a side a strip takes as much as along all of it; and where less than all
        # of a rectangle would do, the load lies there.
        if side < whole - _HAIR or least > across - _HAIR:
            continue
        for _, filling in lower_strips(
            own.items, wanted, rectangle, least / across, on_strip,
            from_left=from_left, halvings=_HALVINGS,
        ):  # fmt: skip
            lower = _at_its_corner(own, replace(load, placements=filling), rectangle)
            if used_strip(lower.placements, own.outlines, own.room).area < side * least - _HAIR:
                load = lower
                yield load


@lru_cache(maxsize=64)
def clear_rectangles(room: WorkArea) -> tuple[WorkArea, ...]:
    """Return the largest rectangles between the corners of a work area and of its keep-outs.

    Shape:
        The largest first, none within another; none where corners are too many.

    Units:
        mm.
    """
    across = {vertex.x for vertex in room.boundary.vertices}
    up = {vertex.y for vertex in room.boundary.vertices}
    free: polygons.BaseGeometry = boundary_polygon(room.boundary)
    for keep_out in room.keep_outs:
        box = keep_out.bounds
        across |= {box.left, box.right}
        up |= {box.bottom, box.top}
        free = polygons.difference(free, polygons.Polygon(flattened(keep_out, _CHORD)))
    if max(len(across), len(up)) > _MAX_LINES:
        return ()
    whole = room.bounds
    xs, ys = (
        sorted({min(max(each, low), high) for each in lines})
        for lines, low, high in (
            (across, whole.left, whole.right),
            (up, whole.bottom, whole.top),
        )
    )
    boxes = np.array(
        [
            (left, bottom, right, top)
            for left, right in combinations(xs, 2)
            for bottom, top in combinations(ys, 2)
            if right - left > _NARROW and top - bottom > _NARROW
        ]
    ).reshape(-1, 4)
    sizes = (boxes[:, 2] - boxes[:, 0]) * (boxes[:, 3] - boxes[:, 1])
    boxes = boxes[sizes >= _LEAST_SHARE * whole.width * whole.height]
    grown = polygons.buffer(free, _HAIR, join_style="mitre")
    boxes = boxes[polygons.covers(grown, polygons.box(*boxes.T))] if len(boxes) else boxes
    found: list[tuple[float, ...]] = []
    for box in sorted(boxes.tolist(), key=lambda b: -round((b[2] - b[0]) * (b[3] - b[1]), 6)):
        if not any(_is_within(box, other) for other in found) and len(found) < _MOST:
            found.append(tuple(box))
    return tuple(
        WorkArea.rectangle(left, bottom, right - left, top - bottom)
        for left, bottom, right, top in found
    )


def _is_within(box: list[float], other: tuple[float, ...]) -> bool:
    return box[0] >= other[0] and box[1] >= other[1] and box[2] <= other[2] and box[3] <= other[3]
