"""The common model of drawings: closed outlines and open paths, in mm, y up."""

from __future__ import annotations

import itertools
import math
from collections import Counter, deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

from geometry.model.outline import Vertex
from geometry.model.points import Point, distance
from geometry.shapes.custom import closed_up
from geometry.units import UNIT_MM

#: Maximum bytes of a file.
MAX_BYTES = 1_000_000
#: Maximum drawn elements and segments of a file.
MAX_ELEMENTS = 10_000
MAX_SEGMENTS = 10_000
#: Units for a drawing's numbers; px are CSS pixels, 96 per inch.
UNITS_MM = {**UNIT_MM, "px": UNIT_MM["in"] / 96.0}
#: Ends within this distance, mm, are joined.
JOINED = 0.05
#: Ends within this distance, mm, differ only by rounding and are not reported.
_UNSEEN = 1.0e-6
#: Relative difference at which two units are equal.
_SAME_UNIT = 1.0e-3


class DrawingError(ValueError):
    """A drawing cannot be used; the message says what is wrong and what would work."""


@dataclass(frozen=True)
class Path:
    """A path of lines and arcs; ``group`` is its layer or group, ``name`` its id.

    ``gap`` is the widest gap, mm, that was closed by joining ends; ``fill`` is the stated colour of
    what it encloses, as the file writes it, or empty.
    """

    vertices: tuple[Vertex, ...]
    group: str = ""
    name: str = ""
    closed: bool = False
    gap: float = 0.0
    fill: str = ""


@dataclass(frozen=True)
class Skipped:
    """Skipped elements of one kind without an outline, such as text, and their number."""

    element: str
    count: int


def counted(names: Iterable[str]) -> tuple[Skipped, ...]:
    """Return the skipped elements by kind, in order of first appearance."""
    return tuple(Skipped(name, count) for name, count in Counter(names).items())


def other_units(stated: str | None, unit_mm: float) -> list[str]:
    """Return a note if the units stated beside a file differ from its own.

    Args:
        stated: the units stated beside the file.
        unit_mm: mm of the file's own unit.
    """
    if stated is None or math.isclose(UNITS_MM[stated], unit_mm, rel_tol=_SAME_UNIT):
        return []
    text = (
        f"The file states its own unit, {unit_mm:.6g} mm, which was used; the units stated beside "
        f"it ({stated}) were not."
    )
    return [text]


@dataclass(frozen=True)
class Drawing:
    """A drawing's paths with joined ends, and notes about its reading."""

    format: str
    paths: tuple[Path, ...]
    notes: tuple[str, ...] = ()
    skipped: tuple[Skipped, ...] = ()


def joined(paths: Iterable[Path]) -> tuple[Path, ...]:
    """Return paths, with open ends of one group joined if they are within ``JOINED`` mm.

    A path whose own ends meet is closed. Of several ends in reach the nearest is joined, of equal
    ones the first drawn. The time is about linear in the number of paths.
    """
    every = list(paths)
    done = [path for path in every if path.closed]
    loose = [path for path in every if not path.closed]
    ends = _Ends(loose)
    done.extend(_grown(ends, index) for index in range(len(loose)) if index in ends.left)
    return tuple(
        replace(path, vertices=closed_up(path.vertices)) if path.closed else path for path in done
    )


def joining_notes(paths: Iterable[Path]) -> list[str]:
    """Return a note if joined ends did not meet exactly."""
    gaps = [path.gap for path in paths if path.gap > _UNSEEN]
    if not gaps:
        return []
    runs = "1 run" if len(gaps) == 1 else f"{len(gaps)} runs"
    widest = f"Ends up to {max(gaps):.4f} mm apart were joined in {runs}"
    return [f"{widest} (they may be {JOINED:g} mm apart)."]


#: A group, and where ends of its paths lie.
_Spot: TypeAlias = tuple[str, Point]


#: A square of the grid, and those round it.
_AROUND = tuple(itertools.product((-1, 0, 1), repeat=2))


