# ruff: noqa: S311 - drawings, no secrets
"""Random drawings of blocks, from nearly right to rubbish, and what must hold of each answer.

    python -m tests.property.block_rubbish 600

draws and reads them for so many seconds.
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Sequence

from geometry.blocks.block import DrawnBlock, read_block
from geometry.blocks.gallery import GALLERY
from geometry.blocks.network import Drawn
from geometry.errors import GeometryError
from geometry.model.points import Point
from geometry.model.segments import Segment, segment
from tests.block_drawings import of_gallery

S = 100.0


def _near(point: Point, off: float, rng: random.Random) -> Point:
    return Point(point.x + rng.uniform(-off, off), point.y + rng.uniform(-off, off))


def _anywhere(rng: random.Random) -> Point:
    # Often on a coarse grid, so that ends meet, lie on lines, and lines run along each other.
    step = rng.choice((0.0, 0.0, 5.0, 25.0, 50.0))
    x, y = rng.uniform(-5, S + 5), rng.uniform(-5, S + 5)
    return Point(step * round(x / step), step * round(y / step)) if step else Point(x, y)


def _bulge(rng: random.Random) -> float:
    return rng.choice((0.0, 0.0, 0.0, math.tan(math.pi / 8), -1.0, 1.0, rng.uniform(-1, 1), 1e-9))


def _lines(rng: random.Random) -> list[Drawn]:
    """Return lines and arcs anywhere."""
    found: list[Drawn] = []
    for number in range(rng.randint(1, 10)):
        at = _anywhere(rng)
        is_ring = rng.random() < 0.3
        first = at
        for _ in range(rng.randint(1, 6)):
            after = _anywhere(rng)
            if after != at:
                found.append(Drawn(segment(at, after, _bulge(rng)), number, is_ring))
            at = after
        if is_ring and at != first:
            found.append(Drawn(segment(at, first, _bulge(rng)), number, is_ring))
    return found


def _strokes(rng: random.Random) -> list[Drawn]:
    """Return a square and lines across it: grids, diagonals and arcs whose ends are off."""
    corners = [Point(0, 0), Point(S, 0), Point(S, S), Point(0, S)]
    found = [Drawn(segment(corners[at - 1], corners[at], 0.0), 0, True) for at in range(4)]
    off = rng.choice((0.0, 1e-6, 0.01, 0.2, 0.5, 2.0))
    for number in range(1, rng.randint(2, 20)):
        one, two = rng.sample(range(4), 2)
        ends = []
        for side in (one, two):
            share = rng.choice((0.0, 0.25, 1 / 3, 0.5, rng.random()))
            a, b = corners[side - 1], corners[side]
            ends.append(
                _near(Point(a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)), off, rng)
            )
        if ends[0] != ends[1]:
            found.append(Drawn(segment(ends[0], ends[1], _bulge(rng)), number))
    return found


def _gallery(rng: random.Random) -> list[Drawn]:
    """Return a block of the gallery with a few changes."""
    name = rng.choice(list(GALLERY))
    drawing = of_gallery(name, rng.uniform(50, 300) / GALLERY[name].width)
    off = rng.choice((0.0, 1e-5, 0.1, 0.3, 1.0))
    found: list[Drawn] = []
    for part, path, is_ring in drawing:
        chance = rng.random()
        if chance < 0.02:
            continue
        start, end = _near(part.start, off, rng), _near(part.end, off, rng)
        bulge = part.bulge if chance < 0.95 else _bulge(rng)
        if start != end:
            found.append(Drawn(segment(start, end, bulge), path, is_ring))
        if chance > 0.9:
            found.append(Drawn(_changed(part, rng), 10_000 + path))
    return found


def _changed(part: Segment, rng: random.Random) -> Segment:
    """Return a line or arc drawn again: the same, in the other direction, or a part of it."""
    kind = rng.randrange(3)
    if kind == 0:
        return part
    if kind == 1:
        return segment(part.end, part.start, -part.bulge)
    low = rng.uniform(0.0, 0.4)
    return part.between(low, rng.uniform(0.6, 1.0))


KINDS: Sequence[Callable[[random.Random], list[Drawn]]] = (_lines, _strokes, _gallery)


def check(seed: int) -> str:
    """Read one random drawing and return what came of it: ``block`` or ``refused``."""
    rng = random.Random(seed)
    drawing = rng.choice(KINDS)(rng)
    tolerance = rng.choice((0.001, 0.1, 0.5, 0.5, 5.0))
    try:
        found = read_block(drawing, tolerance=tolerance, remove_loose=rng.random() < 0.5)
    except GeometryError as error:
        assert error.message.strip(), seed
        return "refused"
    _holds(found, tolerance, seed)
    return "block"


def _holds(found: DrawnBlock, tolerance: float, seed: int) -> None:
    """Check a block that was read: areas, groups, and templates where their pieces are."""
    whole = found.found.outer.area
    # Holes are drawn pieces of their own, so that all areas add up.
    areas = [face.area for face in found.found.faces]
    assert min(areas) > 0.0, seed
    assert math.isclose(math.fsum(areas), whole, rel_tol=1e-6), (seed, math.fsum(areas), whole)
    members = [member for group in found.groups for member in group.members]
    assert sorted(member.face for member in members) == list(range(len(areas))), seed
    assert max(member.off for member in members) <= tolerance, seed


def main() -> None:
    """Read drawings for the number of seconds that is stated."""
    end = time.monotonic() + float(sys.argv[1])
    first = seed = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    outcomes: Counter[str] = Counter()
    slowest = 0.0
    while time.monotonic() < end:
        begin = time.process_time()
        try:
            outcomes[check(seed)] += 1
        except Exception as error:  # noqa: BLE001 - whatever it is, its drawing is named
            outcomes["failed"] += 1
            print(f"drawing {seed}: {type(error).__name__}: {error}", flush=True)
        slowest = max(slowest, time.process_time() - begin)
        seed += 1
    print(f"{seed - first} drawings: {dict(outcomes)}; the slowest took {slowest:.2f} s")


if __name__ == "__main__":
    main()
