"""Faults of writers, plans and assembly, each with the kit on which it is tried.

A fault replaces one function of ours by a wrong one, as a slip in it would. Lengths in mm.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

import pytest

from adapters import pages, pdf, registry
from adapters.contract import Written
from geometry.model.cutter import DragBlade
from geometry.model.outline import Outline, Region, Vertex
from geometry.model.plan import CutPlan, Stop, Stroke
from geometry.model.transform import Rigid
from geometry.toolpath import drag, indexed, kerf, lead
from geometry.toolpath.plan import make_plan
from service.kits.files import load_files
from service.kits.parts import parts
from service.runs import loads

Patch = pytest.MonkeyPatch
TOOLS: dict[str, dict[str, Any]] = {
    "pen": {"kind": "pen"},
    "laser": {"kind": "laser", "kerf": "0.2 mm"},
    "drag": {"kind": "drag_blade", "offset": "0.25 mm"},
    "indexed": {"kind": "indexed_blade", "positions_deg": [0, 45, 90, 135]},
    "die": {"kind": "steel_rule_die"},
}
LASER = {"head": "laser", "power": 300, "score_power": 60, "feed_mm_min": 1200}
KNIFE = {
    "head": "knife",
    "depth_mm": -1,
    "score_depth_mm": -0.4,
    "feed_mm_min": 900,
    "plunge_feed_mm_min": 300,
}


def kit(tool: str, form: str, settings: dict[str, Any] | None = None, **run: Any) -> dict[str, Any]:
    """Return a kit of two pieces with marks and holes, turned and mirrored, on two loads."""
    bed = {"width": 150, "height": 110}
    cutter = {"tool": TOOLS[tool], "bed": bed, "formats": {form: settings or {}}}
    own = {"cut": "patch", "cutter": cutter, "formats": [form], "gap": "3 mm", "effort": "quick"}
    material = {"name": "card", "kind": "card"}
    if tool == "pen":
        material |= {"width": 150, "height": 110}  # type: ignore[dict-item]
    jewel = {"kind": "jewel", "side": 20}
    clamshell = {"kind": "clamshell", "width": 36}
    common = {"seam_allowance": 5, "seam_line": "score", "match_marks": True}
    return {
        "units": "mm",
        "documents": [],
        "pieces": [
            {"id": "A", "shape": jewel, "quantity": 5, "removal_hole": True, **common},
            {"id": "B", "shape": clamshell, "quantity": 2, **common},
        ],
        "runs": [{**own, "material": material, **run}],
    }


@dataclass(frozen=True)
class Fault:
    """A slip: what it patches, and a kit in which it shows."""

    seed: Callable[[Patch], None]
    kit: dict[str, Any]


def _writer(change: Callable[[CutPlan], CutPlan]) -> Callable[[Patch], None]:
    """Let every writer write a changed plan."""
    real = registry.write
    return lambda patch: patch.setattr(
        registry, "write", lambda name, plan, settings: real(name, change(plan), settings)
    )


def _text(*changes: tuple[str, str]) -> Callable[[Patch], None]:
    """Let every writer write its text with patterns replaced."""
    real = registry.write

    def write(name: str, plan: CutPlan, settings: Any) -> Written:
        written = real(name, plan, settings)
        text = written.data.decode("latin-1")
        for pattern, new in changes:
            text, count = re.subn(pattern, new, text)
            assert count, f"{pattern} is not in the file"
        return Written(text.encode("latin-1"), written.losses)

    return lambda patch: patch.setattr(registry, "write", write)


def _settings(**wrong: str) -> Callable[[Patch], None]:
    """Let every writer take one setting for another."""
    real = registry.write

    def write(name: str, plan: CutPlan, settings: Any) -> Written:
        return real(name, plan, {**settings, **{to: settings[by] for to, by in wrong.items()}})

    return lambda patch: patch.setattr(registry, "write", write)


def _vertices(change: Callable[[Vertex], Vertex]) -> Callable[[CutPlan], CutPlan]:
    return lambda plan: plan.with_vertices(change)


def _scaled(factor: float) -> Callable[[CutPlan], CutPlan]:
    return _vertices(lambda v: Vertex(v.x * factor, v.y * factor, v.bulge))


def _planned(change: Callable[[CutPlan], CutPlan]) -> Callable[[Patch], None]:
    """Let the last step of planning return a changed plan."""
    real = make_plan

    def changed(*what: Any, **how: Any) -> Any:
        made = real(*what, **how)
        return replace(made, plan=change(made.plan))

    return lambda patch: patch.setattr(loads, "make_plan", changed)


def _strokes(change: Callable[[tuple[Stroke, ...]], tuple[Stroke, ...]]) -> Any:
    return _planned(lambda plan: replace(plan, strokes=change(plan.strokes)))


def _kerf(factor: float) -> Callable[[Patch], None]:
    real = kerf.widened

    def widened(region: Region, width: float) -> tuple[Region, tuple[str, ...]]:
        if factor >= 0.0:
            return real(region, factor * width)
        grown = real(region, width)[0]
        # As far inside as it should be outside, from a smaller outline.
        return replace(grown, outline=_halfway(grown.outline, region.outline)), ()

    return lambda patch: patch.setattr("service.tools.laser.widened", widened)


def _halfway(grown: Outline, outline: Outline) -> Outline:
    rows = zip(grown.vertices, outline.vertices, strict=True)
    return Outline(tuple(Vertex(2 * b.x - a.x, 2 * b.y - a.y, b.bulge) for a, b in rows))


def _offset(factor: float) -> Callable[[Patch], None]:
    real = drag.compensated
    return lambda patch: patch.setattr(
        drag,
        "compensated",
        lambda blade, strokes, heading: real(
            DragBlade(offset=factor * blade.offset), strokes, heading
        ),
    )


def _unmoved(**wrong: Any) -> Callable[[Patch], None]:
    """Let plans place pieces with a part of their move left out."""
    real = Rigid.region
    return lambda patch: patch.setattr(
        Rigid, "region", lambda move, region: real(replace(move, **wrong), region)
    )


def _angles(patch: Patch) -> None:
    real = indexed.split_by_angle

    def split(blade: Any, strokes: Any, **how: Any) -> list[Stroke]:
        other = {angle: (angle + 45.0) % 180.0 for angle in TOOLS["indexed"]["positions_deg"]}
        return [
            each if each.angle_deg is None else replace(each, angle_deg=other[each.angle_deg])
            for each in real(blade, strokes, **how)
        ]

    patch.setattr("service.tools.indexed_blade.split_by_angle", split)


def _stops(plan: CutPlan) -> CutPlan:
    turns = [stop for stop in plan.stops if stop.reason != "turn-blade"]
    return replace(plan, stops=tuple(turns))


def _late(plan: CutPlan) -> CutPlan:
    """Let each stop between two strokes come a stroke too late."""
    inner = range(1, len(plan.strokes))
    return replace(
        plan,
        stops=tuple(
            replace(stop, before_stroke=stop.before_stroke + (stop.before_stroke in inner))
            for stop in plan.stops
        ),
    )


def _swapped(plan: CutPlan) -> tuple[Stop, ...]:
    """Return the stops with the words of the last two exchanged."""
    *others, a, b = plan.stops
    return (*others, replace(a, message=b.message), replace(b, message=a.message))


def _parts_unstopped(patch: Patch) -> None:
    def unstopped(*what: Any) -> Iterator[Any]:
        for word, plan in parts(*what):
            yield word, _stops(plan)

    patch.setattr("service.kits.files.parts", unstopped)


def _loads(change: Callable[[tuple[Any, ...]], tuple[Any, ...]]) -> Callable[[Patch], None]:
    real = loads._plan_loads

    def plan_loads(*what: Any, **how: Any) -> Any:
        found, angle = real(*what, **how)
        return change(found), angle

    return lambda patch: patch.setattr(loads, "_plan_loads", plan_loads)


def _rows(patch: Patch) -> None:
    """Let the first load's plan be written for all."""
    real = registry.write
    first: list[CutPlan] = []

    def write(name: str, plan: CutPlan, settings: Any) -> Written:
        first.append(plan)
        return real(name, first[0], settings)

    patch.setattr(registry, "write", write)


