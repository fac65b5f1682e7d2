"""Basting counts what is basted on paper: the pieces of the top, not the strips of its border."""

from __future__ import annotations

from tests.jobs.studio import Studio


def test_basting_leaves_border_strips_out(studio: Studio) -> None:
    """Squares of 8 in with 1 1/2 in sashing and cornerstones round them, one border of 4 in.

    Inside the border 49 x 59 in leave 41 x 51 in. Four squares and five sashes are 39 1/2 in wide,
    five squares and six sashes 49 in high: 20 squares, 5 x 5 upright and 6 x 4 level sashes, 5 x 6
    cornerstones are 20 + 49 + 30 = 99 pieces. At 33 per hour they take three hours. The border's
    four strips are sewn on without paper.
    """
    request = {
        "title": "Boathouse floor",
        "units": "in",
        "tiling": "square",
        "side": "8",
        "setting": {
            "sashing": {
                "width": "1 1/2",
                "colour": "oak",
                "cornerstone_colour": "ash",
                "outer": True,
            }
        },
        "colours": {"by": "rows", "names": ["one", "two"]},
        "quilt": {"width": "49", "length": "59"},
        "fit": "nearest",
        "borders": [{"width": "4", "colour": "elm", "corners": "butted"}],
        "seam_allowance": "1/4",
        "speeds": {"pieces_per_hour": 33},
    }
    response = studio.client.post("/v1/quilt-plans", json=request)
    assert response.status_code == 200, response.get_data(as_text=True)
    plan = response.get_json()
    assert (plan["totals"]["pieces"], plan["totals"]["border"]) == (103, 4)
    assert plan["time"]["basting_s"] == 3 * 3600.0
