"""The common model of drawings: closed outlines and open paths, in mm, y up."""

from __future__ import annotations

import itertools
import math
from collections import Counter, deque
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from geometry.model.outline import Vertex
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


class _Ends:
    """The ends of open paths, by the spots at which they lie: the same place in the same group.

    Ends at one spot wait in one line, of which only the first is looked at: thousands of lines
    drawn over each other take no longer than others.
    """

    def __init__(self, paths: Sequence[Path]) -> None:
        self.paths = paths
        self.left = set(range(len(paths)))
        numbers: dict[tuple[str, float, float], int] = {}
        #: The spots of the start and the end of each path.
        self.spots: list[tuple[int, int]] = []
        for path in paths:
            (x, y, _), (u, v, _) = path.vertices[0], path.vertices[-1]
            start = numbers.setdefault((path.group, x, y), len(numbers))
            self.spots.append((start, numbers.setdefault((path.group, u, v), len(numbers))))
        self._lines: list[deque[tuple[int, bool]]] = [deque() for _ in numbers]
        for index, (start, end) in enumerate(self.spots):
            self._lines[start].append((index, False))
            self._lines[end].append((index, True))
        self._places = list(numbers)
        self._squares: dict[tuple[int, int], list[int]] = {}
        for number, (_, x, y) in enumerate(numbers):
            if math.isfinite(x) and math.isfinite(y):
                self._squares.setdefault(_square(x, y), []).append(number)
            else:
                # What is no place is joined to nothing.
                self._lines[number].clear()

    def take(self, spot: int) -> tuple[int, bool, float] | None:
        """Remove the path nearest to a spot; return it, whether its end is there, and how far."""
        # None is nearer than at the same place.
        if (first := self._first(spot)) is not None:
            self.left.remove(first[0])
            return *first, 0.0
        group, x, y = self._places[spot]
        found = []
        for other in self._around(x, y):
            its_group, u, v = self._places[other]
            if its_group != group or not (gap := math.hypot(u - x, v - y)) <= JOINED:
                continue
            if (first := self._first(other)) is not None:
                found.append((gap, *first))
        if not found:
            return None
        gap, index, at_end = min(found)
        self.left.remove(index)
        return index, at_end, gap

    def _around(self, x: float, y: float) -> Iterator[int]:
        """Yield the spots in the square of a place and in those round it."""
        if not (math.isfinite(x) and math.isfinite(y)):
            return
        column, row = _square(x, y)
        for dx, dy in _AROUND:
            yield from self._squares.get((column + dx, row + dy), ())

    def _first(self, spot: int) -> tuple[int, bool] | None:
        """Return the first end at a spot whose path is left; forget those before it."""
        line = self._lines[spot]
        while line and line[0][0] not in self.left:
            line.popleft()
        return line[0] if line else None


#: A square of the grid, and those round it.
_AROUND = tuple(itertools.product((-1, 0, 1), repeat=2))


def _square(x: float, y: float) -> tuple[int, int]:
    return math.floor(x / JOINED), math.floor(y / JOINED)


def _grown(ends: _Ends, index: int) -> Path:
    """Return a path extended at its end and then at its start."""
    ends.left.remove(index)
    first = ends.paths[index]
    pieces = deque([first])
    start, end = ends.spots[index]
    tips = {True: end, False: start}
    widest = 0.0
    for forward in (True, False):
        while not _ring_gap(pieces) <= JOINED:
            found = ends.take(tips[forward])
            if found is None:
                break
            other, at_end, gap = found
            widest = max(widest, gap)
            tips[forward] = ends.spots[other][0 if at_end else 1]
            path = ends.paths[other]
            if forward:
                pieces.append(_backwards(path) if at_end else path)
            else:
                pieces.appendleft(path if at_end else _backwards(path))
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
    (x, y, _), (u, v, _) = pieces[0].vertices[0], pieces[-1].vertices[-1]
    return math.hypot(u - x, v - y)


def _backwards(path: Path) -> Path:
    turned = path.vertices[::-1]
    if any(v.bulge for v in path.vertices):
        bulges = [-v.bulge if v.bulge else 0.0 for v in path.vertices[:-1]][::-1]
        turned = tuple(v._replace(bulge=b) for v, b in zip(turned, [*bulges, 0.0], strict=True))
    return Path(turned, path.group, path.name, path.closed, path.gap, path.fill)
