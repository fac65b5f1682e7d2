"""A quilt's materials priced by a shop's saved list, which its kit is then quoted by."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.jobs.studio import Json, Studio

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

YARD: Json = {"length": "1 yd"}
LIST: Json = {
    "currency": "EUR",
    "materials": [
        {"name": "tide", "per_length": "9.00", **YARD},
        {"name": "card", "per_sheet": "0.20"},
        {"name": "binding", "per_length": "8.10", **YARD},
        {"name": "backing", "per_length": "7.20", **YARD, "step": "1 yd"},
        {"name": "batting", "per_length": "11.00", **YARD},
    ],
}
PLAN: Json = {
    "units": "in",
    "tiling": "square",
    "side": "2",
    "seam_allowance": "1/4",
    "quilt": {"width": "40", "length": "40"},
    "colours": {"names": ["tide"]},
    "kits": 3,
    "prices": "strand",
}


@pytest.fixture(scope="module")
def plan(studio: Studio) -> Iterator[Json]:
    """Return the plan that names the list, which is deleted afterwards."""
    link = "/v1/price-lists/strand"
    assert studio.client.put(link, json=LIST).status_code == 201
    yield studio.calculated("/v1/quilt-plans", PLAN)
    studio.client.delete(link)


def test_materials_are_priced_by_their_names(plan: Json) -> None:
    """Three quilts of 20 x 20 squares: 1200 of 2 1/2 in, 16 to 40 in, 75 strips, 187 1/2 in.

    In eighths of a yard (4 1/2 in) 42: 189 in = 5 1/4 yd x 9.00 = 47.25. Binding each 170 in: 5
    strips, 12 1/2 in; all three 37 1/2 in, 9 eighths: 9/8 yd x 8.10 = 9.1125, 9.11. Backing each
    48 in square: 2 panels, 96 in; all three 288 in, 8 yd x 7.20 = 57.60. Card 0.20 a sheet.
    Batting is needed by the sheet and has a price per length: it is left out, and named.
    """
    quote = plan["quote"]
    assert (quote["price_list"], quote["price_list_version"]) == ("strand", 1)
    assert "cost" not in plan or plan["cost"] is None
    rows = {each["name"]: each for each in quote["lines"]}
    sheets = plan["materials"]["paper"]["sheets"]
    amounts = {name: row["amount"] for name, row in rows.items()}
    card = f"{sheets // 5}.{2 * (sheets % 5)}0"
    assert amounts == {"tide": "47.25", "card": card, "binding": "9.11", "backing": "57.60"}
    lengths = {
        name: float(rows[name]["quantity"]) / 25.4 for name in ("tide", "binding", "backing")
    }
    assert lengths == pytest.approx({"tide": 189.0, "binding": 40.5, "backing": 288.0}, abs=1e-4)
    total = 4725 + 20 * sheets + 911 + 5760
    assert quote["cost"]["per_batch"] == f"{total // 100}.{total % 100:02}"
    third = (2 * total + 3) // 6
    assert quote["cost"]["per_copy"] == f"{third // 100}.{third % 100:02}"
    assert quote["not_priced"] == [
        "batting, whose price is stated per length and is needed per sheet"
    ]


def test_the_kit_is_quoted_by_the_same_list(studio: Studio, plan: Json) -> None:
    """The plan's kit takes a copy of the list with it, so its own quote names list and version.

    16 squares of 2 1/2 in are 4 x 4, 10 in and a little, one piece of the mat's 11 1/2 in. The
    test's 2 1/2 in and 24 mm have room beside it: 11 1/2 in and an inch are 3 eighths of a yard,
    3/8 x 9.00 = 3.375, 3.38, although the mat takes cloth by the piece.
    """
    small = studio.calculated(
        "/v1/quilt-plans", {**PLAN, "kits": 1, "quilt": {"width": "8", "length": "8"}}
    )
    assert plan["kit"]["prices"] == small["kit"]["prices"]
    quote = studio.calculated("/v1/layouts", small["kit"])["quote"]
    assert (quote["price_list"], quote["price_list_version"]) == ("strand", 1)
    assert [(each["name"], each["amount"]) for each in quote["lines"]] == [
        ("card", "0.20"),
        ("tide", "3.38"),
    ]


def test_a_list_in_the_plan_itself(studio: Studio) -> None:
    """Four squares of 2 1/2 in are one strip: 2 1/2 in, 1/8 yd at 9.00 a yard: 1.125, 1.13."""
    body = {**PLAN, "kits": 1, "quilt": {"width": "4", "length": "4"}, "prices": LIST}
    quote = studio.calculated("/v1/quilt-plans", body)["quote"]
    assert quote.get("price_list") is None
    assert next(each["amount"] for each in quote["lines"] if each["name"] == "tide") == "1.13"


@pytest.mark.parametrize(
    ("prices", "pointer", "words"),
    [
        ("nowhere", "#/prices", "/v1/price-lists"),
        (7, "#/prices", "Name a saved price list"),
        ({"materials": []}, "#/prices", "currency"),
        ({"currency": "EUR", "fabric": 2.5}, "#/prices/fabric", ""),
        ({"fabrics": 2.5}, "#/prices", ""),
    ],
)
def test_prices_that_cannot_be_used(
    studio: Studio, prices: object, pointer: str, words: str
) -> None:
    errors = studio.refused({**PLAN, "prices": prices}, "/v1/quilt-plans")["errors"]
    assert any(
        each["pointer"].startswith(pointer) and words in each["detail"] for each in errors
    ), errors
