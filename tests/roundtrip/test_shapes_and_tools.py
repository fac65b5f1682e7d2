"""Every shape of the catalogue, cut by every tool, through a reader of another house.

Each plan holds the shape's patch as well, and the asymmetric flag. Outside readers: svgpathtools
for SVG, ezdxf's bulge arithmetic for DXF, ezdxf's plotter for HP-GL; all formats by read-back's
own readers. ``test_every_shape_outside`` follows the paths themselves.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ezdxf
import pytest
import svgpathtools
from ezdxf.addons.hpgl2 import api as hpgl2

from adapters import registry
from adapters.readback import read_back
from geometry.measure import flattened, perimeter
from geometry.model.cutter import (
    Bed,
    Cutter,
    Tool,
    WorkArea,
)
from geometry.model.outline import Region
from geometry.model.placement import Load, Placement
from geometry.model.plan import CutPlan
from geometry.model.transform import Rigid
from geometry.offset.allowance import make_patch
from geometry.shapes.catalogue import CATALOGUE
from tests.roundtrip import every, plans
from tests.short_form import SHAPES, short_form
from tests.tool_plans import PlanOptions, make_plan

SIDE = 420.0
TOOLS: tuple[Tool, ...] = tuple(every.TOOLS.values())


def placed(kind: str, tool: Tool) -> CutPlan:
    """Return the plan of a shape, its patch and the flag, side by side."""
    template = every.sized(kind)
    outlines = {"A": template, "B": make_patch(template, 6.35).outline, "F": plans.FLAG}
    placements, x = [], 20.0
    for name, outline in outlines.items():
        box = outline.bounds
        placements.append(Placement(name, Rigid(0.0, x - box.left, 40.0 - box.bottom)))
        x += box.width + 20.0
    return make_plan(
        Load(tuple(placements)),
        {name: Region(outline) for name, outline in outlines.items()},
        Cutter("bench", tool, Bed(SIDE, SIDE)),
        WorkArea.rectangle(0.0, 0.0, SIDE, SIDE),
        title="Every shape",
        entry_angle_deg=None,
        options=PlanOptions(material="card"),
    ).plan


def svg_lengths(data: bytes, tmp_path: Path) -> list[float]:
    (tmp_path / "a.svg").write_bytes(data)
    return [path.length() for path in svgpathtools.svg2paths(str(tmp_path / "a.svg"))[0]]


def dxf_lengths(data: bytes, _: Path) -> list[float]:
    found = []
    entity: Any
    for entity in ezdxf.filemanagement.read(io.StringIO(data.decode("ascii"))).modelspace():
        if entity.dxftype() == "CIRCLE":
            found.append(math.tau * entity.dxf.radius)
            continue
        rows: Any = list(entity.get_points("xyb"))
        ends = [*rows[1:], rows[0]] if entity.closed else rows[1:]
        total = 0.0
        for (ax, ay, bulge), (bx, by, _bulge) in zip(rows, ends, strict=False):
            if bulge:
                _, first, last, radius = ezdxf.math.bulge_to_arc((ax, ay), (bx, by), bulge)
                total += radius * ((last - first) % math.tau)
            else:
                total += math.dist((ax, ay), (bx, by))
        found.append(total)
    return found


def hpgl_lengths(data: bytes, _: Path) -> list[float]:
    player = hpgl2.record_plotter_output(b"\x1b%1B" + data, hpgl2.MergeControl.NONE)
    total = 0.0
    for _record, _properties, path in player.recordings():
        points = [(p.x / 40.0, p.y / 40.0) for p in path.vertices()]
        total += math.fsum(map(math.dist, points, points[1:]))
    return [total]


@pytest.mark.parametrize("tool", TOOLS, ids=lambda tool: tool.kind)
@pytest.mark.parametrize("kind", short_form(CATALOGUE, SHAPES))
def test_every_shape_by_every_tool(kind: str, tool: Tool, tmp_path: Path) -> None:
    plan = placed(kind, tool)
    lengths = [stroke.length for stroke in plan.strokes]
    readers: dict[str, Callable[[bytes, Path], list[float]]] = {
        "svg": svg_lengths,
        "dxf": dxf_lengths,
        "hpgl": hpgl_lengths,
    }
    for name in registry.BUILT_IN:
        settings = {**plans.SETTINGS.get(name, {}), **({"paper": "bed"} if name == "pdf" else {})}
        data = registry.get(name).write(plan, settings).data
        found = read_back(name, data, plan, settings)
        assert found is not None
        assert found.worst_deviation <= registry.get(name).resolution
        if name not in readers:
            continue
        read = readers[name](data, tmp_path)
        if name == "hpgl":
            # A chord is shorter than its arc by up to 8 rise^2 / (3 chord); a step of the grid
            # lengthens: together under a thousandth at these sizes.
            assert read[0] == pytest.approx(sum(lengths), rel=2e-3)
        else:
            assert read == pytest.approx(lengths, rel=1e-4, abs=1e-3)


def test_perimeters_are_those_of_fine_polylines() -> None:
    for kind in CATALOGUE:
        outline = CATALOGUE[kind].build(CATALOGUE[kind].unit)
        points = flattened(outline, 1e-5 * outline.bounds.width)
        rough = math.fsum(map(math.dist, points, [*points[1:], points[0]]))
        assert perimeter(outline) == pytest.approx(rough, rel=1e-3)