def _parts(patch: Patch) -> None:

    def fewer(*what: Any) -> Iterator[Any]:
        yield from list(parts(*what))[:-1]

    patch.setattr("service.kits.files.parts", fewer)


def _tiles(patch: Patch) -> None:
    """Let a bed take one page less, as an upper bound that is off by one does."""
    real = pages.pages

    def fewer(*what: Any) -> Any:
        count, every = real(*what)
        return count, iter(list(every)[:-1])

    patch.setattr("adapters.pdf_pages.pages", fewer)
    patch.setattr("adapters.pages.pages", fewer)


def _pierced(patch: Patch) -> None:
    real = lead._waste
    patch.setattr(lead, "_waste", lambda stroke: real(stroke) + math.pi)
    patch.setattr(lead, "_clear", lambda *_, **__: True)


def _holes_lost(strokes: tuple[Stroke, ...]) -> tuple[Stroke, ...]:
    return tuple(each for each in strokes if each.part != "hole")


def _moved_one(strokes: tuple[Stroke, ...]) -> tuple[Stroke, ...]:
    *others, last = strokes
    vertices = tuple(v._replace(x=v.x + 0.05) for v in last.vertices)
    return (*others, replace(last, vertices=vertices))


def _straight(v: Vertex) -> Vertex:
    return v._replace(bulge=0.0)


