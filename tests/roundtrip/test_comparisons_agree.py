"""Every way of comparing a read stroke with its plan finds what the slowest, point by point, does.

``deviation`` tries quick comparisons first: side by side, then whole segments as arrays. None may
accept a stroke that following it point by point refuses, or state another deviation.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from adapters import path_deviation, registry
from adapters.path_deviation import deviation
from adapters.readback import allowed_by, read_by
from adapters.readers.strokes import ReadStroke
from adapters.split import is_circle
from adapters.tracks import track_of
from geometry.model.plan import Stroke
from tests.roundtrip import plans
from tests.roundtrip.every import load

GCODE = {"head": "laser", "power": 300, "score_power": 60, "feed_mm_min": 1200}
WRITTEN: dict[str, tuple[str, dict[str, Any]]] = {
    "svg": ("svg", {}),
    "dxf": ("dxf", {}),
    "hpgl": ("hpgl", {}),
    "hpgl arcs": ("hpgl", {"arcs": "AA"}),
    "gcode": ("gcode", GCODE),
    "gcode chords": ("gcode", {**GCODE, "arcs": "chords"}),
    "pdf": ("pdf", {"paper": "bed", "margin_mm": 0.0}),
}


def followed(read: ReadStroke, stroke: Stroke, allowed: float) -> float:
    """Return the deviation found point by point alone."""
    ring = stroke.vertices
    if stroke.closed:
        ring = tuple(path_deviation.aligned(ring, read))
    tracks = [track_of(a, b) for a, b in itertools.pairwise(ring)]
    return path_deviation._off_followed(read, tracks, allowed)


@cache
def read(written: str) -> tuple[list[tuple[ReadStroke, Stroke]], float]:
    name, settings = WRITTEN[written]
    plan, adapter = load("pen"), registry.get(name)
    data = adapter.write(plan, settings).data
    strokes = read_by(name, data, plan, settings).strokes
    pairs = [
        (found, stroke)
        for found, stroke in zip(strokes, plan.strokes, strict=True)
        if not is_circle(stroke)
    ]
    return pairs[::3], allowed_by(adapter, settings)


@pytest.mark.parametrize("written", WRITTEN)
def test_right_files_deviate_as_much_however_they_are_compared(written: str) -> None:
    pairs, allowed = read(written)
    assert len(pairs) > 20
    for found, stroke in pairs:
        slow = followed(found, stroke, allowed)
        assert slow <= allowed
        for quick in path_deviation._comparisons(found, stroke, allowed):
            # Side by side, a point must be where its part ends, not only anywhere on the line.
            assert quick == math.inf or slow - 1e-9 <= quick
        assert slow - 1e-9 <= deviation(found, stroke, allowed=allowed) <= allowed


def _off(found: ReadStroke, by: float) -> ReadStroke:
    """Return a stroke with the end of its middle segment moved."""
    at = len(found.segments) // 2
    moves = list(found.segments)
    end = moves[at].end
    moves[at] = moves[at]._replace(end=end._replace(x=end.x + by, y=end.y + by))
    return replace(found, segments=tuple(moves))


def _backwards(found: ReadStroke) -> ReadStroke:
    starts = [found.start, *(move.end for move in found.segments[:-1])]
    moves = [
        move._replace(end=start)
        for move, start in zip(found.segments[::-1], starts[::-1], strict=True)
    ]
    return replace(found, start=found.segments[-1].end, segments=tuple(moves))


def _bent(found: ReadStroke) -> ReadStroke:
    """Return a stroke whose middles are mirrored in the chords of its arcs."""
    starts = [found.start, *(move.end for move in found.segments[:-1])]
    moves = [
        move._replace(
            middle=move.middle._replace(
                x=start.x + move.end.x - move.middle.x, y=start.y + move.end.y - move.middle.y
            ),
        )
        for move, start in zip(found.segments, starts, strict=True)
    ]
    return replace(found, segments=tuple(moves))


def _shorter(found: ReadStroke) -> ReadStroke:
    return replace(found, segments=found.segments[: len(found.segments) // 2])


WRONG: dict[str, Callable[[ReadStroke], ReadStroke]] = {
    "a corner moved": lambda found: _off(found, 0.2),
    "another direction": _backwards,
    "arcs on the other side": _bent,
    "half missing": _shorter,
    "not a number": lambda found: _off(found, math.nan),
}


@pytest.mark.parametrize("wrong", WRONG)
@pytest.mark.parametrize("written", WRITTEN)
def test_no_comparison_accepts_a_wrong_file(written: str, wrong: str) -> None:
    pairs, allowed = read(written)
    seen = 0
    for found, stroke in pairs:
        changed = WRONG[wrong](found)
        if wrong == "arcs on the other side" and followed(changed, stroke, allowed) <= allowed:
            # Chords have no other side, and short arcs none to speak of.
            continue
        seen += 1
        for quick in path_deviation._comparisons(changed, stroke, allowed):
            assert not quick <= allowed, (stroke.piece, quick)
        assert not deviation(changed, stroke, allowed=allowed) <= allowed
    assert seen or "chords" in written or written == "hpgl"


def test_an_arc_is_compared_part_by_part() -> None:
    """A half circle in four parts is found side by side, and one part of it on a chord is not."""
    clam = plans.pieces()["clam"]
    stroke = Stroke("cut", clam.vertices, closed=True)
    plan = replace(plans.plan(), strokes=(stroke,))
    (found,) = read_by("svg", registry.get("svg").write(plan, {}).data, plan, {}).strokes
    assert next(path_deviation._comparisons(found, stroke, 0.001)) <= 0.001
    moves = list(found.segments)
    starts = [found.start, *(move.end for move in moves)]
    middle = starts[1]._replace(
        x=(starts[1].x + moves[1].end.x) / 2.0, y=(starts[1].y + moves[1].end.y) / 2.0
    )
    moves[1] = moves[1]._replace(middle=middle)
    wrong = replace(found, segments=tuple(moves))
    assert all(off > 1.0 for off in path_deviation._comparisons(wrong, stroke, 0.001))
