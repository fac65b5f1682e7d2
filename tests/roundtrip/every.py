"""One load for each tool that holds every shape of the catalogue, its patch, and the flag."""

from __future__ import annotations

from functools import cache

from adapters import registry
from geometry.model.cutter import (
    Bed,
    Cutter,
    DragBlade,
    IndexedBlade,
    Laser,
    Pen,
    SteelRuleDie,
    Tool,
    WorkArea,
)
from geometry.model.outline import Outline, Region
from geometry.model.placement import Load, Placement
from geometry.model.plan import CutPlan
from geometry.model.transform import Rigid, scaled
from geometry.offset.allowance import make_patch
from geometry.shapes.catalogue import CATALOGUE
from tests.roundtrip import plans
from tests.tool_plans import PlanOptions, make_plan

#: HP-GL's classic integers end at 819 mm.
WIDTH, HEIGHT = 790.0, 760.0
_ACROSS, _CELL = 4, (192.0, 92.0)
TOOLS: dict[str, Tool] = {
    tool.kind: tool
    for tool in (DragBlade(), IndexedBlade(), Laser(kerf=0.2), SteelRuleDie(), Pen())
}
#: The settings of each format, so that the bed is one page and nothing is left unstated.
SETTINGS: dict[str, dict[str, object]] = {
    **plans.SETTINGS,
    "hpgl": {},
    "pdf": {"paper": "bed", "margin_mm": 0.0},
}


def sized(kind: str, side: float = 60.0) -> Outline:
    """Return a kind of shape whose longer side is as asked, mm."""
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    return scaled(plain, side / max(plain.bounds.width, plain.bounds.height))


@cache
def load(tool: str) -> CutPlan:
    """Return the plan of all shapes, in cells of their own."""
    outlines: dict[str, Outline] = {}
    placements = []
    for number, kind in enumerate(CATALOGUE):
        template = sized(kind)
        trio = {"": template, "-patch": make_patch(template, 6.35).outline, "-flag": plans.FLAG}
        x = 10.0 + _CELL[0] * (number % _ACROSS)
        y = 10.0 + _CELL[1] * (number // _ACROSS)
        for suffix, outline in trio.items():
            outlines[kind + suffix] = outline
            box = outline.bounds
            placements.append(Placement(kind + suffix, Rigid(0.0, x - box.left, y - box.bottom)))
            x += box.width + 8.0
    return make_plan(
        Load(tuple(placements)),
        {name: Region(outline) for name, outline in outlines.items()},
        Cutter("bench", TOOLS[tool], Bed(WIDTH, HEIGHT)),
        WorkArea.rectangle(0.0, 0.0, WIDTH, HEIGHT),
        title="Every shape",
        entry_angle_deg=None,
        options=PlanOptions(material="card"),
    ).plan


@cache
def written(name: str, tool: str, **settings: str) -> bytes:
    """Return a tool's load in a format."""
    return registry.get(name).write(load(tool), {**SETTINGS.get(name, {}), **settings}).data
