"""As many pieces of one kind as a work area of any shape holds: lattices, then the edges."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from geometry.layout.bottom_left import Placed, Variant, add, variants
from geometry.layout.effort import Budget, Effort
from geometry.layout.fit import DoesNotFit, candidate_turns
from geometry.layout.inner_fit import inner_fit
from geometry.layout.item import Item
from geometry.layout.objective import used_strip
from geometry.layout.polygons import Coordinates
from geometry.layout.row_units import Shape, units_of
from geometry.layout.rows import Stack, refined, stacks
from geometry.model.cutter import WorkArea
from geometry.model.segments import Bounds
from geometry.model.transform import cos_sin_deg, scaled

#: Phases of a lattice along each of its two directions.
_PHASES = 8
_HALVINGS = 30
#: Turns tried before a piece is refused.
_TURNS = 24
#: Pieces up to which edges are filled piece by piece, and in the first stage, which nothing cuts
#: short.
_MAX_EDGED, _MAX_EDGED_QUICK = 600, 120
#: Steps for one lattice laid at all its phases. Own measurement.
_STEPS_PER_LATTICE = 25.0
#: Shares that differ by less are the same strip.
_SAME = 1e-9


@dataclass(frozen=True)
class Lattice:
    """Pieces that repeat by two steps; ``ways`` and ``offsets`` say what repeats."""

    ways: tuple[Variant, ...]
    offsets: Coordinates
    along: Coordinates
    up: Coordinates


def irregular_fillings(
    item: Item, room: WorkArea, *, gap: float, effort: Effort, budget: Budget
) -> Iterator[list[Placed]]:
    """Yield ever fuller fillings of an area of any shape with an item's outlines.

    Shape:
        At least one outline, and no more than wanted.

    Raises:
        DoesNotFit: when not even one fits.
        SearchEnded: when the budget is spent.
    """
    best: list[Placed] = []
    if not add(item, 1, room, best, gap=gap, turns=effort.turns_per_piece, budget=budget) and not (
        add(item, 1, room, best, gap=gap, turns=_TURNS, budget=budget)
    ):
        raise _too_large(item, room)
    yield best
    tries: list[tuple[int, int, list[Placed]]] = []
    for number, lattice in enumerate(_lattices(item, gap, effort.lattices)):
        budget.spend(_STEPS_PER_LATTICE)
        laid = _laid(item, lattice, room)
        tries.append((-len(laid), number, laid))
        if len(laid) > len(best):
            best = laid[: item.quantity]
            yield best
        if len(best) >= item.quantity:
            return
    fullest = [laid for _, _, laid in sorted(tries, key=lambda each: each[:2])]
    most = _MAX_EDGED if effort.edge_fillings else _MAX_EDGED_QUICK
    for laid in ([], *fullest[: effort.edged_lattices]):
        if max(len(laid), len(best)) > most or len(best) >= item.quantity:
            continue
        placed = list(laid)
        missing = item.quantity - len(placed)
        turns = effort.turns_per_piece
        add(item, missing, room, placed, gap=gap, turns=turns, budget=budget)
        if len(placed) > len(best):
            best = placed
            yield best


def irregular_strips(
    item: Item, room: WorkArea, count: int, *, gap: float, effort: Effort, budget: Budget
) -> Iterator[list[Placed]]:
    """Yield ``count`` outlines of lattices on ever smaller strips of an area of any shape.

    Of every lattice the pieces that end first from one of the four sides are taken. Nothing where
    no lattice holds so many.

    Raises:
        SearchEnded: when the budget is spent.
    """
    least = math.inf
    outlines = {item.piece: item.outline}
    for lattice in _lattices(item, gap, effort.lattices):
        budget.spend(_STEPS_PER_LATTICE)
        laid = _laid(item, lattice, room)
        if len(laid) < count:
            continue
        for side in _SIDES:
            first = sorted(laid, key=side)[:count]
            share = used_strip([each.placement for each in first], outlines, room).share
            if share < least - _SAME:
                least = share
                yield first


def _box(each: Placed) -> Bounds:
    box = each.variant.outline.bounds
    return Bounds(box.left + each.x, box.bottom + each.y, box.right + each.x, box.top + each.y)


def _end(value: float, across: float) -> tuple[float, float]:
    return round(value, 6), round(across, 6)


#: The order in which pieces end from the left, from below, from the right and from above.
_SIDES: tuple[Callable[[Placed], tuple[float, float]], ...] = (
    lambda each: _end(_box(each).right, each.y),
    lambda each: _end(_box(each).top, each.x),
    lambda each: _end(-_box(each).left, each.y),
    lambda each: _end(-_box(each).bottom, each.x),
)


def _too_large(item: Item, room: WorkArea) -> DoesNotFit:
    """Return the refusal of an item, with the largest size that would fit."""
    low, high = 0.0, 1.0
    ways = variants(item, _TURNS)
    best = ways[0]
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        fit = [
            way
            for way in ways
            if not inner_fit(
                room, Variant(way.turn_deg, scaled(item.outline, middle), way.mirrored).outline
            ).is_empty
        ]
        if fit:
            low, best = middle, fit[0]
        else:
            high = middle
    box, limit = best.outline.bounds, room.bounds
    return DoesNotFit(
        item.piece, (box.width, box.height), (limit.width, limit.height), max(low, 1e-9)
    )


def _lattices(item: Item, gap: float, most: int) -> Iterator[Lattice]:
    """Yield lattices of an item, the densest first."""
    shape = Shape(item.outline, gap)
    stated = item.stated_turns_deg
    half_turns = stated is None or all((turn + 180.0) % 360.0 in stated for turn in stated)
    found: list[tuple[float, int, Stack, float]] = []
    quarters = (0.0, -90.0) if stated is None else (0.0,)
    for turn in candidate_turns(item):
        for unit in units_of(shape, turn, half_turns=half_turns):
            for stack in stacks(shape, unit, half_turns=half_turns):
                found.extend(
                    (-round(stack.density, 9), len(found), stack, quarter) for quarter in quarters
                )
    for _, _, stack, quarter in sorted(found, key=lambda each: each[:2])[:most]:
        fine = refined(stack)
        if fine is not None:
            yield lattice_of(item, fine, quarter)


def lattice_of(item: Item, stack: Stack, quarter: float = 0.0) -> Lattice:
    """Return a stack as a lattice, turned by a quarter when asked, degrees."""
    ways: list[Variant] = []
    offsets: list[tuple[float, float]] = []
    x = y = 0.0
    unit = stack.first
    for step in stack.steps:
        for each in unit.members:
            ways.append(Variant((each.turn_deg + quarter) % 360.0, item.outline))
            offsets.append((x + each.x, y + each.y))
        x, y, unit = x + step.dx, y + step.dy, step.unit
    cos, sin = cos_sin_deg(quarter)
    turn = np.array([[cos, sin], [-sin, cos]])
    return Lattice(
        tuple(ways),
        np.array(offsets) @ turn,
        np.array([stack.first.period, 0.0]) @ turn,
        np.array([x, y]) @ turn,
    )


def _laid(item: Item, lattice: Lattice, room: WorkArea) -> list[Placed]:
    """Return the pieces of a lattice that lie in the area, at the best phase found."""
    regions = [inner_fit(room, way.outline) for way in lattice.ways]
    for region in regions:
        shapely.prepare(region)
    nodes = _nodes(lattice, room)
    shares = np.arange(_PHASES) / _PHASES
    best, centre = _best_phase(lattice, regions, nodes, shares, (0.0, 0.0))
    near = (np.arange(_PHASES) - _PHASES // 2) / _PHASES**2
    finer, centre_near = _best_phase(lattice, regions, nodes, near, centre)
    if finer > best:
        centre = centre_near
    placed: list[Placed] = []
    for way, offset, region in zip(lattice.ways, lattice.offsets, regions, strict=True):
        at = nodes + offset + _origin(lattice, regions) + _moved(lattice, centre)
        inside = shapely.intersects_xy(region, at[:, 0], at[:, 1])
        placed.extend(Placed(item.piece, way, float(x), float(y)) for x, y in at[inside])
    return sorted(placed, key=lambda each: (round(each.x, 6), round(each.y, 6)))


def _moved(lattice: Lattice, phase: tuple[float, float]) -> Coordinates:
    moved: Coordinates = phase[0] * lattice.along + phase[1] * lattice.up
    return moved


def _origin(lattice: Lattice, regions: list[BaseGeometry]) -> Coordinates:
    """Return a move that brings the first piece flush with the area's left and lower sides."""
    for region, offset in zip(regions, lattice.offsets, strict=True):
        if not region.is_empty:
            low: Coordinates = np.array(region.bounds[:2]) - offset
            return low
    return np.zeros(2)


