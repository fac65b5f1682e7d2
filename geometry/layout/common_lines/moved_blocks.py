"""Pieces that are moved as one: turned, seen in a mirror, shifted."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from geometry import polygons
from geometry.layout.common_lines.meetings import Meetings
from geometry.layout.common_lines.straight_edges import StraightEdges
from geometry.layout.fitting.holding_polygons import Coordinates, holding_polygon, turned
from geometry.layout.fitting.inner_fit import HAIR
from geometry.layout.item import Item
from geometry.layout.rows.row_figures import Values
from geometry.model.outline import Outline
from geometry.model.placement import Placement
from geometry.model.transform import Rigid, cos_sin_deg

#: Turns that differ by less are one, degrees.
_SAME_TURN = 1e-7
#: Decimals of turns, degrees.
_TURN_DECIMALS = 9
#: The grid on which pieces of a block are made one shape, mm: a part of what it is drawn in by.
_GRID = HAIR / 4.0
#: Views of a piece from one of its edges that differ by less are alike, mm.
_ALIKE = 1e-5


@dataclass(frozen=True)
class JoinedPieces:
    """Pieces that are moved as one, where they lie.

    Attributes:
        placements: of the pieces.
        items: their kinds.
        only: numbers of edges that are laid on others; of edges that look alike one is enough.
    """

    placements: tuple[Placement, ...]
    items: tuple[Item, ...]
    only: tuple[int, ...] | None = None

    @classmethod
    def single(cls, item: Item) -> JoinedPieces:
        """Return one piece at its own origin."""
        return _single(item)

    @cached_property
    def mirrored(self) -> JoinedPieces | None:
        """The block seen in a mirror; ``None`` where a piece would not be the same then."""
        placements = []
        for each, item in zip(self.placements, self.items, strict=True):
            move = _seen_in_mirror(each.move, item)
            if move is None:
                return None
            placements.append(Placement(each.piece, move))
        return JoinedPieces(tuple(placements), self.items)

    @cached_property
    def outlines(self) -> tuple[Outline, ...]:
        """The outlines of the pieces in their places."""
        pairs = zip(self.placements, self.items, strict=True)
        return tuple(each.move.outline(item.outline) for each, item in pairs)

    @cached_property
    def edges(self) -> StraightEdges:
        """The edges, or stretches of them, that no other piece of the block lies on."""
        edges = [StraightEdges.of(outline) for outline in self.outlines]
        return (
            edges[0] if len(edges) == 1 else Meetings.of(StraightEdges.together(edges)).open_parts()
        )

    @cached_property
    def shrunk(self) -> tuple[Coordinates, ...]:
        """Corners of the block, drawn in by less than counts as an overlap; else of its pieces."""
        if len(self.placements) > 1:
            shapes = [polygons.Polygon(holding_polygon(outline)) for outline in self.outlines]
            whole = _drawn_in(polygons.union_all(shapes, grid_size=_GRID))
            if whole is not None:
                return (whole,)
        pairs = zip(self.placements, self.items, strict=True)
        return tuple(_moved(_shrunk(item.outline), each.move) for each, item in pairs)

    @cached_property
    def _corners(self) -> Coordinates:
        """All corners that decide how large the block is."""
        return np.concatenate([holding_polygon(outline) for outline in self.outlines])

    def turned(self, turns_deg: Values) -> Values:
        """Return what the block is like after turns about the origin.

        Shape:
            A row for each turn: the turn, its cosine and sine, and the block's sides: left, bottom,
            right, top. No numbers where a piece may not lie like that.
        """
        turns = [self.turn_near(turn) for turn in turns_deg.tolist()]
        known = [cos_sin_deg(turn) if turn is not None else (math.nan,) * 2 for turn in turns]
        cos, sin = np.array(known).reshape(-1, 2).T[..., None]
        x, y = self._corners.T
        across, up = x * cos - y * sin, x * sin + y * cos
        sides = across.min(axis=1), up.min(axis=1), across.max(axis=1), up.max(axis=1)
        given = np.array([math.nan if turn is None else turn for turn in turns])
        return np.column_stack([given, cos, sin, *sides])

    def turn_near(self, turn_deg: float) -> float | None:
        """Return a turn as it may be, or ``None`` where a piece may not lie like that."""
        turn = round(turn_deg % 360.0, _TURN_DECIMALS) % 360.0
        for each, item in zip(self.placements, self.items, strict=True):
            stated = item.stated_turns_deg
            if stated is None:
                continue
            off = [math.remainder(each.move.turn_deg + turn - one, 360.0) for one in stated]
            least = min(off, key=abs)
            if abs(least) > _SAME_TURN:
                return None
            turn = (turn - least) % 360.0
        return turn

    def moved(self, turn_deg: float, x: float, y: float) -> tuple[Placement, ...]:
        """Return the pieces turned about the origin, then moved."""
        cos, sin = cos_sin_deg(turn_deg)
        found = []
        for each in self.placements:
            old = each.move
            turn = round((old.turn_deg + turn_deg) % 360.0, _TURN_DECIMALS) % 360.0
            at = old.x * cos - old.y * sin + x, old.x * sin + old.y * cos + y
            found.append(Placement(each.piece, Rigid(turn, *at, mirrored=old.mirrored)))
        return tuple(found)


@lru_cache(maxsize=256)
def _single(item: Item) -> JoinedPieces:
    block = JoinedPieces((Placement(item.piece, Rigid()),), (item,))
    return JoinedPieces(block.placements, block.items, _different(block))


def _different(block: JoinedPieces) -> tuple[int, ...]:
    """Return the numbers of edges of a piece that do not look the same from the edge."""
    edges = block.edges
    corners = holding_polygon(block.outlines[0])
    seen: list[Values] = []
    found = []
    for number in range(len(edges.length)):
        across, up = (
            edges.along[number],
            np.array([-edges.along[number, 1], edges.along[number, 0]]),
        )
        local = corners - edges.start[number]
        view = np.round(np.stack([local @ across, local @ up], axis=1), 6) + 0.0
        view = view[np.lexsort(view.T)]
        if not any(np.abs(view - other).max() < _ALIKE for other in seen):
            seen.append(view)
            found.append(number)
    return tuple(found)


def _seen_in_mirror(move: Rigid, item: Item) -> Rigid | None:
    """Return the place of a piece that looks like another place in a mirror upright at the origin.

    ``None`` where the piece is not alike in a mirror and may not be mirrored.
    """
    if item.mirror:
        return Rigid(-move.turn_deg % 360.0, -move.x, move.y, mirrored=not move.mirrored)
    alike = _alike_in_mirror(item.outline)
    if alike is None:
        return None
    cos, sin = cos_sin_deg(-move.turn_deg)
    x, y = alike.x * cos - alike.y * sin, alike.x * sin + alike.y * cos
    return Rigid((alike.turn_deg - move.turn_deg) % 360.0, x - move.x, y + move.y)


@lru_cache(maxsize=256)
def _alike_in_mirror(outline: Outline) -> Rigid | None:
    """Return the move after which an outline is the same as mirrored, or ``None``."""
    mirrored = turned(outline, 0.0, mirrored=True)
    own, other = (
        np.array([(v.x, v.y, v.bulge) for v in each.vertices]) for each in (outline, mirrored)
    )
    vector = own[1, :2] - own[0, :2]
    for number in range(len(other)):
        there = np.roll(other, -number, axis=0)
        across = there[1, :2] - there[0, :2]
        turn = math.degrees(math.atan2(*across[::-1]) - math.atan2(*vector[::-1]))
        turn = round(turn % 360.0, _TURN_DECIMALS) % 360.0
        cos, sin = cos_sin_deg(turn)
        moved = own[:, :2] @ np.array([[cos, sin], [-sin, cos]])
        x, y = there[0, :2] - moved[0]
        off = np.column_stack([moved + there[0, :2] - moved[0], own[:, 2]]) - there
        if np.abs(off).max() < HAIR:
            return Rigid(turn, float(x), float(y))
    return None


@lru_cache(maxsize=256)
def _shrunk(outline: Outline) -> Coordinates:
    polygon = holding_polygon(outline)
    smaller = _drawn_in(polygons.Polygon(polygon))
    return polygon if smaller is None else smaller


def _drawn_in(shape: polygons.BaseGeometry) -> Coordinates | None:
    """Return the corners of a shape, drawn in; ``None`` of several shapes or one with holes."""
    smaller = shape.buffer(-2.0 * HAIR, join_style="mitre")
    if not isinstance(smaller, polygons.Polygon) or smaller.is_empty or smaller.interiors:
        return None
    return polygons.outer_ring(smaller)


def _moved(points: Coordinates, move: Rigid) -> Coordinates:
    cos, sin = cos_sin_deg(move.turn_deg)
    hand = -1.0 if move.mirrored else 1.0
    x, y = hand * points[:, 0], points[:, 1]
    return np.stack([x * cos - y * sin + move.x, x * sin + y * cos + move.y], axis=1)
