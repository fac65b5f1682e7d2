"""A set blade: its fewest turns, against exhaustive search, and what its slits leave."""

import itertools
import math
import random
from itertools import pairwise

import pytest

from geometry.layout import Item
from geometry.model.cutter import Bed, Cutter, IndexedBlade, WorkArea
from geometry.model.outline import Outline, Region
from geometry.model.placement import Load
from geometry.model.transform import Rigid
from geometry.shapes.catalogue import build
from geometry.toolpath.angles import best_turns, worst_mismatch
from geometry.toolpath.ties import Ties
from tests.layouts import lay_out
from tests.tool_plans import Planned, PlanOptions, make_plan

ROOM = WorkArea.rectangle(10, 10, 150, 150)
BLADE = IndexedBlade()


def planned(
    load: Load,
    outlines: dict[str, Outline],
    blade: IndexedBlade = BLADE,
    entry: float | None = None,
) -> Planned:
    return make_plan(
        load,
        {piece: Region(outline) for piece, outline in outlines.items()},
        Cutter("bench", blade, Bed(170, 170)),
        ROOM,
        title="",
        entry_angle_deg=entry,
        options=PlanOptions(ties=Ties(0)),
    )


def turns_of(found: Planned) -> int:
    return sum(stop.reason == "turn-blade" for stop in found.plan.stops)


def laid(outline: Outline, turns: tuple[float, ...]) -> Load:
    return lay_out([Item("A", outline, 4, turns)], ROOM, gap=2.0, effort="quick").loads[0]


@pytest.mark.parametrize(
    ("kind", "sizes", "turns"),
    [("square", {"side": 20.0}, 1), ("hexagon", {"side": 15.0}, 2), ("octagon", {"side": 12.0}, 3)],
)
def test_turns_a_load_and_over_many_loads(kind: str, sizes: dict[str, float], turns: int) -> None:
    outline = build(kind, sizes)
    chosen = best_turns({"A": outline}, BLADE, {"A": None})
    load = laid(outline, chosen.turns_deg["A"])
    angle: float | None = None
    total = 0
    for _ in range(5):
        found = planned(load, {"A": outline}, entry=angle)
        total += turns_of(found)
        # The first angle of a load is the last one of the load before: no turn between them.
        if angle is not None:
            assert found.plan.strokes[0].angle_deg == angle
        angle = found.exit_angle_deg
    # Derived: m loads of N angles each need m (N - 1) turns.
    assert total == 5 * turns
    assert turns == len(chosen.angles_deg) - 1


def test_mismatches_of_a_hexagon_and_at_worst() -> None:
    # C60, derived: for four angles the worst is 90 / 4 = 22.5 degrees; a hexagon lies at best
    # with 0, 15 and 15 degrees.
    assert math.degrees(worst_mismatch(BLADE)) == pytest.approx(22.5)
    outline = build("hexagon", {"side": 15.0})
    chosen = best_turns({"A": outline}, BLADE, {"A": None})
    found = planned(laid(outline, chosen.turns_deg["A"]), {"A": outline})
    assert sorted({edge.mismatch_deg for edge in found.edges}) == pytest.approx([0.0, 15.0])
    assert len([e for e in found.edges if e.mismatch_deg == pytest.approx(15.0)]) == 2
    for edge in found.edges:
        assert edge.edge_roughness == pytest.approx(0.4 * math.sin(math.radians(edge.mismatch_deg)))


def random_piece(lots: random.Random) -> Outline:
    if lots.random() < 0.5:
        kind = lots.choice(
            ["triangle", "square", "hexagon", "octagon", "diamond_45", "half_hexagon"]
        )
        return build(kind, {"side": 10.0})
    # Round a circle in random steps: convex, simple, counter-clockwise.
    steps = [lots.uniform(0.5, 1.0) for _ in range(lots.randint(3, 5))]
    total = sum(steps)
    places = [math.tau * at / total for at in itertools.accumulate(steps)]
    return Outline.of([(10 * math.cos(t), 10 * math.sin(t)) for t in places])


def exhaustive(outlines: list[Outline], blade: IndexedBlade, limit: float) -> int:
    """Return the least number of angles over all turns of all pieces and all assignments.

    Which edge may go to which angle changes only at turns where an edge lies exactly at the
    limit off an angle: those turns and one between every two of them are all there are.
    """
    families = []
    for outline in outlines:
        ways = set()
        directions = [math.degrees(part.start_heading) for part in outline.segments]
        changes = {
            round((angle + slant - direction) % 180.0, 9)
            for angle in blade.positions_deg
            for direction in directions
            for slant in (-limit, limit)
        }
        ordered = sorted(changes)
        between = [(a + b) / 2.0 for a, b in pairwise([*ordered, ordered[0] + 180.0])]
        for turn in (*ordered, *between):
            # Every edge may go to any angle within the limit; keep the least sets of angles.
            options = [
                [
                    angle
                    for angle in blade.positions_deg
                    if abs(math.remainder(angle - direction - turn, 180.0)) <= limit + 1e-6
                ]
                for direction in directions
            ]
            ways |= {frozenset(choice) for choice in itertools.product(*options)}
        families.append(ways)
    return min(
        len(frozenset().union(*choice)) for choice in itertools.product(*map(_least, families))
    )


def _least(ways: set[frozenset[float]]) -> list[frozenset[float]]:
    return [way for way in ways if not any(other < way for other in ways)]


@pytest.mark.parametrize("seed", range(50))
def test_fewest_turns_of_small_loads(seed: int) -> None:
    lots = random.Random(seed)  # noqa: S311 - no secret
    outlines = [random_piece(lots) for _ in range(lots.randint(1, 2))]
    blade = IndexedBlade(
        positions_deg=lots.choice([(0.0, 45.0, 90.0, 135.0), (0.0, 60.0, 120.0), (0.0, 90.0)])
    )
    limit = math.degrees(worst_mismatch(blade)) if seed % 2 else 12.0 + lots.randint(0, 15)
    named = {f"P{number}": outline for number, outline in enumerate(outlines)}
    chosen = best_turns(named, blade, dict.fromkeys(named), math.radians(limit))
    if not math.isfinite(chosen.roughness):
        with pytest.raises(ValueError, match="empty"):
            exhaustive(outlines, blade, limit)
        return
    assert len(chosen.angles_deg) == exhaustive(outlines, blade, limit)
    # And what was chosen is really there: each piece at each of its turns, checked by hand.
    for piece, outline in named.items():
        for turn in chosen.turns_deg[piece]:
            for part in Rigid(turn_deg=turn).outline(outline).segments:
                direction = math.degrees(part.start_heading)
                off = min(abs(math.remainder(a - direction, 180.0)) for a in chosen.angles_deg)
                assert off <= limit + 1e-3
