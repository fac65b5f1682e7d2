"""A small kit beside a bare script that does the same by hand, and cold starts.

    python tests/benchmarks/bench_small_kit.py

The kit: 40 hexagons of 1 in, template and patch runs, SVG. The bare script offsets with shapely,
places by rows, checks overlaps with an STRtree, writes the same SVG and parses it with the same
reader. Medians of runs taken in turn in one process; nothing is asserted.
"""

from __future__ import annotations

import io
import math
import statistics
import subprocess
import sys
import time
from pathlib import Path

import shapely
import svgelements
from shapely import affinity

from service import pipeline
from service.cutters_builtin import BUILT_IN

ROOT = Path(__file__).resolve().parents[2]
REQUEST = {
    "title": "Small kit",
    "units": "in",
    "print": [],
    "pieces": [
        {
            "id": "A",
            "shape": {"kind": "hexagon", "side": "1"},
            "quantity": 40,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {"cut": "template", "cutter": "pen-sheet", "formats": ["svg"]},
        {"cut": "patch", "cutter": "laser-bed", "formats": ["svg"]},
    ],
}


def by_hand() -> int:
    side, allowance, gap = 25.4, 6.35, 1.0
    corners = [
        (side * math.cos(math.radians(60 * k)), side * math.sin(math.radians(60 * k)))
        for k in range(6)
    ]
    template = shapely.Polygon(corners)
    patch = template.buffer(allowance, join_style="mitre")
    read = 0
    for piece, width, height in ((template, 190.0, 277.0), (patch, 590.0, 390.0)):
        left, bottom, right, top = piece.bounds
        wide, high = right - left, top - bottom
        places = [
            (wide / 2 + (wide + gap) * c, high / 2 + (high + gap) * r)
            for r in range(int((height + gap) // (high + gap)))
            for c in range(int((width + gap) // (wide + gap)))
        ]
        for start in range(0, 40, len(places)):
            placed = [affinity.translate(piece, *p) for p in places[: 40 - start]]
            tree = shapely.STRtree(placed)
            pairs = tree.query(placed, predicate="overlaps")
            assert pairs.size == 0
            paths = "".join(
                '<path d="M'
                + " L".join(f"{x:.4f} {height - y:.4f}" for x, y in p.exterior.coords[:-1])
                + ' Z"/>'
                for p in placed
            )
            text = (
                f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
                f'viewBox="0 0 {width} {height}"><g fill="none" stroke="#000">{paths}</g></svg>'
            )
            drawing = svgelements.SVG.parse(io.BytesIO(text.encode()))
            read += sum(isinstance(e, svgelements.Path) for e in drawing.elements())
    return read


def median_ms(work: object, rounds: int) -> float:
    assert callable(work)
    times = []
    for _ in range(rounds):
        begin = time.perf_counter()
        work()
        times.append((time.perf_counter() - begin) * 1e3)
    return statistics.median(times)


def cold_ms(*arguments: str, rounds: int = 5) -> float:
    times = []
    for _ in range(rounds):
        begin = time.perf_counter()
        subprocess.run(arguments, cwd=ROOT, check=True, capture_output=True, timeout=120)
        times.append((time.perf_counter() - begin) * 1e3)
    return statistics.median(times)


def main() -> None:
    pipeline.kit(REQUEST, BUILT_IN.get)
    by_hand()
    ours, theirs = [], []
    for _ in range(9):
        ours.append(median_ms(lambda: pipeline.kit(REQUEST, BUILT_IN.get), 1))
        theirs.append(median_ms(by_hand, 1))
    mine, hand = statistics.median(ours), statistics.median(theirs)
    print(f"small kit, warm: {mine:.0f} ms; bare script {hand:.0f} ms; ratio {mine / hand:.1f}")
    base = cold_ms(sys.executable, "-c", "import shapely, flask")
    request = ROOT / "openapi" / "examples" / "harbour-class-set.json"
    out = ROOT / "demo-kit" / "bench"
    cut = cold_ms(
        sys.executable, "-m", "service", "cut", str(request), "--out", str(out), "--overwrite"
    )
    print(f"cold cut: {cut:.0f} ms; import shapely, flask {base:.0f} ms; ratio {cut / base:.1f}")


if __name__ == "__main__":
    main()
