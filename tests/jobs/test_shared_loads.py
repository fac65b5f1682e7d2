"""How many pieces go on each of several loads, and a roll's rows that just fit: worked by hand."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Run, Studio


def request(
    shape: dict[str, Any], quantity: int, bed: dict[str, Any], effort: str
) -> dict[str, Any]:
    return {
        "title": "Lifeboat house papers",
        "units": "in",
        "documents": [],
        "pieces": [{"id": "P", "shape": shape, "quantity": quantity}],
        "runs": [
            {
                "cut": "template",
                "cutter": {"tool": {"kind": "pen"}, "bed": bed},
                "material": {"name": "card ends", "kind": "card"},
                "formats": ["plan"],
                "gap": 0,
                "effort": effort,
            }
        ],
    }


def share(run: Run) -> float:
    """Return the material of all loads, in work areas."""
    return float(sum(load.payload["used"]["share"] * load.repeats for load in run.loads))


def test_octagons_fill_one_card_and_begin_another(studio: Studio) -> None:
    """15 octagons with sides of 20 mm on cards of 9 by 6 in, 228.6 by 152.4 mm.

    An octagon is 20 (1 + root 2) = 48.284 mm across: 4 columns of 3 lie on a card. So two cards:
    12 take 4 columns, 193.14 of 228.6 mm, and 3 take one column, 48.28: 241.42 / 228.6 = 1.0561
    cards. Shared evenly, 8 and 7 take 3 columns of 3, or 2 rows of 4, each: 144.85 / 228.6 or
    96.57 / 152.4 = 0.6337, and 1.2673 together.
    """
    bed = {"width": "9 in", "height": "6 in"}
    octagon = {"kind": "octagon", "side": "20 mm"}
    run = studio.kit(request(octagon, 15, bed, "normal")).run()
    assert run.total("P") == (15, 15, 0)
    assert run.load_count == 2
    assert share(run) <= (4 + 1) * 20 * (1 + 2**0.5) / 228.6 + 1e-6


def test_squares_on_card_ends_take_the_fewest_different_loads(studio: Studio) -> None:
    """24 squares of 2 in on card ends of 10 by 4 in: 5 by 2 to an end, 3 ends.

    10, 10 and 4 take 5 + 5 + 2 columns of 2 in, 24 in of 30. 8, 8 and 8 take 4 + 4 + 4: as much,
    and leave 2 in of each end. As much material, one load three times over in place of two
    different ones: the second it is.
    """
    bed = {"width": "10 in", "height": "4 in"}
    run = studio.kit(request({"kind": "square", "side": "2"}, 24, bed, "normal")).run()
    assert [(load.outlines["P"], load.repeats) for load in run.loads] == [(8, 3)]
    assert share(run) == pytest.approx(24 / 10, abs=1e-9)


@pytest.mark.parametrize("effort", ["quick", "normal"])
def test_circles_that_just_fill_a_roll(studio: Studio, effort: str) -> None:
    """60 circles of 2 1/2 in on a roll of 30 in: 12 across, 5 straight rows, 12 1/2 in = 317.5 mm.

    Interlocked rows hold 12 and 11 in turn: 12 + 11 + 12 + 11 + 12 = 58, so 6 rows: 2 1/2 (1 + 5
    x 0.866) = 13.33 in.
    """
    bed = {"shape": "roll", "width": "30 in"}
    run = studio.kit(request({"kind": "circle", "diameter": "2 1/2"}, 60, bed, effort)).run()
    assert run.total("P") == (60, 60, 0)
    assert run.payload["roll"]["length_mm"] <= 317.5 + 0.01
