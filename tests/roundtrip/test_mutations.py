"""Read-back catches what a writer could do wrong: each mutation of a file must be refused."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from adapters import registry
from adapters.errors import CannotHoldError, ReadBackError
from adapters.readback import read_back
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stroke
from tests.roundtrip import plans

NAMES = list(registry.BUILT_IN)
SETTINGS = plans.SETTINGS


def changed(change: Callable[[Vertex], Vertex]) -> CutPlan:
    return plans.plan().with_vertices(change)


def scaled(factor: float) -> Callable[[Vertex], Vertex]:
    return lambda v: Vertex(v.x * factor, v.y * factor, v.bulge)


MUTATIONS: dict[str, Callable[[], CutPlan]] = {
    "inch for mm": lambda: changed(scaled(1 / 25.4)),
    "96 for 72 per inch": lambda: changed(scaled(96 / 72)),
    "1016 for 1000 per inch": lambda: changed(scaled(1.016)),
    "0.02488 for 0.025 mm": lambda: changed(scaled(0.02488 / 0.025)),
    "mirrored in y": lambda: changed(lambda v: Vertex(v.x, 200 - v.y, -v.bulge)),
    "mirrored in x": lambda: changed(lambda v: Vertex(300 - v.x, v.y, -v.bulge)),
    "turned half round": lambda: changed(lambda v: Vertex(300 - v.x, 200 - v.y, v.bulge)),
    "x and y swapped": lambda: changed(lambda v: Vertex(v.y, v.x, -v.bulge)),
    "bulges the other way": lambda: changed(lambda v: v._replace(bulge=-v.bulge)),
    "arcs lost": lambda: changed(lambda v: v._replace(bulge=0.0)),
    "moved 0.05 mm": lambda: changed(lambda v: v._replace(x=v.x + 0.05)),
}


@pytest.mark.parametrize("name", NAMES)
def test_a_right_file_passes(name: str) -> None:
    adapter = registry.get(name)
    found = read_back(
        name,
        adapter.write(plans.plan(), SETTINGS.get(name, {})).data,
        plans.plan(),
        SETTINGS.get(name, {}),
    )
    assert found is not None
    assert found.worst_deviation <= adapter.resolution


@pytest.mark.parametrize("mutation", MUTATIONS)
@pytest.mark.parametrize("name", NAMES)
def test_a_wrong_file_is_refused(name: str, mutation: str) -> None:
    data = registry.get(name).write(MUTATIONS[mutation](), SETTINGS.get(name, {})).data
    with pytest.raises(ReadBackError):
        read_back(name, data, plans.plan(), SETTINGS.get(name, {}))


@pytest.mark.parametrize("name", NAMES)
def test_a_lost_stroke_or_another_order_is_refused(name: str) -> None:
    plan = plans.plan()
    write = registry.get(name).write
    lost = replace(plan, strokes=plan.strokes[:-1])
    order = replace(plan, strokes=(*plan.strokes[:2], *reversed(plan.strokes[2:])))
    for other in (lost, order):
        with pytest.raises(ReadBackError):
            read_back(name, write(other, SETTINGS.get(name, {})).data, plan, SETTINGS.get(name, {}))


def test_an_outline_turned_round_in_its_own_box_is_refused() -> None:
    box = plans.FLAG.bounds
    middle = (box.left + box.right, box.bottom + box.top)
    turned = [Vertex(middle[0] - v.x, middle[1] - v.y, v.bulge) for v in plans.FLAG.vertices]
    right = plans.plan({"flag": plans.FLAG})
    wrong = replace(
        right, strokes=(*right.strokes[:2], replace(right.strokes[2], vertices=tuple(turned)))
    )
    for name in NAMES:
        with pytest.raises(ReadBackError):
            read_back(
                name,
                registry.get(name).write(wrong, SETTINGS.get(name, {})).data,
                right,
                SETTINGS.get(name, {}),
            )


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_numbers_that_are_none_are_refused(name: str, value: float) -> None:
    plan = plans.plan()
    bad = Stroke("cut", (Vertex(0, 0), Vertex(value, 1), Vertex(1, 1)), True)
    with pytest.raises(CannotHoldError):
        registry.get(name).write(replace(plan, strokes=(bad,)), SETTINGS.get(name, {}))


@pytest.mark.parametrize("value", ["NaN", "Infinity", "-Infinity"])
@pytest.mark.parametrize("stroke", [1, 2, 7])
@pytest.mark.parametrize("vertex", [0, 1])
def test_numbers_that_are_none_are_refused_when_read(value: str, stroke: int, vertex: int) -> None:
    """JSON readers take these words for numbers, and no comparison with them is true."""
    plan = plans.plan()
    document = json.loads(registry.get("plan").write(plan, {}).data)
    document["strokes"][stroke]["points"][vertex][1] = math.pi
    text = json.dumps(document).replace(str(math.pi), value)
    with pytest.raises(ReadBackError):
        read_back("plan", text.encode(), plan, {})
