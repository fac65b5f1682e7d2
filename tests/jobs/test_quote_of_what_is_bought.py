"""A quote charges as much material as the run sheet says to get, the test's included."""

from __future__ import annotations

import pytest

from tests.jobs.studio import Json, Kit, Studio

SIDES = ("left", "right", "top", "bottom")


def _square(side: float, count: int, allowance: float) -> Json:
    return {
        "id": "S",
        "shape": {"kind": "square", "side": side},
        "quantity": count,
        "seam_allowance": allowance,
    }


def _priced(kit: Json, **price: str) -> Json:
    """Return a kit with a price of its run's material, by its name, and no other."""
    (run,) = kit["runs"]
    material = {"name": run["material"]["name"], **price}
    return {**kit, "prices": {"currency": "EUR", "materials": [material]}}


def _roll(name: str, kind: str, **more: object) -> Json:
    """Return 40 pennants of 80 mm with 10 mm allowance on a roll of 450 mm, margins of 10 mm."""
    return {
        "title": "Pennants off a roll",
        "units": "mm",
        "pieces": [_square(80, 40, 10)],
        "runs": [
            {
                "cut": "patch",
                "gap": 2,
                "effort": "quick",
                "cutter": {
                    "tool": {"kind": "pen"},
                    "bed": {"shape": "roll", "width": 450},
                    "margins": dict.fromkeys(SIDES, 10),
                },
                "material": {"name": name, "kind": kind},
                "formats": ["svg"],
                **more,
            }
        ],
    }


def _mat(name: str, kind: str, **material: object) -> Json:
    """Return 32 squares of 2 1/2 in with 1/4 in allowance on a mat of which 12 x 12 in are cut."""
    return {
        "title": "Squares on a mat",
        "units": "in",
        "pieces": [_square(2.5, 32, 0.25)],
        "runs": [
            {
                "cut": "patch",
                "gap": 0,
                "effort": "quick",
                "cutter": {
                    "tool": {"kind": "pen"},
                    "bed": {"width": 13, "height": 13},
                    "margins": dict.fromkeys(SIDES, "1/2"),
                },
                "material": {"name": name, "kind": kind, **material},
                "formats": ["svg"],
            }
        ],
    }


def _line(studio: Studio, kit: Json) -> Json:
    (line,) = studio.calculated("/v1/layouts", kit)["quote"]["lines"]
    assert line["kind"] == "material"
    return dict(line)


def _missing(studio: Studio, kit: Json) -> str:
    quote = studio.calculated("/v1/layouts", kit)["quote"]
    assert quote["lines"] == []
    return str(quote["not_priced"][0])


@pytest.mark.parametrize(
    ("step", "quantity", "amount"),
    [
        ({}, "1200", "12.00"),
        ({"step": "10 cm"}, "1200", "12.00"),
        ({"step": "50 cm"}, "1500", "15.00"),
    ],
)
def test_cloth_off_a_roll(studio: Studio, step: Json, quantity: str, amount: str) -> None:
    """Squares of 100 mm: (430 + 2) / 102 = 4.2, 4 across; 40 are 10 rows, 10 x 102 - 2 = 1018 mm.

    With the margins 1038 mm. The test takes 100 + 2 x 12 = 124 mm and the end 25.4: 1187.4 mm,
    1.2 m to buy, at 10.00 a metre 12.00; where it is sold by half metres 1.5 m, 15.00.
    """
    kit = studio.kit(_priced(_roll("velvet", "fabric"), per_length="10.00", length="1 m", **step))
    assert kit.run().payload["roll"]["length_mm"] == pytest.approx(1038.0)
    assert kit.run().payload["roll"]["buy_mm"] == pytest.approx(1200.0)
    assert kit.sheet.says("to buy: 1.2 m of cloth")
    (line,) = kit.payload["quote"]["lines"]
    assert (line["quantity"], line["amount"]) == (quantity, amount)
    assert "to buy, 1.2 m" in line["basis"]
    assert ("whole steps" in line["basis"]) == bool(step)


def test_two_layers_off_a_roll(studio: Studio) -> None:
    """20 outlines are 5 rows: 5 x 102 - 2 + 20 = 528 mm, twice 1056; two tests side by side 124.

    With 25.4 mm for the end 1205.4: 1.3 m to buy.
    """
    body = _priced(_roll("velvet", "fabric", layers=2), per_length="10.00", length="1 m")
    assert _line(studio, body)["amount"] == "13.00"


def test_a_roll_that_is_no_cloth(studio: Studio) -> None:
    """1038 mm of vinyl and 124 for the test, 1162 mm; nothing is straightened.

    At 10.00 a metre 11.62; where it is sold by 10 cm, 1.2 m and 12.00.
    """
    body = _roll("sign vinyl", "vinyl")
    line = _line(studio, _priced(body, per_length="10.00", length="1 m"))
    assert (line["quantity"], line["amount"]) == ("1162", "11.62")
    assert "test" in line["basis"]
    stepped = _priced(body, per_length="10.00", length="1 m", step="10 cm")
    assert _line(studio, stepped)["amount"] == "12.00"
    assert "needed per length" in _missing(studio, _priced(body, per_sheet="1"))


def test_sheets_of_stated_size_on_a_bed_for_rolls(studio: Studio) -> None:
    """Card of 330 x 330 mm, 328 inside: (328 + 2) / 102 = 3.2, 9 on each; 40 are 5 sheets."""
    body = _roll("card", "card")
    body["runs"][0]["material"] |= {"width": 330, "height": 330}
    kit = studio.kit(_priced(body, per_sheet="0.40"))
    assert kit.sheet.says("get ready 5 sheets of card")
    (line,) = kit.payload["quote"]["lines"]
    assert (line["quantity"], line["amount"]) == ("5", "2.00")


