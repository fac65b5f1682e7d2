"""Leftovers, rolls and several kinds of pieces cut from one stock."""

from __future__ import annotations

from typing import Any

import pytest
import shapely

from tests.jobs import foreign
from tests.jobs.studio import Studio
from tests.short_form import short_form

#: An L, drawn from some corner of the table: 300 by 200 mm.
L_SHAPE = [[1000, 500], [1300, 500], [1300, 591], [1140, 591], [1140, 700], [1000, 700]]


def _square(quantity: int, side: float, allowance: float = 6.0) -> dict[str, Any]:
    return {
        "id": "S",
        "shape": {"kind": "square", "side": side},
        "quantity": quantity,
        "seam_allowance": allowance,
        "grain": "fixed",
    }


def _pen(stock: list[dict[str, Any]], bed: dict[str, Any], **run: Any) -> dict[str, Any]:
    material = {"name": "oilskin", "kind": "fabric", "stock": stock}
    material |= run.pop("material", {})
    return {
        "cut": "patch",
        "cutter": {"tool": {"kind": "pen"}, "bed": bed},
        "material": material,
        "formats": ["svg"],
        **run,
    }


def test_a_leftover_of_its_own_outline(studio: Studio) -> None:
    """A patch is 28 + 2 x 6 = 40 mm, 41 with the gap; 5 mm stay free inside the L.

    Its foot is 300 by 91 mm: 290 by 81 are left, (290 + 1) / 41 = 7 and (81 + 1) / 41 = 2: 14
    squares. Its leg is 140 mm wide, 130 inside, 3 squares; over the two rows, from y = 87 to 195,
    (108 + 1) / 41 = 2: 6 more. 20 squares on the L; of 26, 6 are left for one sheet of 133 by 92
    mm: inside it are 123 by 82, 3 x 40 + 2 = 122 and 2 x 40 + 1 = 81.
    """
    stock: list[dict[str, Any]] = [
        {"name": "L", "outline": L_SHAPE},
        {"name": "sheet", "width": 133, "height": 92, "count": 3, "price": "1.50"},
    ]
    run = _pen(stock, {"width": 600, "height": 400}, gap=1, material={"edge_clearance": 5})
    kit = studio.kit({"units": "mm", "pieces": [_square(26, 28)], "runs": [run]})
    run_ = kit.run()
    assert run_.total("S") == (26, 26, 0)
    by_name = {load.payload["stock"]: load for load in run_.loads}
    assert by_name["L"].pieces == {"S": 20}
    assert by_name["sheet"].pieces == {"S": 6}
    assert run_.payload["stock_cost"] == "1.50"
    assert [row["unused"] for row in run_.payload["stock"]] == [0, 2]
    assert [row["loads"] for row in run_.payload["stock"]] == [
        [by_name["L"].number],
        [by_name["sheet"].number],
    ]
    # The L's box lies in the bed's corner; so does the L, whatever corner it was drawn from.
    there = shapely.Polygon([(x - 1000, y - 500) for x, y in L_SHAPE])
    squares = foreign.cells(foreign.svg(by_name["L"].file("svg")))
    drawn = shapely.union_all(squares)
    left, bottom, _, _ = drawn.bounds
    sheet = by_name["L"].payload["sheet"]
    assert (sheet["x_mm"], sheet["y_mm"], sheet["width_mm"], sheet["height_mm"]) == (0, 0, 300, 200)
    # Files of one load begin at the bed's corner.
    assert drawn.within(there)
    assert drawn.distance(there.exterior) >= 5.0 - 1e-3
    assert foreign.nearest(squares) >= 1.0 - 1e-3
    assert min(left, bottom) >= 5.0 - 1e-3
    assert 'fill="#fbfaf6"' in by_name["L"].picture


