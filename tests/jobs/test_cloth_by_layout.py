"""The fabric that a cutter's layout takes: yardage, plans and roll layouts agree on it."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio
from tests.short_form import short_form

SHAPES: dict[str, tuple[dict[str, Any], int, float]] = {
    # Quantity, and square inches as cut of one: HANDBOOK 1.3 and closed forms.
    "hexagon": ({"kind": "hexagon", "side": "1"}, 200, 4.314582),
    "diamond_45": ({"kind": "diamond_45", "side": "3 1/2"}, 56, 12.515555),
    "half_hexagon": ({"kind": "half_hexagon", "side": "1"}, 90, 2.837713),
    "clamshell": ({"kind": "clamshell", "width": "2"}, 40, 3.820796),
}


def _yardage(studio: Studio, pieces: list[dict[str, Any]], **fabric: Any) -> dict[str, Any]:
    body = {"units": "in", "pieces": pieces, "fabric": {"width": "42", **fabric}}
    (found,) = studio.calculated("/v1/yardage", body)["fabrics"]
    return dict(found)


def _roll(studio: Studio, pieces: list[dict[str, Any]], gap: str) -> float:
    """Return the length of roll that a pen's layout takes, mm: a pen keeps no distance itself."""
    run = {
        "cut": "patch",
        "cutter": {"tool": {"kind": "pen"}, "bed": {"shape": "roll", "width": "42 in"}},
        "material": {"name": "sailcloth", "kind": "fabric"},
        "gap": gap,
    }
    body = {"units": "in", "pieces": pieces, "runs": [run]}
    (found,) = studio.calculated("/v1/layouts", body)["runs"]
    return float(found["roll"]["length_mm"])


EVERY = [
    (kind, gap, grain)
    for kind in ("diamond_45", "half_hexagon")
    for gap in ("0", "1/16")
    for grain in ("free", "half-turn")
]


@pytest.mark.parametrize(
    ("kind", "gap", "grain"), short_form(EVERY, {*EVERY} - {("half_hexagon", "1/16", "free")})
)
def test_a_roll_takes_what_yardage_says(studio: Studio, kind: str, gap: str, grain: str) -> None:
    """The same pieces, grain and gap on a roll of the usable width: the same length."""
    shape, quantity, _ = SHAPES[kind]
    piece = {"id": "P", "shape": shape, "seam_allowance": "1/4", "grain": grain}
    found = _yardage(studio, [{**piece, names.QUANTITY: quantity}], gap=gap)
    length = _roll(studio, [{**piece, "quantity": quantity}], gap)
    assert found["methods"]["layout"]["length_mm"] == pytest.approx(length, abs=2e-3)


def test_a_layout_of_diamonds_takes_no_more_than_rows(studio: Studio) -> None:
    """8, 16 and 56 diamonds of 3 1/2 in: strips of 3 in, 9 to each; a layout needs no ruler.

    By strips of 2.9749 in as they are: 1, 2 and 7 of them, 2.97, 5.95 and 20.82 in.
    """
    shape, _, _ = SHAPES["diamond_45"]
    for quantity, strips in ((8, 1), (16, 2), (56, 7)):
        piece = {"shape": shape, "seam_allowance": "1/4", names.QUANTITY: quantity}
        found = _yardage(studio, [piece])
        assert found["methods"]["rows"]["length_mm"] == pytest.approx(strips * 3 * 25.4)
        assert found["methods"]["layout"]["length_mm"] <= strips * 2.97488 * 25.4 + 0.01
        assert found["quoted_method"] == "rows"


@pytest.mark.parametrize("kind", SHAPES)
def test_no_method_takes_less_than_the_area(studio: Studio, kind: str) -> None:
    """Area over width is the least; the quoted method is the larger of the two by default.

    Areas as cut: hexagon 4.3146, half hexagon 2.8377 (HANDBOOK 1.3, s = 1), clamshell 3.8208
    (C22), a 45-degree diamond of 3.5 in: 4.2071 x 2.9749 = 12.5156 square inches.
    """
    shape, quantity, square_inches = SHAPES[kind]
    piece = {"shape": shape, "seam_allowance": "1/4", names.QUANTITY: quantity}
    found = _yardage(studio, [piece])
    assert found["area_mm2"] / 25.4**2 == pytest.approx(quantity * square_inches, rel=1e-5)
    lengths = {name: each["length_mm"] for name, each in found["methods"].items()}
    assert set(lengths) == {"rows", "layout"}
    assert min(lengths.values()) >= found["min_length_mm"] > 0.0
    assert found["length_mm"] == max(lengths.values()) == lengths[found["quoted_method"]]


