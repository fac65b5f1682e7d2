"""Pieces put one by one where there is still room: edges of lattices, mixtures of kinds.

Source:
    Placing at the corners of what the inner-fit region has left after the no-fit polygons of all
    placed pieces are taken off (Bennell and Oliveira, European Journal of Operational Research
    184, 2008); the corner whose piece ends leftmost, then lowest, is taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property, lru_cache

import numpy as np

from geometry import polygons
from geometry.layout.effort import Budget
from geometry.layout.fitting.fit import candidate_turns
from geometry.layout.fitting.holding_polygons import Coordinates, holding_polygon, turned
from geometry.layout.fitting.inner_fit import HAIR, inner_fit
from geometry.layout.fitting.no_fit import no_fit
from geometry.layout.item import Item
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.model.placement import Placement
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid, cos_sin_deg

#: Steps for the banned places of one more piece beside another, by corner, and for each way that
#: a piece may lie. Own measurement.
_STEPS_PER_PAIR, _STEPS_PER_WAY = 0.004, 0.2


class Side(Enum):
    """A side of the room that pieces are put against."""

    LEFT = "left"
    BOTTOM = "bottom"
    RIGHT = "right"
    TOP = "top"


@dataclass(frozen=True)
class Variant:
    """An outline as it may lie: turned, perhaps mirrored, at its own origin."""

    turn_deg: float
    base: Outline
    mirrored: bool = False

    @cached_property
    def outline(self) -> Outline:
        """The outline as it lies, at its own origin."""
        return turned(self.base, self.turn_deg, self.mirrored)


@dataclass(frozen=True)
class Placed:
    """A piece in its place."""

    piece: str
    variant: Variant
    x: float
    y: float

    @property
    def placement(self) -> Placement:
        """The place in the layout's own form."""
        move = Rigid(self.variant.turn_deg, self.x, self.y, mirrored=self.variant.mirrored)
        return Placement(self.piece, move)


@lru_cache(maxsize=256)
def variants(item: Item, most: int) -> tuple[Variant, ...]:
    """Return the ways an item may lie that look different, at most so many of each hand."""
    turns = item.stated_turns_deg or (
        *(turn for turn in candidate_turns(item) for turn in (turn, turn + 180.0)),
    )
    plain = sorted(turns, key=lambda each: (each % 90.0 != 0.0, each % 15.0 != 0.0, each))
    return distinct(item, plain, most)


def distinct(item: Item, turns: Sequence[float], most: int) -> tuple[Variant, ...]:
    """Return the first ways an item may lie that look different, at most so many of each hand."""
    found: list[Variant] = []
    for mirrored in (False, True) if item.mirror else (False,):
        count = 0
        for turn in turns:
            variant = Variant(turn, item.outline, mirrored)
            if count < most and not any(_alike(variant.outline, v.outline) for v in found):
                found.append(variant)
                count += 1
    return tuple(found)


def _alike(first: Outline, second: Outline) -> bool:
    """Return whether two outlines are the same up to a move, whatever vertex they start at."""
    if len(first.vertices) != len(second.vertices):
        return False
    a = np.array([(v.x, v.y, v.bulge) for v in first.vertices])
    b = np.array([(v.x, v.y, v.bulge) for v in second.vertices])
    a[:, :2] -= a[:, :2].mean(axis=0)
    b[:, :2] -= b[:, :2].mean(axis=0)
    near = np.abs(a[:, None, :] - b[None, :, :]).max(axis=2).min(axis=1)
    return bool(near.max() < 1e-6)  # noqa: PLR2004 - the layout's accuracy


def placed_of(placements: Sequence[Placement], outlines: dict[str, Outline]) -> list[Placed]:
    """Return placements in the form that this module works with."""
    return [
        Placed(
            each.piece,
            Variant(each.move.turn_deg, outlines[each.piece], each.move.mirrored),
            each.move.x,
            each.move.y,
        )
        for each in placements
    ]


@lru_cache(maxsize=4096)
def _banned(first: Variant, second: Variant, gap: float) -> polygons.BaseGeometry:
    """Return where the second may not lie beside the first, itself at 0, 0."""
    # Turned together two pieces keep out of each other just so: one ring serves a relative turn.
    other = turned(
        second.base, round((second.turn_deg - first.turn_deg) % 360.0, 9), second.mirrored
    )
    ring = no_fit(turned(first.base, 0.0, first.mirrored), other, gap)
    cos, sin = cos_sin_deg(first.turn_deg)
    polygon = polygons.Polygon(ring @ np.array([[cos, sin], [-sin, cos]]))
    return polygon.buffer(-HAIR, join_style="mitre")


def _at(region: polygons.BaseGeometry, x: float, y: float) -> polygons.BaseGeometry:
    return polygons.transform(region, lambda points: np.add(points, (x, y)))