def _fitted(patch: Patch) -> None:
    """Let pages be drawn at 97 %, as a viewer fits them."""
    real = pdf._page

    def page(canvas: Any, *what: Any) -> None:
        canvas.scale(0.97, 0.97)
        real(canvas, *what)

    patch.setattr(pdf, "_page", page)


def _without(name: str) -> Callable[[Patch], None]:
    """Let writers ignore one setting."""
    real = registry.write
    return lambda patch: patch.setattr(
        registry,
        "write",
        lambda each, plan, settings: real(
            each, plan, {key: value for key, value in settings.items() if key != name}
        ),
    )


def _untied(patch: Patch) -> None:
    patch.setattr("geometry.toolpath.plan.with_ties", lambda stroke, *_: [stroke])


def _names(patch: Patch) -> None:
    """Let the files of a load's first and last part change places."""

    def swapped(*what: Any, **how: Any) -> Any:
        entries, files, losses = load_files(*what, **how)
        names = list(files)
        files[names[0]], files[names[-1]] = files[names[-1]], files[names[0]]
        return entries, files, losses

    patch.setattr("service.kits.kits.load_files", swapped)


MIRRORED = kit("pen", "svg")
MIRRORED["pieces"] = [
    {
        "id": "A",
        "shape": {"kind": "parallelogram", "base": 30, "side": 20, "angle_deg": 60},
        "quantity": 4,
        "seam_allowance": 5,
        "mirror": True,
    }
]

