"""Pieces on the motifs of a print: counts by hand on square, half-drop and hexagonal repeats."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely

from tests.jobs import foreign, names
from tests.jobs.studio import Studio

ROOT_3 = math.sqrt(3.0)
SQUARE = {"repeat_width": 100, "repeat_height": 100, "positions": [{"x": 50, "y": 50}]}
HALF_DROP = {**SQUARE, "drop": 50}
#: Every motif 100 mm from six others: columns 50 sqrt 3 mm apart, each moved up by 50 mm.
HEXAGONAL = {
    "repeat_width": 50 * ROOT_3,
    "repeat_height": 100,
    "drop": 50,
    "positions": [{"x": 60, "y": 50}],
}


def _square(side: float) -> dict[str, Any]:
    return {"kind": "square", "side": side}


def _hexagon(flats: float) -> dict[str, Any]:
    """Return a hexagon, which is drawn with flats above and below: its points left and right."""
    return {"kind": "hexagon", "across_flats": flats}


def _body(
    shape: dict[str, Any],
    quantity: int | str,
    sheet: tuple[float, float],
    printed: dict[str, Any],
    **piece: Any,
) -> dict[str, Any]:
    return {
        "title": "Anchors in the middle",
        "units": "mm",
        "pieces": [
            {
                "id": "A",
                "shape": shape,
                "quantity": quantity,
                "grain": "fixed",
                "motif": True,
                **piece,
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "gap": 0,
                "formats": ["svg"],
                "cutter": {
                    "tool": {"kind": "pen"},
                    "bed": {"width": max(sheet[0], 300), "height": max(sheet[1], 300)},
                },
                "material": {
                    "name": "anchor print",
                    "kind": "fabric",
                    "width": sheet[0],
                    "height": sheet[1],
                    "edge_clearance": 0,
                    "motif": printed,
                },
            }
        ],
    }


COUNTS: dict[str, tuple[dict[str, Any], tuple[float, float], dict[str, Any], int]] = {
    # Middles at 50, 150 ... both ways: 4 x 3 on 400 by 300, 40 mm or 50 mm inside the edges.
    "squares smaller than the repeat": (_square(80), (400, 300), SQUARE, 12),
    "squares as large as it": (_square(100), (400, 300), SQUARE, 12),
    # Middles from 60 to 940 and 740: 150 ... 850 are 8, 150 ... 650 are 6. 120 > 100: of four
    # neighbours, 2 by 2, one at most is cut; there are 4 x 3 such fours, so 12, and every second
    # one each way is 12.
    "squares larger than it": (_square(120), (1000, 800), SQUARE, 12),
    # On 400 by 700 middles from 60 to 340 and 640: columns at 150 (100, 200 ... 600) and 250 (150,
    # 250 ... 550). Two of a column are 200 apart at least, two of both 150: five take 600 of the
    # 500 mm there are; four: 100 | 250 | 400 | 550.
    "squares on a half drop": (_square(120), (400, 700), HALF_DROP, 4),
    # Six columns, 60 ... 493.01 mm; rows 50, 150, 250, 350 in three of them, 100, 200, 300 in the
    # others: 3 x 4 + 3 x 3, and all touch: 100 mm across flats.
    "hexagons as large as a hexagonal repeat": (_hexagon(100), (600, 400), HEXAGONAL, 21),
    # 120 across flats, 138.56 across points: middles from 69.28 to 530.72 and 60 to 340: columns
    # 146.6 (100, 200, 300), 233.2 (150, 250), 319.8 (three), 406.4 (two), 493.0 (three): 13 motifs
    # in six groups of which all touch: 100, 200 | 150 of columns 1 and 2, 3 and 4, and 300 | 250;
    # 100, 200 of column 5, and its 300. So six at most: 100 and 300 of columns 1, 3 and 5.
    "hexagons larger than a hexagonal repeat": (_hexagon(120), (600, 400), HEXAGONAL, 6),
    # 115.47 across points: middles from 57.74 to 342.26 and 50 to 250, at 60, 160, 260 and 50, 150,
    # 250. Points are 100 apart: of a row's three the outer two; rows 100 apart touch: 2 x 3.
    "hexagons on a square repeat": (
        _hexagon(100),
        (400, 300),
        {**SQUARE, "positions": [{"x": 60, "y": 50}]},
        6,
    ),
    # Columns 115 mm apart, moved up by 50 mm: neighbours are hypot(115, 50) = 125.4 mm apart. The
    # flat between two such hexagons lies at 30 degrees: 115 cos 30 + 50 sin 30 = 124.6 > 100. So
    # all: 60, 175, 290 (to 342.26) and rows 50, 150, 250 or, moved up, 100, 200: 3 + 2 + 3.
    "hexagons on a half drop": (
        _hexagon(100),
        (400, 300),
        {**HALF_DROP, "repeat_width": 115, "positions": [{"x": 60, "y": 50}]},
        8,
    ),
}


@pytest.mark.parametrize("name", COUNTS)
def test_counts(studio: Studio, name: str) -> None:
    shape, sheet, motif, count = COUNTS[name]
    payload = studio.calculated("/v1/layouts", _body(shape, "max", sheet, motif))
    (run,) = payload["runs"]
    (load,) = run["loads"]
    assert load[names.OUTLINES] == {"A": count}
    # Each middle is a motif: whole repeats from the first.
    place = motif["positions"][0]
    for each in load["placements"]:
        column = (each["x_mm"] - place["x"]) / motif["repeat_width"]
        up = each["y_mm"] - place["y"] - round(column) * motif.get("drop", 0)
        row = up / motif["repeat_height"]
        assert column == pytest.approx(round(column), abs=1e-6)
        assert row == pytest.approx(round(row), abs=1e-6)


def test_the_cloth_beside_free_cutting(studio: Studio) -> None:
    """12 squares of 80 on a repeat of 100: 4 by 3, from 10 to 390 and 290 mm.

    The strip up to 290 mm, 400 wide, is the least: 116,000 mm2 (390 by 300 are 117,000). Without
    motifs 5 go in a row of 400 and 3 in a column of 300: 4 columns, 320 by 300 = 96,000; 3 rows
    400 by 240 are 96,000 too: 1.2083 times as much.
    """
    kit = studio.kit(_body(_square(80), 12, (400, 300), SQUARE))
    run = kit.run()
    assert run.total("A") == (12, 12, 0)
    use = run.payload["motif"]
    assert use["material_mm2"] == pytest.approx(116_000.0)
    assert use["free_material_mm2"] == pytest.approx(96_000.0)
    assert use["material_share"] == pytest.approx(1.208333, abs=1e-6)
    assert use["first_motif"] == {"x_mm": 50.0, "y_mm": 50.0, "turn_deg": 0.0}
    assert "fit" not in use
    (load,) = run.loads
    middles = {
        (round(each.centroid.x), round(each.centroid.y))
        for each in foreign.polygons(foreign.svg(load.file("svg")))
    }
    assert len(middles) == 12
    assert {x % 100 for x, _ in middles} == {50}
    # The picture shows the motifs; the sheet where to lay one, and what it costs.
    assert load.picture.count("<circle") == 12
    assert kit.sheet.says("100 mm x 100 mm", "21 % more cloth")
    assert kit.sheet.says("the middle of a motif 50 mm from the cloth's left edge")


def test_loads_repeat_on_the_print(studio: Studio) -> None:
    """12 of 80 mm on a sheet: 30 are 2 full loads and 6: two columns of 3, up to 190 mm."""
    kit = studio.kit(_body(_square(80), 30, (400, 300), SQUARE))
    loads = kit.run().loads
    assert [(load.outlines["A"], load.repeats) for load in loads] == [(12, 2), (6, 1)]
    strip = loads[1].payload["used"]["strip"]
    assert strip["width_mm"] * strip["height_mm"] == pytest.approx(190 * 300)
    # A load again, as it lay.
    address = f"/v1/kits/{kit.payload['id']}/recuts"
    answer = studio.client.post(address, json={"run": 1, "loads": {"2": 1}})
    assert answer.status_code == 201, answer.get_data(as_text=True)
    (again,) = answer.get_json()["runs"][0]["loads"]
    assert again["placements"] == loads[1].payload["placements"]


def test_a_point_of_the_piece(studio: Studio) -> None:
    """A motif 20 mm from a corner of the square: the corner at 0, 0 lies 20 mm left and below.

    Middles of motifs at 50, 150 ...: corners at 30, 130, 230, 330 - which ends at 410 - and 30,
    130, 230 - which ends at 310: 3 by 2 on 400 by 300.
    """
    low = -40.0
    body = _body(_square(80), "max", (400, 300), SQUARE, motif={"x": low + 20, "y": low + 20})
    payload = studio.calculated("/v1/layouts", body)
    (load,) = payload["runs"][0]["loads"]
    corner = min(payload["pieces"][0]["template"]["outline"])
    assert corner[:2] == pytest.approx([low, low])
    assert load[names.OUTLINES] == {"A": 6}
    corners = {
        (round(each["x_mm"] + low, 6), round(each["y_mm"] + low, 6)) for each in load["placements"]
    }
    assert corners == {(x, y) for x in (30, 130, 230) for y in (30, 130)}


def test_a_seam_allowance_goes_round_the_motif(studio: Studio) -> None:
    """70 mm finished with 10 mm all round are 90 as cut: 12 as with squares of 80, not nearer."""
    body = _body(_square(70), 12, (400, 300), SQUARE, seam_allowance=10)
    kit = studio.kit(body)
    squares = foreign.cells(foreign.svg(kit.run().loads[0].file("svg")))
    assert foreign.nearest(squares) == pytest.approx(10.0, abs=1e-3)


def test_turned_motifs_and_the_grain(studio: Studio) -> None:
    """Two motifs in a repeat, the second on its head: with a fixed grain only the first serves.

    Repeat 100 by 200, middles at 50, 50 and, turned by 180 degrees, at 50, 150. On 400 by 400 that
    is 4 x 2 of each. A triangle 60 mm wide does not look the same upside down; a square does, so
    it lies on all 16, and with half turns allowed the triangle does too.
    """
    motif = {
        "repeat_width": 100,
        "repeat_height": 200,
        "positions": [{"x": 50, "y": 50}, {"x": 50, "y": 150, "turn_deg": 180}],
    }
    triangle = {"kind": "triangle", "side": 60}

    def count(shape: dict[str, Any], grain: str) -> int:
        body = _body(shape, "max", (400, 400), motif, grain=grain)
        (load,) = studio.calculated("/v1/layouts", body)["runs"][0]["loads"]
        return int(load[names.OUTLINES]["A"])

    assert count(triangle, "fixed") == 8
    assert count(triangle, "half-turn") == 16
    assert count(triangle, "free") == 16
    assert count(_square(60), "fixed") == 16


def test_other_pieces_go_between(studio: Studio) -> None:
    """Squares of 60 on a repeat of 100 leave 40 mm: 20 strips of 40 by 40 without a motif go there.

    4 by 3 motifs on 400 by 300; the lane of 40 mm between two columns, and between two rows.
    """
    body = _body(_square(60), 12, (400, 300), SQUARE)
    body["pieces"].append({"id": "B", "shape": _square(40), "quantity": 20, "grain": "fixed"})
    body["runs"][0]["effort"] = "quick"
    kit = studio.kit(body)
    assert kit.run().load_count == 1
    cells = foreign.cells(foreign.svg(kit.run().loads[0].file("svg")))
    assert sorted(round(each.area) for each in cells) == [1600] * 20 + [3600] * 12
    assert foreign.nearest(cells) > -1e-3
    assert kit.run().total("B") == (20, 20, 0)


def test_along_a_roll(studio: Studio) -> None:
    """A roll 300 mm wide, repeat 100 (across) by 150 (along): 3 across, one row every 150 mm.

    Middles at 75, 225, 375 and 525 mm: 10 squares of 80 are 4 rows, drawn off up to 525 + 40 =
    565 mm. Without motifs 3 are in a row of 80: 4 rows, 320 mm.
    """
    motif = {
        "repeat_width": 100,
        "repeat_height": 150,
        "positions": [{"x": 50, "y": 75}],
        "origin": {"x": 0, "y": 0},
    }
    body = _body(_square(80), 10, (300, 300), motif)
    material = body["runs"][0]["material"]
    del material["width"], material["height"], material["edge_clearance"]
    body["runs"][0]["cutter"]["bed"] = {"shape": "roll", "width": 300}
    # Tops point to the start: from a repeat's lower edge at 150 its motif lies 75 back.
    kit = studio.kit(body)
    run = kit.run()
    assert run.total("A") == (10, 10, 0)
    assert run.payload["roll"]["length_mm"] == pytest.approx(565.0, abs=0.2)
    assert run.payload["motif"]["free_material_mm2"] == pytest.approx(320.0 * 300.0, rel=1e-3)
    placed = run.loads[0].payload["placements"]
    assert {round(each["x_mm"]) for each in placed} == {75, 225, 375, 525}
    assert {round(each["y_mm"]) for each in placed} == {50, 150, 250}


def _lying(column: int, row: int, off: float = 0.0) -> dict[str, Any]:
    """Return a motif of a repeat of 100 as cloth lies that is turned, stretched and skewed.

    A width of 100 mm lies as (101, 2), a height as (1, 98), from (55, 50).
    """
    return {
        "column": column,
        "row": row,
        "x": 55 + 101 * column + 1 * row + off,
        "y": 50 + 2 * column + 98 * row,
    }


def test_cloth_that_lies_askew(studio: Studio) -> None:
    """Three motifs as measured fit exactly; a fourth that is 2 mm off shows.

    The turn nearest to ((101, 1), (2, 98)) / 100 is atan((2 - 1) / (101 + 98)) = 0.288 degrees. The
    width is hypot(1.01, 0.02) = 1.0102, the height hypot(0.01, 0.98) = 0.98005; between them lie
    atan2(98, 1) - atan2(2, 101) = 89.415 - 1.134 = 88.281 degrees: skewed by 1.719.
    """
    three = [_lying(0, 0), _lying(3, 0), _lying(0, 2)]
    printed = {**SQUARE, "measured": three}
    kit = studio.kit(_body(_square(60), 12, (420, 300), printed))
    run = kit.run()
    fit = run.payload["motif"]["fit"]
    assert fit["turn_deg"] == pytest.approx(math.degrees(math.atan2(1, 199)), abs=1e-6)
    assert fit["width_share"] == pytest.approx(math.hypot(1.01, 0.02), abs=1e-9)
    assert fit["height_share"] == pytest.approx(math.hypot(0.01, 0.98), abs=1e-9)
    assert fit["skew_deg"] == pytest.approx(1.7188, abs=1e-3)
    assert (fit["residual_mm"], fit["is_exact"]) == (0.0, True)
    # Only turned and moved the print would be off by millimetres, which says how far it is askew.
    assert 1.0 < fit["printed_residual_mm"] < 5.0
    assert "a fourth would check them" in kit.warnings
    for each in run.loads[0].payload["placements"]:
        column = round((each["x_mm"] - 55) / 101)
        row = round((each["y_mm"] - 50 - 2 * column) / 98)
        assert each["x_mm"] == pytest.approx(_lying(column, row)["x"], abs=1e-6)
        assert each["y_mm"] == pytest.approx(_lying(column, row)["y"], abs=1e-6)
        assert each["turn_deg"] == pytest.approx(fit["turn_deg"], abs=1e-6)
    # Four corners of a parallelogram, one 2 mm off: least squares spreads that evenly, 0.5 each.
    printed["measured"] = [*three, _lying(3, 2, off=2.0)]
    payload = studio.calculated("/v1/layouts", _body(_square(60), 12, (420, 300), printed))
    fit = payload["runs"][0]["motif"]["fit"]
    assert (fit["residual_mm"], fit["is_exact"]) == (pytest.approx(0.5, abs=1e-9), False)


def test_no_piece_leaves_the_cloth_or_overlaps(studio: Studio) -> None:
    """Hexagons of 120 on a hexagonal repeat of 100: as read from the file by another library.

    Middles from 69.28 to 830.72 and 60 to 640: eight columns, 146.6 ... 752.8, in turn of six rows
    (100 ... 600) and five (150 ... 550): 44 motifs. Every third can be cut, two next to it cannot;
    of the three ways to take every third one has 44 / 3 at least: 15.
    """
    kit = studio.kit(_body(_hexagon(120), "max", (900, 700), HEXAGONAL))
    cells = foreign.cells(foreign.svg(kit.run().loads[0].file("svg")))
    assert len(cells) >= 15
    assert foreign.nearest(cells) > -1e-3
    assert shapely.union_all(cells).within(shapely.box(-0.001, -0.001, 900.001, 700.001))
