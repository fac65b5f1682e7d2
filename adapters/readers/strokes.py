"""Strokes as readers return them."""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from typing import NamedTuple

from geometry.model.points import Point


class ReadSegment(NamedTuple):
    """A line or an arc: its mid-point and its end, mm."""

    middle: Point
    end: Point


@dataclass(frozen=True, slots=True)
class ReadStroke:
    """A stroke of a file, mm, y up; ``group`` is the format's own name for its layer.

    ``work`` holds what the file states of how it is cut, by the name of the setting: power, depth,
    feed, speed. It is compared for built-in formats only: a plug-in's reader leaves it empty, and
    raises an error if the file states another feed than ``settings`` do.
    """

    start: Point
    segments: tuple[ReadSegment, ...]
    closed: bool
    group: str
    work: tuple[tuple[str, float | str], ...] = ()


@dataclass(frozen=True, slots=True)
class ReadStop:
    """A stop of a file, after ``before_stroke`` strokes, and its words for the operator."""

    before_stroke: int
    words: str


def straight(points: list[Point], *, closed: bool, group: str) -> ReadStroke:
    """Return a stroke of lines from the first point through all others."""
    return ReadStroke(
        points[0],
        tuple(
            ReadSegment(Point((a.x + b.x) / 2.0, (a.y + b.y) / 2.0), b)
            for a, b in itertools.pairwise(points)
        ),
        closed,
        group,
    )
