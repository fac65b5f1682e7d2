"""Rolls: lengths of published strip packings, and how time grows with the pieces placed."""

from __future__ import annotations

import json
import math
import re
import resource
import statistics
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from geometry.layout import Item
from geometry.layout.objective import placement_bounds
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.benchmarks.layout_cases import GAP
from tests.benchmarks.nester_alone import Alone
from tests.benchmarks.processor_time import processor_s
from tests.layouts import lay_out

#: Width of the roll on which published instances are laid, mm.
_ROLL_WIDTH = 1000.0


def roll(width: float) -> WorkArea:
    """Return a roll of that width, mm."""
    return WorkArea(WorkArea.rectangle(0, 0, width, width).boundary, (), open_right=True)


def instances(folder: Path, effort: str | float, seeds: Sequence[int], *, beside: bool) -> None:
    """Print lengths of published strip packings, above the best known and beside the nester alone.

    The nester alone has the question and the seed that ours asks it with first, and as much
    processor time as ours took. It ends by the clock, so nothing else may run beside it.

    Args:
        folder: instances, and in its README.md the best known lengths.
        effort: of ours.
        seeds: the median of these counts.
        beside: whether the nester alone is measured.
    """
    known = _best_known(folder / "README.md")
    print("| strip | best known | ours | nester alone | ours % above | alone % above | seconds |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    above: list[tuple[float, float]] = []
    for path in sorted(folder.glob("*.json")):
        data = json.loads(path.read_text())
        items, room, unit = scaled_instance(data)
        ours, alone, took = [], [], []
        for seed in seeds:
            start = processor_s()
            layout = lay_out(items, room, gap=0.0, effort=effort, seed=seed)
            took.append(processor_s() - start)
            load, outlines = layout.loads[0], {item.piece: item.outline for item in items}
            if check_load(outlines, load, room, 0.0):
                raise AssertionError(data["name"])
            ours.append(placement_bounds(load.placements, outlines).right / unit)
            if beside:
                alone.append(Alone().length(items, room, took[-1], seed + 1) / unit)
        best, length = known[data["name"]], statistics.median(ours)
        other = statistics.median(alone) if beside else math.nan
        above.append((100.0 * (length / best - 1.0), 100.0 * (other / best - 1.0)))
        print(
            f"| {data['name']} | {best:.3f} | {length:.3f} | {other:.3f} | {above[-1][0]:.2f} "
            f"| {above[-1][1]:.2f} | {statistics.median(took):.0f} |",
            flush=True,
        )
    for name, column in zip(("Ours", "The nester alone"), zip(*above, strict=True), strict=True):
        mean, most = statistics.mean(column), max(column)
        print(f"\n{name}: {mean:.2f} % above best known, {most:.2f} at most.")


def scaled_instance(data: Mapping[str, Any]) -> tuple[list[Item], WorkArea, float]:
    """Return the items and the roll of a published instance, and how many mm its unit is.

    The roll is 1 m wide: then what layouts add to a gap for rounding, 0.002 mm, is nothing.
    """
    unit = _ROLL_WIDTH / data["strip_height"]
    items = []
    for number, row in enumerate(data["items"]):
        points = row["points"][:-1] if row["points"][0] == row["points"][-1] else row["points"]
        outline = Outline.of([(unit * x, unit * y) for x, y in points])
        outline = outline if area(outline) > 0 else outline.reversed()
        turns = tuple(row.get("allowed_orientations") or (0.0,))
        items.append(Item(f"p{number:03}", outline, row["demand"], turns))
    return items, roll(_ROLL_WIDTH), unit


def _best_known(readme: Path) -> dict[str, float]:
    """Return the lengths of the table of instances, length and pieces."""
    rows = re.findall(r"^\| (\w+) \| ([0-9.]+) \| \d+ \|$", readme.read_text(), re.MULTILINE)
    return {name: float(length) for name, length in rows}


def growth() -> None:
    """Print time and memory as more and more pieces are placed on a 60 in roll."""
    room = roll(1524.0)
    hexagon = build("hexagon", {"side": 10.0})
    for count in (250, 500, 1000, 2000, 4000, 8000, 16000, 32000):
        start = time.process_time()
        lay_out([Item("A", hexagon, count)], room, gap=GAP)
        took = time.process_time() - start
        print(
            f"{count:7} {took:8.3f} s {1e6 * took / (count * math.log2(count)):8.3f} us / n log n"
        )
    kinds = ("hexagon", "triangle", "square")
    items = [Item(kind, build(kind, {"side": 15.0}), 3400) for kind in kinds]
    start = time.process_time()
    layout = lay_out(items, room, gap=GAP)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    count = len(layout.loads[0].placements)
    print(f"{count} pieces of 3 kinds: {time.process_time() - start:.2f} s, peak {peak:.0f} MiB")
