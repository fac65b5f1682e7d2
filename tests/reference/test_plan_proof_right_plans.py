"""Right plans that an earlier proof refused, and a wrong one that it found."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from geometry.model.cutter import Bed, Cutter, DragBlade, IndexedBlade, Laser, Pen, Tool, WorkArea
from geometry.model.outline import Mark, Outline, Region
from geometry.model.placement import Load, Placement
from geometry.model.plan import Stroke
from geometry.model.transform import Rigid
from geometry.proof.curves import Corner, PathSet, corners, samples
from geometry.proof.cut_plan import CutOptions, PlanProof
from geometry.proof.drag_tip import tip_trail
from geometry.proof.piece_cuts import TiesLeft
from geometry.toolpath.drag import compensated
from geometry.toolpath.route import QUICK
from geometry.toolpath.ties import Ties
from service.tools import kind_of
from tests.tool_plans import PlanOptions, make_plan

SQUARE = Region(Outline.of([(0, 0), (30, 0), (30, 30), (0, 30)]))
#: A tab with a round end, so that a blade's stabs lie beside its edge.
TAB = Region(Outline.of([(0, 0), (40, 0), (40, 30, 0.4), (0, 30)]))
#: A round hole of 6 mm.
HOLED = Region(SQUARE.outline, (Outline.of([(12, 15, 1.0), (18, 15, 1.0)]),))
BESIDE = (Rigid(0.0, 20, 20), Rigid(0.0, 50, 20))


def faults(
    tool: Tool,
    region: Region,
    moves: tuple[Rigid, ...],
    options: PlanOptions,
    **wanted: float,
) -> list[str]:
    places = tuple(Placement("A", move) for move in moves)
    planned = make_plan(
        Load(places),
        {"A": region},
        Cutter("bench", tool, Bed(200, 120)),
        WorkArea.rectangle(0, 0, 200, 120),
        title="",
        entry_angle_deg=None,
        options=options,
    )
    steps = kind_of(tool).steps(tool)
    ties = steps.ties(options)
    held = (
        TiesLeft()
        if ties is None
        else TiesLeft(ties.count, ties.width, steps.slot(options), **wanted)
    )
    proof = PlanProof({"A": region}, tool, CutOptions(held, options.common_line))
    return proof.faults(places, planned.plan)


#: Hollows of 90 and 30 degrees in the waste, and a square hole.
NOTCHED = Outline.of([(0, 0), (60, 0), (60, 40), (38, 40), (38, 22), (20, 22), (20, 40), (0, 40)])
POINTED = Outline.of([(0, 0), (60, 0), (60, 40), (35, 40), (30, 21.34), (25, 40), (0, 40)])
WINDOW = Outline.of([(8, 6), (14, 6), (14, 12), (8, 12)])


@pytest.mark.parametrize("kerf", [0.05, 0.18, 0.2, 0.3, 0.45])
@pytest.mark.parametrize("outline", [NOTCHED, POINTED], ids=["notched", "pointed"])
def test_a_beam_may_leave_what_it_cannot_reach_beside_ties(outline: Outline, kerf: float) -> None:
    """A disc of radius r touches both edges of a hollow of angle a at r / tan(a / 2) from it."""
    region = Region(outline, (WINDOW,))
    for count in (1, 2, 4):
        assert faults(Laser(kerf=kerf), region, (Rigid(0.0, 20, 20),), _tied(count)) == []


#: Hollow arcs and straight edges between them.
WAVY = Outline.of([(0, 0), (50, 0, -0.3), (50, 40), (0, 40, -0.2)])


@pytest.mark.parametrize("tool", [Pen(), Laser(kerf=0.3), DragBlade(), IndexedBlade()], ids=repr)
def test_ties_may_lie_on_hollow_arcs(tool: Tool) -> None:
    """Chords of an arc part no tie in two."""
    for count in (1, 3, 4, 6):
        wider = 0.4 if isinstance(tool, IndexedBlade) else 0.0
        found = faults(tool, Region(WAVY), (Rigid(0.0, 20, 20),), _tied(count), wider=wider)
        assert found == []


def test_the_last_stab_before_a_hollow_lies_beside_its_arc() -> None:
    """A pentagon with edges that bulge: two arcs meet in a hollow, 16 degrees off the blade.

    The stab reaches 0.4 cos 16 = 0.3845 mm past its middle, and half a blade further on an arc of
    18 mm has left its tangent by 0.0044 mm.
    """
    bulges = (0.2, 0.0, 0.5, 0.0, 0.5)
    turns = [math.tau * k / 5.0 for k in range(5)]
    corners = [
        (25.0 * math.cos(turn), 25.0 * math.sin(turn), bulge)
        for turn, bulge in zip(turns, bulges, strict=True)
    ]
    tool = IndexedBlade(positions_deg=(0.0, 30.0, 60.0, 90.0, 120.0, 150.0))
    region = Region(Outline.of(corners))
    assert faults(tool, region, (Rigid(0.0, 60, 60),), _tied(0)) == []


def test_a_stretch_left_uncut_beside_a_hollow_is_seen() -> None:
    """Half a millimetre more than the beam cannot reach, at one edge of a notch."""
    place = Placement("A", Rigid(0.0, 20, 20))
    planned = make_plan(
        Load((place,)), {"A": Region(NOTCHED)}, Cutter("bench", Laser(kerf=0.3), Bed(200, 120)),
        WorkArea.rectangle(0, 0, 200, 120), title="", entry_angle_deg=None, options=_tied(2),
    )  # fmt: skip
    strokes = []
    for stroke in planned.plan.strokes:
        at = [n for n, v in enumerate(stroke.vertices) if math.dist(v.point, (57.85, 42.15)) < 0.1]
        if not at or not 0 < at[0] < len(stroke.vertices) - 1:
            strokes.append(stroke)
            continue
        before, after = stroke.vertices[: at[0]], stroke.vertices[at[0] :]
        short = after[0]._replace(x=after[0].x - math.copysign(0.5, after[0].x - after[1].x))
        strokes.append(replace(stroke, vertices=(*before, after[0])))
        strokes.append(replace(stroke, vertices=(short, *after[1:])))
    assert len(strokes) == len(planned.plan.strokes) + 1
    proof = PlanProof({"A": Region(NOTCHED)}, Laser(kerf=0.3), CutOptions(TiesLeft(2, 0.5, 0.3)))
    assert proof.faults([place], planned.plan) == []
    (text,) = proof.faults([place], replace(planned.plan, strokes=tuple(strokes)))
    assert "in 3 stretches" in text


def _tied(count: int) -> PlanOptions:
    return PlanOptions(ties=Ties(count), search=QUICK)


def test_a_beam_that_follows_touching_edges_burns_half_its_width_into_a_tie() -> None:
    """Lines end 0.7 mm apart, so that 0.5 mm are left when 0.1 mm burn at both ends."""
    options = PlanOptions(common_line=True, ties=Ties(2, 0.5), search=QUICK)
    assert faults(Laser(kerf=0.2), SQUARE, BESIDE, options) == []


def test_a_straight_stab_at_the_end_of_an_arc_shortens_its_tie() -> None:
    """Half of 1.5 mm on a tangent of an arc of 29 mm ends 0.75^2 / 58 = 0.010 mm beside it."""
    tool = IndexedBlade(positions_deg=tuple(range(0, 180, 30)), width=1.5)
    options = PlanOptions(common_line=True, ties=Ties(4, 0.5), search=QUICK)
    apart = (Rigid(0.0, 20, 20), Rigid(0.0, 100, 20))
    wider = 1.5 * (1.0 - math.cos(math.radians(15.0)))
    assert faults(tool, TAB, apart, options, wider=wider) == []


def test_a_straight_stab_leaves_a_round_hole() -> None:
    """At a radius of 3 mm the ends of a stab of 1.5 mm lie hypot(3, 0.75) - 3 = 0.092 mm out."""
    tool = IndexedBlade(positions_deg=(0.0, 45.0, 90.0, 135.0), width=1.5)
    options = PlanOptions(ties=Ties(0), search=QUICK)
    assert faults(tool, HOLED, BESIDE[:1], options) == []


def test_a_slanted_stab_creases_less_than_its_width() -> None:
    """Two bows meet in a hollow corner, where both end half a stab sooner."""
    crease = Mark(
        "seam-line", "score", Outline.of([(5, 5), (35, 5), (35, 15, 0.4), (20, 15, 0.4), (5, 15)])
    )
    tool = IndexedBlade(positions_deg=(0.0, 90.0), width=1.5)
    options = PlanOptions(ties=Ties(0), search=QUICK)
    assert faults(tool, Region(TAB.outline, marks=(crease,)), (Rigid(45.0, 60, 20),), options) == []


@pytest.mark.parametrize("offset", [0.25, 1.0])
def test_a_blade_follows_an_edge_to_a_slight_corner(offset: float) -> None:
    """At a corner of 0.5 degrees it left the edge by offset * sin(0.5 deg), up to 0.009 mm."""
    slight = math.tan(math.radians(0.5))
    roof = Outline.of([(0, 0), (60, 0), (60, 20), (30, 20 + 30 * slight / 2), (0, 20)])
    (cut,), _ = compensated(DragBlade(offset=offset), [Stroke("cut", roof.vertices, True)], 0.0)
    rows: list[Corner] = [(complex(v.x, v.y), v.bulge) for v in cut.vertices]
    trail, _ = tip_trail(rows, offset, 0.0)
    edge = PathSet([corners(roof.vertices, closed=True)])
    assert float(edge.distances(samples(trail)).max()) <= 1.0e-3