FAULTS: dict[str, Fault] = {
    # Writers
    "svg: arcs the other way": Fault(
        _text((r"( 0 [01] )([01])(?=[ ,])", r"\g<1>0")), kit("laser", "svg")
    ),
    "last stroke dropped": Fault(
        _writer(lambda plan: replace(plan, strokes=plan.strokes[:-1])), kit("laser", "hpgl")
    ),
    "scale 1.0005": Fault(_writer(_scaled(1.0005)), kit("laser", "dxf")),
    "mirrored y": Fault(
        _writer(_vertices(lambda v: Vertex(v.x, 110.0 - v.y, -v.bulge))), kit("laser", "svg")
    ),
    "inch factor": Fault(_text(("G21", "G20")), kit("laser", "gcode", LASER)),
    "dxf: inches in the header": Fault(
        _text((r"(\$INSUNITS\r?\n *70\r?\n *)4", r"\g<1>1")), kit("laser", "dxf")
    ),
    "gcode: arcs the other way": Fault(_text(("G3 ", "G2 ")), kit("laser", "gcode", LASER)),
    "gcode: powers swapped": Fault(
        _settings(power="score_power", score_power="power"), kit("laser", "gcode", LASER)
    ),
    "gcode: depths swapped": Fault(
        _settings(depth_mm="score_depth_mm", score_depth_mm="depth_mm"), kit("drag", "gcode", KNIFE)
    ),
    "gcode: feed ten times": Fault(_text((r" F1200", " F12000")), kit("laser", "gcode", LASER)),
    "gcode: plunge at the cutting feed": Fault(
        _text(("F300", "F900")), kit("drag", "gcode", KNIFE)
    ),
    "gcode: beam on while it travels": Fault(_text((r"M5\n\(", "(")), kit("laser", "gcode", LASER)),
    "gcode: blade down while it travels": Fault(
        _text((r"G0 Z5\.0", "G0 Z-1.0")), kit("drag", "gcode", KNIFE)
    ),
    "gcode: beam on while it waits": Fault(
        _text((r"(M3 S300\n)", r"\1M0\n")), kit("laser", "gcode", LASER)
    ),
    "gcode: last stop lost": Fault(
        _text((r"(?s)M0\n(?!.*M0\n)", "")), kit("indexed", "gcode", KNIFE)
    ),
    "gcode: stops a stroke late": Fault(_writer(_late), kit("indexed", "gcode", KNIFE)),
    "gcode: stops in each other's place": Fault(
        _writer(lambda plan: replace(plan, stops=_swapped(plan))), kit("indexed", "gcode", KNIFE)
    ),
    "gcode: ends too early": Fault(
        _text((r"(?s)(M5\n)(?!.*M5\n)", r"M2\n\1")), kit("laser", "gcode", LASER)
    ),
    "plan: last stop lost": Fault(
        _writer(lambda plan: replace(plan, stops=plan.stops[:-1])), kit("indexed", "plan")
    ),
    "hpgl: speed doubled": Fault(
        _text(("VS10;", "VS20;")), kit("drag", "hpgl", {"speed_cm_s": 10})
    ),
    "hpgl: arcs the other way": Fault(
        _text((r"(AA[0-9-]+,[0-9-]+,)-?", r"\g<1>-")), kit("pen", "hpgl", {"arcs": "AA"})
    ),
    "hpgl: coarse chords": Fault(
        _text((r"(AA[^;]*),[0-9.]+;", r"\g<1>,45;")), kit("pen", "hpgl", {"arcs": "AA"})
    ),
    "hpgl: pens swapped": Fault(_text(("SP1;", "SP9;"), ("SP3;", "SP1;")), kit("pen", "hpgl")),
    "pdf: a page too few": Fault(_tiles, kit("pen", "pdf", {"margin_mm": 40, "joined": "all"})),
    "pdf: fitted to the page": Fault(_fitted, kit("pen", "pdf")),
    "axes: turn_deg ignored": Fault(_without("turn_deg"), kit("laser", "dxf", {"turn_deg": 90})),
    "axes: origin ignored": Fault(_without("origin"), kit("drag", "hpgl", {"origin": "centre"})),
    "plan: x and y swapped": Fault(
        _writer(_vertices(lambda v: Vertex(v.y, v.x, -v.bulge))), kit("pen", "plan")
    ),
    # Plans
    "kerf on the wrong side": Fault(_kerf(-1.0), kit("laser", "svg")),
    "kerf left out": Fault(_kerf(0.0), kit("laser", "svg")),
    "kerf twice": Fault(_kerf(2.0), kit("laser", "svg")),
    "drag offset 10 % short": Fault(_offset(0.9), kit("drag", "svg")),
    "drag offset left out": Fault(_offset(0.0), kit("drag", "svg")),
    "turn of pieces ignored": Fault(_unmoved(turn_deg=0.0), kit("pen", "svg")),
    "pieces mirrored": Fault(_unmoved(mirrored=True), MIRRORED),
    "blade at another angle": Fault(_angles, kit("indexed", "svg")),
    "blade never turned": Fault(_planned(_stops), kit("indexed", "svg")),
    "ties lost": Fault(_untied, kit("drag", "svg", ties={"count": 2, "width": 1})),
    "holes lost": Fault(_strokes(_holes_lost), kit("die", "dxf", cut="template")),
    "plan's scale 1.0005": Fault(_planned(_scaled(1.0005)), kit("pen", "svg")),
    "plan's arcs lost": Fault(_planned(_vertices(_straight)), kit("laser", "svg")),
    "plan's last stroke lost": Fault(_strokes(lambda each: each[:-1]), kit("drag", "svg")),
    "one stroke moved 0.05 mm": Fault(_strokes(_moved_one), kit("pen", "svg")),
    "lead-in through the piece": Fault(_pierced, kit("laser", "svg")),
    # Assembly
    "second load lost": Fault(_loads(lambda found: found[:1]), kit("pen", "svg")),
    "first load written twice": Fault(_rows, kit("pen", "svg")),
    "last station lost": Fault(_parts, kit("indexed", "svg", one_file_per="station")),
    "stops of the parts lost": Fault(
        _parts_unstopped, kit("indexed", "gcode", KNIFE, one_file_per="station")
    ),
    "names of two files swapped": Fault(_names, kit("indexed", "svg", one_file_per="station")),
}
