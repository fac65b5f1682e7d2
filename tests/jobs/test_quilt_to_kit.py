"""A quilt of 4 in hexagons is planned and its papers cut."""

from __future__ import annotations

import pytest

from tests.jobs import foreign, names
from tests.jobs.studio import Studio

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

PLAN = {
    "title": "Lantern room quilt",
    "units": "in",
    "tiling": "hexagon",
    "side": "4",
    "quilt": {"width": "90", "length": "90"},
    "edge": {"sides": "filled", "ends": "whole"},
    "seam_allowance": "1/4",
    "fabric": {"width": "42", "step": "1/8 yd"},
}


def test_quilt_to_kit(studio: Studio) -> None:
    """15 rows of 13 and 12: 8 x 13 + 7 x 12 = 188 hexagons, 7 x 2 = 14 halves.

    90.0666 in wide (13 x 6.9282), 92 in long (15 x 6 + 2). Cloth: a hexagon's patch is 7.4282 in
    across flats and 8.5774 across corners; a row of 42 in holds 5 at 7.4282 (37.1) with rows of
    8.5774, or 4 at 8.5774.
    Papers on the 12 in mat (11 1/2 in left): a hexagon is 8 x 6.9282 in; two would need 13.86 by
    9.2, or side by side 15: one a sheet. A half of 8 x 3.4641 goes beside it:
    6.9282 + 3.4641 + 0.04 = 10.43 in. So 188 sheets exactly, 14 of them with a half.
    """
    plan = studio.calculated("/v1/quilt-plans", PLAN)
    counts = [(each["part"], each[names.QUANTITY]) for each in plan["pieces"]]
    assert counts == [("whole", 188), ("half", 14)]
    assert plan["assembled"]["width_mm"] == pytest.approx(90.0666 * 25.4, abs=0.01)
    assert plan["assembled"]["length_mm"] == pytest.approx(92 * 25.4)
    body = plan["kit"]
    papers = [run for run in body["runs"] if run["cut"] == "template"]
    assert papers
    for run in papers:
        run["effort"] = "quick"
    kit = studio.kit({**body, "runs": papers})
    wholes, halves = (each["id"] for each in plan["pieces"])
    run = kit.run()
    assert run.total(wholes) == (188, 188, 0)
    assert run.total(halves) == (14, 14, 0)
    assert run.load_count == 188
    assert max(load.outlines.get(wholes, 0) for load in run.loads) == 1
    both = [load for load in run.loads if load.outlines.get(halves)]
    assert sum(load.repeats * load.outlines[halves] for load in both) == 14
    left, bottom, right, top = foreign.drawn(foreign.svg(run.loads[0].file("svg"))).bounds
    assert min(left, bottom) >= 6.35 - 0.26
    assert max(right, top) <= 298.45 + 0.26
    assert kit.sheet.counts(wholes, 188, 188, 0)
    assert kit.sheet.counts(halves, 14, 14, 0)
