"""The cutter that a quilt plan names: its kit is cut on it, so one that there is not is refused.

A plan of 18 by 18 in of 3 in squares has 36. With the cutter "nope" it was answered with a kit that
POST /v1/kits then refused at each of its runs. With one that was saved, the kit names that one.
"""

from __future__ import annotations

from typing import Any

from tests.jobs.studio import Studio

CUTTER = {"tool": {"kind": "pen"}, "bed": {"width": "20 in", "height": "20 in"}}


def _plan(studio: Studio, cutter: str) -> Any:
    body = {
        "units": "in",
        "tiling": "square",
        "side": 3,
        "quilt": {"width": 18, "length": 18},
        "cutter": cutter,
    }
    return studio.client.post("/v1/quilt-plans", json=body)


def test_unknown_cutter_of_a_plan_is_refused(studio: Studio) -> None:
    """The error points to the cutter and says where they are listed."""
    answer = _plan(studio, "nope")
    assert answer.status_code == 422
    (fault,) = answer.json["errors"]
    assert fault["pointer"] == "#/cutter"
    assert "GET /v1/cutters" in fault["detail"]


def test_saved_cutter_of_a_plan_cuts_its_kit(studio: Studio) -> None:
    """36 squares; both runs of the kit are on the saved cutter, and fit."""
    assert studio.client.put("/v1/cutters/long-table", json=CUTTER).status_code in (200, 201)
    answer = _plan(studio, "long-table")
    assert answer.status_code == 200
    assert [each["quantity"] for each in answer.json["pieces"]] == [36]
    kit = answer.json["kit"]
    assert {run["cutter"] for run in kit["runs"]} == {"long-table"}
    assert studio.client.post("/v1/layouts", json=kit).status_code == 200