def _die(studio: Studio, **price: str) -> Kit:
    """Return the die of ``test_jobs_of_a_reviewer`` with a price of its cloth."""
    pieces = [
        {**_square(2, 100, 0.25), "id": "A"},
        {
            "id": "C",
            "shape": {"kind": "rectangle", "width": "2", "height": "1"},
            "quantity": 50,
            "seam_allowance": "1/4",
        },
    ]
    run = {
        "cut": "patch",
        "cutter": {
            "tool": {"kind": "steel_rule_die", "rule": "0.028 in"},
            "bed": {"width": "10", "height": "8"},
            "margins": dict.fromkeys(SIDES, "1/2"),
        },
        "layers": 6,
        "formats": ["dxf"],
        "material": {"name": "ticking", "kind": "fabric"},
    }
    body = {"title": "Chart room", "units": "in", "pieces": pieces, "runs": [run]}
    return studio.kit(_priced(body, **price))


def test_pieces_for_the_test_of_a_die(studio: Studio) -> None:
    """3 presses of 6 layers take 18 pieces, and the test 6: 24 at 1.00."""
    kit = _die(studio, per_sheet="1.00")
    assert kit.sheet.says("get ready 18 pieces of ticking", "keep 6 more of that size for the test")
    (line,) = kit.payload["quote"]["lines"]
    assert (line["quantity"], line["amount"]) == ("24", "24.00")
    assert line["basis"] == "18 for the loads and 6 more for the test"


def test_cloth_of_a_die_by_the_yard(studio: Studio) -> None:
    """Its rules are 7.7435 x 6.7435 in from edge to edge; 0.028 and twice 1/4 in more make 8.2715
    and 7.2715: pieces of 8 3/8 x 7 3/8 in. Of 40 in 5 of 7 3/8 lie side by side: 24 are 5 rows of
    8 3/8, 41 7/8 in, and an inch: 10 eighths of a yard are 45 in, 1 1/4 yd x 8.00 = 10.00. (With
    8 3/8 in across, 4 a row, 6 rows of 7 3/8 in would be 44 1/4.)
    """
    kit = _die(studio, per_length="8.00", length="1 yd")
    (line,) = kit.payload["quote"]["lines"]
    assert line["amount"] == "10.00"
    assert line["basis"] == "cloth to buy, 1 1/4 yd with the test"


def test_cloth_that_is_cut_to_pieces_for_a_mat(studio: Studio) -> None:
    """Patches of 3 in: 4 x 4 on 12 x 12 in; 32 take two pieces, side by side on cloth of 42 in.

    The test's 3 in and twice 12 mm, 3.94 in, have room beside them: 12 in and an inch are 13, and
    3 eighths of a yard 13 1/2: 3/8 yd x 8.40 = 3.15. Sold by quarters it is 1/2 yd, 4.20.
    """
    body = _mat("gold", "fabric", fabric_width=42)
    kit = studio.kit(_priced(body, per_length="8.40", length="1 yd", step="1/4 yd"))
    assert kit.run().load_count == 2
    assert kit.sheet.says("to buy: 3/8 yd of cloth")
    (line,) = kit.payload["quote"]["lines"]
    assert float(line["quantity"]) == pytest.approx(18 * 25.4)
    assert line["amount"] == "4.20"
    assert line["basis"] == "cloth to buy, 3/8 yd with the test, in whole steps of the price list"
    page = studio.client.get(kit.payload["quote_page"]).get_data(as_text=True)
    assert "gold" not in page.partition("Not included")[2]
    assert _line(studio, _priced(body, per_length="8.40", length="1 yd"))["amount"] == "3.15"


def test_where_no_length_is_known(studio: Studio) -> None:
    """Paper has none, nor has cloth of 11 in that is too narrow for pieces of 12, nor a stock."""
    stock = [{"name": "scraps", "count": 2, "width": 13, "height": 13}]
    for material in (
        {"kind": "paper"},
        {"kind": "fabric", "fabric_width": 11},
        {"kind": "fabric", "stock": stock},
    ):
        missing = _missing(
            studio, _priced(_mat("gold", **material), per_length="8.40", length="1 yd")
        )
        assert missing == ("run 1: gold, whose price is stated per length and is needed per sheet")


def test_a_stock_is_charged_as_it_is_taken(studio: Studio) -> None:
    """Two scraps of 13 in square that have no price of their own, at the list's 1.50 each."""
    stock = [{"name": "scraps", "count": 3, "width": 13, "height": 13}]
    line = _line(studio, _priced(_mat("gold", "fabric", stock=stock), per_sheet="1.50"))
    assert (line["quantity"], line["amount"]) == ("2", "3.00")


def test_pages_and_the_check_page(studio: Studio) -> None:
    """A square of 250 mm is joined from two pages of A4; with the check page 3 sheets at 0.50.

    Three of them are printed from one file, three times: 3 x 2 + 1 = 7.
    """
    run = {
        "cut": "template",
        "cutter": {"tool": {"kind": "pen"}, "paper": "a4", "pages_across": 2},
        "material": {"name": "card", "kind": "card"},
        "formats": ["pdf"],
    }
    body = {"title": "Large squares", "units": "mm", "runs": [run]}
    for count, sheets in ((1, "3"), (3, "7")):
        priced = _priced({**body, "pieces": [_square(250, count, 0)]}, per_sheet="0.50")
        kit = studio.kit(priced)
        assert kit.sheet.says(f"lay {sheets} sheets of card")
        (line,) = kit.payload["quote"]["lines"]
        assert line["quantity"] == sheets
        assert _line(studio, priced) == line
