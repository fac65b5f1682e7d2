"""A clamp between pieces: the raised tool crosses it, and a warning says so.

The bed is 200 x 150 mm, and a clamp stands from (80, 0) to (120, 60). A way from one side to the
other below y = 60 crosses it, one above does not. On a bed of 200 x 65 mm the clamp's 60 mm leave
5 mm above it: a square of 60 mm lies on either side, and the straight way from one to the other
crosses the clamp wherever both begin.
"""

from __future__ import annotations

from typing import Any

import pytest

from adapters.crossings import first_crossing
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline, Vertex
from geometry.model.plan import CutPlan, Stroke
from service.tools.built_in import BUILT_IN
from tests.requested import kit

CLAMP = [[80, 0], [120, 0], [120, 60], [80, 60]]
BED = WorkArea.rectangle(0.0, 0.0, 200.0, 150.0)


def line(*places: tuple[float, float]) -> Stroke:
    return Stroke("cut", tuple(Vertex(x, y, 0.0) for x, y in places), closed=False)


def plan(area: WorkArea, *strokes: Stroke) -> CutPlan:
    return CutPlan("Clamped", 200.0, 150.0, area, strokes)


CLAMPED = WorkArea(BED.boundary, (Outline.of([(x, y) for x, y in CLAMP]),))
#: An opening like an L: what is right of x = 100 and above y = 50 is frame.
HOLLOW = WorkArea(Outline.of([(0, 0), (200, 0), (200, 50), (100, 50), (100, 150), (0, 150)]))


@pytest.mark.parametrize(
    ("area", "strokes", "wanted"),
    [
        # From (70, 30) to (130, 30): through the clamp.
        (CLAMPED, [line((10, 30), (70, 30)), line((130, 30), (190, 30))], (1, True)),
        # Along its upper side, and around its corner: free.
        (CLAMPED, [line((10, 60), (70, 60)), line((130, 60), (190, 60))], None),
        (CLAMPED, [line((9, 30), (70, 30)), line((70, 99), (130, 99)), line((130, 30), (130, 9))],
         None),
        # It ends on one side and starts again beside it.
        (CLAMPED, [line((10, 30), (80, 30)), line((80, 10), (10, 10))], None),
        # The third way is the first to cross.
        (CLAMPED, [line((9, 9), (9, 19)), line((19, 9), (19, 19)), line((29, 9), (29, 19)),
                   line((150, 19), (150, 9))], (3, True)),
        # From (90, 140) to (190, 40): over the frame of the L.
        (HOLLOW, [line((10, 140), (90, 140)), line((190, 40), (190, 10))], (1, False)),
        (HOLLOW, [line((10, 140), (90, 140)), line((90, 40), (190, 40))], None),
        (BED, [line((10, 30), (70, 30)), line((130, 30), (190, 30))], None),
    ],
)  # fmt: skip
def test_ways_between_strokes(
    area: WorkArea, strokes: list[Stroke], wanted: tuple[int, bool] | None
) -> None:
    assert first_crossing(plan(area, *strokes)) == wanted


def warnings(head: str, quantity: int, bed: dict[str, Any]) -> list[str]:
    knife = {"head": "knife", "depth_mm": -1, "feed_mm_min": 600, "clear_mm": 8}
    laser = {"head": "laser", "power": 300, "feed_mm_min": 600}
    tool = (
        {"kind": "pen"} if head == "laser" else {"kind": "drag_blade", "machine_compensates": True}
    )
    body = {
        "title": "Clamped",
        "units": "mm",
        "pieces": [{"id": "A", "shape": {"kind": "square", "side": 60}, "quantity": quantity}],
        "runs": [
            {
                "cut": "template",
                "cutter": {
                    "tool": tool,
                    "bed": bed,
                    "formats": {"gcode": laser if head == "laser" else knife},
                },
                "material": {"name": "card", "kind": "card"},
                "formats": ["gcode", "hpgl"],
            }
        ],
    }
    found = kit(body, BUILT_IN.get)
    return [text for text in found.answer["warnings"] if "keeps free" in text]


def test_a_warning_says_how_high_the_blade_travels() -> None:
    """G-code states its height, HP-GL has none."""
    found = warnings("knife", 2, {"width": 200, "height": 65, "keep_out": [CLAMP]})
    assert len(found) == 2
    assert sum("it travels at 8 mm" in text for text in found) == 1


def test_without_a_clamp_nothing_is_said() -> None:
    assert warnings("knife", 2, {"width": 200, "height": 65}) == []
    assert warnings("laser", 1, {"width": 200, "height": 150, "keep_out": [CLAMP]}) == []