class _Ends:
    """A grid of the ends of open paths, in squares of ``JOINED`` mm.

    Ends at the same point wait in one line, of which only the first is looked at: thousands of
    lines drawn over each other take no longer than others.
    """

    def __init__(self, paths: Sequence[Path]) -> None:
        self.paths = paths
        self.left = set(range(len(paths)))
        self._squares: dict[tuple[int, int], dict[_Spot, deque[tuple[int, bool]]]] = {}
        for index, path in enumerate(paths):
            for at_end in (False, True):
                point = self._end(index, at_end=at_end)
                square = _square(point)
                if square is not None:
                    spots = self._squares.setdefault(square, {})
                    spots.setdefault((path.group, point), deque()).append((index, at_end))

    def take(self, point: Point, group: str) -> tuple[Path, float] | None:
        """Remove the path nearest to a point; return it, starting there, and its distance."""
        square = _square(point)
        if square is None:
            return None
        same = self._squares.get(square, {}).get((group, point))
        if same is not None and (first := self._first(same)) is not None:
            # None is nearer than at the same place.
            return self._removed(*first), 0.0
        found = []
        for dx, dy in _AROUND:
            spots = self._squares.get((square[0] + dx, square[1] + dy))
            for spot, line in spots.items() if spots else ():
                if spot[0] != group or not (gap := distance(point, spot[1])) <= JOINED:
                    continue
                if (first := self._first(line)) is not None:
                    found.append((gap, *first))
        if not found:
            return None
        gap, index, at_end = min(found)
        return self._removed(index, at_end), gap

    def _removed(self, index: int, at_end: bool) -> Path:  # noqa: FBT001 - as it stands in a line
        self.left.remove(index)
        return _backwards(self.paths[index]) if at_end else self.paths[index]

    def _first(self, line: deque[tuple[int, bool]]) -> tuple[int, bool] | None:
        """Return the first end in a line whose path is left; forget those before it."""
        while line and line[0][0] not in self.left:
            line.popleft()
        return line[0] if line else None

    def _end(self, index: int, *, at_end: bool) -> Point:
        return self.paths[index].vertices[-1 if at_end else 0].point


def _square(point: Point) -> tuple[int, int] | None:
    if not (math.isfinite(point.x) and math.isfinite(point.y)):
        return None
    return math.floor(point.x / JOINED), math.floor(point.y / JOINED)


def _grown(ends: _Ends, index: int) -> Path:
    """Return a path extended at its end and then at its start."""
    ends.left.remove(index)
    first = ends.paths[index]
    pieces = deque([first])
    widest = 0.0
    for forward in (True, False):
        while not _ring_gap(pieces) <= JOINED:
            tip = pieces[-1].vertices[-1] if forward else pieces[0].vertices[0]
            found = ends.take(tip.point, first.group)
            if found is None:
                break
            piece, gap = found
            widest = max(widest, gap)
            if forward:
                pieces.append(piece)
            else:
                pieces.appendleft(_backwards(piece))
    vertices = [vertex for piece in pieces for vertex in piece.vertices[:-1]]
    ring = _ring_gap(pieces)
    if ring <= JOINED:
        gap = max(widest, ring)
        return Path(tuple(vertices), first.group, first.name, True, gap, first.fill)  # noqa: FBT003 - as its class has them
    vertices.append(pieces[-1].vertices[-1])
    return Path(tuple(vertices), first.group, first.name, gap=widest)


def _ring_gap(pieces: Sequence[Path]) -> float:
    """Return the distance between a path's ends; infinite for one with too few edges to close."""
    if len(pieces) == 1 and len(pieces[0].vertices) < 3:  # noqa: PLR2004 - a ring has two edges
        return math.inf
    return distance(pieces[0].vertices[0].point, pieces[-1].vertices[-1].point)


def _backwards(path: Path) -> Path:
    turned = path.vertices[::-1]
    if any(v.bulge for v in path.vertices):
        bulges = [-v.bulge if v.bulge else 0.0 for v in path.vertices[:-1]][::-1]
        turned = tuple(v._replace(bulge=b) for v, b in zip(turned, [*bulges, 0.0], strict=True))
    return Path(turned, path.group, path.name, path.closed, path.gap, path.fill)
