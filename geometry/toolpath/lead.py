"""Lead-ins: a beam starts in waste, so that the burn of piercing does not mark an edge."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from geometry import polygons
from geometry.measure import flattened
from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain, Outline, Vertex
from geometry.model.plan import Stroke
from geometry.model.points import Point, points_of, turn_between
from geometry.model.segments import segment
from geometry.tolerance import CHORD
from geometry.toolpath.strokes import along

#: Lengths of lead-ins to try, longest first, mm.
_LENGTHS = (1.5, 1.0, 0.6, 0.3)
#: Clearance between a lead-in and other outlines, in addition to the beam's width, mm.
_CLEAR = 0.2
#: Distances of a tip and of the lead-in to it may differ by less, mm.
_ROUNDING = 1e-6


def with_leads(strokes: Sequence[Stroke], kerf: float, room: WorkArea) -> list[Stroke]:
    """Return the strokes, with a lead-in before every closed cut that has room for one.

    Shape:
        Strokes with a lead-in are open and end where their outline starts.

    Args:
        strokes: the beam's paths in order.
        kerf: width of the slot, mm.
        room: area for cut lines.
    """
    led = [number for number, stroke in enumerate(strokes) if _led(stroke)]
    if not led:
        return list(strokes)
    done = list(strokes)
    # Lines that pieces have in common are open: edges of pieces as well, which no lead-in may mark.
    trails = [each for each in strokes if _is_trail(each)]
    begins = _begins([strokes[number] for number in led], trails, kerf, room)
    for number, begin in zip(led, begins, strict=True):
        if begin is not None:
            stroke = strokes[number]
            vertices = (Vertex(*begin), *stroke.vertices, Vertex(*stroke.vertices[0].point))
            done[number] = along(stroke, vertices, closed=False)
    return done


def _led(stroke: Stroke) -> bool:
    return stroke.closed and stroke.operation == "cut"


def _is_trail(stroke: Stroke) -> bool:
    return not stroke.closed and stroke.operation == "cut" and stroke.part != "line-up"


def _begins(
    strokes: Sequence[Stroke], trails: Sequence[Stroke], kerf: float, room: WorkArea
) -> Iterator[Point | None]:
    """Yield the start of each closed cut's lead-in, ``None`` where there is no room for one."""
    rings = polygons.rings_of([flattened(Outline(each.vertices), CHORD) for each in strokes])
    others = polygons.lines_of([flattened(Chain(each.vertices), CHORD) for each in trails])
    tree = polygons.STRtree(np.concatenate([rings, others]))
    tips = np.array([each.vertices[0].point for each in strokes])
    # Every lead-in ends at its tip: near another line, none has room.
    asked, near = tree.query(
        polygons.points(tips), predicate="dwithin", distance=kerf + _CLEAR - _ROUNDING
    )
    crowded = set(asked[near != asked].tolist())
    some = [number for number in range(len(strokes)) if number not in crowded]
    found = dict(zip(some, _found(strokes, some, rings, tree, kerf, room), strict=True))
    yield from map(found.get, range(len(strokes)))


def _found(
    strokes: Sequence[Stroke],
    some: Sequence[int],
    rings: NDArray[np.object_],
    tree: polygons.STRtree,
    kerf: float,
    room: WorkArea,
) -> Iterator[Point | None]:
    """Yield the start of the lead-in of some strokes.

    Args:
        strokes: all closed cuts.
        some: the numbers of those that may have room.
        rings: of all closed cuts.
        tree: these, and all other lines that no lead-in may come near.
        kerf: width of the slot, mm.
        room: area for cut lines.
    """
    if not some:
        return
    tips = [strokes[number].vertices[0].point for number in some]
    begins = [
        each
        for tip, number in zip(tips, some, strict=True)
        for each in _tried(tip, strokes[number])
    ]
    tried = len(_LENGTHS)
    owners = np.repeat(some, tried)
    ends = np.array(begins), np.repeat(np.array(tips), tried, axis=0)
    ways = polygons.linestrings(np.stack(ends, axis=1))
    area: polygons.BaseGeometry = polygons.flattened_polygon(room.boundary, CHORD)
    for keep_out in room.keep_outs:
        area = area.difference(polygons.flattened_polygon(keep_out, CHORD))
    polygons.prepare(area)
    free = polygons.covers(area, ways)
    asked, near = tree.query(ways, predicate="dwithin", distance=kerf + _CLEAR)
    free[asked[near != owners[asked]]] = False
    holes = np.array([strokes[number].part == "hole" for number in some])
    free &= _clear(ends[0], rings[some], holes, kerf)
    for own, clear in enumerate(free.reshape(-1, tried).tolist()):
        yield begins[own * tried + clear.index(True)] if True in clear else None


def _clear(
    begins: NDArray[np.float64], rings: NDArray[np.object_], holes: NDArray[np.bool_], kerf: float
) -> NDArray[np.bool_]:
    """Return which lead-ins touch their own outline only at its end."""
    x, y = begins.T
    tried = len(_LENGTHS)
    inside = polygons.contains_xy(np.repeat(polygons.polygons(rings), tried), x, y)
    away = polygons.distance(np.repeat(rings, tried), polygons.points(x, y))
    least = np.tile(np.minimum(_LENGTHS, kerf + _CLEAR) / 2.0, len(rings))
    clear: NDArray[np.bool_] = (inside == np.repeat(holes, tried)) & (away >= least)
    return clear


def _tried(tip: Point, stroke: Stroke) -> list[Point]:
    """Return the starts of lead-ins to try, the farthest first."""
    direction = _waste(stroke)
    cos, sin = math.cos(direction), math.sin(direction)
    return points_of([(tip.x + length * cos, tip.y + length * sin) for length in _LENGTHS])


def _waste(stroke: Stroke) -> float:
    """Return the direction from the first vertex into waste, midway between its two edges."""
    last, first, second = stroke.vertices[-1], *stroke.vertices[:2]
    before = segment(last.point, first.point, last.bulge).end_heading
    after = segment(first.point, second.point, first.bulge).start_heading
    left = before + turn_between(before, after) / 2.0 + math.pi / 2.0
    return left if stroke.part == "hole" else left + math.pi
