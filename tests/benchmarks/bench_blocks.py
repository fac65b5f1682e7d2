# ruff: noqa: S311 - drawings, no secrets
"""Blocks from drawings beside shapely's noding and polygonize, clean and dirty.

    python -m tests.benchmarks.bench_blocks

Prints processor seconds and ratios: ours / theirs, least of runs taken in turn in one process.
`faces` is what shapely does too: crossings split and faces found; ours also keeps arcs, repairs
ends, and knows which piece is beside each line. `block` adds groups, templates and seams, `answer`
the reading of an SVG file, names, pictures, the kit and its JSON. Modules are left out of garbage
collection, as in the service's processes. Nothing is asserted.
"""

from __future__ import annotations

import gc
import itertools
import math
import random
import resource
import time
from collections.abc import Callable, Sequence

import orjson
import shapely

from geometry.blocks.block import read_block
from geometry.blocks.drawing import find_block
from geometry.blocks.network import Drawn
from geometry.model.points import Point
from geometry.model.segments import Arc, segment
from service.blocks import block_answer
from service.requests.drawn_blocks import DrawnBlockFormSchema
from tests.block_drawings import dirty, triangles

ROUNDS = 5


def mosaic(count: int, size: float = 400.0) -> list[Drawn]:
    """Return the edges of Voronoi cells, about three a cell: no two pieces are equal."""
    rng = random.Random(1)
    points = shapely.MultiPoint(
        [(rng.uniform(0, size), rng.uniform(0, size)) for _ in range(count)]
    )
    square = shapely.box(0, 0, size, size)
    cells = shapely.get_parts(shapely.voronoi_polygons(points, extend_to=square))
    kept = [each for each in shapely.intersection(cells, square).tolist() if each.area > 0]
    lines = shapely.get_parts(shapely.line_merge(shapely.union_all(shapely.boundary(kept))))
    ends = (pair for line in lines for pair in itertools.pairwise(line.coords))
    return [Drawn(segment(Point(*one), Point(*two), 0.0), at) for at, (one, two) in enumerate(ends)]


def svg_of(drawing: Sequence[Drawn]) -> bytes:
    """Return a file with one element for each line, and 50 texts."""
    rows = ['<text x="5" y="5">A</text>'] * 50
    for part, *_ in drawing:
        arc = f"A{part.radius:.4f} {part.radius:.4f} 0 0 0" if isinstance(part, Arc) else "L"
        (x, y), (u, v) = part.start, part.end
        rows.append(f'<path d="M{x:.5f} {y:.5f}{arc} {u:.5f} {v:.5f}"/>')
    size = 'width="410mm" height="410mm" viewBox="0 0 410 410"'
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" {size}><g fill="none" stroke="#000">'
        f"{''.join(rows)}</g></svg>"
    ).encode()


def seconds(work: Callable[[], object]) -> float:
    begin = time.process_time()
    work()
    return time.process_time() - begin


def least(*works: Callable[[], object]) -> list[float]:
    """Return the least seconds of each, run in turn."""
    rounds = [[seconds(work) for work in works] for _ in range(ROUNDS)]
    return [min(column) for column in zip(*rounds, strict=True)]


def by_shapely(drawing: Sequence[Drawn]) -> object:
    lines = shapely.linestrings([[part.start, part.end] for part, *_ in drawing])
    noded = shapely.unary_union(lines)
    return shapely.get_parts(shapely.polygonize(shapely.get_parts(noded)))


def measure(name: str, drawing: Sequence[Drawn], tolerance: float) -> float:
    request = DrawnBlockFormSchema().load({"snap_tolerance": f"{tolerance} mm"})
    data = svg_of(drawing)
    theirs, faces, block, answer = least(
        lambda: by_shapely(drawing),
        lambda: find_block(drawing, tolerance=tolerance),
        lambda: read_block(drawing, tolerance=tolerance),
        lambda: orjson.dumps(block_answer(request, data)),
    )
    found = read_block(drawing, tolerance=tolerance)
    print(
        f"{name}, {len(drawing)} segments, {len(found.sides)} pieces, {len(found.groups)} groups, "
        f"{len(found.found.repairs)} repairs: shapely {theirs:.3f} s; faces {faces:.2f} s "
        f"({faces / theirs:.1f} times), block {block:.2f} s ({block / theirs:.1f} times), "
        f"answer {answer:.2f} s ({answer / theirs:.1f} times)"
    )
    return block


def main() -> None:
    gc.collect()
    gc.freeze()
    for name, make, sizes in (
        ("half squares", triangles, (20, 29, 40, 49)),
        ("mosaic", mosaic, (415, 830, 1_660, 3_200)),
    ):
        times, counts = [], []
        for size in sizes:
            drawing = make(size)
            times.append(measure(name, drawing, 0.5 if make is triangles else 0.01))
            counts.append(len(drawing) * math.log(len(drawing)))
        growth = (times[-1] / times[0]) / (counts[-1] / counts[0])
        print(f"{name}: grows {growth:.2f} times as fast as n log n")
    measure("dirty half squares", dirty(triangles(40), 0.15, random.Random(1)), 0.5)
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"most memory of the process {most:.0f} MiB")


if __name__ == "__main__":
    main()
