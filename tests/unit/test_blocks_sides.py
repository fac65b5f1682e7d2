"""Sides of pieces: what arrays decide at once is what is found piece by piece."""

from __future__ import annotations

import random

import pytest

from geometry.blocks.drawing import find_block
from geometry.blocks.sides import find_sides, sides_of
from tests.block_drawings import KNOWN, dirty, of_gallery


@pytest.mark.parametrize("name", sorted(KNOWN))
def test_pieces_with_corners_alone_are_decided_as_all_others(name: str) -> None:
    """The sides of one piece at a time are the reference, clean and with ends moved."""
    drawing = of_gallery(name, 30.0)
    for drawn, tolerance in ((drawing, 0.2), (dirty(drawing, 0.15, random.Random(7)), 0.5)):  # noqa: S311 - drawings
        found = find_block(drawn, tolerance=tolerance)
        rings = [face.ring for face in found.faces]
        assert find_sides(found.network, rings, tolerance).pieces == tuple(
            sides_of(found.network, ring, tolerance) for ring in rings
        )
