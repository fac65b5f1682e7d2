"""Patches beside shapely (GEOS) and Clipper2 on the same outline, flattened where it has arcs.

    python tests/benchmarks/bench_offset.py

Prints ratios: ours / theirs, medians of runs taken in turn in one process. Both references give
points only; ours keeps arcs, says what became of each corner, and checks itself. Nothing is
asserted.
"""

from __future__ import annotations

import math
import statistics
import time
from collections.abc import Callable, Sequence

import clipper2
import shapely

from geometry.measure import flattened
from geometry.model.outline import Outline
from geometry.offset.allowance import make_patch
from geometry.shapes.catalogue import CATALOGUE

ALLOWANCE = 6.35


def seconds(work: Callable[[], object], runs: int) -> float:
    begin = time.perf_counter()
    for _ in range(runs):
        work()
    return (time.perf_counter() - begin) / runs


def by_clipper(points: Sequence[tuple[float, float]]) -> object:
    mitre, polygon = clipper2.JoinType.MITER, clipper2.EndType.POLYGON
    return clipper2.inflate_paths([points], ALLOWANCE, mitre, polygon, 4.0, precision=5)


def medians(outline: Outline, rounds: int = 7) -> tuple[float, float, float]:
    """Return the seconds that we, shapely and Clipper2 take."""
    points = flattened(outline, 0.001)
    polygon = shapely.Polygon(points)
    flat = [(point.x, point.y) for point in points]
    works: tuple[Callable[[], object], ...] = (
        lambda: make_patch(outline, ALLOWANCE),
        lambda: polygon.buffer(ALLOWANCE, join_style="mitre", mitre_limit=4),
        lambda: by_clipper(flat),
    )
    runs = [max(1, int(0.02 / max(1e-6, seconds(work, 1)))) for work in works]
    times: list[list[float]] = [[] for _ in works]
    for _ in range(rounds):
        for work, count, found in zip(works, runs, times, strict=True):
            found.append(seconds(work, count))
    ours, geos, clipper = (statistics.median(found) for found in times)
    return ours, geos, clipper


def scaled_unit(kind: str) -> Outline:
    unit = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    factor = 50.0 / max(unit.bounds.width, unit.bounds.height)
    return Outline(tuple(v._replace(x=v.x * factor, y=v.y * factor) for v in unit.vertices))


def star(count: int) -> Outline:
    """Return a ring of many edges, every other vertex drawn in."""
    size = count * 4.0
    return Outline.of(
        [
            (
                size * (1.0 if k % 2 else 0.9995) * math.cos(math.tau * k / count),
                size * (1.0 if k % 2 else 0.9995) * math.sin(math.tau * k / count),
            )
            for k in range(count)
        ]
    )


def main() -> None:
    names = ("arcs", "ours us", "shapely us", "ratio", "Clipper2 us", "ratio")
    print(f"{'shape':<28}" + "".join(f"{name:>13}" for name in names))
    ratios: dict[bool, list[tuple[float, float]]] = {False: [], True: []}
    for kind in CATALOGUE:
        outline = scaled_unit(kind)
        ours, geos, clipper = medians(outline)
        ratios[outline.has_arcs].append((ours / geos, ours / clipper))
        print(
            f"{kind:<28}{'yes' if outline.has_arcs else 'no':>13}{ours * 1e6:>13.0f}"
            f"{geos * 1e6:>13.0f}{ours / geos:>13.1f}{clipper * 1e6:>13.0f}{ours / clipper:>13.1f}"
        )
    for arcs, name in ((False, "lines alone"), (True, "with arcs")):
        by_geos, by_clipper2 = zip(*ratios[arcs], strict=True)
        print(
            f"{name}: ours / shapely median {statistics.median(by_geos):.1f}, "
            f"most {max(by_geos):.1f}; "
            f"ours / Clipper2 median {statistics.median(by_clipper2):.1f}, "
            f"most {max(by_clipper2):.1f}"
        )
    thousand = seconds(lambda: make_patch(star(1000), ALLOWANCE), 3)
    ten_thousand = seconds(lambda: make_patch(star(10_000), ALLOWANCE), 2)
    print(f"10,000 edges cost {ten_thousand / thousand:.1f} times 1,000 (n log n: 13.3)")


if __name__ == "__main__":
    main()
