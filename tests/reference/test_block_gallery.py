"""The gallery's blocks: pieces, groups and areas worked by hand in tests/block_drawings.py."""

from __future__ import annotations

import math
from collections import Counter

import pytest

from geometry.blocks.block import DrawnBlock, read_block
from geometry.blocks.gallery import GALLERY
from geometry.measure import area
from tests.block_drawings import KNOWN, of_gallery

SIDE = 30.0
"""A unit of a block's grid, mm."""


@pytest.fixture(scope="module", params=list(GALLERY))
def block(request: pytest.FixtureRequest) -> tuple[str, DrawnBlock]:
    name = request.param
    return name, read_block(of_gallery(name, SIDE), tolerance=0.1)


def test_every_block_has_a_known_answer() -> None:
    assert KNOWN.keys() == GALLERY.keys()
    assert len(GALLERY) >= 24


def test_groups_and_areas(block: tuple[str, DrawnBlock]) -> None:
    name, found = block
    rows = [(len(group.members), area(group.outline) / SIDE**2) for group in found.groups]
    known = sorted(KNOWN[name], key=lambda row: (-round(row[1], 6), row[0]))
    assert len(rows) == len(known)
    for (count, one), (wanted, size) in zip(
        sorted(rows, key=lambda row: (-round(row[1], 6), row[0])), known, strict=True
    ):
        assert count == wanted
        assert one == pytest.approx(size, rel=1e-9)


def test_faces_add_up_to_the_block(block: tuple[str, DrawnBlock]) -> None:
    name, found = block
    whole = math.fsum(count * size for count, size in KNOWN[name]) * SIDE**2
    assert found.found.outer.area == pytest.approx(whole, rel=1e-9)
    total = math.fsum(face.area for face in found.found.faces)
    assert total == pytest.approx(found.found.outer.area, rel=1e-6)
    assert found.found.repairs == ()
    assert found.mismatches == ()


def test_templates_lie_on_the_pieces(block: tuple[str, DrawnBlock]) -> None:
    _, found = block
    for group in found.groups:
        for member in group.members:
            placed = member.move.outline(group.outline)
            piece = found.outline_of(member.face)
            count = len(piece.vertices)
            for at, vertex in enumerate(piece.vertices):
                other = placed.vertices[(at - member.shift) % count]
                assert math.dist(vertex.point, other.point) < 1e-6
                assert vertex.bulge == pytest.approx(other.bulge, abs=1e-9)


def test_mirror_images_are_apart() -> None:
    found = read_block(of_gallery("attic-window", SIDE), tolerance=0.1)
    letters = Counter({group.letter: len(group.members) for group in found.groups})
    assert letters == {"A": 1, "B": 1, "Br": 1}
    assert {group.letter: group.mirror_of for group in found.groups}["Br"] == "B"
