"""A test piece whose grain is free lies beside the other cloth whichever way it fits.

Sheets of 200 x 100 mm of linen hold one patch of 180 x 60 each, so one patch A and five patches B
take 6 sheets. B keeps its grain, so all of them lie with 200 across the cloth: 2 side by side on
500 mm, 3 rows, 300 mm. Beside them are 100 x 300 mm free. The test cuts A, from a piece of 200 x
84: 12 mm more on each side, but no more than a sheet is wide (common practice, no source).

* A may lie any way: 84 across and 200 along it fits beside. With an inch to straighten the cloth's
  end 325.4 mm, so 0.4 m.
* A keeps its grain: 200 across it does not, and takes 84 mm more: 409.4 mm, so 0.5 m.

The other way round, sheets of 100 x 200 with patches of 60 x 180: 4 side by side on 400 mm, no room
beside, and 4 sheets are one row of 200 mm. The test takes 84 x 200 mm.

* A may lie any way: 200 across and 84 along, 309.4 mm with the inch: 0.4 m.
* A keeps its grain: 200 mm more, 425.4 mm: 0.5 m.

On two layers 8 sheets are two rows of 400 mm. Two test pieces lie side by side either way, 84 or
200 mm more: 509.4 mm, 0.6 m, or 625.4 mm, 0.7 m.
"""

from __future__ import annotations

import pytest

from tests.jobs.studio import Json, Studio


def _cloth(
    studio: Studio, patch: Json, sheet: Json, quantity: int, grain: str, layers: int
) -> Json:
    shape = {"kind": "rectangle", **patch}
    run = {
        "cut": "patch",
        "cutter": "laser-bed",
        "layers": layers,
        "material": {"name": "linen", "kind": "fabric", **sheet},
        "formats": ["svg"],
    }
    pieces = [
        {"id": "A", "shape": shape, "quantity": layers, "grain": grain},
        {"id": "B", "shape": shape, "quantity": quantity * layers, "grain": "fixed"},
    ]
    body = {"units": "mm", "pieces": pieces, "runs": [run]}
    found: Json = studio.calculated("/v1/layouts", body)["runs"][0]["cloth"]
    return found


@pytest.mark.parametrize(("grain", "buy"), [("free", "0.4 m"), ("half-turn", "0.5 m")])
def test_beside_the_rows(studio: Studio, grain: str, buy: str) -> None:
    sheet = {"width": 200, "height": 100, "fabric_width": 500}
    cloth = _cloth(studio, {"width": 180, "height": 60}, sheet, 5, grain, 1)
    assert (cloth["pieces"], cloth["per_row"], cloth["rows"]) == (6, 2, 3)
    assert cloth["length_mm"] == pytest.approx(300.0)
    assert cloth["buy"] == buy


@pytest.mark.parametrize(
    ("grain", "layers", "buy"),
    [
        ("free", 1, "0.4 m"),
        ("half-turn", 1, "0.5 m"),
        ("free", 2, "0.6 m"),
        ("half-turn", 2, "0.7 m"),
    ],
)
def test_in_a_row_of_their_own(studio: Studio, grain: str, layers: int, buy: str) -> None:
    sheet = {"width": 100, "height": 200, "fabric_width": 400}
    cloth = _cloth(studio, {"width": 60, "height": 180}, sheet, 3, grain, layers)
    assert (cloth["pieces"], cloth["per_row"], cloth["rows"]) == (4 * layers, 4, layers)
    assert cloth["buy"] == buy