def _best_phase(
    lattice: Lattice,
    regions: list[BaseGeometry],
    nodes: Coordinates,
    shares: Coordinates,
    centre: tuple[float, float],
) -> tuple[int, tuple[float, float]]:
    """Return the most pieces and the phase that gives them, shares of the two steps."""
    phases = np.array([(a + centre[0], b + centre[1]) for a in shares for b in shares])
    moves = phases @ np.array([lattice.along, lattice.up]) + _origin(lattice, regions)
    counts = np.zeros(len(phases), dtype=np.int64)
    for offset, region in zip(lattice.offsets, regions, strict=True):
        at = nodes[None, :, :] + offset + moves[:, None, :]
        counts += shapely.intersects_xy(region, at[..., 0], at[..., 1]).sum(axis=1)
    index = int(np.argmax(counts))
    return int(counts[index]), (float(phases[index, 0]), float(phases[index, 1]))


def _nodes(lattice: Lattice, room: WorkArea) -> Coordinates:
    """Return the lattice's nodes about the origin, enough to cover the area from any corner."""
    box = room.bounds
    basis = np.array([lattice.along, lattice.up])
    reach = box.width + box.height
    corners = np.array([(-reach, -reach), (reach, -reach), (reach, reach), (-reach, reach)])
    steps = corners @ np.linalg.inv(basis)
    low, high = np.floor(steps.min(axis=0)) - 2, np.ceil(steps.max(axis=0)) + 2
    i, j = np.meshgrid(np.arange(low[0], high[0] + 1), np.arange(low[1], high[1] + 1))
    nodes = np.column_stack([i.ravel(), j.ravel()]) @ basis
    margin = 2.0 * (np.abs(lattice.along) + np.abs(lattice.up)) + np.abs(lattice.offsets).max(
        axis=0
    )
    keep = (nodes >= -margin).all(axis=1) & (
        nodes <= np.array([box.width, box.height]) + margin
    ).all(axis=1)
    kept: Coordinates = nodes[keep]
    return kept
