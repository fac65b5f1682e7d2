"""How many fit: on one load, on a length of roll, and on a whole stock."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign, names
from tests.jobs.studio import Studio
from tests.jobs.test_stock_of_leftovers import L_SHAPE


def _body(material: dict[str, Any], bed: dict[str, Any], **run: Any) -> dict[str, Any]:
    return {
        "title": "All that fits",
        "units": "mm",
        "pieces": [
            {
                "id": "S",
                "shape": {"kind": "square", "side": 28},
                "quantity": "max",
                "seam_allowance": 6,
                "grain": "fixed",
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "gap": 1,
                "formats": ["svg"],
                "cutter": {"tool": {"kind": "pen"}, "bed": bed},
                "material": {
                    "name": "oilskin",
                    "kind": "fabric",
                    "edge_clearance": 5,
                    **material,
                },
                **run,
            }
        ],
    }


TABLE = {"width": 600, "height": 400}
SHEET = {"width": 300, "height": 200}


@pytest.mark.parametrize(("layers", "pieces"), [(1, 28), (2, 56)])
def test_on_one_load(studio: Studio, layers: int, pieces: int) -> None:
    """A patch is 40 mm, 41 with the gap; 5 mm free: (290 + 1) / 41 = 7, (190 + 1) / 41 = 4: 28.

    Two plies give two of each.
    """
    kit = studio.kit(_body(SHEET, TABLE, layers=layers))
    run = kit.run()
    assert [(load.outlines, load.repeats) for load in run.loads] == [({"S": 28}, 1)]
    assert run.total("S") == (pieces, pieces, 0)
    assert kit.piece("S")["quantity"] == pieces
    (load,) = run.loads
    assert len(foreign.polygons(foreign.svg(load.file("svg")))) == 28
    assert kit.sheet.counts("S", pieces, pieces, 0)


def test_on_a_length_of_roll(studio: Studio) -> None:
    """A roll 200 mm wide and 500 long, 5 mm free at its edges: (190 + 1) / 41 = 4 across.

    Along it (490 + 1) / 41 = 11: 44 squares, on 11 x 41 - 1 = 450 mm from 5 mm on.
    """
    roll = {"shape": "roll", "width": 200}
    kit = studio.kit(_body({"width": 200, "height": 500}, roll))
    assert kit.run().total("S") == (44, 44, 0)
    assert [load.outlines for load in kit.run().loads] == [{"S": 44}]
    length = kit.run().payload["roll"]["length_mm"]
    assert 455.0 - 0.01 <= length <= 500.0


def test_on_a_whole_stock(studio: Studio) -> None:
    """20 on the L (see the job of leftovers), 6 on each of two sheets of 133 by 92: 32."""
    stock = [
        {"name": "L", "outline": L_SHAPE},
        {"name": "sheet", "width": 133, "height": 92, "count": 2},
    ]
    kit = studio.kit(_body({"stock": stock}, TABLE))
    assert kit.run().total("S") == (32, 32, 0)
    assert kit.piece("S")["quantity"] == 32
    assert [row["unused"] for row in kit.run().payload["stock"]] == [0, 0]


def test_hexagons_as_dense_as_rows_go(studio: Studio) -> None:
    """Hexagons of side 1 in, points up, touching: 1.7321 in wide, rows 1.5 in apart.

    On 12 by 18 in: rows of 18 / 1.7321 = 10 and, moved by half, (18 - 0.8660) / 1.7321 = 9 along
    the long side; (12 - 2) / 1.5 + 1 = 7 of them: 4 x 10 + 3 x 9 = 67. Along the short side 6 and
    6 (6.93; 12 - 0.866 = 11.13, 6.43), (18 - 2) / 1.5 + 1 = 11: 66. So 67 at least, and no more
    than 216 / 2.5981 = 83.
    """
    body = _body({"width": "12 in", "height": "18 in", "edge_clearance": 0}, {})
    body["units"] = "in"
    body["pieces"][0] |= {"shape": {"kind": "hexagon", "side": 1}, "seam_allowance": 0}
    body["pieces"][0]["grain"] = "free"
    body["runs"][0] |= {"gap": 0, "cut": "template"}
    body["runs"][0]["cutter"]["bed"] = {"width": 12, "height": 18}
    payload = studio.calculated("/v1/layouts", body)
    (load,) = payload["runs"][0]["loads"]
    assert 67 <= load[names.OUTLINES]["S"] <= 83


def test_a_recut_of_it_states_numbers(studio: Studio) -> None:
    """28 are cut; 3 of them are lost and cut again."""
    kit = studio.kit(_body(SHEET, TABLE))
    assert studio.recut(kit, 1, {"S": 3}).run().total("S") == (3, 3, 0)


ROLL = {"shape": "roll", "width": 200}


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"copies": 2}, "#/copies"),
        ({"spares": {"pieces": 1}}, "#/spares"),
        ({"runs.0.pieces": [{"id": "S", "quantity": 3}]}, "#/runs/0/pieces/0/quantity"),
        ({"runs.0.cutter": {"tool": {"kind": "pen"}, "bed": ROLL}, "runs.0.material": {}},
         "#/pieces/0/quantity"),
        ({"runs.1": None}, "#/pieces/0/quantity"),
        ({"pieces.1": None}, "#/pieces/0/quantity"),
        ({"runs.0.cutter.tool": {"kind": "steel_rule_die"}}, "#/pieces/0/quantity"),
        ({"pieces.0.quantity": "most"}, "#/pieces/0/quantity"),
        ({"pieces.0.quantity": True}, "#/pieces/0/quantity"),
        ({"pieces.0.quantity": "3"}, "#/pieces/0/quantity"),
        ({"pieces.0.shape.side": 0.5, "pieces.0.seam_allowance": 0, "runs.0.gap": 0},
         "#/runs/0"),
    ],
)  # fmt: skip
def test_what_does_not_go_with_it(studio: Studio, change: dict[str, Any], pointer: str) -> None:
    body = _body(SHEET, TABLE)
    for path, value in change.items():
        *steps, last = [int(step) if step.isdecimal() else step for step in path.split(".")]
        place: Any = body
        for step in steps:
            place = place[step]
        if value is None:
            place.append(place[0] | ({"id": "T", "quantity": 1} if steps == ["pieces"] else {}))
        else:
            place[last] = value
    problem = studio.refused(body, "/v1/layouts")
    assert pointer in {each["pointer"] for each in problem["errors"]}
