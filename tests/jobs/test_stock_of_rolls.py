"""Rolls of a stock used down to their ends, on a bed that draws off 600 mm at once.

A patch is 60 + 2 x 6 = 72 mm, 74 with the gap. The roll is 500 mm wide, 480 between the margins of
10 mm: (480 + 2) / 74 = 6 in a column. A load of n columns draws off 74 n - 2 + 20 = 74 n + 18 mm;
of 600 mm 580 are left, (580 + 2) / 74 = 7 columns, 42 squares, 536 mm.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Kit, Studio


def _body(quantity: int | str, *stock: dict[str, Any], **material: Any) -> dict[str, Any]:
    return {
        "units": "mm",
        "pieces": [
            {
                "id": "S",
                "shape": {"kind": "square", "side": 60},
                "quantity": quantity,
                "seam_allowance": 6,
                "grain": "fixed",
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "cutter": {
                    "tool": {"kind": "pen"},
                    "bed": {"shape": "roll", "width": 500, "length": 600},
                    "margins": {"left": 10, "right": 10, "top": 10, "bottom": 10},
                },
                "material": {"name": "sail cotton", "kind": "fabric", "stock": stock, **material},
                "gap": 2,
                "formats": ["svg"],
            }
        ],
    }


def _roll(length: float, **more: Any) -> dict[str, Any]:
    return {"name": "rest", "width": 500, "roll": length, **more}


def _lengths(kit: Kit) -> list[tuple[float, float]]:
    """Return what is used of each entry and what is left."""
    rows = kit.run().payload["stock"]
    return [(round(row["used_length_mm"], 2), round(row["left_length_mm"], 2)) for row in rows]


@pytest.mark.parametrize("length", [776, 850, 900, 1000, 1200])
def test_one_kind_down_to_the_end(studio: Studio, length: float) -> None:
    """60 squares are 10 columns; in two loads they take 740 + 2 x 18 = 776 mm."""
    kit = studio.kit(_body(60, _roll(length)))
    assert kit.run().total("S") == (60, 60, 0)
    assert _lengths(kit) == [(776.0, length - 776.0)]
    assert all(load.payload["length_mm"] <= 600.0 for load in kit.run().loads)


def test_a_full_load_and_the_rest(studio: Studio) -> None:
    """78 squares are 13 columns: 7 take 536 mm and 6 take 462, 998 of 1000 mm.

    Two loads of 39 squares would take 7 columns each, 1072 mm.
    """
    kit = studio.kit(_body(78, _roll(1000)))
    assert kit.run().total("S") == (78, 78, 0)
    assert _lengths(kit) == [(998.0, 2.0)]
    assert sorted(load.pieces["S"] for load in kit.run().loads) == [36, 42]


def test_as_many_as_a_roll_holds(studio: Studio) -> None:
    """Of 1000 mm 998 hold 13 columns, as above; 14 are one more than there is room for."""
    kit = studio.kit(_body("max", _roll(1000)))
    assert kit.run().total("S")[1] == 78
    assert _lengths(kit) == [(998.0, 2.0)]


@pytest.mark.parametrize("length", [775, 700, 640])
def test_what_is_said_to_be_missing_is_enough(studio: Studio, length: int) -> None:
    """Of 775 mm 7 columns take 536; 239 are left, (239 - 18) / 74 = 2 columns, 12 squares.

    Of 60 squares 6 are missing: one column, 92 mm. Of 700 mm 164 are left for one column, 12
    squares are missing, 2 columns: 166 mm. Of 640 mm 104 are left for one as well.
    """
    missing, buy = {775: (6, 92.0), 700: (12, 166.0), 640: (12, 166.0)}[length]
    problem = studio.refused(_body(60, _roll(length)))
    assert problem["type"].endswith("#not-enough-stock")
    (short,) = problem["shortfall"]
    assert short["missing"] == {"S": missing}
    assert short["buy"] == [{"name": "rest", "length_mm": buy}]
    assert f"Buy {buy:.0f} mm more" in problem["detail"]
    more = _roll(buy, name="bought")
    for stock in ([_roll(length + buy)], [_roll(length), more], [more, _roll(length)]):
        assert studio.kit(_body(60, *stock)).run().total("S") == (60, 60, 0)


def test_what_to_buy_in_inches(studio: Studio) -> None:
    """Patches of 3 in, 6 in a column of 19 1/2 in; a load of n columns draws off 3 n + 1/2 in.

    7 columns take 21 1/2 in; 18 1/2 in hold 6, 6 squares are missing: one column, 3 1/2 in, which
    are 88.9 mm, and not 88.89999999999999.
    """
    body = _body(42, {"name": "rest", "width": 20, "roll": "18 1/2"})
    body["units"] = "in"
    (piece,), (run,) = body["pieces"], body["runs"]
    piece["shape"]["side"], piece["seam_allowance"], run["gap"] = 2.5, "1/4", 0
    margins = dict.fromkeys(("left", "right", "top", "bottom"), "1/4")
    run["cutter"] |= {"bed": {"shape": "roll", "width": 20, "length": 24}, "margins": margins}
    (short,) = studio.refused(body)["shortfall"]
    assert short["missing"] == {"S": 6}
    assert [repr(each["length_mm"]) for each in short["buy"]] == ["88.9"]


def test_two_rolls_of_one_kind(studio: Studio) -> None:
    """96 squares are 16 columns, 8 from each roll of 700 mm: 7 take 536 mm and 1 takes 92.

    1256 mm in all are 3.14 at 2.50 a metre, and 72 mm stay on each roll: 144.
    """
    stock = _roll(700, count=2, price="2.50", price_per="1 m", currency="EUR")
    kit = studio.kit(_body(96, stock))
    assert kit.run().total("S") == (96, 96, 0)
    assert _lengths(kit) == [(1256.0, 144.0)]
    (row,) = kit.run().payload["stock"]
    assert (row["used"], row["unused"], row["cost"]) == (2, 0, "3.14")
    # 42 squares are one load: the other roll stays as it is.
    (row,) = studio.kit(_body(42, stock)).run().payload["stock"]
    assert (row["used"], row["unused"], row["used_length_mm"]) == (1, 1, pytest.approx(536.0))


def test_the_oldest_roll_is_used_up_first(studio: Studio) -> None:
    """54 squares are 9 columns: 8 from the older roll, 536 + 92 = 628 mm, the last from the new."""
    stock = [
        _roll(700, name="new", since="2026-05-01"),
        _roll(700, name="old", since="2026-03-01"),
    ]
    kit = studio.kit(_body(54, *stock, stock_order="oldest_first"))
    assert kit.run().total("S") == (54, 54, 0)
    assert _lengths(kit) == [(92.0, 608.0), (628.0, 72.0)]


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (2000, 'For the test draw 96 mm more off "rest".'),
        (872, 'For the test draw 96 mm more off "rest".'),
        (871, "What is left of the stock is too small for the test: get more."),
        (776, "The stock has nothing left for the test: get more."),
    ],
)
def test_the_test_piece_of_a_roll(studio: Studio, length: float, words: str) -> None:
    """A test takes a patch and 12 mm on every side, 96 mm. 776 mm are drawn off, 776 + 96 = 872."""
    sheet = studio.kit(_body(60, _roll(length))).sheet
    assert sheet.says(words)
    assert sheet.says("at least 96 mm x 96 mm") or sheet.says("at least 96 x 96 mm")


def test_several_kinds_down_to_the_end(studio: Studio) -> None:
    """12 rectangles and 30 squares with 20 triangles take 840 mm by hand, in loads of at most 600.

    A rectangle is 72 by 132 mm, a triangle 60 + 6 x (2 + 1.414) = 80.5 mm along its short sides.
    Upright, 12 rectangles are 2 columns of 6 by 132 mm; 24 squares are 4 columns of 72: with gaps
    2 x 134 + 4 x 74 - 2 = 562 mm, 582 with margins. The other 6 squares are a column of 72 mm; in
    480 mm 5 pairs of triangles stand on each other, 82 to 92 mm each: 2 columns of 5 pairs take
    less than 2 x 92. With margins and gaps that is 20 + 74 + 2 x 92 = 278 mm. 860 mm are enough.
    """
    body = _body(30, _roll(860))
    triangle = {"kind": "half_square_triangle", "side": 60}
    rectangle = {"kind": "rectangle", "width": 60, "height": 120}
    for piece, shape, quantity in (("H", triangle, 20), ("R", rectangle, 12)):
        body["pieces"].append(
            {"id": piece, "shape": shape, "quantity": quantity, "seam_allowance": 6}
        )
    kit = studio.kit(body)
    assert [kit.run().total(piece)[1] for piece in "SHR"] == [30, 20, 12]
    drawn = sum(load.payload["length_mm"] * load.repeats for load in kit.run().loads)
    assert _lengths(kit) == [(round(drawn, 2), round(860.0 - drawn, 2))]
    assert all(load.payload["length_mm"] <= 600.0 for load in kit.run().loads)
