"""Stock that cannot be used is refused at its member, with what would be right."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient


def _body(stock: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    cutter = {"tool": {"kind": "pen"}, "bed": {"width": 600, "height": 400}}
    run = {
        "cut": "template",
        "cutter": more.pop("cutter", cutter),
        "material": {"name": "card", "stock": stock, **more},
    }
    return {
        "units": "mm",
        "pieces": [{"id": "A", "shape": {"kind": "square", "side": 40}, "quantity": 3}],
        "runs": [run],
    }


SHEET = {"name": "sheet", "width": 200, "height": 100}
ROLL = {"tool": {"kind": "pen"}, "bed": {"shape": "roll", "width": 1000}}
BOW_TIE = [[0, 0], [100, 100], [100, 0], [0, 100]]

WRONG: list[tuple[str, list[dict[str, Any]], dict[str, Any], str, str]] = [
    ("no sheets", [], {}, "stock", "1"),
    ("unknown order", [SHEET], {"stock_order": "cheapest"}, "stock_order", "lowest_cost"),
    ("a size beside it", [SHEET], {"width": 100}, "width", "stock"),
    ("a position beside it", [SHEET], {"position": {"x": 1, "y": 1}}, "position", "stock"),
    ("no size", [{"name": "a"}], {}, "stock/0", "outline"),
    ("no height", [{"name": "a", "width": 9}], {}, "stock/0", "height"),
    ("height and roll", [{**SHEET, "roll": 9}], {}, "stock/0/roll", "height"),
    ("twice a name", [SHEET, SHEET], {}, "stock/1/name", "unique"),
    ("count 0", [{**SHEET, "count": 0}], {}, "stock/0/count", "1"),
    ("price as a number", [{**SHEET, "price": 3}], {}, "stock/0/price", "text"),
    ("negative price", [{**SHEET, "price": "-1"}], {}, "stock/0/price", "decimal"),
    ("a currency alone", [{**SHEET, "currency": "EUR"}], {}, "stock/0/currency", "price"),
    (
        "two currencies",
        [
            {**SHEET, "price": "1", "currency": "EUR"},
            {**SHEET, "name": "b", "price": "1", "currency": "GBP"},
        ],
        {},
        "stock/1/currency",
        "EUR",
    ),
    (
        "a length's price",
        [{**SHEET, "price": "1", "price_per": 9}],
        {},
        "stock/0/price_per",
        "roll",
    ),
    ("a date in words", [{**SHEET, "since": "May"}], {}, "stock/0/since", "2026-12-24"),
    ("a roll on a table", [{"name": "r", "width": 100, "roll": 900}], {}, "stock/0/roll", "sheets"),
    ("a bow tie", [{"name": "a", "outline": BOW_TIE}], {}, "stock/0/outline/0", "cross"),
    ("a line", [{"name": "a", "outline": [[0, 0], [9, 0]]}], {}, "stock/0/outline", "3"),
    (
        "an outline and a width",
        [{"name": "a", "outline": [[0, 0], [99, 0], [0, 99]], "width": 9}],
        {},
        "stock/0/width",
        "outline",
    ),
    (
        "an outline twice",
        [{"name": "a", "outline": [[0, 0], [99, 0], [0, 99]], "count": 2}],
        {},
        "stock/0/count",
        "list each",
    ),
    (
        "too small a leftover",
        [{"name": "a", "outline": [[0, 0], [9, 0], [0, 9]]}],
        {"edge_clearance": 5},
        "stock/0",
        "clearance",
    ),
    (
        "an outline on a roll",
        [{"name": "a", "outline": [[0, 0], [99, 0], [0, 99]]}],
        {"cutter": ROLL},
        "stock/0/outline",
        "flat bed",
    ),
    (
        "a roll that is wider than the cutter takes",
        [{"name": "r", "width": 1000, "roll": 900}, {"name": "s", "width": 1001, "roll": 900}],
        {"cutter": ROLL},
        "stock/1/width",
        "up to 1000 mm",
    ),
    (
        "a roll's price without its length",
        [{"name": "r", "width": 900, "roll": 900, "price": "2"}],
        {"cutter": ROLL},
        "stock/0/price",
        "1 m",
    ),
    (
        "a die",
        [SHEET],
        {"cutter": {"tool": {"kind": "steel_rule_die"}, "bed": {"width": 600, "height": 400}}},
        "stock",
        "pressed",
    ),
]


@pytest.mark.parametrize(("stock", "more", "place", "word"), [each[1:] for each in WRONG],
                         ids=[each[0] for each in WRONG])  # fmt: skip
def test_wrong_stock(
    client: FlaskClient, stock: list[dict[str, Any]], more: dict[str, Any], place: str, word: str
) -> None:
    answer = client.post("/v1/layouts", json=_body(stock, **dict(more)))
    assert answer.status_code == 422, answer.get_data(as_text=True)
    errors = {each["pointer"]: each["detail"] for each in answer.get_json()["errors"]}
    assert set(errors) == {f"#/runs/0/material/{place}"}
    assert word in errors[f"#/runs/0/material/{place}"]


def test_what_is_advised_for_a_leftover_on_a_roll_works(client: FlaskClient) -> None:
    """In a right triangle of 99 mm the largest rectangle is 49.5 mm square: one piece of 40 mm.

    The pieces keep 1 mm to the edge: 47.5 mm hold one, three such leftovers three. On a flat bed
    the triangle itself is cut: a square of 40 + 2 x 1 mm lies below x + y = 99.
    """
    leftover = {"name": "a", "width": 49.5, "height": 49.5, "count": 3}
    on_roll = client.post("/v1/layouts", json=_body([leftover], cutter=ROLL))
    assert on_roll.status_code == 200, on_roll.get_data(as_text=True)
    assert [each["repeats"] for each in on_roll.get_json()["runs"][0]["loads"]] == [3]
    names = ("a", "b", "c")
    triangles = [{"name": name, "outline": [[0, 0], [99, 0], [0, 99]]} for name in names]
    flat = client.post("/v1/layouts", json=_body(triangles))
    assert flat.status_code == 200, flat.get_data(as_text=True)
    assert len(flat.get_json()["runs"][0]["loads"]) == len(names)


def test_all_errors_of_a_stock_at_once(client: FlaskClient) -> None:
    stock: list[dict[str, Any]] = [
        {**SHEET, "price": "x"},
        {"name": "b", "width": 5},
        {"name": "c", "outline": BOW_TIE},
    ]
    answer = client.post("/v1/layouts", json=_body(stock))
    pointers = {each["pointer"] for each in answer.get_json()["errors"]}
    at = "#/runs/0/material/stock"
    assert pointers == {f"{at}/0/price", f"{at}/1", f"{at}/2/outline/0"}


def test_a_currency_that_is_not_the_price_list_s(client: FlaskClient) -> None:
    body = _body([{**SHEET, "price": "1.00", "currency": "EUR"}])
    body["prices"] = {"currency": "GBP"}
    (error,) = client.post("/v1/layouts", json=body).get_json()["errors"]
    assert error["pointer"] == "#/runs/0/material/stock/0/currency"
    assert "GBP" in error["detail"]


def test_a_quote_has_the_stock_s_prices(client: FlaskClient) -> None:
    """3 squares of 40 mm fit one sheet of 200 by 100 for 1.25; the price list has none for it."""
    body = _body([{**SHEET, "price": "1.25", "currency": "GBP", "count": 4}])
    body["prices"] = {"currency": "GBP"}
    quote = client.post("/v1/layouts", json=body).get_json()["quote"]
    (line,) = quote["lines"]
    assert line == {
        "kind": "material",
        "name": "card (sheet)",
        "run": 1,
        "quantity": "1",
        "unit": "sheet",
        "price": "1.25",
        "price_per": "1",
        "amount": "1.25",
    }


def test_a_long_stock_is_chosen_from_in_time(client: FlaskClient) -> None:
    """15 kinds of sheets, thousands of each: one kind of piece exactly, two kinds by trial."""
    stock = [
        {"name": f"s{n}", "width": 100 + 5 * n, "height": 100, "count": 9999, "price": f"{n + 1}"}
        for n in range(15)
    ]
    body = _body(stock)
    body["runs"][0]["effort"] = "quick"
    body["pieces"][0]["quantity"] = 400
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    # 100 by 100 less 1 mm at each edge: 98, two squares of 40 each way with gaps: 4 for 1.00.
    (run,) = answer.get_json()["runs"]
    assert run["stock_cost"] == "100.00"
    body["pieces"].append({"id": "B", "shape": {"kind": "circle", "diameter": 30}, "quantity": 9})
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 200, answer.get_data(as_text=True)


def test_few_pieces_on_a_large_sheet(client: FlaskClient) -> None:
    """12 squares of 5 mm on a sheet that holds far more than 20,000: on the least strip of it.

    1 mm free at the edges and between them: 12 x 6 - 1 = 71 mm of a row or 5 mm of 900 wide.
    """
    body = _body([{"name": "large", "width": 1000, "height": 900}])
    body["runs"][0]["cutter"]["bed"] = {"width": 1000, "height": 900}
    body["pieces"][0] |= {"shape": {"kind": "square", "side": 5}, "quantity": 12}
    (run,) = client.post("/v1/layouts", json=body).get_json()["runs"]
    (load,) = run["loads"]
    assert load["outlines"] == {"A": 12}
    assert load["used"]["area_mm2"] == pytest.approx(5.0 * 898.0, abs=1.0)
