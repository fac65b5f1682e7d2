"""Cuts in the waste stay out of the pieces; lengths worked by hand, and by shapely on the bed.

A square of 20 mm is cut by a beam whose slot is 0.2 mm wide, so its lead may come within 0.1 mm.
"""

from __future__ import annotations

import cmath
import itertools
import math
import random

import numpy as np
import pytest
import shapely
from shapely import affinity

from geometry.model.outline import Outline, Region, Vertex
from geometry.model.placement import Placement
from geometry.model.plan import Stroke
from geometry.model.transform import Rigid
from geometry.proof.cut_edges import Trail
from geometry.proof.piece_cuts import ACCURACY, PieceEdges
from geometry.proof.waste import waste_faults

HALF = 0.1
SQUARE = Region(Outline(tuple(Vertex(x, y, 0.0) for x, y in ((0, 0), (20, 0), (20, 20), (0, 20)))))
#: A ring half a slot outside the square, begun at the middle of its lower side.
RING = ((10.0, -HALF), (20.1, -HALF), (20.1, 20.1), (-0.1, 20.1), (-0.1, -HALF), (10.0, -HALF))


def led_from(x: float, y: float) -> Stroke:
    """Return the square's cut with a straight way into it from a point."""
    rows = tuple(Vertex(*place, 0.0) for place in ((x, y), *RING))
    return Stroke("cut", rows, closed=False, piece="A", placement=0)


def placed(*moves: Rigid) -> list[tuple[Placement, PieceEdges]]:
    edges = PieceEdges(SQUARE, HALF, is_mirrored=False)
    return [(Placement("A", move), edges) for move in moves]


def found(pieces: list[tuple[Placement, PieceEdges]], *strokes: Stroke) -> list[float]:
    texts = list(waste_faults(pieces, strokes, [], HALF))
    return sorted(float(text.split("comes ")[1].split()[0]) for text in texts)


def test_a_lead_in_the_waste_is_right() -> None:
    assert found(placed(Rigid(0.0, 0.0, 0.0)), led_from(10.0, -2.1)) == []


def test_a_lead_through_its_own_piece_is_measured() -> None:
    """From 3 mm inside straight down: 3 mm of the piece, and 0.096 mm of what is too near it."""
    (into,) = found(placed(Rigid(0.0, 0.0, 0.0)), led_from(10.0, 3.0))
    assert into == pytest.approx(3.0 + HALF - ACCURACY, abs=0.001)


@pytest.mark.parametrize("turn_deg", [0.0, 90.0, 180.0, 270.0])
def test_a_lead_that_comes_into_a_neighbour_is_measured(turn_deg: float) -> None:
    """The neighbour's upper side lies 1.1 mm below; a lead of 2 mm goes 0.9 + 0.096 mm into it."""
    turn = cmath.exp(1j * math.radians(turn_deg))
    # Turned about its middle, which is at (10, -11.1).
    at = complex(10.0, -11.1) - complex(10.0, 10.0) * turn
    pieces = placed(Rigid(0.0, 0.0, 0.0), Rigid(turn_deg, at.real, at.imag))
    (into,) = found(pieces, led_from(10.0, -2.1))
    assert into == pytest.approx(1.0 + HALF - ACCURACY, abs=0.001)


def test_alike_leads_of_many_pieces_are_all_reported() -> None:
    """Measured once, but counted for each."""
    moves = [Rigid(0.0, 40.0 * at, 0.0) for at in range(5)]
    strokes = [
        Stroke("cut", tuple(v._replace(x=v.x + 40.0 * at) for v in led_from(10.0, 3.0).vertices),
               closed=False, piece="A", placement=at)
        for at in range(5)
    ]  # fmt: skip
    assert found(placed(*moves), *strokes) == pytest.approx([3.096] * 5, abs=0.001)


def test_a_bent_way_into_one_piece_counts_as_a_whole() -> None:
    """In by 0.06 mm, 10 mm along, and out again: 10.12 mm in all."""
    way = [(5 - 1j, 0.0), (5 + 0.06j, 0.0), (15 + 0.06j, 0.0), (15 - 1j, 0.0)]
    (text,) = waste_faults(placed(Rigid(0.0, 0.0, 0.0)), [], [Trail(way)], 0.0)
    assert "10.120 mm" in text


def test_the_same_is_found_as_on_the_bed() -> None:
    """Pieces turned and moved on the bed by shapely, which shares no transform with the proof."""
    chance = random.Random(7)  # noqa: S311 - not for secrets
    area = shapely.Polygon([(v.x, v.y) for v in SQUARE.outline.vertices])
    seen = 0
    for _ in range(200):
        moves = [
            Rigid(chance.uniform(0, 360), chance.uniform(0, 80), chance.uniform(0, 80))
            for _ in range(6)
        ]
        ends = [(chance.uniform(-20, 100), chance.uniform(-20, 100)) for _ in range(4)]
        ways = [
            Trail([(complex(*a), 0.0), (complex(*b), 0.0)]) for a, b in itertools.pairwise(ends)
        ]
        wanted = []
        for way in ways:
            line = shapely.LineString([(place.real, place.imag) for place, _ in way.rows])
            for move in moves:
                turned = affinity.rotate(area, move.turn_deg, origin=(0, 0))
                on_bed = affinity.translate(turned, move.x, move.y)
                length = line.intersection(on_bed.buffer(HALF - ACCURACY)).length
                wanted += [length] * (length > HALF)
        texts = waste_faults(placed(*moves), [], ways, HALF)
        own = sorted(float(text.split("comes ")[1].split()[0]) for text in texts)
        np.testing.assert_allclose(own, sorted(wanted), atol=2e-3)
        seen += len(own)
    assert seen > 200


def test_a_line_in_common_that_begins_like_a_lead_lies_on_edges() -> None:
    """Two squares side by side: down the line between them, then round the right one's rest.

    The path ends where its first line does. Moved 3 mm into a square, all of that line is wrong.
    """
    pieces = placed(Rigid(0.0, 0.0, 0.0), Rigid(0.0, 20.0, 0.0))
    rows = [(20, 20), (20, 0), (40, 0), (40, 20), (20, 0)]

    def trail(by: float) -> Stroke:
        moved = tuple(Vertex(x + by, y, 0.0) for x, y in rows)
        return Stroke("cut", moved, closed=False)

    assert found(pieces, trail(0.0)) == []
    assert found(pieces, trail(3.0)) == [pytest.approx(20.0 - 2.0 * (HALF + ACCURACY), abs=0.001)]
