"""Axes, formats, settings and tools in all combinations, read by other hands.

5 origins, 4 turns and 3 mirror images of DXF in 8 forms, HP-GL in 3 and G-code in 4, and the
formats without axes, each by every tool. Readers: GDAL for DXF, ezdxf's plotter for HP-GL,
svgelements and librsvg for SVG, pdfium and poppler for PDF, and for G-code the interpreter of
``rs274``, which is written from the standard alone. None knows the axes: what it finds is turned
back to the bed by hand. Each path is followed along its stroke, both ways.

The default run takes a few of each. All of them, with the worst deviation of each form::

    python -m pytest -m long tests/roundtrip/test_combinations.py -s --timeout 3600
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from adapters import registry
from geometry.model.cutter import Bed, Cutter, WorkArea
from geometry.model.outline import Mark, Outline, Region
from geometry.model.placement import Load, Placement
from geometry.model.plan import CutPlan
from geometry.model.transform import Rigid, moved
from geometry.shapes.catalogue import build
from tests.roundtrip import every, follow, outside, plans
from tests.roundtrip.test_settings_over_http import _moves
from tests.tool_plans import PlanOptions, make_plan

WIDTH, HEIGHT = 300.0, 200.0
#: Where each origin is on that bed.
ORIGINS = {
    "lower-left": (0.0, 0.0),
    "lower-right": (WIDTH, 0.0),
    "upper-left": (0.0, HEIGHT),
    "upper-right": (WIDTH, HEIGHT),
    "centre": (WIDTH / 2, HEIGHT / 2),
}
#: What a machine whose x axis is turned calls x, y is here on the bed.
TURNS: dict[int, Callable[[float, float], tuple[float, float]]] = {
    0: lambda x, y: (x, y),
    90: lambda x, y: (-y, x),
    180: lambda x, y: (-x, -y),
    270: lambda x, y: (y, -x),
}
MIRRORS = {"none": (1, 1), "x": (-1, 1), "y": (1, -1)}
AXES = [
    {"origin": origin, "turn_deg": turn, "mirror": mirror}
    for origin, turn, mirror in itertools.product(ORIGINS, TURNS, MIRRORS)
]
NO_AXES: list[dict[str, Any]] = [{}]


def on_bed(path: Sequence[tuple[float, float]], axes: dict[str, Any]) -> list[tuple[float, float]]:
    """Return a path in the machine's axes where it is on the bed."""
    if not axes:
        return list(path)
    (x0, y0), turn = ORIGINS[axes["origin"]], TURNS[axes["turn_deg"]]
    sx, sy = MIRRORS[axes["mirror"]]
    return [(x0 + x, y0 + y) for x, y in (turn(sx * x, sy * y) for x, y in path)]


@cache
def plan_of(tool: str) -> CutPlan:
    """Return a load with arcs, a hole, a crease and the flag that no symmetry can hide."""
    jewel = build("jewel", {"side": 40.0})
    hole = Outline(moved(build("circle", {"diameter": 8.0}), 20.0, 20.0).vertices)
    crease = Mark("seam-line", "score", moved(build("circle", {"diameter": 20.0}), 15.0, 12.0))
    regions = {
        "flag": Region(plans.FLAG),
        "jewel": Region(jewel, holes=(hole,)),
        "clam": Region(build("clamshell", {"width": 45.0}), marks=(crease,)),
        "core": Region(build("apple_core", {"length": 60.0})),
    }
    places = {"flag": (20, 20, 0), "jewel": (100, 65, 30), "clam": (40, 130, 0)}
    placements = []
    for name, (x, y, turn) in {**places, "core": (220, 120, 70)}.items():
        placements.append(Placement(name, Rigid(float(turn), float(x), float(y))))
    return make_plan(
        Load(tuple(placements)),
        regions,
        Cutter("bench", every.TOOLS[tool], Bed(WIDTH, HEIGHT)),
        WorkArea.rectangle(0.0, 0.0, WIDTH, HEIGHT),
        title="Combinations",
        entry_angle_deg=None,
        options=PlanOptions(material="card"),
    ).plan


@dataclass(frozen=True)
class Form:
    """A format with settings, an outside reader of it, and what it may be off, mm."""

    name: str
    settings: dict[str, Any]
    paths: Callable[[bytes, CutPlan, Path], list[outside.Points]]
    within: float
    scale: float = 1.0
    of_radius: float = 0.0

    def axes(self) -> list[dict[str, Any]]:
        return AXES if self.name in {"dxf", "hpgl", "gcode"} else NO_AXES

    def off(self, tool: str, axes: dict[str, Any], folder: Path) -> float:
        """Return how far the file read by another hand is off the plan, mm."""
        plan = plan_of(tool)
        data = registry.get(self.name).write(plan, {**self.settings, **axes}).data
        found = [
            on_bed([(self.scale * x, self.scale * y) for x, y in path], axes)
            for path in self.paths(data, plan, folder)
        ]
        strokes = list(plan.strokes)
        if self.settings.get("entities") == "exploded":
            found = list(outside.exploded(found, plan.strokes))
        if self.name == "hpgl":
            strokes = follow.chained(strokes, 40.0 / self.scale)
        any_way = self.name == "dxf"
        follow.follow(
            found, strokes, self.within, of_radius=self.of_radius, circles_any_way=any_way
        )
        return max(
            follow.off(path, stroke, directed=not (any_way and follow.is_circle(stroke)))
            for path, stroke in zip(found, strokes, strict=True)
        )