def test_the_quoted_method_is_a_setting(studio: Studio) -> None:
    """200 hexagons of 1 in: by rows 16 to a strip of 2 1/4 in, 13 strips, 29.25 in, 7/8 yd.

    In a layout rows interlock: 200 x 4.3146 / 42 = 20.5 in at least, so less than 27 in, 3/4 yd.
    """
    shape, quantity, _ = SHAPES["hexagon"]
    piece = {"shape": shape, "seam_allowance": "1/4", names.QUANTITY: quantity}
    result = {
        method: _yardage(studio, [piece], quoted_method=method, step="1/8 yd")
        for method in ("rows", "layout", "larger")
    }
    assert result["rows"][names.BUY] == result["larger"][names.BUY] == "7/8 yd"
    assert result["rows"]["length_mm"] == pytest.approx(29.25 * 25.4)
    assert result["layout"]["quoted_method"] == "layout"
    assert 20.5 < result["layout"]["length_mm"] / 25.4 < 27.0
    assert result["layout"]["methods"] == result["rows"]["methods"]


@pytest.mark.long
def test_a_plan_its_yardage_and_its_roll_agree(studio: Studio) -> None:
    """A quilt of triangles in two colours: plan, yardage and roll say the same of each fabric.

    4 in triangles as cut: 3.4641 + 0.75 = 4.2141 in high, strips of 4 1/4 in; sides of 4.8660:
    (n - 1) 2.4330 + 4.8660 <= 42 gives 16 to a strip.
    """
    plan = studio.calculated(
        "/v1/quilt-plans",
        {
            "units": "in",
            "tiling": "triangle",
            "side": "4",
            "quilt": {"width": "30", "length": "36"},
            "edge": "filled",
            "colours": {"by": "rows", "names": ["tide", "sand"]},
            "fabric": {"width": "42"},
        },
    )
    pieces = {each["id"]: each for each in plan["kit"]["pieces"]}
    for cloth in plan["materials"]["fabrics"]:
        chosen = [pieces[row["id"]] for row in cloth["pieces"]]
        asked = [
            {
                "id": each["id"],
                "shape": each["shape"],
                "seam_allowance": each["seam_allowance"],
                names.QUANTITY: each["quantity"],
            }
            for each in chosen
        ]
        alone = _yardage(studio, asked, name=cloth["fabric"])
        assert alone["methods"]["rows"] == pytest.approx(cloth["methods"]["rows"])
        length = _roll(studio, chosen, "0")
        assert cloth["methods"]["layout"]["length_mm"] == pytest.approx(length, abs=2e-3)
        whole = cloth["pieces"][0]
        assert (whole["per_row"], whole["turned_alternately"]) == (16, True)
        assert whole["strip_mm"] == pytest.approx(4.25 * 25.4)


def test_too_much_to_lay_out_is_quoted_by_rows(studio: Studio) -> None:
    """25 kinds of circles: their layouts would take too long, which is said; rows are boxes.

    Circles of 2, 2.1 ... 4.4 in, one of each, by ruler 4 7/16, 4 5/16, 4 1/4 ... 2 in. A strip of
    4 7/16 in holds those of 4.4 to 3.5 in, 39 3/4 in side by side, and one of 2.2 (2 1/4) in: 42 in
    exactly. A strip of 3 7/16 in holds the other 14, of 3.4 to 2 in: 38 5/8 in. So 7 7/8 in; the
    squares round them are 269 square inches, 6.4 in of the width. In a strip each: 80 in.
    """
    pieces = [
        {"shape": {"kind": "circle", "diameter": 2 + number / 10}, names.QUANTITY: 1}
        for number in range(25)
    ]
    found = _yardage(studio, pieces)
    assert found["quoted_method"] == "rows"
    assert set(found["methods"]) == {"rows"}
    assert any("not laid out" in each for each in found["warnings"])
    assert found["rows"] == 2
    assert found["length_mm"] / 25.4 == pytest.approx(4.4375 + 3.4375)
    body = {"units": "in", "pieces": pieces, "fabric": {"quoted_method": "layout"}}
    (error,) = studio.refused(body, "/v1/yardage")["errors"]
    assert error["pointer"] == "#/fabric/quoted_method"
    assert "rows" in error["detail"]


def test_a_print_with_a_top_is_laid_out_one_way_too(studio: Studio) -> None:
    """Half hexagons that may not turn: 42 / 2.8660 = 14 boxes to a strip, in both methods alike.

    90 / 14 = 6.4, 7 strips of 1.3660 in, by ruler 1 3/8: 9.625 in.
    """
    shape, quantity, _ = SHAPES["half_hexagon"]
    piece = {"shape": shape, "seam_allowance": "1/4", names.QUANTITY: quantity}
    found = _yardage(studio, [piece], directional=True)
    assert (found["per_row"], found["rows"]) == (14, 7)
    assert found["methods"]["rows"]["length_mm"] == pytest.approx(9.625 * 25.4)
    free = _yardage(studio, [piece])
    for method in ("rows", "layout"):
        assert free["methods"][method]["length_mm"] < found["methods"][method]["length_mm"]
