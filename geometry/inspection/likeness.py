"""Outlines that are alike: congruent groups, and the catalogue shape nearest to an outline."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.hands import merged_edges
from geometry.inspection.work import StepBudget
from geometry.measure import corner_turns, perimeter
from geometry.model.outline import Outline, Vertex
from geometry.model.points import Point, distance
from geometry.model.transform import Rigid
from geometry.shapes.catalogue import CATALOGUE

#: Relative difference up to which two outlines, or an outline and a catalogue shape, are equal.
ALIKE = 2.0e-3
#: Maximum number of first edges at which two outlines are compared in full. Every edge of a regular
#: shape is a possible one, and all give the same result.
_MAX_SHIFTS = 64
#: Turns are compared modulo this: rounding makes a half turn plus or minus pi.
_FULL = math.tau

_Signature: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True)
class Nearest:
    """The catalogue shape of an outline: its kind, one size and the deviation."""

    kind: str
    parameter: str
    size: float
    off: float


# Signatures: an outline's edges and corners in order, independent of position, rotation and size.


@lru_cache(maxsize=1024)
def _signature(outline: Outline) -> _Signature:
    """Return rows of an edge's share of the perimeter, its sweep, and the turn before it."""
    whole = perimeter(outline)
    rows = [
        (part.length / whole, 4.0 * math.atan(part.bulge), turn)
        for part, turn in zip(outline.segments, corner_turns(outline), strict=True)
    ]
    return np.array(rows)


@lru_cache(maxsize=1024)
def _plain(outline: Outline) -> Outline:
    """Return an outline with edges along one line or circle merged."""
    parts = merged_edges(outline)
    return Outline(tuple(Vertex(part.start.x, part.start.y, part.bulge) for part in parts))


@lru_cache(maxsize=1024)
def _mirrored(outline: Outline) -> Outline:
    return Rigid(mirrored=True).outline(outline)


def difference(first: Outline, second: Outline) -> float:
    """Return the difference of two shapes, 0 if similar; infinite if they are not alike.

    Rotated, mirrored and scaled outlines are similar.
    """
    first, second = _plain(first), _plain(second)
    if len(first.vertices) != len(second.vertices):
        return math.inf
    wanted = _signature(first)
    return min(_best_off(wanted, _signature(other)) for other in (second, _mirrored(second)))


def _best_off(wanted: _Signature, other: _Signature) -> float:
    """Return the smallest difference over all first edges; infinite above ``ALIKE``."""
    for column in (0, 1):
        # Sorted values do not depend on which edge comes first.
        gaps = np.abs(np.sort(wanted[:, column]) - np.sort(other[:, column]))
        if gaps.max() > ALIKE:
            return math.inf
    starts = np.flatnonzero(_off(wanted[0], other) <= ALIKE)
    count = len(wanted)
    for step in (1, 2, count // 3, count // 2, count - 1):
        rows = other[(starts + step) % count]
        starts = starts[_off(wanted[step % count], rows) <= ALIKE]
    best = math.inf
    for start in starts[:_MAX_SHIFTS].tolist():
        best = min(best, float(_off(wanted, np.roll(other, -start, axis=0)).max()))
    return best if best <= ALIKE else math.inf


def _off(one: _Signature, other: _Signature) -> NDArray[np.float64]:
    """Return the largest difference of the values of each row."""
    gaps = np.abs(one - other)
    turns = np.abs((gaps[..., 2] + math.pi) % _FULL - math.pi)
    return np.asarray(np.maximum(np.maximum(gaps[..., 0], gaps[..., 1]), turns))


def find_groups(outlines: Sequence[Outline], work: StepBudget) -> tuple[tuple[int, ...], ...]:
    """Return groups of indices of congruent outlines, including mirror images."""
    groups: list[list[int]] = []
    around = [perimeter(outline) for outline in outlines]
    for index, outline in enumerate(outlines):
        alike = (
            group
            for group in groups
            if math.isclose(around[group[0]], around[index], rel_tol=ALIKE)
        )
        for group in alike:
            if not work.can_do(2_000 + 200 * len(outline.vertices)):
                groups.append([index])
                break
            if difference(outlines[group[0]], outline) <= ALIKE:
                group.append(index)
                break
        else:
            groups.append([index])
    return tuple(tuple(group) for group in groups)


@cache
def _units() -> dict[str, tuple[str, float, Outline]]:
    """Return the kinds sized by one length, each with that parameter and its unit outline."""
    found: dict[str, tuple[str, float, Outline]] = {}
    for name, kind in CATALOGUE.items():
        if kind.required or len(kind.size_options[0]) != 1:
            continue
        # The sizing parameter may be an unexpected one, as for a petal, which is sized by its
        # square.
        for parameter, *more in kind.size_options:
            if parameter in kind.unit and not more:
                found[name] = (parameter, float(kind.unit[parameter]), kind.build(kind.unit))
                break
    return found


def nearest_kind(outline: Outline) -> Nearest | None:
    """Return the catalogue shape of an outline, up to rotation and mirroring, with its size.

    Rectangles are recognised by their angles; ``size`` is then the longer side.
    """
    best: Nearest | None = None
    for kind, (parameter, unit, drawn) in _units().items():
        off = difference(outline, drawn)
        if off <= ALIKE and (best is None or off < best.off - 1e-9):
            size = unit * perimeter(outline) / perimeter(drawn)
            best = Nearest(kind, parameter, size, off)
    if best is None and (diameter := _circle(outline)) is not None:
        return Nearest("circle", "diameter", diameter, ALIKE)
    if best is None and _is_rectangle(outline):
        longer = max(part.length for part in outline.segments)
        return Nearest("rectangle", "width", longer, 0.0)
    return best


def _circle(outline: Outline) -> float | None:
    """Return the diameter of a circle drawn as other curves or as many arcs."""
    if not all(part.bulge for part in outline.segments):
        return None
    box = outline.bounds
    middle = Point((box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0)
    points = [part.point_at(share) for part in outline.segments for share in (0.0, 0.3, 0.6)]
    reach = [distance(middle, point) for point in points]
    return 2.0 * sum(reach) / len(reach) if max(reach) - min(reach) <= ALIKE * max(reach) else None


def _is_rectangle(outline: Outline) -> bool:
    return (
        len(outline.vertices) == 4  # noqa: PLR2004 - four corners
        and not outline.has_arcs
        and all(abs(turn - math.pi / 2.0) < ALIKE for turn in corner_turns(outline))
    )
