"""Layouts beside a general nester alone and beside plain straight rows: one table.

    python tests/benchmarks/bench_layout.py [--budget SECONDS] [--effort normal] [--only WORD]
    python tests/benchmarks/bench_layout.py --instances FOLDER   published strip packings
    python tests/benchmarks/bench_layout.py --growth             time against pieces placed

12 shapes x 5 work areas, patches with 1/4 in allowance, gap 1 mm, and 12 mixed kits. The nester
alone has the budget for a case, its search over counts included, one thread. Needs spyrrow.
"""

from __future__ import annotations

import argparse
import json
import math
import resource
import statistics
import time
from collections.abc import Iterator
from itertools import product
from pathlib import Path

from geometry.layout import Item, lay_out
from geometry.layout.bound import grown_area, room_area
from geometry.layout.nester import nested
from geometry.layout.rows import lay, refined, stacks
from geometry.layout.single import count_of
from geometry.layout.units import Shape, units_of
from geometry.measure import area
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.offset.allowance import Corners, make_patch
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from geometry.units import MM_PER_INCH as INCH

GAP = 1.0
AREAS = {
    "letter": (8.0, 10.5),
    "a4": (7.767, 11.193),
    "hoop": (9.0, 4.25),
    "mat": (12.0, 12.0),
    "long mat": (12.0, 24.0),
}
SHAPES: dict[str, dict[str, float | int | str]] = {
    "hexagon": {"side": INCH},
    "triangle": {"side": 2 * INCH},
    "square": {"side": 1.5 * INCH},
    "pentagon": {"side": INCH},
    "octagon": {"side": INCH},
    "diamond_60": {"side": 1.5 * INCH},
    "diamond_45": {"side": 1.5 * INCH},
    "half_hexagon": {"side": INCH},
    "jewel": {"side": INCH},
    "kite": {"side": 1.5 * INCH},
    "clamshell": {"width": 2 * INCH},
    "apple_core": {"length": 3 * INCH},
}
KITS = [
    {"hexagon": 20, "triangle": 20, "square": 20},
    {"hexagon": 30, "diamond_60": 18},
    {"octagon": 12, "square": 24},
    {"jewel": 12, "kite": 30, "square": 10},
    {"pentagon": 15, "diamond_45": 20},
    {"triangle": 40, "half_hexagon": 20},
    {"clamshell": 20, "hexagon": 12},
    {"apple_core": 6, "square": 20},
    {"kite": 40, "triangle": 20, "hexagon": 10},
    {"octagon": 8, "pentagon": 12, "diamond_60": 20},
    {"half_hexagon": 24, "jewel": 10, "diamond_45": 14, "square": 8},
    {"hexagon": 9, "octagon": 9, "pentagon": 9, "triangle": 9, "square": 9},
]


def patch(kind: str) -> Outline:
    made = make_patch(build(kind, SHAPES[kind]), INCH / 4, corners=Corners("mitre"))
    return made.outline


def straight(item: Item, room: WorkArea) -> int:
    """Return the pieces of the best plain rows, all one way up."""
    box, most = room.bounds, 0
    for turn in (0.0, 90.0):
        shape = Shape(item.outline, GAP)
        unit = next(iter(units_of(shape, turn, half_turns=False)))
        for stack in stacks(shape, unit, half_turns=False):
            fine = refined(stack)
            if fine is not None:
                most = max(most, count_of(lay(fine, box.width, box.height)))
    return most


