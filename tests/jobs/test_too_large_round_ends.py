"""What a piece with round ends needs: no more than it takes at its narrowest.

An apple core of 12 in is made of arcs of 6 in: it is 12 in long over a whole range of turns, and
between its corners 6 x sqrt(2) = 8.485 in wide, at its narrowest upright or level. A letter page
less 1/4 in on each side is 8 by 10 1/2 in: short by 1 1/2 in, and 10 1/2 in is the longest that
fits, 7.42 in wide. It was said to need 8.713 in, its width at a turn of a few degrees.
"""

from __future__ import annotations

from tests.jobs.studio import Studio


def test_apple_core_needs_its_narrowest_width(studio: Studio) -> None:
    """8.485 by 12 in are needed, 1 1/2 in are missing, 10 1/2 in fit."""
    body = {
        "title": "Large core",
        "units": "in",
        "pieces": [{"id": "A", "shape": {"kind": "apple_core", "length": 12}, "quantity": 1}],
        "runs": [
            {
                "cut": "template",
                "cutter": {"tool": {"kind": "pen"}, "paper": "letter"},
                "formats": ["pdf"],
                "material": {"name": "card", "kind": "card"},
            }
        ],
    }
    answer = studio.client.post("/v1/kits", json=body)
    assert answer.status_code == 422
    problem = answer.get_json()
    assert "needs 8.485 by 12 in" in problem["detail"]
    assert "short by 1 1/2 in" in problem["detail"]
    assert "At most 10 1/2 in length fits" in problem["detail"]
