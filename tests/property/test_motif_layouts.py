"""Pieces on random prints: proven by the second measurement, and as many as there can be."""

from __future__ import annotations

import math
import random
from collections import Counter
from itertools import combinations

import pytest

from geometry.layout.effort import QUICK
from geometry.layout.item import Item
from geometry.layout.motifs.independent import largest_choice
from geometry.layout.motifs.on_motifs import MotifTask, NoMotif, lay_on_motifs
from geometry.model.cutter import WorkArea
from geometry.model.motif import Affine, MotifPosition, PrintedCloth, Repeat
from geometry.model.outline import Outline
from geometry.model.points import Point
from geometry.proof.motifs import check_on_motifs
from geometry.proof.overlap import check_load
from service.runs.motifs import symmetry_deg


def _ring(draw: random.Random) -> Outline:
    """Return a random convex or star-shaped polygon, or a circle."""
    size = draw.uniform(8.0, 40.0)
    if draw.random() < 0.2:
        return Outline.of([(size, 0, 1), (-size, 0, 1)])
    count = draw.randint(3, 8)
    points = []
    for corner in range(count):
        angle, far = math.tau * corner / count, size * draw.uniform(0.6, 1.0)
        points.append((far * math.cos(angle), far * math.sin(angle)))
    return Outline.of(points)


def _cloth(draw: random.Random) -> PrintedCloth:
    wide, high = draw.uniform(25.0, 90.0), draw.uniform(25.0, 90.0)
    positions = tuple(
        MotifPosition(
            draw.uniform(0, wide * 0.99), draw.uniform(0, high * 0.99), draw.choice([0.0, 180.0])
        )
        for _ in range(draw.randint(1, 3))
    )
    repeat = Repeat(wide, high, draw.choice([0.0, high / 2.0, high / 3.0]), positions)
    if draw.random() < 0.5:
        return PrintedCloth(repeat, Affine.turned(0.0, draw.uniform(-9, 9), draw.uniform(-9, 9)))
    near = [draw.uniform(-0.05, 0.05) for _ in range(4)]
    lies = Affine(1.0 + near[0], near[1], 3.0, near[2], 1.0 + near[3], -4.0)
    return PrintedCloth(repeat, lies)


@pytest.mark.parametrize("seed", range(12))
def test_every_layout_holds(seed: int) -> None:
    draw = random.Random(seed)  # noqa: S311 - no secret
    items = [
        Item("A", _ring(draw), draw.randint(1, 30), draw.choice(["free", "half-turn", "fixed"])),
        Item("B", _ring(draw), draw.randint(1, 9)),
    ]
    anchors = {"A": Point(draw.uniform(-5.0, 5.0), 0.0)}
    if draw.random() < 0.5:
        anchors["B"] = Point(0.0, 0.0)
    gap = draw.choice([0.0, 1.5])
    room = WorkArea.rectangle(10.0, 20.0, draw.uniform(150, 320), draw.uniform(150, 320))
    cloth = _cloth(draw)
    try:
        layout = lay_on_motifs(MotifTask(items, room, gap, cloth, anchors), QUICK)
    except NoMotif:
        return
    outlines = {item.piece: item.outline for item in items}
    symmetries = {piece: symmetry_deg(outlines[piece], at) for piece, at in anchors.items()}
    placed: Counter[str] = Counter()
    for load in layout.loads:
        assert check_load(outlines, load, room, gap) == []
        assert check_on_motifs(load, anchors, symmetries, cloth) == []
        for piece, count in load.outlines.items():
            placed[piece] += count * load.repeats
    assert placed == {item.piece: item.quantity for item in items}


def test_no_choice_of_places_is_larger() -> None:
    """200 random graphs of up to 12 places: as many as by trying every choice."""
    draw = random.Random(5)  # noqa: S311 - no secret
    for _ in range(200):
        count = draw.randint(1, 12)
        excluded: list[set[int]] = [set() for _ in range(count)]
        for one, other in combinations(range(count), 2):
            if draw.random() < 0.35:
                excluded[one].add(other)
                excluded[other].add(one)
        frozen = [frozenset(each) for each in excluded]
        chosen = largest_choice(frozen)
        assert all(other not in frozen[one] for one, other in combinations(chosen, 2))
        best = max(
            size
            for size in range(count + 1)
            for choice in combinations(range(count), size)
            if all(other not in frozen[one] for one, other in combinations(choice, 2))
        )
        assert len(chosen) == best