def test_rolls_by_the_metre(studio: Studio) -> None:
    """Squares of 4 1/2 in with 1/4 in all round are 5 in as cut; 42 / 5 = 8 in a row.

    40 squares are 5 rows. A remnant of 12 in holds 2 rows, 10 in, and costs nothing; the bolt
    gives 3 rows, 15 in or 0.381 m of 8.00 each: 3.048, 3.05. Of the remnant 2 in stay, of the bolt
    5 m less 0.381 m.
    """
    stock = [
        {"name": "bolt", "width": "42 in", "roll": "5 m", "price": "8.00", "price_per": "1 m"},
        {"name": "remnant", "width": "42 in", "roll": "12 in"},
    ]
    run = _pen(
        stock, {"shape": "roll", "width": "42 in"}, gap="0", material={"edge_clearance": "0"}
    )
    kit = studio.kit(
        {"units": "in", "pieces": [_square(40, 4.5, 0.25)], "runs": [run]}  # in inches
    )
    rows = {row["name"]: row for row in kit.run().payload["stock"]}
    assert kit.run().total("S") == (40, 40, 0)
    assert rows["remnant"]["used_length_mm"] == pytest.approx(254.0, abs=0.01)
    assert rows["remnant"]["left_length_mm"] == pytest.approx(50.8, abs=0.01)
    assert rows["bolt"]["used_length_mm"] == pytest.approx(381.0, abs=0.01)
    assert rows["bolt"]["left_length_mm"] == pytest.approx(5000.0 - 381.0, abs=0.01)
    assert kit.run().payload["stock_cost"] == rows["bolt"]["cost"] == "3.05"
    assert kit.sheet.says('draw 15 in off "bolt"', 'draw 10 in off "remnant"')


def _mixed(price: str) -> dict[str, Any]:
    stock = [
        {"name": "large", "width": 600, "height": 400, "count": 3, "price": price},
        {"name": "small", "width": 300, "height": 200, "count": 5, "price": "2.00"},
    ]
    pieces = [
        _square(8, 100, 0) | {"id": "A"},
        {
            "id": "B",
            "shape": {"kind": "rectangle", "width": 200, "height": 50},
            "quantity": 6,
            "grain": "fixed",
        },
    ]
    run = _pen(stock, {"width": 600, "height": 400}, gap=0, material={"edge_clearance": 0})
    return {"units": "mm", "pieces": pieces, "runs": [run]}


@pytest.mark.parametrize(
    ("price", "used", "cost"),
    [("7.00", [0, 3], "6.00"), pytest.param("5.00", [1, 0], "5.00", marks=pytest.mark.long)],
)
def test_several_kinds(studio: Studio, price: str, used: list[int], cost: str) -> None:
    """A row 100 mm high of a small sheet, 300 wide, is AAA, or A and two B (200 by 50) stacked.

    6 of B are 3 such rows, with 3 of A; the other 5 of A are 2 rows: 5 rows, 3 small sheets of 2
    rows, 6.00. The area is 8 x 10,000 + 6 x 10,000 = 140,000 mm2, more than 2 small sheets have
    (120,000). A large sheet holds all: it is cheaper at 5.00 and dearer at 7.00.
    """
    kit = studio.kit(_mixed(price))
    assert [row["used"] for row in kit.run().payload["stock"]] == used
    assert kit.run().payload["stock_cost"] == cost
    assert kit.run().total("A") == (8, 8, 0)
    assert kit.run().total("B") == (6, 6, 0)


def test_a_large_piece_goes_on_the_large_sheet(studio: Studio) -> None:
    """A square of 250 mm fits no sheet of 200 mm: one large sheet is used, though it costs more.

    It is 600 by 400: beside the square 350 mm are free, 3 squares of 100 in 4 rows: all 4 of A
    go there too, and no small sheet is needed.
    """
    body = _mixed("50.00")
    body["pieces"] = [_square(1, 250, 0), _square(4, 100, 0) | {"id": "A"}]
    kit = studio.kit(body)
    assert [row["used"] for row in kit.run().payload["stock"]] == [1, 0]
    body["pieces"][0]["shape"]["side"] = 450
    problem = studio.refused(body)
    assert problem["type"].endswith("#does-not-fit")
    assert problem["available"] == {"width_mm": 600, "height_mm": 400}
    assert "400" in problem["detail"]


