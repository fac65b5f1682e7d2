"""One Letter sheet and one A4 sheet of 1 in hexagons, marked by pen and cut by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio


def request(paper: str, width: str, height: str, count: int) -> dict[str, Any]:
    edge = "1/4 in"
    return {
        "title": f"Beach hut papers, {paper}",
        "units": "in",
        "pieces": [{"id": "H", "shape": {"kind": "hexagon", "side": "1"}, "quantity": count}],
        "runs": [
            {
                "cut": "template",
                "cutter": {
                    "tool": {"kind": "pen"},
                    "bed": {"width": width, "height": height},
                    "margins": {"left": edge, "right": edge, "top": edge, "bottom": edge},
                },
                "material": {"name": "copy paper", "kind": "paper"},
                "gap": "0",
                "formats": ["hpgl", "plan"],
            }
        ],
    }


@pytest.mark.parametrize(
    ("paper", "width", "height", "count"),
    [("Letter", "8 1/2 in", "11 in", 28), ("A4", "210 mm", "297 mm", 25)],
)
def test_letter_of_hexagons(
    studio: Studio, paper: str, width: str, height: str, count: int
) -> None:
    """A plain honeycomb: with 1/4 in margins and no gap at least 28 fit on Letter, 25 on A4.

    So that many are one load, exactly. HP-GL has 40 units to the millimetre (its published
    guide): a 1 in hexagon is 2032 units across corners, 50.8 mm, and 43.994 mm across flats; its
    area is 1676.17 mm2, its outline 6 x 25.4 = 152.4 mm. Hexagons that touch may share an edge,
    so the pen draws at most 152.4 mm each.
    """
    kit = studio.kit(request(paper, width, height, count))
    run = kit.run()
    assert run.load_count == 1
    assert run.min_loads == 1
    assert run.total("H") == (count, count, 0)
    load = run.loads[0]
    exact = foreign.polygons(foreign.plan(load.file("plan")))
    assert len(exact) == count
    assert [each.area for each in exact] == pytest.approx([1676.17] * count, abs=0.01)
    assert foreign.nearest(exact) > -0.01
    lines = foreign.hpgl(load.file("hpgl"))
    assert sum(each.length for each in lines) == pytest.approx(152.4 * count, abs=0.1 * count)
    left, bottom, right, top = foreign.drawn(lines).bounds
    wide = 215.9 if paper == "Letter" else 210.0
    high = 279.4 if paper == "Letter" else 297.0
    assert min(left, bottom) >= 6.35 - 0.02
    assert right <= wide - 6.35 + 0.02
    assert top <= high - 6.35 + 0.02
    assert kit.sheet.counts("H", count, count, 0)
    assert kit.sheet.says("pen", "copy paper", "1 in")
