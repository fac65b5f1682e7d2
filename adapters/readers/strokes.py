"""What a reader hands back."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

from geometry.model.points import Point


@dataclass(frozen=True, slots=True)
class ReadSegment:
    """One straight or round move: where it goes through half-way and where it ends, mm."""

    middle: Point
    end: Point


@dataclass(frozen=True, slots=True)
class ReadStroke:
    """One stroke as a file has it, mm, y up; ``group`` is the format's own name for its kind."""

    start: Point
    segments: tuple[ReadSegment, ...]
    closed: bool
    group: str


def straight(points: list[Point], *, closed: bool, group: str) -> ReadStroke:
    """Return a stroke of straight moves from the first point through all others."""
    return ReadStroke(
        points[0],
        tuple(
            ReadSegment(Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0), b)
            for a, b in itertools.pairwise(points)
        ),
        closed,
        group,
    )
