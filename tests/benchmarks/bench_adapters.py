"""Writing and reading back a load of 500 pieces, beside bare writing and bare parsing.

Run by hand or by the check command: ``python tests/benchmarks/bench_adapters.py``. It prints
ratios, marks those above 1.6 of the bare reference, and exits with 1 only at four times: that is a
fault of the code on any machine, however busy. No number of seconds is a limit, because machines
differ. ``--tools`` adds what the proof costs for the plans of every tool, beside the same formats.

The reference of each format is measured in the same process: the underlying library (or plain
string building where there is none) writes the same strokes with no layers, checks or settings,
and the reader of read-back parses the file without comparing it with anything. The column "proof"
is what simulating the plan adds, beside the same reference (goal 0.5). Times are of the processor.
"""

from __future__ import annotations

import io
import json
import math
import sys
import time
from collections.abc import Callable
from importlib import import_module
from typing import Any

from adapters import registry
from adapters.readback import read_back
from adapters.split import chords, short_arcs
from geometry.model.cutter import Pen, Tool, WorkArea
from geometry.model.outline import Region
from geometry.model.placement import Placement
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.segments import Arc
from geometry.model.transform import Rigid, moved
from geometry.proof.cut_plan import PlanProof
from geometry.shapes.catalogue import build

PIECES = 500
ROUNDS = 9
GOAL_RATIO, GOAL_PROOF = 1.6, 0.5
MAX_RATIO = 4.0
SETTINGS: dict[str, dict[str, object]] = {
    "gcode": {"head": "laser", "power": 300, "feed_mm_min": 1200},
    "hpgl": {"wide": True},
    "pdf": {"paper": "bed"},
}


