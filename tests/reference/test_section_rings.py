"""Outlines round the sections of the gallery's blocks, and match marks, by shapely."""

from __future__ import annotations

import math

import pytest
import shapely

from geometry.blocks.block import DrawnBlock, read_block
from geometry.blocks.carriers import adjacency_of
from geometry.blocks.gallery import GALLERY
from geometry.blocks.section_rings import section_rings
from geometry.blocks.sections import find_sections
from geometry.measure import area, flattened
from geometry.model.outline import Outline
from service.blocks.marks import match_marks
from tests.block_drawings import of_gallery

SIDE = 30.0
"""A unit of a block's grid, mm."""


@pytest.fixture(scope="module", params=list(GALLERY))
def block(request: pytest.FixtureRequest) -> DrawnBlock:
    return read_block(of_gallery(request.param, SIDE), tolerance=0.1)


def _polygon(outline: Outline) -> shapely.Polygon:
    return shapely.Polygon(flattened(outline, 0.001))


def test_rings_go_round_their_sections(block: DrawnBlock) -> None:
    """Their areas are those of the pieces, and they cover what the pieces cover."""
    for section in find_sections(adjacency_of(block)).sections:
        rings = [ring.outline for ring in section_rings(block, section.pieces)]
        pieces = [block.outline_of(piece) for piece in section.pieces]
        whole = math.fsum(map(area, pieces))
        assert math.fsum(map(area, rings)) == pytest.approx(whole, rel=1e-9)
        joined = shapely.union_all([_polygon(each).buffer(0.002) for each in pieces])
        assert shapely.union_all([_polygon(each) for each in rings]).difference(joined).area < 0.05
        assert all(_polygon(each).is_valid for each in rings)


def test_outer_sides_go_round_the_block(block: DrawnBlock) -> None:
    """The sides on the block's edge are as long together as its outline."""
    found = 0.0
    for section in find_sections(adjacency_of(block)).sections:
        for ring in section_rings(block, section.pieces):
            parts = ring.outline.segments
            found += math.fsum(parts[side].length for side in ring.outer)
    assert found == pytest.approx(math.fsum(part.length for part in block.outline.segments))


def test_all_pieces_together_are_the_block(block: DrawnBlock) -> None:
    (ring,) = section_rings(block, range(len(block.sides)))
    assert area(ring.outline) == pytest.approx(area(block.outline), rel=1e-9)
    assert ring.outer == frozenset(range(len(ring.outline.vertices)))


def test_marks_meet_at_the_seam(block: DrawnBlock) -> None:
    """Each mark begins on a seam, where that of the other piece begins, and runs into its piece."""
    begins: dict[tuple[float, float], int] = {}
    for piece, marks in match_marks(block).items():
        inside = _polygon(block.outline_of(piece)).buffer(0.01)
        for mark in marks:
            start, end = (vertex.point for vertex in mark.vertices)
            assert inside.contains(shapely.Point(*end))
            assert inside.exterior.distance(shapely.Point(*start)) <= 0.02
            place = (round(start.x, 6), round(start.y, 6))
            begins[place] = begins.get(place, 0) + 1
    assert set(begins.values()) == {2}
    # Every two pieces that meet have one at least.
    assert len(begins) >= len(block.seams)