def test_a_recut_names_a_leftover(studio: Studio) -> None:
    """Two squares of 40 mm as cut are lost; they are cut from a leftover of 100 by 50.

    5 mm inside: 90 by 40 mm, two squares and a gap of 1: 81 mm.
    """
    run = _pen(
        [{"name": "sheet", "width": 300, "height": 200, "count": 2}],
        {"width": 600, "height": 400},
        gap=1,
        material={"edge_clearance": 5},
    )
    kit = studio.kit({"units": "mm", "pieces": [_square(26, 28)], "runs": [run]})
    # (290 + 1) / 41 = 7, (190 + 1) / 41 = 4: 28 on a sheet.
    assert [load.pieces for load in kit.run().loads] == [{"S": 26}]
    leftover = {"name": "leftover", "width": 100, "height": 50}
    material = {"name": "oilskin", "kind": "fabric", "edge_clearance": 5, "stock": [leftover]}
    again = studio.recut(kit, 1, {"S": 2}, material=material)
    assert again.run().total("S") == (2, 2, 0)
    assert [load.payload["stock"] for load in again.run().loads] == ["leftover"]
    answer = studio.client.post(
        f"/v1/kits/{kit.payload['id']}/recuts",
        json={"run": 1, "pieces": {"S": 3}, "material": material},
    )
    assert answer.status_code == 422
    problem = answer.get_json()
    assert problem["errors"][0]["pointer"] == "#/material/stock"
    assert problem["shortfall"][0]["missing"] == {"S": 1}
    # Without a material the stock is that of the first kit, which is said.
    assert "as it was for the first kit" in studio.recut(kit, 1, {"S": 2}).warnings
    assert "as it was for the first kit" not in again.warnings
    # A whole load of a stock is cut again as it lay, on the same kind of sheet.
    answer = studio.client.post(
        f"/v1/kits/{kit.payload['id']}/recuts", json={"run": 1, "from_load": 1}
    )
    assert answer.status_code == 201, answer.get_data(as_text=True)
    (load,) = answer.get_json()["runs"][0]["loads"]
    assert load["stock"] == "sheet"
    assert load["placements"] == kit.run().loads[0].payload["placements"]


def _linen(quantity: int, sheets: int) -> dict[str, Any]:
    stock: list[dict[str, Any]] = [
        {"name": "scrap", "width": 330, "height": 220},
        {
            "name": "L scrap",
            "outline": [[0, 0], [420, 0], [420, 120], [210, 120], [210, 330], [0, 330]],
        },
        {"name": "half sheet", "width": 300, "height": 215, "count": 4, "price": "1.40"},
        {"name": "sheet", "width": 500, "height": 400, "count": sheets, "price": "3.00"},
    ]
    run = {
        "cut": "patch",
        "cutter": "laser-bed",
        "gap": 2,
        "formats": ["svg"],
        "material": {"name": "grey linen", "kind": "fabric", "stock": stock},
    }
    # Turned freely, a search finds places for 13 on one sheet, but not on every sheet.
    square = _square(quantity, 80, 10) | {"grain": "free"}
    return {"units": "mm", "pieces": [square], "runs": [run]}


