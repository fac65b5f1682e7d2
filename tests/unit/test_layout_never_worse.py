"""Orders that a clock or a busy machine once spoilt: the search keeps what it found at once."""

from __future__ import annotations

import math
from itertools import product
from typing import Any

import pytest

from geometry.layout import Item
from geometry.model.cutter import WorkArea
from geometry.model.placement import Load, Placement
from geometry.model.transform import Rigid
from geometry.proof.overlap import check_load
from geometry.shapes.catalogue import build
from service.kits.limits import TimeLimit
from service.tools.built_in import BUILT_IN
from tests import requested
from tests.layouts import lay_out
from tests.short_form import short_form

ROOM = WorkArea.rectangle(0.0, 0.0, 580.0, 380.0)
MIXED = [
    Item("hexagon", build("hexagon", {"side": 25.4}), 240),
    Item("kite", build("kite", {"side": 50.8}), 120),
    Item("apple", build("apple_core", {"length": 76.2}), 20),
]


def at_once() -> bool:
    return True


@pytest.mark.parametrize(
    ("effort", "sets"),
    short_form(
        [*product(["normal", "best", 0.5], [True, False])],
        [("normal", True), ("normal", False), ("best", True)],
    ),
)
def test_a_search_without_time_is_no_load_above_quick(effort: Any, sets: bool) -> None:
    quick = lay_out(MIXED, ROOM, gap=0.0, effort="quick", sets=sets)
    late = lay_out(MIXED, ROOM, gap=0.0, effort=effort, sets=sets, should_stop=at_once)
    assert late.loads == quick.loads
    assert not late.complete
    assert any("cut short" in text for text in late.warnings)
    assert quick.complete
    # 380 pieces: 58 x 38 cm hold dozens of each, so one piece a load is never the answer.
    assert sum(load.repeats for load in quick.loads) <= 10


def test_what_is_cut_short_says_what_more_time_may_save() -> None:
    late = lay_out(MIXED, ROOM, gap=0.0, should_stop=at_once)
    taken = sum(load.repeats for load in late.loads)
    (text,) = late.warnings
    if taken > late.bound:
        assert str(taken) in text
        assert "load" in text
    else:
        assert "No layout takes fewer loads" in text


def test_runs_share_the_time() -> None:
    # derived: of three runs the first has a third of the time, the second two thirds at its end
    asked: list[float] = []

    def is_over(share: float) -> bool:
        asked.append(share)
        return share < 0.5

    limit = TimeLimit(is_over)
    stops = [limit.of_run(index, 3) for index in range(3)]
    assert [stop() for stop in stops] == [True, False, False]
    assert asked == pytest.approx([1 / 3, 2 / 3, 1.0])


CARD = {"name": "card", "kind": "card"}


def kit(**run: Any) -> dict[str, Any]:
    return {
        "title": "Harbour sampler",
        "units": "mm",
        "pieces": [
            {"id": "A", "shape": {"kind": "hexagon", "side": 20}, "quantity": 40},
            {"id": "B", "shape": {"kind": "triangle", "side": 45}, "quantity": 30},
        ],
        "runs": [
            # The gaps differ, so that the second run cannot use the layout of the first.
            {"cut": "template", "cutter": "laser-bed", "gap": gap, "material": CARD, **run}
            for gap in (1.0, 1.2)
        ],
    }


def test_a_layout_cut_short_is_a_warning_of_its_run() -> None:
    limit = TimeLimit(lambda share: share > 0.6)
    made = requested.layouts(kit(), BUILT_IN.get, limit=limit).answer
    warned = [text for text in made["warnings"] if "cut short" in text]
    assert made["complete"] is False
    # Only the second run's share of the time was over.
    assert len(warned) == 1
    assert warned[0].startswith("Run 2: ")


def test_a_busy_machine_gives_the_same_layout() -> None:
    # The steps decide, not the clock: a limit that never ends the search changes nothing.
    slow = TimeLimit(lambda _: False, steps=300.0)
    fast = TimeLimit(lambda _: False, steps=300.0)
    first = requested.layouts(kit(), BUILT_IN.get, limit=slow).answer
    again = requested.layouts(kit(), BUILT_IN.get, limit=fast).answer
    assert first == again
    assert first["complete"] is True


@pytest.mark.parametrize("gap", [0.0])
def test_a_layout_does_not_refuse_itself(gap: float) -> None:
    """Two clamshells back to back touch at the tops of their arcs.

    A half circle of 1 1/2 in (38.1 mm) across reaches 19.05 mm above its ends, so with the ends
    38.1 mm apart the tops just touch: 2.5e-7 mm nearer is rounding, 1e-5 mm is an overlap.
    """
    shell = build("clamshell", {"width": 38.1})
    top = max(shell.bounds.top, 0.0)

    room = WorkArea.rectangle(-100, -100, 400, 400)
    for nearer, right in ((2.5e-7, True), (1e-5, False)):
        places = (
            Placement("C", Rigid(0.0, 0.0, 0.0)),
            Placement("C", Rigid(180.0, 0.0, 2.0 * top - nearer)),
        )
        assert (check_load({"C": shell}, Load(places), room, gap) == []) is right
    assert math.isfinite(top)