def _gcode(data: bytes, _plan: CutPlan, _folder: Path) -> list[outside.Points]:
    return _moves(data)


LASER = {"head": "laser", "power": 300, "score_power": 60, "feed_mm_min": 1200}
KNIFE = {"head": "knife", "depth_mm": -1, "score_depth_mm": -0.4, "feed_mm_min": 900}
#: Half a diagonal of the grid of 0.025 mm, the chords' 0.005 mm, and a little.
GRID, CHORD = 0.0177, 0.006
FORMS = {
    **{
        f"dxf {release} {entities} {units}": Form(
            "dxf",
            {"release": release, "entities": entities, "units": units},
            outside.gdal_paths,
            0.001,
            scale=25.4 if units == "in" else 1.0,
        )
        for release, entities, units in itertools.product(
            ("R2000", "R12"), ("polylines", "exploded"), ("mm", "in")
        )
    },
    "hpgl chords": Form("hpgl", {}, outside.hpgl_by_ezdxf, GRID + CHORD),
    "hpgl AA": Form("hpgl", {"arcs": "AA"}, outside.hpgl_by_ezdxf, 3 * GRID + CHORD),
    "hpgl 20 units": Form(
        "hpgl", {"units_per_mm": 20}, outside.hpgl_by_ezdxf, 2 * GRID + CHORD, scale=2.0
    ),
    "gcode laser mm": Form("gcode", {**LASER, "power_word": "M4"}, _gcode, 0.001),
    "gcode laser in": Form("gcode", {**LASER, "units": "in"}, _gcode, 0.001),
    "gcode knife": Form("gcode", {**KNIFE, "arc_centres": "G91.1"}, _gcode, 0.001),
    "gcode chords": Form("gcode", {**LASER, "arcs": "chords"}, _gcode, 0.006),
    "svg": Form("svg", {}, outside.svgelements_paths, 0.001),
    "svg by librsvg": Form("svg", {}, outside.librsvg_paths, 0.002, of_radius=2.8e-4),
    "pdf by poppler": Form("pdf", {"paper": "bed", "margin_mm": 0.0}, outside.poppler_paths, 0.002),
    "pdf": Form("pdf", {"paper": "bed", "margin_mm": 0.0}, outside.pdfium_page, 0.001),
}
COUNT = sum(len(form.axes()) for form in FORMS.values())
#: A few of each format, for the default run.
SHORT = {"dxf R12 exploded in", "hpgl AA", "gcode laser in", "svg", "pdf"}


def checked(
    form: Form, axes: Sequence[dict[str, Any]], folder: Path, *, every_tool: bool = False
) -> tuple[int, float]:
    """Return how many combinations were read, and the worst deviation, mm."""
    tools = itertools.cycle(every.TOOLS)
    cases = [
        (tool, each) for each in axes for tool in (every.TOOLS if every_tool else [next(tools)])
    ]
    return len(cases), max(form.off(tool, each, folder) for tool, each in cases)


@pytest.mark.parametrize("name", sorted(SHORT))
def test_some_combinations(name: str, tmp_path: Path) -> None:
    axes = FORMS[name].axes()
    count, worst = (
        checked(FORMS[name], axes[7::23], tmp_path)
        if len(axes) > 1
        else checked(FORMS[name], axes, tmp_path)
    )
    assert count
    assert 0.0 <= worst < 0.1


@pytest.mark.long
@pytest.mark.parametrize("name", FORMS)
def test_all_combinations(name: str, tmp_path: Path) -> None:
    form = FORMS[name]
    count, worst = checked(form, form.axes(), tmp_path, every_tool=True)
    print(f"{name}: {count} combinations, worst {worst:.5f} mm of {form.within:g} allowed")
    assert count == len(form.axes()) * len(every.TOOLS)


def test_there_are_at_least_524() -> None:
    assert len(AXES) == 5 * 4 * 3
    assert COUNT >= 524


def test_the_axes_are_those_of_the_bed() -> None:
    """The point 10, 20 of the machine whose origin is lower right and whose x runs up the bed."""
    axes = {"origin": "lower-right", "turn_deg": 90, "mirror": "none"}
    assert on_bed([(10.0, 20.0)], axes) == [(280.0, 10.0)]
    assert on_bed([(10.0, 20.0)], {**axes, "mirror": "y"}) == [(320.0, 10.0)]