def alone(item: Item, room: WorkArea, budget: int) -> int:
    """Return the most pieces of one kind that the nester was seen to get into a room."""
    box = room.bounds
    turned = WorkArea.rectangle(0, 0, box.height, box.width)
    limit = math.floor(room_area(room, GAP) / grown_area(item.outline, GAP) + 1e-9)
    if limit < 1:
        return 0
    low, high, spent = 0, limit + 1, 0
    guess = max(1, math.floor(0.85 * limit))
    share = max(1, budget // 6)
    while high - low > 1 and spent + share <= budget:
        room_ = (room, turned)[(spent // share) % 2] if high - low < 4 else room
        found = nested([item], {item.piece: guess}, room_, gap=GAP, seconds=share, seed=1)
        spent += share
        if found is not None:
            low = guess
        else:
            high = guess
        guess = (low + high) // 2
    return low


def alone_mixed(items: list[Item], room: WorkArea, budget: int) -> int:
    """Return the loads of a mixed kit that the nester alone takes, large pieces first."""
    order = [item.piece for item in items for _ in range(item.quantity)]
    sizes = {item.piece: grown_area(item.outline, GAP) for item in items}
    order.sort(key=lambda piece: (-sizes[piece], piece))
    loads, share = 0, max(1, budget // 8)
    while order:
        loads += 1
        low, high = 0, len(order)
        while high > low and sum(sizes[p] for p in order[:high]) > room_area(room, GAP):
            high -= 1
        for attempt in range(4):
            middle = high if attempt == 0 else (low + high + 1) // 2
            wanted = {piece: order[:middle].count(piece) for piece in sizes}
            if nested(items, wanted, room, gap=GAP, seconds=share, seed=1) is not None:
                low = middle
            else:
                high = middle - 1
            if low >= high:
                break
        order = order[max(low, 1) :]
    return loads


def cases(only: str) -> Iterator[tuple[str, Item, WorkArea]]:
    for kind, (name, (width, height)) in product(SHAPES, AREAS.items()):
        if only in f"{kind} {name}":
            room = WorkArea.rectangle(0, 0, width * INCH, height * INCH)
            yield f"{kind} / {name}", Item(kind, patch(kind), 10_000), room


def _sound(items: list[Item], room: WorkArea, layout_loads: object) -> bool:
    outlines = {item.piece: item.outline for item in items}
    return all(not check_load(outlines, load, room, GAP) for load in layout_loads)  # type: ignore[attr-defined]


def one_kind(effort: str, budget: int, only: str) -> None:
    print(
        f"{'one kind / area':32}{'ours':>6}{'nester':>8}{'rows':>6}{'bound':>7}{'s':>8}{'ratio':>8}"
    )
    ours_all = theirs_all = 0
    ratios, worse = [], []
    for name, item, room in cases(only):
        limit = math.floor(room_area(room, GAP) / grown_area(item.outline, GAP) + 1e-9)
        start = time.process_time()
        layout = lay_out([item], room, gap=GAP, effort=effort)
        ours_s = time.process_time() - start
        ours = len(layout.loads[0].placements)
        rows = straight(item, room)
        start = time.process_time()
        nester = alone(item, room, budget) if budget else 0
        nester_s = time.process_time() - start
        best = max(rows, nester)
        ours_all, theirs_all = ours_all + ours, theirs_all + best
        ratio = ours_s / nester_s if budget else 0.0
        ratios.append(ratio)
        if ours < best:
            worse.append(f"{name}: {ours} against {best}")
        sound = "" if _sound([item], room, layout.loads[:1]) else "  NOT SOUND"
        print(
            f"{name:32}{ours:6}{nester:8}{rows:6}{limit:7}{ours_s:8.2f}{ratio:8.3f}{sound}",
            flush=True,
        )
    print(f"total {ours_all} against {theirs_all}: {ours_all / max(1, theirs_all):.4f}")
    print(f"median time ratio {statistics.median(ratios):.4f}; below: {worse or 'none'}")


def mixed(effort: str, budget: int, only: str) -> None:
    print(f"{'mixed kit on a letter sheet':60}{'ours':>6}{'nester':>8}{'bound':>7}{'s':>8}")
    room = WorkArea.rectangle(0, 0, 8.0 * INCH, 10.5 * INCH)
    totals = [0, 0]
    for kit in KITS:
        name = ", ".join(f"{count} {kind}" for kind, count in kit.items())
        if only and only not in name:
            continue
        items = [Item(kind, patch(kind), count) for kind, count in kit.items()]
        start = time.process_time()
        layout = lay_out(items, room, gap=GAP, effort=effort)
        ours_s = time.process_time() - start
        ours = sum(load.repeats for load in layout.loads)
        nester = alone_mixed(items, room, budget) if budget else 0
        totals = [totals[0] + ours, totals[1] + nester]
        sound = "" if _sound(items, room, layout.loads) else "  NOT SOUND"
        print(f"{name:60}{ours:6}{nester:8}{layout.bound:7}{ours_s:8.2f}{sound}", flush=True)
    print(f"total loads {totals[0]} against {totals[1]}")


def instances(folder: Path, effort: str, seconds: float) -> None:
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
        height = data["strip_height"]
        room = WorkArea(Outline.of([(0, 0), (height, 0), (height, height), (0, height)]), (), True)
        start = time.process_time()
        layout = lay_out(items, room, gap=0.0, effort=seconds or effort)
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
    """Print time and memory as more and more pieces of one kind are placed."""
    roll = WorkArea(Outline.of([(0, 0), (1524, 0), (1524, 1524), (0, 1524)]), (), open_right=True)
    hexagon = build("hexagon", {"side": 10.0})
    for count in (250, 500, 1000, 2000, 4000, 8000, 16000, 32000):
        start = time.process_time()
        lay_out([Item("A", hexagon, count)], roll, gap=GAP)
        took = time.process_time() - start
        print(
            f"{count:7} {took:8.3f} s {1e6 * took / (count * math.log2(count)):8.3f} us / n log n"
        )
    kinds = ("hexagon", "triangle", "square")
    items = [Item(kind, build(kind, {"side": 15.0}), 3400) for kind in kinds]
    start = time.process_time()
    layout = lay_out(items, roll, gap=GAP)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    count = len(layout.loads[0].placements)
    print(f"{count} pieces of 3 kinds: {time.process_time() - start:.2f} s, peak {peak:.0f} MiB")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--budget", type=int, default=20, help="seconds of the nester, 0 leaves it out"
    )
    parser.add_argument("--effort", default="normal", choices=("quick", "normal", "best"))
    parser.add_argument("--only", default="", help="cases whose name holds this")
    parser.add_argument("--instances", type=Path, help="folder of published strip packings")
    parser.add_argument("--seconds", type=float, default=0.0, help="effort for --instances")
    parser.add_argument("--growth", action="store_true")
    asked = parser.parse_args()
    if asked.growth:
        growth()
    elif asked.instances:
        instances(asked.instances, asked.effort, asked.seconds)
    else:
        one_kind(asked.effort, asked.budget, asked.only)
        mixed(asked.effort, asked.budget, asked.only)


if __name__ == "__main__":
    main()
