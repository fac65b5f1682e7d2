"""Proves the lines that several pieces of a load share."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.model.cutter import Tool
from geometry.model.placement import Placement
from geometry.model.plan import Stroke
from geometry.proof.curves import corners, flat, on_bed, pairs, turn_of
from geometry.proof.cut_edges import Trail, half_width, trail_of
from geometry.proof.piece_cuts import (
    ACCURACY,
    PieceEdges,
    TiesLeft,
    bridges_of,
    most_bridge,
)
from geometry.tolerance import room_for_slot

Placed = tuple[Placement, PieceEdges]
#: Maximum number of pieces whose ties are measured one by one: those of a load are alike.
_MEASURED = 60
#: Share of the length of common lines that may be tips.
_TIPS = 0.1


def common_faults(
    placed: Sequence[Placed], strokes: Sequence[Stroke], tool: Tool, ties: TiesLeft
) -> Iterator[str]:
    """Yield what is wrong with the cuts of a load whose pieces share their lines."""
    own = [each for each in strokes if each.operation == "cut"]
    if not own or not placed:
        yield "no piece is cut"
        return
    whole = half_width(tool)
    # Edge to edge only holes have room for the slot: outlines are cut on their lines.
    half = 0.0 if _too_near(placed, 2.0 * whole) else whole
    holes = [_trail(each, tool) for each in own if each.part == "hole"]
    cuts = [_trail(each, tool) for each in own if each.part != "hole"]
    yield from _line_faults(placed, cuts, half, ties, "common lines", slice(1))
    with_holes = [each for each in placed if len(each[1].rings) > 1]
    if with_holes or holes:
        yield from _line_faults(with_holes, holes, whole, TiesLeft(), "holes", slice(1, None))


def _line_faults(
    placed: Sequence[Placed],
    cuts: Sequence[Trail],
    half: float,
    ties: TiesLeft,
    what: str,
    which: slice,
) -> Iterator[str]:
    """Yield what is wrong with the cuts of some of the pieces' rings: outlines, or holes."""
    if not cuts or not placed:
        yield f"{what} are not cut" if placed else f"{what} are cut that no piece has"
        return
    rings = [_moved(shell, place) for place, edges in placed for shell in edges.shells[which]]
    tree = polygons.STRtree([polygons.LinearRing(ring) for ring in rings])
    ways = [pairs(flat(each.on_edges)) for each in cuts]
    middles = [(way[1:] + way[:-1]) / 2.0 for way in ways]
    away = _nearest(tree, np.concatenate([*ways, *middles]))
    if half:
        # The mitred tip of one piece's slot may come nearer to its neighbour; edges may not, and
        # pieces whose hollows are too narrow for the slot are cut on their lines.
        narrow = any(edges.too_narrow for edges in {id(each): each for _, each in placed}.values())
        along = np.concatenate([np.hypot(*np.diff(way, axis=0).T) for way in ways])
        near = half - away[-len(along) :]
        wrong = float(along[near > ACCURACY].sum()) > _TIPS * float(along.sum())
        deep = float(np.median(near[near > ACCURACY])) if wrong and not narrow else 0.0
    else:
        deep = float(away.max())
    if deep > ACCURACY:
        yield f"{what} are {deep:.3f} mm off the pieces' edges"
    if ties.count:
        yield from _tied(placed, cuts, half, ties)
        return
    ways = [pairs(flat(path)) for each in cuts for path in each.paths]
    lines = polygons.linestrings(
        np.concatenate([np.stack([way[:-1], way[1:]], axis=1) for way in ways])
    )
    reached = polygons.STRtree(lines)
    seen = np.concatenate(
        [pairs(on_bed(edges.looked_at(which, half), place)) for place, edges in placed]
    )
    left = float(_nearest(reached, seen).max()) - half
    if left > ACCURACY:
        yield f"{what} miss an edge by {left:.3f} mm"


def _trail(stroke: Stroke, tool: Tool) -> Trail:
    angle = None if stroke.angle_deg is None else math.radians(stroke.angle_deg)
    rows = corners(stroke.vertices, closed=stroke.closed)
    return trail_of(rows, tool, stroke.operation, angle, None)


def _moved(points: NDArray[np.float64], place: Placement) -> NDArray[np.float64]:
    return pairs(on_bed(points[:, 0] + 1j * points[:, 1], place))


def _nearest(tree: polygons.STRtree, points: NDArray[np.float64]) -> NDArray[np.float64]:
    _, away = tree.query_nearest(polygons.points(points), return_distance=True, all_matches=False)
    return np.asarray(away)


def _too_near(placed: Sequence[Placed], kerf: float) -> bool:
    """Return whether two pieces lie nearer than the slot."""
    if not kerf:
        return False
    areas = _areas(placed)
    room = room_for_slot(kerf)
    near = polygons.STRtree(areas).query(areas, predicate="dwithin", distance=room)
    return bool((near[0] != near[1]).any())


def _areas(placed: Sequence[Placed]) -> NDArray[np.object_]:
    """Return the areas of pieces on the bed; those of one kind are built together."""
    kinds: dict[int, list[int]] = {}
    for at, (_, edges) in enumerate(placed):
        kinds.setdefault(id(edges), []).append(at)
    areas = np.empty(len(placed), dtype=object)
    for numbers in kinds.values():
        edges = placed[numbers[0]][1]
        moves = [placed[at][0] for at in numbers]
        turns = np.array([turn_of(each) for each in moves])[:, None]
        shifts = np.array([complex(each.move.x, each.move.y) for each in moves])[:, None]
        shell, *holes = (
            polygons.linearrings(_rows(ring * turns + shifts)) for ring in edges.flat_rings
        )
        areas[numbers] = polygons.polygons(shell, np.stack(holes, axis=1) if holes else None)
    return areas


def _rows(places: NDArray[np.complex128]) -> NDArray[np.float64]:
    """Return points as x and y along a last axis."""
    return np.stack([places.real, places.imag], axis=-1)


def _tied(
    placed: Sequence[Placed], cuts: Sequence[Trail], half: float, ties: TiesLeft
) -> Iterator[str]:
    """Yield where ties of common lines are too wide or missing; a tie may hold two pieces."""
    step = max(1, math.ceil(len(placed) / _MEASURED))
    tree = polygons.STRtree([polygons.LineString(pairs(flat(each.rows))) for each in cuts])
    for number in range(0, len(placed), step):
        place, edges = placed[number]
        ring = on_bed(edges.flat_rings[0], place)
        area = polygons.LinearRing(pairs(ring))
        near = tree.query(area, predicate="dwithin", distance=half + ACCURACY)
        found = bridges_of(ring, [cuts[at] for at in near], half)
        wide = [length for length in found if length > most_bridge(edges, ties)]
        if wide or len(found) > ties.count + len(edges.rings[0]):
            yield f"placement {number} ({place.piece}) is left uncut on {sum(found):.2f} mm"