def region_left(
    room: WorkArea, placed: Sequence[Placed], variant: Variant, gap: float
) -> polygons.BaseGeometry:
    """Return the places that are left for one more piece."""
    region = inner_fit(room, variant.outline)
    if region.is_empty or not placed:
        return region
    places: dict[Variant, list[tuple[float, float]]] = {}
    for each in placed:
        places.setdefault(each.variant, []).append((each.x, each.y))
    banned: list[polygons.BaseGeometry] = []
    for other, at in places.items():
        banned.extend(_at_all(_banned(other, variant, gap), np.array(at)))
    left: polygons.BaseGeometry = region.difference(polygons.union_all(banned))
    return left


def _at_all(region: polygons.BaseGeometry, places: Coordinates) -> list[polygons.BaseGeometry]:
    """Return a region at every one of many places."""
    if not isinstance(region, polygons.Polygon) or region.interiors:
        return [_at(region, x, y) for x, y in places.tolist()]
    found = polygons.polygons(polygons.get_coordinates(region) + places[:, None, :])
    return list(found)


def add(  # noqa: PLR0913 - each is one thing that the search needs
    item: Item,
    count: int,
    room: WorkArea,
    placed: list[Placed],
    *,
    gap: float,
    turns: int,
    budget: Budget,
    side: Side = Side.LEFT,
    reverse: bool = False,
) -> int:
    """Put up to ``count`` pieces of an item into what is left; return how many were put.

    ``placed`` is added to. Pieces are put against one side of the room. Of turns at which a piece
    goes equally well the first is taken, or the last where ``reverse``.

    Raises:
        SearchEnded: when the budget is spent; ``placed`` holds what was put until then.
    """
    ways = variants(item, turns)[:: -1 if reverse else 1]
    corners = len(holding_polygon(item.outline))
    budget.spend(_STEPS_PER_PAIR * corners * len(ways) * (1 + len(placed)))
    return put(item.piece, ways, count, room, placed, gap=gap, budget=budget, side=side)


def put(
    piece: str,
    ways: Sequence[Variant],
    count: int,
    room: WorkArea,
    placed: list[Placed],
    *,
    gap: float,
    budget: Budget,
    side: Side,
) -> int:
    """Put up to ``count`` pieces in any of some ways into what is left, as ``add`` does.

    Raises:
        SearchEnded: when the budget is spent; ``placed`` holds what was put until then.
    """
    regions = _regions_left(room, placed, ways, gap, budget)
    done = 0
    while done < count:
        best = _lowest(ways, regions, side)
        if best is None:
            break
        index, x, y = best
        placed.append(Placed(piece, ways[index], x, y))
        done += 1
        budget.spend(_STEPS_PER_WAY * len(ways))
        for other, way in enumerate(ways):
            if not regions[other].is_empty:
                banned = _at(_banned(ways[index], way, gap), x, y)
                regions[other] = regions[other].difference(banned)
    return done


def _regions_left(
    room: WorkArea, placed: Sequence[Placed], ways: Sequence[Variant], gap: float, budget: Budget
) -> list[polygons.BaseGeometry]:
    """Return the places that are left for one more piece, for each way it may lie.

    Orders of kinds, sides and strips often come to the same pieces in the same places.
    """
    if not placed:
        return [inner_fit(room, way.outline) for way in ways]
    found = budget.found.known_or_made(
        (room, tuple(placed), tuple(ways), gap),
        lambda: [region_left(room, placed, way, gap) for way in ways],
    )
    return list(found)


def _lowest(
    ways: Sequence[Variant], regions: Sequence[polygons.BaseGeometry], side: Side
) -> tuple[int, float, float] | None:
    """Return the way and place whose piece ends nearest to a side, then lowest or leftmost."""
    best: tuple[float, float, int, float, float] | None = None
    for index, region in enumerate(regions):
        points = polygons.get_coordinates(region)
        if not len(points):
            continue
        far, across = _ends(points, ways[index].outline.bounds, side)
        at = int(np.lexsort((across, far))[0])
        found = (
            float(far[at]),
            float(across[at]),
            index,
            float(points[at, 0]),
            float(points[at, 1]),
        )
        if best is None or found < best:
            best = found
    return None if best is None else best[2:]


def _ends(points: Coordinates, box: Bounds, side: Side) -> tuple[Coordinates, Coordinates]:
    """Return how far from a side a box at each place ends, and how far along that side."""
    right = np.round(points[:, 0] + box.right, 5)
    top = np.round(points[:, 1] + box.top, 5)
    if side is Side.LEFT:
        return right, top
    if side is Side.BOTTOM:
        return top, right
    if side is Side.RIGHT:
        return -np.round(points[:, 0] + box.left, 5), top
    return -np.round(points[:, 1] + box.bottom, 5), right
