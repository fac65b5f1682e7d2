"""Travel between strokes, side by side with a general routing solver on the same strokes.

Run ``python tests/benchmarks/bench_toolpath.py [seconds] [loads]`` (10 s and 20 loads when left
out); it needs ``ortools``, which nothing else here does. The reference is given every place where a
stroke may be started (one of which it must visit) and, besides, our own starts to order again; the
shorter of its two answers counts. Ours is shown at the efforts ``best`` and ``normal``.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence

from ortools.constraint_solver import pywrapcp, routing_enums_pb2

from geometry.layout import Item
from geometry.model.cutter import WorkArea
from geometry.model.outline import Region
from geometry.model.plan import Stroke
from geometry.model.points import Point
from geometry.shapes.catalogue import build
from geometry.toolpath.order import _entries, ordered, travel
from geometry.toolpath.route import BEST, NORMAL, Search
from geometry.toolpath.strokes import nominal_strokes
from tests.layouts import lay_out

#: Kind, sizes, gap and room of each load; mm.
LOADS: tuple[tuple[str, dict[str, float], float, float, float], ...] = (
    ("hexagon", {"side": 25.4}, 1.0, 200, 270),
    ("hexagon", {"side": 25.4}, 2.0, 240, 120),
    ("hexagon", {"side": 19.05}, 2.0, 200, 270),
    ("hexagon", {"side": 32.7}, 1.0, 290, 290),
    ("hexagon", {"side": 12.7}, 1.0, 150, 150),
    ("triangle", {"side": 38.1}, 1.0, 200, 270),
    ("triangle", {"side": 50.8}, 2.0, 290, 290),
    ("square", {"side": 25.4}, 1.0, 200, 270),
    ("square", {"side": 38.1}, 2.0, 290, 290),
    ("pentagon", {"side": 25.4}, 1.0, 200, 270),
    ("octagon", {"side": 20.0}, 1.0, 200, 270),
    ("diamond_60", {"side": 38.1}, 1.0, 200, 270),
    ("diamond_45", {"side": 38.1}, 1.0, 290, 290),
    ("half_hexagon", {"side": 25.4}, 1.0, 200, 270),
    ("jewel", {"side": 25.4}, 1.0, 290, 290),
    ("clamshell", {"width": 40.0}, 1.0, 290, 290),
    ("hexagon", {"side": 38.1}, 1.0, 600, 400),
    ("diamond_60", {"side": 25.4}, 2.0, 150, 150),
    ("triangle", {"side": 25.4}, 1.0, 150, 150),
    ("square", {"side": 50.8}, 3.0, 600, 400),
)
START = Point(0.0, 0.0)


def strokes_of(number: int) -> list[Stroke]:
    """Return the strokes of one of the loads."""
    kind, sizes, gap, width, height = LOADS[number]
    outline = build(kind, sizes)
    room = WorkArea.rectangle(5, 5, width, height)
    layout = lay_out([Item("A", outline, 5000)], room, gap=gap)
    return nominal_strokes(layout.loads[0], {"A": Region(outline)})


def reference_travel(entries: Sequence[Sequence[complex]], seconds: int) -> float:
    """Return the travel that the routing solver finds through one entry of every stroke."""
    places = [complex(*START), *(entry for each in entries for entry in each)]
    count = len(places)
    manager = pywrapcp.RoutingIndexManager(count + 1, 1, [0], [count])
    routing = pywrapcp.RoutingModel(manager)

    def cost(a: int, b: int) -> int:
        i, j = manager.IndexToNode(a), manager.IndexToNode(b)
        # The way ends where it ends: going to the last place costs nothing.
        return 0 if count in {i, j} else round(abs(places[i] - places[j]) * 1000)

    routing.SetArcCostEvaluatorOfAllVehicles(routing.RegisterTransitCallback(cost))
    node = 1
    for each in entries:
        nodes = [manager.NodeToIndex(node + index) for index in range(len(each))]
        if len(nodes) > 1:
            routing.AddDisjunction(nodes, 10**9, 1)
        node += len(each)
    search = pywrapcp.DefaultRoutingSearchParameters()
    search.first_solution_strategy = routing_enums_pb2.FirstSolutionStrategy.PATH_CHEAPEST_ARC
    search.local_search_metaheuristic = (
        routing_enums_pb2.LocalSearchMetaheuristic.GUIDED_LOCAL_SEARCH
    )
    search.time_limit.FromSeconds(seconds)
    solution = routing.SolveWithParameters(search)
    return float(solution.ObjectiveValue()) / 1000.0


def timed(strokes: Sequence[Stroke], search: Search) -> tuple[list[Stroke], float, float]:
    """Return the strokes in our order, the travel between them, mm, and the seconds it took."""
    begun = time.perf_counter()
    done = ordered(strokes, START, search=search)
    return done, travel(done, START), time.perf_counter() - begun


def main() -> None:
    """Print one line per load, the average and the worst."""
    seconds = int(sys.argv[1]) if len(sys.argv) > 1 else 10
    loads = int(sys.argv[2]) if len(sys.argv) > 2 else len(LOADS)
    ratios: dict[str, list[float]] = {"best": [], "normal": []}
    print(f"travel in mm; the reference has {seconds} s a load, once with free and once with our")
    print("starts; ratio = ours / the shorter of its two; time of ours in s")
    print(
        "load          strokes    free   fixed |   best  ratio  time s | normal  ratio  time s",
        flush=True,
    )
    for number in range(loads):
        strokes = strokes_of(number)
        done, best, best_s = timed(strokes, BEST)
        _, normal, normal_s = timed(strokes, NORMAL)
        free = [[a for a, _ in _entries(stroke)] for stroke in strokes]
        fixed = [[complex(*stroke.vertices[0].point)] for stroke in done]
        theirs = [reference_travel(entries, seconds) for entries in (free, fixed)]
        ratios["best"].append(best / min(theirs))
        ratios["normal"].append(normal / min(theirs))
        print(
            f"{LOADS[number][0]:14} {len(strokes):6} {theirs[0]:7.1f} {theirs[1]:7.1f} |"
            f"{best:7.1f} {ratios['best'][-1]:6.3f} {best_s:7.2f} |"
            f"{normal:7.1f} {ratios['normal'][-1]:6.3f} {normal_s:7.2f}",
            flush=True,
        )
    for effort, found in ratios.items():
        print(f"{effort}: average {sum(found) / len(found):.3f}, worst {max(found):.3f}")


if __name__ == "__main__":
    main()
