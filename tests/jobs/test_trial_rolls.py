"""A roll takes as much cloth as the yardage of the same pieces says."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

#: Shape, quantity, grain, width of the cloth.
ROLLS: dict[str, tuple[dict[str, Any], int, Any, str]] = {
    "setting triangles": (
        {"kind": "quarter_square_triangle", "base": "34.648"},
        4,
        [0, 90, 180, 270],
        "42 in",
    ),
    "diamonds": ({"kind": "diamond_45", "side": "3 1/2"}, 56, "half-turn", "42 in"),
    "hexagons": ({"kind": "hexagon", "side": "1"}, 400, "half-turn", "110 cm"),
}


@pytest.mark.parametrize("name", ROLLS)
def test_a_roll_agrees_with_its_yardage(studio: Studio, name: str) -> None:
    """The same pieces, grain, width and no gap: `methods.layout` is what the roll's layout draws.

    Setting triangles as cut: legs of 34.648 / sqrt 2 + (2 + sqrt 2) / 4 = 25.353 in, an area of
    321.4 square inches each: 4 take 30.6 in of 42 at least. 56 diamonds of 12.5156 take 16.7 in,
    400 hexagons of 4.3146 on 43.307 in 39.85 in: neither method may say less.
    """
    shape, quantity, grain, width = ROLLS[name]
    piece = {"shape": shape, "seam_allowance": "1/4", "grain": grain}
    run: dict[str, Any] = {
        "cut": "patch",
        "cutter": {
            "tool": {"kind": "pen"},
            "bed": {"shape": "roll", "width": width},
            "margins": {"left": "0", "right": "0", "top": "0", "bottom": "0"},
        },
        "material": {"name": "cotton", "kind": "fabric"},
        "gap": "0",
    }
    body: dict[str, Any] = {
        "units": "in",
        "pieces": [{"id": "D", **piece, "quantity": quantity}],
        "runs": [run],
    }
    (laid,) = studio.calculated("/v1/layouts", body)["runs"]
    body = {
        "units": "in",
        "pieces": [{**piece, names.QUANTITY: quantity}],
        "fabric": {"width": width, "gap": "0"},
    }
    (cloth,) = studio.calculated("/v1/yardage", body)["fabrics"]
    length = laid["roll"]["length_mm"]
    assert cloth["methods"]["layout"]["length_mm"] == pytest.approx(length, abs=2e-3)
    least = {"setting triangles": 30.6, "diamonds": 16.68, "hexagons": 39.85}[name]
    assert length / 25.4 >= least
