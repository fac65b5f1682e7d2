"""Rolls: lengths of published strip packings, and how time grows with the pieces placed."""

from __future__ import annotations

import json
import math
import resource
import time
from pathlib import Path

from geometry.layout import Item
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from tests.benchmarks.layout_cases import GAP
from tests.layouts import lay_out


def roll(width: float) -> WorkArea:
    """Return a roll of that width, mm."""
    return WorkArea(WorkArea.rectangle(0, 0, width, width).boundary, (), open_right=True)


def instances(folder: Path, effort: str | float) -> None:
    """Print the lengths of published strip packings beside the folder's best known ones."""
    for path in sorted(folder.glob("*.json")):
        data = json.loads(path.read_text())
        items = []
        for number, row in enumerate(data["items"]):
            points = row["points"][:-1] if row["points"][0] == row["points"][-1] else row["points"]
            outline = Outline.of(points)
            outline = outline if area(outline) > 0 else outline.reversed()
            turns = tuple(row.get("allowed_orientations") or (0.0,))
            items.append(Item(f"p{number:03}", outline, row["demand"], turns))
        room = roll(data["strip_height"])
        start = time.process_time()
        layout = lay_out(items, room, gap=0.0, effort=effort)
        outlines = {item.piece: item.outline for item in items}
        load = layout.loads[0]
        right = max(p.move.outline(outlines[p.piece]).bounds.right for p in load.placements)
        faults = check_load(outlines, load, room, 0.0)
        print(
            f"{data['name']:12}{right:12.3f}  covered {layout.utilisation[0]:.3f}"
            f"{time.process_time() - start:8.2f} s  {faults[:1] or ''}",
            flush=True,
        )


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
