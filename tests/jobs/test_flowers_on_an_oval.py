"""Hexagon flowers in an oval hoop, cut by a blade that is set by hand."""

from __future__ import annotations

import math
from typing import Any

import pytest

from geometry.layout.beds.irregular_area import irregular_strips
from tests.jobs.studio import Run, Studio
from tests.short_form import short_form

FLOWERS_BY_RULER = 7
STOPS_OF_A_LOAD = ["load-material", "turn-blade", "turn-blade", "snip-ties"]


def _run(studio: Studio, count: int, effort: str) -> Run:
    """Return a run of flowers of seven hexagons, 10 mm along a side and 2 mm apart.

    The hoop is 176 by 168 mm, and the head reaches 5 mm each way.
    """
    margins = {"left": 5, "right": 5, "top": 5, "bottom": 5}
    request: dict[str, Any] = {
        "title": "Sea pinks",
        "units": "mm",
        "pieces": [
            {
                "id": "F",
                "shape": {"kind": "hexagon_flower", "rounds": 1, "side": 10},
                "quantity": count,
            }
        ],
        "runs": [
            {
                "cut": "template",
                "cutter": {
                    "tool": {"kind": "indexed_blade", "blade_width": 0.8, "step": 0.3},
                    "bed": {"shape": "ellipse", "width": 176, "height": 168},
                    "margins": margins,
                },
                "material": {"name": "linen", "kind": "stiffened_fabric"},
                "formats": ["dxf"],
                "gap": 2,
                "effort": effort,
            }
        ],
    }
    return studio.kit(request).run()


@pytest.mark.parametrize(
    ("count", "effort"),
    short_form(
        [(21, "quick"), (84, "quick"), (21, "normal"), (300, "quick")],
        [(21, "quick"), (84, "quick")],
    ),
)
def test_flowers_on_an_oval(studio: Studio, count: int, effort: str) -> None:
    """By ruler seven flowers go on a load: one in the middle and six about it.

    Hexagons of 10 mm have their middles 10 sqrt 3 = 17.32 mm apart. Flowers that meet all round
    have them sqrt 7 x 17.32 = 45.83 mm apart, in directions 19.11 degrees off those of hexagons
    beside each other. Two flowers share edges whose normals lie 19.11 and 40.89 degrees off the
    line between their middles: moved apart along it by 2 / cos 40.89 = 2.65 mm they are 2 mm
    apart, 48.48 from middle to middle. The outermost corners are 10 sqrt 7 = 26.46 from a flower's
    middle, so seven flowers lie in a disc of radius 74.94 mm. The hoop less the head and half the
    blade holds one of 84 - 5 - 0.4 = 78.6.

    No load holds 11. A flower is 7 x 1.5 sqrt 3 x 100 = 1818.65 mm2. A band of 1 mm about its 18
    edges adds 180 less what it has twice in six hollow corners of 120 degrees, 6 x tan 30 = 3.46:
    1995 mm2. Bands do not overlap, and all lie within the ellipse of the half axes
    88 - 5 + 1 = 84 and 80 mm: pi x 84 x 80 = 21,112 mm2, 10.58 flowers.

    So 21 take three loads, which is exact; 84 take 9 to 12, 300 take 30 to 43.

    Edges lie in three directions, 60 degrees apart. With one of them along one of the angles 0, 45,
    90 and 135, the others are 15 off two of the others: a load has one stop where it is laid and
    set, two more to turn the blade, and one where its ties are snipped.
    """
    run = _run(studio, count, effort)
    assert run.outlines == {"F": count}
    assert math.ceil(count / 10) <= run.load_count <= math.ceil(count / FLOWERS_BY_RULER)
    for load in run.loads:
        assert 1 <= load.outlines["F"] <= 10
        assert [stop["reason"] for stop in load.stops] == STOPS_OF_A_LOAD
        rough = sorted(edge["mismatch_deg"] for edge in load.payload["edges"])
        assert rough == pytest.approx([0.0, 15.0, 15.0])


@pytest.mark.usefixtures("in_process")
def test_no_strip_is_sought_twice(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    """At each smooth turn of the flowers, rows for a number of them are sought once; at no other.

    Edges lie at 0, 60 and 120 degrees. One of them comes to 0, 45, 90 or 135 when a flower is
    turned by 0, 15, 30 or 45 degrees, or by a sixth of a turn more: four ways, equally smooth, and
    each is laid out. Any turn between them has rougher edges, so it is of use with fewer loads
    than 12 only: as rows hold no more flowers there, nothing is sought that saves material.
    """
    sought: list[tuple[tuple[float, ...], int]] = []

    def counted(item: Any, room: Any, count: int, **how: Any) -> Any:
        sought.append((item.turns, count))
        return irregular_strips(item, room, count, **how)

    monkeypatch.setattr("geometry.layout.one_kind.least_strips.irregular_strips", counted)
    _run(studio, 84, "quick")
    assert {round(turn % 60.0, 6) for turns, _ in sought for turn in turns} == {0, 15, 30, 45}
    assert len({turns for turns, _ in sought}) == len({0, 15, 30, 45})
    assert len(sought) == len(set(sought))
