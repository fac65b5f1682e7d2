"""The proof of cut plans passes right plans of every shape and tool, and measures wrong ones."""

from __future__ import annotations

import cmath
import math
from dataclasses import replace

import pytest

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
from geometry.model.outline import Chain, Mark, Outline, Region, Vertex
from geometry.model.placement import Load, Placement
from geometry.model.plan import CutPlan, Stroke
from geometry.model.transform import Rigid, scaled
from geometry.proof.curves import Corner
from geometry.proof.cut_plan import CutOptions, PlanProof
from geometry.proof.drag_tip import pulled_round, tip_paths, tip_trail
from geometry.proof.piece_cuts import TiesLeft
from geometry.shapes.catalogue import CATALOGUE
from geometry.toolpath.drag import compensated
from geometry.toolpath.route import QUICK
from geometry.toolpath.ties import Ties
from service.tools import kind_of
from tests.tool_plans import PlanOptions, make_plan

TOOLS: tuple[Tool, ...] = (
    Pen(),
    SteelRuleDie(),
    Laser(kerf=0.2),
    Laser(kerf=0.45),
    DragBlade(offset=0.25),
    DragBlade(offset=1.0),
    IndexedBlade(),
)
SOME = ("hexagon", "jewel", "clamshell", "apple_core")
MOVES = (Rigid(0.0, 80, 80), Rigid(30.0, 160, 80, True), Rigid(17.3, 240, 80))


def plan_of(kind: str, tool: Tool, ties: int) -> tuple[dict[str, Region], CutPlan, CutOptions]:
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    outline = scaled(plain, 36.0 / max(plain.bounds.width, plain.bounds.height))
    options = PlanOptions(ties=Ties(ties), search=QUICK)
    planned = make_plan(
        Load(tuple(Placement("A", move) for move in MOVES)),
        {"A": Region(outline)},
        Cutter("bench", tool, Bed(330, 200)),
        WorkArea.rectangle(0, 0, 330, 200),
        title="",
        entry_angle_deg=None,
        options=options,
    )
    steps = kind_of(tool).steps(tool)
    wider = 0.8 * (1.0 - math.cos(math.radians(22.5))) if isinstance(tool, IndexedBlade) else 0.0
    wanted = steps.ties(options)
    held = TiesLeft(ties, 0.5, steps.slot(options), wider) if wanted else TiesLeft()
    return {"A": Region(outline)}, planned.plan, CutOptions(held, max_mismatch_deg=22.5)


def faults(kind: str, tool: Tool, ties: int) -> list[str]:
    regions, plan, options = plan_of(kind, tool, ties)
    places = [Placement("A", move) for move in MOVES]
    return PlanProof(regions, tool, options).faults(places, plan)


@pytest.mark.parametrize("tool", TOOLS, ids=repr)
@pytest.mark.parametrize("kind", SOME)
def test_right_plans_pass(kind: str, tool: Tool) -> None:
    assert faults(kind, tool, 0) == []
    assert faults(kind, tool, 2) == []


@pytest.mark.long
@pytest.mark.parametrize("tool", TOOLS, ids=repr)
@pytest.mark.parametrize("kind", CATALOGUE)
def test_right_plans_of_every_shape_pass(kind: str, tool: Tool) -> None:
    test_right_plans_pass(kind, tool)


@pytest.mark.parametrize("offset", [0.05, 0.175, 0.25, 1.0])
@pytest.mark.parametrize("kind", SOME)
def test_an_offset_ten_per_cent_short_is_seen(kind: str, offset: float) -> None:
    """At the smallest offset it puts corners of a hexagon 0.005 mm off."""
    regions, plan, options = plan_of(kind, DragBlade(offset=0.9 * offset), 0)
    places = [Placement("A", move) for move in MOVES]
    assert PlanProof(regions, DragBlade(offset=offset), options).faults(places, plan)


def test_a_wrong_kerf_is_measured() -> None:
    """Cut on its line by a beam of 0.2 mm, a piece loses half of that."""
    regions, plan, _ = plan_of("hexagon", Pen(), 0)
    places = [Placement("A", move) for move in MOVES]
    proof = PlanProof(regions, Laser(kerf=0.2))
    found = proof.faults(places, replace(plan, tool_kind="laser"))
    assert "is cut 0.100 mm off its edge" in found[0]


@pytest.mark.parametrize("bulge", [0.3, -0.3, 1.0])
@pytest.mark.parametrize("offset", [0.2, 1.0, 30.0])
def test_a_pull_along_an_arc_is_as_exact_in_one_step_as_in_many(
    bulge: float, offset: float
) -> None:
    """The closed form against the sum of ten thousand straight pulls."""
    chord = 20.0 + 0.0j
    sweep = 4.0 * math.atan(bulge)
    centre = chord / 2.0 + 1j * chord / 2.0 / math.tan(sweep / 2.0)
    tangent = cmath.phase(-centre) + math.copysign(math.pi / 2.0, sweep)
    whole = pulled_round(0.4, tangent, abs(centre), sweep, offset)
    closed = Outline.of([(0.0, 0.0, bulge), (20.0, 0.0)]).vertices
    stroke = Stroke("cut", closed, closed=False)
    ((_, trail),) = tip_paths([stroke], offset, 0.4, step=abs(centre) * abs(sweep) / 10_000)
    heading = cmath.phase(chord - complex(*trail[-1]))
    assert math.remainder(whole - heading, math.tau) == pytest.approx(0.0, abs=2e-3)


def test_the_tip_of_a_compensated_path_follows_the_outline() -> None:
    square = Outline.of([(0, 0), (30, 0), (30, 30), (0, 30)])
    (cut,), _ = compensated(DragBlade(offset=0.5), [Stroke("cut", square.vertices, True)], 0.0)
    rows: list[Corner] = [(complex(v.x, v.y), v.bulge) for v in cut.vertices]
    trail, _ = tip_trail(rows, 0.5, 0.0)
    for place, _ in trail:
        assert min(abs(place.real), abs(place.real - 30), abs(place.imag), abs(place.imag - 30)) < (
            1e-6
        )


@pytest.mark.parametrize("tool", [Pen(), Laser(kerf=0.2)], ids=repr)
def test_a_mark_that_ends_in_a_ring_is_compared_from_its_start(tool: Tool) -> None:
    """It is no way into a cut: the second piece's starts 3 mm off, and all else is the first's."""
    square = Outline.of([(0, 0), (40, 0), (40, 40), (0, 40)])
    flag = tuple(Vertex(*place) for place in [(5, 5), (20, 20), (20, 30), (30, 30), (20, 20)])
    region = Region(square, marks=(Mark("match-mark", "mark", Chain(flag)),))
    places = [Placement("A", Rigid(0.0, 10, 10)), Placement("A", Rigid(0.0, 60, 10))]
    planned = make_plan(
        Load(tuple(places)),
        {"A": region},
        Cutter("bench", tool, Bed(330, 200)),
        WorkArea.rectangle(0, 0, 330, 200),
        title="",
        entry_angle_deg=None,
        options=PlanOptions(ties=Ties(0), search=QUICK),
    )
    proof = PlanProof({"A": region}, tool)
    assert proof.faults(places, planned.plan) == []
    strokes = [
        replace(each, vertices=(each.vertices[0]._replace(y=12.0), *each.vertices[1:]))
        if each.operation == "mark" and each.placement == 1
        else each
        for each in planned.plan.strokes
    ]
    assert proof.faults(places, replace(planned.plan, strokes=tuple(strokes)))
