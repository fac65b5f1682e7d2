"""Open ends of strangers' drawings are joined to rings, in any order and direction drawn."""

import math
import random

import pytest

from geometry.measure import area, perimeter
from geometry.model.outline import Outline, Vertex
from service.drawings.drawing import JOINED, Path, joined, joining_notes


def ring_in_pieces(count: int, *, seed: int, gap: float = 0.0) -> list[Path]:
    rng = random.Random(seed)  # noqa: S311 - test data
    corners = [
        (100 * math.cos(math.tau * k / count), 100 * math.sin(math.tau * k / count))
        for k in range(count)
    ]
    pieces = []
    for (x0, y0), (x1, y1) in zip(corners, corners[1:] + corners[:1], strict=True):
        ends = [Vertex(x0 + gap, y0, 0.1), Vertex(x1, y1)]
        if rng.random() < 0.5:
            ends = [Vertex(x1, y1, -0.1), Vertex(x0 + gap, y0)]
        pieces.append(Path(tuple(ends), "cut"))
    rng.shuffle(pieces)
    return pieces


@pytest.mark.parametrize("count", [3, 7, 2000])
def test_shuffled_pieces_make_one_ring(count: int) -> None:
    (ring,) = joined(ring_in_pieces(count, seed=count))
    assert ring.closed
    assert len(ring.vertices) == count
    # derived: polygon of radius 100 and on every side a segment of bulge 0.1
    side = 200 * math.sin(math.pi / count)
    sweep = 4 * math.atan(0.1)
    radius = side / (2 * math.sin(sweep / 2))
    cap = radius**2 * (sweep - math.sin(sweep)) / 2
    polygon = count * 100**2 * math.sin(math.tau / count) / 2
    outline = Outline(ring.vertices)
    assert abs(area(outline)) == pytest.approx(polygon + count * cap, rel=1e-9)
    assert perimeter(outline) == pytest.approx(count * radius * sweep, rel=1e-9)


def test_a_gap_within_the_tolerance_is_closed_and_told() -> None:
    (ring,) = joined(ring_in_pieces(5, seed=1, gap=JOINED * 0.9))
    assert ring.closed
    assert "0.0450 mm apart" in joining_notes([ring])[0]


def test_a_wider_gap_stays_open() -> None:
    runs = joined(ring_in_pieces(5, seed=1, gap=JOINED * 1.1))
    assert len(runs) == 5
    assert not any(run.closed for run in runs)
    assert joining_notes(runs) == []


def test_layers_are_not_mixed() -> None:
    pieces = ring_in_pieces(6, seed=2)
    runs = joined(
        Path(piece.vertices, "a" if index % 2 else "b") for index, piece in enumerate(pieces)
    )
    assert not any(run.closed for run in runs)


def test_the_nearest_end_is_taken() -> None:
    far = Path((Vertex(10.04, 0), Vertex(50, 9)))
    near = Path((Vertex(20, 10), Vertex(10.0, 0)))
    start = Path((Vertex(0, 0), Vertex(10, 0)))
    runs = joined([start, far, near])
    assert [len(run.vertices) for run in runs] == [3, 2]
    assert runs[0].vertices[-1].point == (20, 10)


def test_ends_that_are_not_finite_are_left_alone() -> None:
    runs = joined([Path((Vertex(math.inf, 0), Vertex(0, 0))), Path((Vertex(math.nan, 0),) * 2)])
    assert len(runs) == 2
