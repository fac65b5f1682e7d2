"""Sets of a square and two strips: nine whole sets on every load."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

REQUEST: dict[str, Any] = {
    "title": "Sail loft sets",
    "units": "mm",
    "pieces": [
        {"id": "SQ", "shape": {"kind": "square", "side": 100}, "quantity": 27},
        {"id": "RE", "shape": {"kind": "rectangle", "width": 100, "height": 49.5}, "quantity": 54},
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": "laser-bed",
            "gap": 1,
            "sets": True,
            "effort": "quick",
            "formats": ["svg", "plan"],
            "material": {"name": "card", "kind": "card"},
        }
    ],
}


def test_sail_loft_sets(studio: Studio) -> None:
    """27 sets of one square of 100 mm and two strips of 100 x 49.5: two strips and a gap are 100.

    The bed's 590 x 390 mm, less the beam, holds rows of 100: 590.7 / 101 = 5 squares, or 11 strips
    of 50.5 standing; 3 such rows and above them 5 strips lying: 3 x 11 + 5 = 38 strips' worth. A
    set takes 2 + 2: 9.5, so 9 whole sets, 9 squares and 18 strips; 27 sets are 3 equal loads.
    By area at most 589.7 x 389.7 / (100 x 100 + 2 x 100 x 49.5) = 11.5.
    """
    kit = studio.kit(REQUEST)
    run = kit.run()
    assert [(load.outlines, load.repeats) for load in run.loads] == [({"SQ": 9, "RE": 18}, 3)]
    assert run.total("SQ") == (27, 27, 0)
    assert run.total("RE") == (54, 54, 0)
    (load,) = run.loads
    assert load.file_names == ["1-template-card-1.svg", "1-template-card-1.plan.json"]
    for lines in (foreign.svg(load.file("svg")), foreign.plan(load.file("plan"))):
        areas = sorted(each.area for each in foreign.cells(lines))
        # The beam runs 0.1 mm outside: 100.2 x 49.7 and 100.2 x 100.2.
        assert areas == pytest.approx([4979.9] * 18 + [10040.0] * 9, abs=0.5)
        left, bottom, right, top = foreign.drawn(lines).bounds
        assert min(left, bottom) >= 5.0
        assert right <= 595.0
        assert top <= 395.0
    assert kit.sheet.together("cut it 3 times", "9 of SQ", "18 of RE", within=30)
    assert kit.sheet.counts("SQ", 27, 27, 0)
    assert kit.sheet.counts("RE", 54, 54, 0)


def test_sets_through_two_plies(studio: Studio) -> None:
    """27 sets through 2 plies: 27 / 2 = 14 squares and 54 / 2 = 27 strips, one square to spare.

    9 sets of outlines on a load as above, each twice: 9 and 18. The second load holds the rest,
    5 and 9: 10 squares and 18 strips, 9 sets.
    """
    run = REQUEST["runs"][0] | {
        "cut": "patch",
        "layers": 2,
        "ties": {"count": 0},
        "formats": ["svg"],
        "material": {"name": "sailcloth", "kind": "fabric"},
    }
    kit = studio.kit(REQUEST | {"runs": [run]})
    loads = [(load.outlines, load.repeats) for load in kit.run().loads]
    assert loads == [({"SQ": 9, "RE": 18}, 1), ({"SQ": 5, "RE": 9}, 1)]
    assert kit.run().total("SQ") == (27, 28, 1)
    assert kit.run().total("RE") == (54, 54, 0)
    assert "set" not in kit.warnings
    assert kit.sheet.together("Sets", "27", "1 of SQ, 2 of RE", within=12)
    # A template used twice serves two sets.
    again = REQUEST["runs"][0] | {"reuse": 2, "formats": ["svg"]}
    assert studio.kit(REQUEST | {"runs": [again]}).run().outlines == {"SQ": 14, "RE": 27}


def test_one_set_through_two_plies(studio: Studio) -> None:
    """One set of 3 squares and 5 strips through 2 plies: 2 and 3 outlines, on one load."""
    pieces = [
        dict(piece, quantity=count) for piece, count in zip(REQUEST["pieces"], (3, 5), strict=True)
    ]
    run = REQUEST["runs"][0] | {"layers": 2, "formats": ["svg"]}
    kit = studio.kit(REQUEST | {"pieces": pieces, "runs": [run]})
    assert [(load.outlines, load.repeats) for load in kit.run().loads] == [({"SQ": 2, "RE": 3}, 1)]
    assert "set" not in kit.warnings


def test_a_set_that_does_not_fit_is_named(studio: Studio) -> None:
    """28 squares and 54 strips are two sets of 14 and 27: too many for a load of 15 squares."""
    pieces = [dict(REQUEST["pieces"][0], quantity=28), REQUEST["pieces"][1]]
    kit = studio.kit(REQUEST | {"pieces": pieces})
    assert '14 of "SQ" and 27 of "RE"' in kit.warnings
    assert kit.run().total("SQ") == (28, 28, 0)
