"""What a format may leave out of a file only if it says so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from adapters.readers.strokes import ReadSegment, ReadStroke
from adapters.sample import sample_plan
from adapters.silent_losses import has_inner_stops, silent_loss
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.points import Point

LINE = Stroke("cut", (Vertex(0, 0), Vertex(10, 0)), closed=False)
NO_STOPS = 'holds no stops, and none of its losses is a sentence with "stop"'
NO_ARCS = 'holds no arcs, and none of its losses is a sentence with "arc"'


def arc(height: float) -> Stroke:
    """Return an arc over 10 mm, of which the bulge is its height by half of that."""
    return Stroke("cut", (Vertex(0, 0, height / 5), Vertex(10, 0)), closed=False)


def plan(*strokes: Stroke, stop: int | None = None) -> CutPlan:
    stops = () if stop is None else (Stop(stop, "check", "Look."),)
    return replace(sample_plan(), strokes=strokes, stops=stops)


@pytest.mark.parametrize(("before", "is_inner"), [(0, False), (1, True), (2, False)])
def test_stops_between_strokes(before: int, *, is_inner: bool) -> None:
    made = plan(LINE, LINE, stop=before)
    assert has_inner_stops(made) == is_inner
    assert silent_loss((), made, []) == (NO_STOPS if is_inner else "")
    assert silent_loss(("stops",), made, []) == ""
    assert silent_loss((), made, ["The archive is full."]) == (NO_STOPS if is_inner else "")
    assert silent_loss((), made, ["Fine.", "STOPS are on the run sheet."]) == ""


@pytest.mark.parametrize(
    ("height", "allowed", "words"),
    [
        (0.09, 0.0, ""), (0.11, 0.0, NO_ARCS), (-0.11, 0.0, NO_ARCS), (0.11, 0.05, NO_ARCS),
        # A file may be off by 0.1 mm at both sides of an arc.
        (0.19, 0.1, ""), (0.21, 0.1, NO_ARCS),
    ],
)  # fmt: skip
def test_arcs(height: float, allowed: float, words: str) -> None:
    made = plan(LINE, arc(height))
    assert silent_loss(("stops",), made, [], allowed=allowed) == words
    assert silent_loss(("arcs",), made, [], allowed=allowed) == ""
    assert silent_loss((), made, ["Arcs are chords."], allowed=allowed) == ""
    # Not as a part of another word.
    assert silent_loss((), made, ["A monarch."], allowed=allowed) == words


def test_a_file_with_chords_for_arcs() -> None:
    made = plan(LINE, arc(0.01), arc(2.0))
    line = ReadStroke(Point(0, 0), (ReadSegment(Point(5, 0), Point(10, 0)),), False, "cut")
    bent = ReadStroke(Point(0, 0), (ReadSegment(Point(5, -2), Point(10, 0)),), False, "cut")
    assert silent_loss(("arcs",), made, [], [line, line, bent]) == ""
    found = silent_loss(("arcs",), made, [], [line, bent, line])
    assert found.startswith("has chords for the arcs of stroke 3")
    assert found.endswith(', and no loss is a sentence with "arc"')
    assert silent_loss(("arcs",), made, ["An arc is chords."], [line, line, line]) == ""