@pytest.mark.parametrize(("quantity", "buy"), [(79, 2), (91, 3), (200, 12)])
def test_what_to_buy_is_enough(studio: Studio, quantity: int, buy: int) -> None:
    """A patch is 80 + 2 x 10 = 100 mm, 102 with the gap; 1 mm stays free at the edges.

    A sheet of 500 by 400 holds (498 + 2) / 102 = 4 by (398 + 2) / 102 = 3: 12. A half sheet holds
    2 by 2 and the scrap of 330 by 220 3 by 2. The L holds 4 in its foot, (418 + 2) / 102, and 2 by
    2 above that in its leg, (328 + 2) / 102 = 3 rows in all: 8. All hold 6 + 8 + 16 + 36 = 66. Of
    79 squares 13 are missing, 2 sheets; of 91 25, 3 sheets; of 200 134, 12 sheets.
    """
    (short,) = studio.refused(_linen(quantity, 3))["shortfall"]
    assert short["missing"] == {"S": quantity - 66}
    assert [each["count"] for each in short["buy"] if each["name"] == "sheet"] == [buy]
    kit = studio.kit(_linen(quantity, 3 + buy))
    assert kit.run().total("S") == (quantity, quantity, 0)


@pytest.mark.parametrize("order", short_form(["lowest_cost", "oldest_first"], ["oldest_first"]))
def test_what_to_buy_for_several_kinds_is_enough(studio: Studio, order: str) -> None:
    """Whatever entry is bought, the order is then cut from the stock, 20 squares of 60 mm beside.

    The stock holds 66 patches of 100 mm, as above: of 120 at least 54 are missing.
    """
    body = _linen(120, 3)
    body["pieces"].append(_square(20, 48) | {"id": "T"})
    body["runs"][0]["material"]["stock_order"] = order
    body["runs"][0]["effort"] = "quick"
    (short,) = studio.refused(body)["shortfall"]
    assert short["missing"]["S"] >= 54
    assert [each["name"] for each in short["buy"]] == ["sheet", "half sheet"]
    for each in short["buy"]:
        more = _linen(120, 3) | {"pieces": body["pieces"]}
        (run,) = more["runs"]
        run |= {"effort": "quick"}
        run["material"]["stock_order"] = order
        (entry,) = [one for one in run["material"]["stock"] if one["name"] == each["name"]]
        entry["count"] += each["count"]
        kit = studio.kit(more)
        assert kit.run().total("S") == (120, 120, 0)
        assert kit.run().total("T") == (20, 20, 0)


#: A triangle of which the largest upright square is 400 x 100 / 500 = 80 mm.
_WEDGE = [[0, 0], [400, 0], [0, 100]]


@pytest.mark.parametrize(
    ("rest", "words"),
    [
        ({"width": 300, "height": 64}, "For the test take a further piece of the stock."),
        ({"width": 300, "height": 63}, "What is left of the stock is too small for the test"),
        ({"outline": L_SHAPE}, "For the test take a further piece of the stock."),
        ({"outline": [[0, 0], [255, 0], [0, 85]]}, "What is left of the stock is too small"),
        ({"outline": _WEDGE}, "For the test take a further piece of the stock."),
    ],
)
def test_the_test_piece_of_a_sheet(studio: Studio, rest: dict[str, Any], words: str) -> None:
    """A test takes a patch of 40 mm and 12 on every side, 64 mm; what is left has a price.

    The largest square along the legs of a triangle of 255 by 85 mm is 255 x 85 / 340 = 63.75 mm.
    """
    stock = [
        {"name": "sheet", "width": 300, "height": 200},
        {"name": "rest", "price": "9.00", **rest},
    ]
    run = _pen(stock, {"width": 600, "height": 400}, gap=1)
    kit = studio.kit({"units": "mm", "pieces": [_square(4, 28)], "runs": [run]})
    assert [row["used"] for row in kit.run().payload["stock"]] == [1, 0]
    assert kit.sheet.says(words)


def test_no_test_piece_is_left(studio: Studio) -> None:
    """The only sheet is cut: nothing of the stock is left."""
    stock = [{"name": "sheet", "width": 300, "height": 200}]
    run = _pen(stock, {"width": 600, "height": 400}, gap=1)
    kit = studio.kit({"units": "mm", "pieces": [_square(4, 28)], "runs": [run]})
    assert kit.sheet.says("The stock has nothing left for the test: get more.")
