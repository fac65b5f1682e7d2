"""Patches beside shapely.buffer on the same outline, flattened where it has arcs.

    python tests/benchmarks/bench_offset.py

Prints ratios: ours / shapely's, medians of runs taken in turn in one process. Nothing is asserted.
"""

from __future__ import annotations

import math
import statistics
import time
from collections.abc import Callable

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


def ratio(outline: Outline, rounds: int = 7) -> tuple[float, float, float]:
    chord = 0.001
    polygon = shapely.Polygon(flattened(outline, chord))
    runs = max(1, int(0.02 / max(1e-6, seconds(lambda: make_patch(outline, ALLOWANCE), 1))))
    ours, theirs = [], []
    for _ in range(rounds):
        ours.append(seconds(lambda: make_patch(outline, ALLOWANCE), runs))
        theirs.append(
            seconds(lambda: polygon.buffer(ALLOWANCE, join_style="mitre", mitre_limit=4), runs)
        )
    mine, other = statistics.median(ours), statistics.median(theirs)
    return mine / other, mine, other


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
    print(f"{'shape':<28}{'arcs':>6}{'ours us':>10}{'shapely us':>12}{'ratio':>8}")
    for kind in CATALOGUE:
        outline = scaled_unit(kind)
        found, ours, theirs = ratio(outline)
        arcs = "yes" if outline.has_arcs else "no"
        print(f"{kind:<28}{arcs:>6}{ours * 1e6:>10.0f}{theirs * 1e6:>12.0f}{found:>8.1f}")
    thousand = seconds(lambda: make_patch(star(1000), ALLOWANCE), 3)
    ten_thousand = seconds(lambda: make_patch(star(10_000), ALLOWANCE), 2)
    print(f"10,000 edges cost {ten_thousand / thousand:.1f} times 1,000 (n log n: 13.3)")


if __name__ == "__main__":
    main()