REGIONS = {
    "A": Region(build("hexagon", {"side": 25.4})),
    "B": Region(build("clamshell", {"width": 50.8})),
    "C": Region(build("apple_core", {"length": 50.8})),
}
PLACEMENTS = [
    Placement("ABC"[at % 3], Rigid(0.0, 40.0 + 60.0 * (at % 25), 40.0 + 60.0 * (at // 25)))
    for at in range(PIECES)
]


def load() -> CutPlan:
    """Return a load of hexagons, clamshells and apple cores."""
    kinds = tuple(region.outline for region in REGIONS.values())
    strokes = tuple(
        Stroke(
            "cut",
            moved(
                kinds[index % 3], 40.0 + 60.0 * (index % 25), 40.0 + 60.0 * (index // 25)
            ).vertices,
            True,
            piece="ABC"[index % 3],
            placement=index,
        )
        for index in range(PIECES)
    )
    area = WorkArea.rectangle(0.0, 0.0, 1600.0, 1300.0)
    stop = Stop(0, "load-material", "Load card.")
    return CutPlan("Benchmark", 1600.0, 1300.0, area, strokes, (stop,))


def bare_svg(plan: CutPlan) -> bytes:
    """Build path data, arcs in quarters as the reader of read-back expects them."""
    height, lines = plan.bed_height, []
    for stroke in plan.strokes:
        first = stroke.vertices[0]
        parts = [f"M{first.x:.4f} {height - first.y:.4f}"]
        for part in short_arcs(stroke):
            end = f"{part.end.x:.4f} {height - part.end.y:.4f}"
            if isinstance(part, Arc):
                parts.append(
                    f"A{part.radius:.4f} {part.radius:.4f} 0 0 {int(part.bulge < 0)} {end}"
                )
            else:
                parts.append(f"L{end}")
        lines.append(f'<path d="{" ".join(parts)} Z"/>')
    size = f'width="{plan.bed_width}mm" height="{height}mm" viewBox="0 0 {plan.bed_width} {height}"'
    body = "\n".join(lines)
    text = f'<svg xmlns="http://www.w3.org/2000/svg" {size}><g id="cut">{body}</g></svg>'
    return text.encode()


def bare_dxf(plan: CutPlan) -> bytes:
    """Write polylines with ezdxf."""
    import ezdxf

    document = ezdxf.new("R2000")  # type: ignore[attr-defined]
    document.units = 4
    space = document.modelspace()
    for stroke in plan.strokes:
        space.add_lwpolyline([tuple(v) for v in stroke.vertices], format="xyb", close=True)
    # Our reader refuses a header without the drawing's extents; ezdxf takes the header's from the
    # layout's when it saves.
    wide = [vertex[0] for stroke in plan.strokes for vertex in stroke.vertices]
    high = [vertex[1] for stroke in plan.strokes for vertex in stroke.vertices]
    around = 100.0  # more than an arc bulges
    space.reset_extents(
        (min(wide) - around, min(high) - around, 0.0), (max(wide) + around, max(high) + around, 0.0)
    )
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def bare_hpgl(plan: CutPlan) -> bytes:
    """Build pen moves of chords within the same tolerance."""
    lines = ["IN;SP1;"]
    for stroke in plan.strokes:
        points = [f"{round(p.x * 40)},{round(p.y * 40)}" for p in chords(stroke, 0.005)]
        lines.append(f"PU{points[0]};PD{','.join(points[1:])};PU;")
    return "\n".join([*lines, "SP0;"]).encode()


def bare_gcode(plan: CutPlan) -> bytes:
    """Build moves and arcs."""
    lines = ["G17 G21 G40 G90 G94", "M5"]
    for stroke in plan.strokes:
        first = stroke.vertices[0]
        at = (round(first.x, 4), round(first.y, 4))
        lines += [f"G0 X{at[0]:.4f} Y{at[1]:.4f}", "M3 S300"]
        for part in short_arcs(stroke):
            end = (round(part.end.x, 4), round(part.end.y, 4))
            if isinstance(part, Arc):
                off = (1.0 - part.bulge**2) / (4.0 * part.bulge)
                dx, dy = end[0] - at[0], end[1] - at[1]
                word = "G3" if part.bulge > 0 else "G2"
                centre = f"I{dx / 2 - off * dy:.4f} J{dy / 2 + off * dx:.4f}"
                lines.append(f"{word} X{end[0]:.4f} Y{end[1]:.4f} {centre} F1200")
            else:
                lines.append(f"G1 X{end[0]:.4f} Y{end[1]:.4f} F1200")
            at = end
        lines.append("M5")
    return "\n".join([*lines, "M2"]).encode()


def bare_pdf(plan: CutPlan) -> bytes:
    """Draw paths with reportlab, in marked content as the reader of read-back expects them."""
    from reportlab.pdfgen.canvas import Canvas

    target, mm = io.BytesIO(), 72.0 / 25.4
    canvas = Canvas(target, pagesize=(plan.bed_width * mm, plan.bed_height * mm), invariant=1)
    frame = canvas.beginPath()
    frame.rect(0, 0, plan.bed_width * mm, plan.bed_height * mm)
    canvas.clipPath(frame, stroke=0, fill=0)
    canvas.addLiteral("/Part <</Left 0 /Bottom 0>> BDC")
    for index, stroke in enumerate(plan.strokes):
        canvas.addLiteral(f"/Stroke <</N {index} /Kind /cut>> BDC")
        path = canvas.beginPath()
        path.moveTo(stroke.vertices[0].x * mm, stroke.vertices[0].y * mm)
        for part in short_arcs(stroke, math.pi / 4.0):
            x, y = part.end.x * mm, part.end.y * mm
            if isinstance(part, Arc):
                reach = 4.0 / 3.0 * math.tan(abs(part.sweep) / 4.0) * part.radius
                a, b = part.start_heading, part.end_heading
                path.curveTo(
                    (part.start.x + reach * math.cos(a)) * mm,
                    (part.start.y + reach * math.sin(a)) * mm,
                    (part.end.x - reach * math.cos(b)) * mm,
                    (part.end.y - reach * math.sin(b)) * mm,
                    x,
                    y,
                )
            else:
                path.lineTo(x, y)
        path.close()
        canvas.drawPath(path)
        canvas.addLiteral("EMC")
    canvas.addLiteral("EMC")
    canvas.save()
    return target.getvalue()


def bare_plan(plan: CutPlan) -> bytes:
    """Dump rows of numbers as JSON."""
    rows = [
        {"operation": s.operation, "closed": s.closed, "points": [list(v) for v in s.vertices]}
        for s in plan.strokes
    ]
    return json.dumps({"units": "mm", "strokes": rows, "stops": []}).encode()


BARE: dict[str, Callable[[CutPlan], bytes]] = {
    "svg": bare_svg,
    "dxf": bare_dxf,
    "hpgl": bare_hpgl,
    "gcode": bare_gcode,
    "pdf": bare_pdf,
    "plan": bare_plan,
}


def parsed(name: str, data: bytes) -> int:
    """Parse with read-back's own reader and compare nothing; return how many strokes it read."""
    reader: Any = import_module(f"adapters.readers.{name}")
    found = reader.read(data, 40.0) if name == "hpgl" else reader.read(data)
    # Where a format holds stops, they come with the strokes.
    return len(found[0] if "stops" in registry.get(name).supports else found)


def seconds(*works: Callable[[CutPlan], object]) -> list[float]:
    """Return the least time of several rounds of each: what others on the machine disturb least.

    Works take turns, so that a machine that slows down slows them all.
    """
    found: list[list[float]] = [[] for _ in works]
    for _ in range(ROUNDS):
        for times, work in zip(found, works, strict=True):
            plan = load()  # created again, because a plan caches its segments
            began = time.process_time()
            work(plan)
            times.append(time.process_time() - began)
    return [min(times) for times in found]


def ours(name: str, plan: CutPlan) -> None:
    """Write a load and read it back."""
    settings = SETTINGS.get(name, {})
    read_back(name, registry.write(name, plan, settings).data, plan, settings)


def proved(plan: CutPlan) -> None:
    """Prove the plan of a load."""
    faults = PlanProof(REGIONS, Pen()).faults(PLACEMENTS, plan)
    if faults:
        raise SystemExit(f"the proof finds faults: {faults}")


def print_tools() -> None:
    """Print what the proof of each tool's own plan of the 500 pieces costs."""
    from geometry.model.cutter import Bed, Cutter, DragBlade, IndexedBlade, Laser
    from geometry.model.placement import Load
    from tests.tool_plans import PlanOptions, make_plan

    print(f"{'proof':14}" + "".join(f"{name:>8}" for name in BARE))
    for tool in (Pen(), Laser(kerf=0.2), DragBlade(), IndexedBlade()):
        area = WorkArea.rectangle(0.0, 0.0, 1600.0, 1300.0)
        cutter = Cutter("bench", tool, Bed(1600.0, 1300.0))
        plan = make_plan(
            Load(tuple(PLACEMENTS)), REGIONS, cutter, area, title="Benchmark",
            entry_angle_deg=None, options=PlanOptions(material="card"),
        ).plan  # fmt: skip

        def prove(tool: Tool = tool, plan: CutPlan = plan) -> None:
            if faults := PlanProof(REGIONS, tool).faults(PLACEMENTS, plan):
                raise SystemExit(f"the proof finds faults: {faults}")

        proof = _least(prove)
        row = [
            proof / _least(lambda bare=bare, name=name, plan=plan: parsed(name, bare(plan)))  # type: ignore[misc]
            for name, bare in BARE.items()
        ]
        print(f"{tool.kind:14}" + "".join(f"{ratio:8.2f}" for ratio in row))


def _least(work: Callable[[], object]) -> float:
    """Return the least processor time of several rounds, s."""
    times = []
    for _ in range(ROUNDS):
        began = time.process_time()
        work()
        times.append(time.process_time() - began)
    return min(times)


def main() -> int:
    """Print the figures; return 1 when a ratio is beyond its limit."""
    broken = 0
    print(f"{'format':8}{'bare s':>9}{'ours s':>9}{'ratio':>7}{'proof':>7}")
    for name, bare in BARE.items():
        plan = load()
        if parsed(name, bare(plan)) != PIECES:
            raise SystemExit(f"{name}: the reference does not write {PIECES} strokes")
        reference, mine, proof = seconds(
            lambda plan, name=name, bare=bare: parsed(name, bare(plan)),  # type: ignore[misc]
            lambda plan, name=name: ours(name, plan),  # type: ignore[misc]
            proved,
        )
        ratio = mine / reference
        broken += ratio > MAX_RATIO
        is_over = ratio > GOAL_RATIO or proof / reference > GOAL_PROOF
        mark = "  over the goal" if is_over else ""
        print(f"{name:8}{reference:9.3f}{mine:9.3f}{ratio:7.2f}{proof / reference:7.2f}{mark}")
    if "--tools" in sys.argv[1:]:
        print_tools()
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
