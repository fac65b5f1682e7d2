"""Cloth narrower than a roll plotter's bed: where it is put, and that all is cut on it."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Kit, Load, Studio

MARGIN, CLEAR, BED = 10.0, 1.0, 500.0


def _body(**material: Any) -> dict[str, Any]:
    """Return banners on a roll plotter: bed 500 mm wide, 600 mm at once, margins of 10 mm."""
    sides = {"S": ("square", {"side": 60}, 6), "R": ("rectangle", {"width": 60, "height": 120}, 4)}
    return {
        "title": "Banners for the slipway",
        "units": "mm",
        "pieces": [
            {"id": name, "shape": {"kind": kind, **size}, "quantity": count, "seam_allowance": 6}
            for name, (kind, size, count) in sides.items()
        ],
        "runs": [
            {
                "cut": "patch",
                "gap": 2,
                "effort": "quick",
                "cutter": {
                    "title": "Roll plotter",
                    "tool": {"kind": "drag_blade", "offset": "0.25 mm"},
                    "bed": {"shape": "roll", "width": BED, "length": 600},
                    "margins": dict.fromkeys(("left", "right", "top", "bottom"), MARGIN),
                },
                "material": {"name": "sail cotton", "kind": "stiffened_fabric", **material},
                "formats": ["hpgl", "svg", "dxf"],
            }
        ],
    }


def _corner_up(load: Load) -> float:
    """Return how far above the machine's zero corner the load's first step puts the cloth."""
    step = load.payload["steps"][0]
    assert "zero corner" in step
    found = re.search(r"([\d.]+) mm above the machine's zero corner", step)
    return float(found[1]) if found else 0.0


def _lies_on_cloth(load: Load, width: float, length: float) -> None:
    """Check that all that is cut lies on the cloth, and the pieces as far inside as they must."""
    up = _corner_up(load)
    for kind, read in (("hpgl", foreign.hpgl), ("svg", foreign.svg), ("dxf", foreign.dxf)):
        left, bottom, right, top = foreign.drawn(read(load.file(kind))).bounds
        assert left >= 0.0
        assert right <= length
        assert bottom >= up
        assert top <= up + width
        # The blade's offset turns round a corner that much beyond the pieces.
        assert bottom >= max(MARGIN, up + CLEAR) - 1.0
        assert top <= min(BED - MARGIN, up + width - CLEAR) + 1.0
    strip = load.payload["used"]["strip"]
    assert strip["y_mm"] >= max(MARGIN, up + CLEAR)
    assert strip["y_mm"] + strip["height_mm"] <= min(BED - MARGIN, up + width - CLEAR) + 1e-6


def _buys(kit: Kit, tenths: int, width: str) -> None:
    """Check what to buy in the answer, on the sheet and in the cutting list."""
    roll = kit.run().payload["roll"]
    assert roll["buy_mm"] == pytest.approx(100.0 * tenths)
    assert f"{roll['width_mm']:g} mm" == width
    assert kit.sheet.together("to buy", "of cloth", width, within=30)
    rows = kit.zip().read("cutting-list.csv").decode()
    assert width in rows


def test_a_roll_as_wide_as_the_bed_lies_at_the_zero_corner(studio: Studio) -> None:
    """Roll and bed are 500 mm wide: the margins of 10 mm hold the selvedges, y 10 to 490 is cut.

    Stated or not, 500 mm is the same roll, but for the clearance of 1 mm inside the margins.
    """
    for material in ({}, {"width": BED}):
        kit = studio.kit(_body(**material))
        for load in kit.run().loads:
            assert _corner_up(load) == 0.0
            assert "selvedge" in load.payload["steps"][0]
            _lies_on_cloth(load, BED, 600.0)
        assert kit.run().payload["roll"]["width_mm"] == BED
        assert kit.sheet.says("500 mm wide, selvedges included", "leave the selvedges on")
        assert kit.sheet.together("no piece lies within", "10 mm", "of its long edges")


def test_a_narrow_roll_lies_above_the_margin(studio: Studio) -> None:
    """A roll 300 mm wide: its lower edge lies 10 mm above the bed's, so that nothing is lost.

    The tool reaches y 10 to 490; 1 mm inside the cloth from 10 to 310 is 11 to 309. Patches are 72
    x 72 and 72 x 132 mm: 4 of 72 mm with 3 gaps of 2 are 294 of 298 mm. 4 rectangles stand in one
    column 132 mm long; 6 squares are 4 and 2: two more columns of 72. 10 + 132 + 2 + 72 + 2 + 72 +
    10 = 300 mm, and at least 0.25 mm more at each end for the blade. Any layout takes at least
    (4 x 9504 + 6 x 5184) / 298 + 20 = 252 mm. The test piece is 72 + 2 x 12 = 96 mm, an inch
    straightens the end: 373 to 422 mm, 0.4 or 0.5 m.
    """
    kit = studio.kit(_body(width=300))
    run = kit.run()
    for load in run.loads:
        assert _corner_up(load) == MARGIN
        assert "selvedge" not in load.payload["steps"][0]
        _lies_on_cloth(load, 300.0, 600.0)
        assert "10 mm above the machine&#39;s zero corner" in load.picture.replace("'", "&#39;")
    assert 252.0 <= run.payload["roll"]["length_mm"] <= 301.0
    sheet = run.payload["sheet"]
    assert (sheet["x_mm"], sheet["y_mm"], sheet["height_mm"]) == (0.0, MARGIN, 300.0)
    assert "width_mm" not in sheet
    _buys(kit, 5 if run.payload["roll"]["length_mm"] + 96.0 + 25.4 > 400.0 else 4, "300 mm")
    assert kit.sheet.says("300 mm wide, without selvedges", "cut the selvedges off")
    assert kit.sheet.together("no piece lies within", "1 mm", "of its long edges")
    assert kit.sheet.is_silent_about("500 mm", "leave the selvedges on")


def test_pieces_of_cloth_are_laid_whole(studio: Studio) -> None:
    """Pieces 300 mm across the bed and 250 mm along it: x 10 to 240, y 11 to 309 can be cut.

    230 mm hold a column of 132 and one of 72 mm, or three of 72: 4 R and 4 S on the first, 2 S on
    the second. A third would be bare. Nothing is drawn off and no end is fed: 2 pieces are made
    ready, 250 across and 300 up. To buy, 300 mm wide: 2 x 250 + 96 + 25.4 = 621.4, so 0.7 m.
    """
    kit = studio.kit(_body(width=300, height=250))
    run = kit.run()
    assert run.load_count == 2
    for load in run.loads:
        assert _corner_up(load) == MARGIN
        _lies_on_cloth(load, 300.0, 250.0)
        assert 'x="0" y="10" width="250" height="300"' in load.picture
    sheet = run.payload["sheet"]
    sides = [sheet[name] for name in ("x_mm", "y_mm", "width_mm", "height_mm")]
    assert sides == [0.0, MARGIN, 250.0, 300.0]
    _buys(kit, 7, "300 mm")
    assert kit.sheet.together("get ready", "2 pieces of sail cotton", "250 x 300 mm")
    assert kit.sheet.is_silent_about("roll's end", "draw off", "500 mm", "fits into what is left")


def test_layers_of_a_roll_are_all_bought(studio: Studio) -> None:
    """8 rectangles in 2 layers are one column of 4: 132 mm and margins of 20, 152.5 mm with the
    blade's 0.25 mm at each end. Two layers take 305; the test's two pieces of 156 x 96 mm lie
    side by side, 156 mm; and an inch: 305 + 156 + 25.4 = 486.4, so 0.5 m and not 0.4 m.
    """
    body = _body()
    body["pieces"] = [{**body["pieces"][1], "quantity": 8}]
    body["runs"][0]["layers"] = 2
    kit = studio.kit(body)
    assert kit.run().outlines == {"R": 4}
    assert kit.run().payload["roll"]["length_mm"] == pytest.approx(152.5, abs=0.6)
    _buys(kit, 5, "500 mm")
    assert kit.sheet.together("draw off", "153 mm", "for each of the 2 layers")


def test_a_narrow_roll_of_a_stock(studio: Studio) -> None:
    """What is left of a roll 300 mm wide lies as a narrow roll that is all there is."""
    kit = studio.kit(_body(stock=[{"name": "rest", "width": 300, "roll": 2000}]))
    for load in kit.run().loads:
        assert _corner_up(load) == MARGIN
        _lies_on_cloth(load, 300.0, 600.0)
        assert load.payload["sheet"]["y_mm"] == MARGIN
    assert kit.sheet.says("300 mm wide", "cut the selvedges off", "straighten the roll's end")


def test_rolls_of_both_widths_in_a_stock(studio: Studio) -> None:
    """A rest 300 mm wide holds one load of 200 mm at most: the whole roll is needed beside it.

    A column of 4 squares or rectangles takes 72 or 132 mm and 20.5 mm of margins: the rest of 160
    mm holds one column, and the other pieces come off the roll of 500 mm, whose selvedges stay on.
    """
    rest = {"name": "rest", "width": 300, "roll": 160}
    whole = {"name": "whole", "width": 500, "roll": 600, "price": "9.00", "price_per": "1 m"}
    body = _body(stock=[rest, {**whole, "currency": "EUR"}])
    body["runs"][0]["cutter"]["bed"]["length"] = 160
    kit = studio.kit(body)
    ups = {load.payload["stock"]: _corner_up(load) for load in kit.run().loads}
    assert ups == {"rest": MARGIN, "whole": 0.0}
    assert kit.sheet.says("cut the selvedges off cloth that is narrower than the bed")


def test_a_recut_from_a_scrap_on_a_roll_bed(studio: Studio) -> None:
    """A scrap of 200 x 200 mm: x 10 to 190, y 11 to 209; two columns of 72 mm hold 2 S and 1 R.

    72 + 2 + 72 = 146 of 180 mm; a column holds two squares of 72 (146 of 198 mm) or one rectangle.
    The scrap is there: nothing is bought, and the sheet says how large it has to be.
    """
    kit = studio.kit(_body())
    recut = studio.recut(kit, 1, {"S": 2, "R": 1}, material={"width": 200, "height": 200})
    (load,) = recut.run().loads
    assert load.repeats == 1
    assert _corner_up(load) == MARGIN
    _lies_on_cloth(load, 200.0, 200.0)
    assert 'x="0" y="10" width="200" height="200"' in load.picture
    assert recut.sheet.together("get ready", "1 piece of sail cotton", "200 x 200 mm")
    assert recut.sheet.is_silent_about("draw off", "to buy", "500 mm", "roll's end")
    # Loads of a stored piece lie where they lay.
    pieces = studio.kit(_body(width=300, height=250))
    answer = studio.client.post(
        f"/v1/kits/{pieces.payload['id']}/recuts", json={"run": 1, "loads": {"1": 1}}
    ).get_json()
    then, now = pieces.run().payload["loads"][0], answer["runs"][0]["loads"][0]
    assert now["placements"] == then["placements"]
    assert answer["runs"][0]["sheet"] == pieces.run().payload["sheet"]


@pytest.mark.parametrize("more", [{}, {"height": 900}], ids=["roll", "piece"])
def test_cloth_wider_than_the_bed_is_refused_before_it_is_cut(
    studio: Studio, more: dict[str, Any]
) -> None:
    """Cloth of 800 mm does not go through a roll plotter of 500 mm, off a roll or as a piece."""
    problem = studio.refused(_body(width=800, **more))
    (error,) = problem["errors"]
    assert error["pointer"] == "#/runs/0/material/width"
    assert "800 mm is too wide" in error["detail"]
    assert "up to 500 mm wide" in error["detail"]
    # As wide as the bed it goes through.
    studio.kit(_body(width=BED, **more))
