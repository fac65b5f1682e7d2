"""The slits of a blade set by hand, one by one, against the pieces that they should leave."""

import math

import pytest
import shapely

from geometry.model.cutter import Bed, Cutter, IndexedBlade, WorkArea
from geometry.model.outline import Outline, Region
from geometry.model.placement import Load, Placement
from geometry.model.plan import Stroke
from geometry.model.transform import Rigid, moved, scaled
from geometry.proof.slits import deepest_past, slits, uncut
from geometry.shapes.catalogue import CATALOGUE, build
from geometry.toolpath.angles import best_turns
from geometry.toolpath.ties import Ties
from tests.short_form import SHAPES, short_form
from tests.tool_plans import Planned, PlanOptions, make_plan

BLADE = IndexedBlade()
WITHIN = 0.05


def sized(kind: str, across: float = 36.0) -> Outline:
    """Return the kind some mm across."""
    plain = CATALOGUE[kind].build(CATALOGUE[kind].unit)
    return scaled(plain, across / max(plain.bounds.width, plain.bounds.height))


def planned(
    region: Region, blade: IndexedBlade, turns: tuple[float, ...], ties: Ties
) -> tuple[Planned, list[Outline]]:
    """Plan two pieces side by side, at the first and the last of the turns."""
    moves = [Rigid(x=40.0 + 80.0 * at, y=60.0, turn_deg=turn) for at, turn in enumerate(turns)]
    moves = [moves[0], *moves[1:][-1:]]
    found = make_plan(
        Load(tuple(Placement("A", move) for move in moves)),
        {"A": region},
        Cutter("bench", blade, Bed(9000, 130)),
        WorkArea.rectangle(-50, -50, 9000, 180),
        title="",
        entry_angle_deg=None,
        options=PlanOptions(ties=ties),
    )
    return found, [move.outline(region.outline) for move in moves]


def require_true(
    found: Planned, placed: list[Outline], blade: IndexedBlade, ties: Ties | None
) -> None:
    """Require that no piece is cut into, and that each is cut all round but for its ties."""
    cuts = slits(found.plan.strokes, blade.width, blade.step)
    for outline in placed:
        # Each slit against its own edge's bound: (width / 2) sin(mismatch) + 0.05 mm.
        assert deepest_past(cuts, outline.vertices, blade.width) <= WITHIN
        left = uncut(cuts, outline.vertices, blade.width)
        if ties is None:
            assert left == []
            continue
        assert len(left) == ties.count
        for stretch in left:
            # A slanted stab is shorter along its edge: the tie comes out that much wider.
            slanted = blade.width * (1.0 - math.cos(math.radians(22.5)))
            assert ties.width - 2 * WITHIN <= stretch.length <= ties.width + slanted + WITHIN
            corners = [part.start for part in outline.segments]
            assert min(math.dist(stretch.middle, corner) for corner in corners) >= 1.0


@pytest.mark.parametrize("kind", short_form(CATALOGUE, SHAPES))
@pytest.mark.parametrize("ties", [None, Ties(2, 0.5)], ids=["whole", "tied"])
def test_every_shape_as_it_lies_best(kind: str, ties: Ties | None) -> None:
    outline = sized(kind)
    turns = best_turns({"A": outline}, BLADE, {"A": None}).turns_deg["A"]
    found, placed = planned(Region(outline), BLADE, turns, ties or Ties(0))
    require_true(found, placed, BLADE, ties)


@pytest.mark.parametrize("kind", ["square", "hexagon", "jewel", "clamshell", "hexagon_flower"])
@pytest.mark.parametrize("turn", short_form([0.0, 17.0, 22.5], [17.0]))
@pytest.mark.parametrize("width", [0.8, 2.0])
def test_however_it_lies(kind: str, turn: float, width: float) -> None:
    blade = IndexedBlade(width=width, step=0.375 * width)
    ties = Ties(3, 1.0)
    # Edges of a flower are a fifth of its width, and a tie wants four times its own.
    outline = sized(kind, 75.0 if kind == "hexagon_flower" else 36.0)
    found, placed = planned(Region(outline), blade, (turn,), ties)
    require_true(found, placed, blade, ties)


@pytest.mark.long
@pytest.mark.parametrize("kind", CATALOGUE)
@pytest.mark.parametrize("turn", range(0, 180, 15))
def test_every_shape_however_it_lies(kind: str, turn: int) -> None:
    for ties in (None, Ties(2, 0.5), Ties(4, 1.5)):
        outline = sized(kind, 75.0 if kind == "hexagon_flower" else 36.0)
        found, placed = planned(Region(outline), BLADE, (float(turn),), ties or Ties(0))
        require_true(found, placed, BLADE, ties)


def test_roughness_is_stated_edge_by_edge() -> None:
    found, _ = planned(Region(sized("pentagon")), BLADE, (11.0,), Ties(0))
    cuts = slits(found.plan.strokes, BLADE.width, BLADE.step)
    measured = {round(BLADE.width / 2.0 * math.sin(slit.off), 6) for slit in cuts}
    assert measured == {round(edge.edge_roughness, 6) for edge in found.edges}
    assert {edge.piece for edge in found.edges} == {"A"}
    assert len(found.edges) == 5


def test_holes_are_cut_to_their_edge_and_no_farther() -> None:
    hole = moved(build("square", {"side": 9.0}), 0.0, 0.0)
    middle = (hole.bounds.left + hole.bounds.right) / 2.0
    outline = moved(build("square", {"side": 36.0}), 0.0, 0.0)
    hole = moved(hole, 18.0 - middle, 18.0 - middle)
    found, (outer,) = planned(Region(outline, (hole,)), BLADE, (0.0,), Ties(0))
    cuts = slits(found.plan.strokes, BLADE.width, BLADE.step)
    ring = moved(hole, 40.0, 60.0)
    opening = shapely.Polygon([vertex.point for vertex in ring.vertices])
    piece = shapely.Polygon([vertex.point for vertex in outer.vertices]).difference(opening)
    lines = shapely.multilinestrings([(slit.start, slit.end) for slit in cuts])
    assert not lines.intersects(piece.buffer(-WITHIN))
    assert uncut(cuts, ring.vertices, BLADE.width) == []


def test_the_proof_finds_what_is_wrong() -> None:
    square = Outline.of([(0, 0), (30, 0), (30, 30), (0, 30)])
    bottom, *_ = Stroke("cut", square.vertices, closed=True).segments
    one = Stroke("cut", square.vertices[:2], closed=False, angle_deg=0.0)
    cuts = slits([one], 0.8, 0.3)
    (left,) = uncut(cuts, square.vertices, 0.8)
    assert left.length == pytest.approx(90.0, abs=1.0)
    assert deepest_past(cuts, square.vertices, 0.8) <= 0.0
    # At right angles to its path a blade of 0.8 mm reaches 0.4 mm in: that is its own roughness.
    upright = slits([Stroke("cut", square.vertices[:2], closed=False, angle_deg=90.0)], 0.8, 0.3)
    assert deepest_past(upright, square.vertices, 0.8) == pytest.approx(0.0, abs=1e-6)
    inside = moved(Outline.of([(5, 1), (25, 1), (25, 2)]), 0.0, 0.0)
    wrong = slits([Stroke("cut", inside.vertices[:2], closed=False, angle_deg=0.0)], 0.8, 0.3)
    assert deepest_past(wrong, square.vertices, 0.8) == pytest.approx(1.0, abs=1e-6)
    assert bottom.length == 30.0
