"""Ten small jobs of one week at a quay-side studio, each worked by hand before it was sent."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Json, Studio

SHEET = ["run_sheet"]


def _body(units: str, pieces: list[Json], runs: list[Json], **more: Any) -> Json:
    return {"title": "Quay job", "units": units, "pieces": pieces, "runs": runs,
            "documents": SHEET, **more}  # fmt: skip


def _run(cut: str, cutter: Any, material: Json, **more: Any) -> Json:
    return {"cut": cut, "cutter": cutter, "material": material, "effort": "quick", **more}


def _margins(each: object) -> Json:
    return dict.fromkeys(("left", "right", "top", "bottom"), each)


def test_squares_drawn_on_a_limited_roll(studio: Studio) -> None:
    """100 squares of 2 in, allowance 1/4: 2 1/2 as cut. 42 in of cloth less 1 in on two sides: 40.

    16 stand across 40 in (published: 16 of 2 1/2 in across 40 in); 100 / 16 = 6.25: 7 columns of
    2 1/2 in are 17 1/2 in, with 1/2 in before and behind 18 1/2, of the 20 in that may be drawn
    off. By ruler the same: 7 strips. A roll has no bed on the sheet; felt has no selvedge.
    """
    roll = {"tool": {"kind": "pen"}, "bed": {"shape": "roll", "width": "42", "length": "20"},
            "margins": {"left": "1/2", "right": "1/2", "top": "1", "bottom": "1"}}  # fmt: skip
    square = {"id": "S", "shape": {"kind": "square", "side": "2"}, "quantity": 100,
              "seam_allowance": "1/4"}  # fmt: skip
    felt = {"name": "wool felt", "kind": "fabric"}
    kit = studio.kit(_body("in", [square], [_run("patch", roll, felt, formats=["svg"])]))
    run = kit.run()
    (load,) = run.loads
    assert load.outlines == {"S": 100}
    assert run.payload["roll"]["length_mm"] == pytest.approx(18.5 * 25.4, abs=0.01)
    assert kit.sheet.together("Roll", "42 in wide", "18 1/2 in")
    assert kit.sheet.is_silent_about("Bed")
    assert kit.sheet.says("felt: only press")
    assert kit.sheet.together(
        "Cut 7 strips 2 1/2 in x width of fabric", "100 squares", "16 to a strip"
    )
    left, bottom, right, top = foreign.drawn(foreign.svg(load.file("svg"))).bounds
    assert (left, right) == pytest.approx((12.7, 18.0 * 25.4), abs=0.01)
    assert bottom >= 25.4 - 1e-3
    assert top <= 41.0 * 25.4 + 1e-3


@pytest.mark.long
def test_a_die_with_no_spares(studio: Studio) -> None:
    """200 squares of 28 mm, allowance 6: 40 as cut, four layers, in 180 x 130 mm of a board.

    Between cutting edges 3/32 in (2.38 mm) and a rule of 0.71: 3.09. 4 x 40 + 3 x 3.09 = 169.3
    of 180, 3 x 40 + 2 x 3.09 = 126.2 of 130: 12 fit. 12 x 4 = 48 a press: 200 / 48 = 4.2, 5
    presses. 5 presses need only 200 / 5 / 4 = 10 outlines: none to spare.
    """
    die = {"tool": {"kind": "steel_rule_die", "rule": "0.71"},
           "bed": {"width": 200, "height": 150}, "margins": _margins(10)}  # fmt: skip
    square = {"id": "S", "shape": {"kind": "square", "side": 28}, "quantity": 200,
              "seam_allowance": 6}  # fmt: skip
    material = {"name": "cotton", "kind": "fabric"}
    kit = studio.kit(
        _body("mm", [square], [_run("patch", die, material, formats=["dxf"], layers=4)])
    )
    run = kit.run()
    (load,) = run.loads
    assert (load.repeats, load.outlines) == (5, {"S": 10})
    assert run.total("S") == (200, 200, 0)
    assert kit.sheet.says("Press it 5 times", "40 of S: 10 outlines x 4 layers")


def test_tiles_with_common_lines(studio: Studio) -> None:
    """48 tiles of 5 x 5 cm of card, kerf 0.2 mm, common lines: pitch 50.2 mm.

    A sheet of 32 x 22 cm less 5 mm all round is 310 x 210: 6 across (301.2), 4 up (200.8), 24
    per load, 2 loads alike. Lines: 5 x 301.2 + 7 x 200.8 = 2911.6 mm; one by one
    24 x 4 x 50.2 = 4819.
    """
    laser = {"tool": {"kind": "laser", "kerf": "0.2 mm"}, "bed": {"width": 60, "height": 40},
             "margins": _margins(0)}  # fmt: skip
    tile = {"id": "T", "shape": {"kind": "square", "side": 5}, "quantity": 48}
    card = {"name": "grey card", "kind": "card", "width": 32, "height": 22,
            "edge_clearance": "5 mm"}  # fmt: skip
    run = _run("template", laser, card, formats=["svg"], common_line=True, ties={"count": 0})
    kit = studio.kit(_body("cm", [tile], [run]))
    (load,) = kit.run().loads
    assert (load.repeats, load.outlines) == (2, {"T": 24})
    assert foreign.drawn(foreign.svg(load.file("svg"))).length == pytest.approx(2911.6, abs=4.0)
    assert kit.sheet.says("Cut it 2 times", "24 of T", "grey card")
    assert load.file_names == ["1-template-grey-card-1.svg"]


def test_octagons_under_a_blade_of_four_angles(studio: Studio) -> None:
    """30 octagons of 20 mm: 48.28 across, eight sides at 0, 45, 90 and 135 degrees: no mismatch.

    190 x 277 mm hold 3 x 5 = 15 side by side, so two loads hold all, and 30 x 1931.4 mm2 are more
    than the 52,630 of one. Each angle is set once a load: one stop to load, three turns; load 2
    begins at the angle that load 1 left.
    """
    blade = {"tool": {"kind": "indexed_blade", "positions_deg": [0, 45, 90, 135],
                      "blade_width": "0.8", "step": "0.3"},
             "bed": {"width": 210, "height": 297}, "margins": _margins(10)}  # fmt: skip
    octagon = {"id": "O", "shape": {"kind": "octagon", "side": 20}, "quantity": 30}
    paper = {"name": "paper", "kind": "paper"}
    kit = studio.kit(_body("mm", [octagon], [_run("template", blade, paper, formats=["plan"])]))
    run = kit.run()
    assert (run.load_count, run.total("O")) == (2, (30, 30, 0))
    angles = []
    for load in run.loads:
        turns = [stop for stop in load.stops if stop["reason"] == "turn-blade"]
        assert len(turns) == 3
        angles.append([load.stops[0]["angle_deg"], *(stop["angle_deg"] for stop in turns)])
        assert sorted(angles[-1]) == [0, 45, 90, 135]
    if len(angles) == 2:
        assert angles[1][0] == angles[0][-1]
    assert kit.sheet.says("Blade")


def test_triangles_in_pairs_off_a_small_card(studio: Studio) -> None:
    """24 half-square triangles with legs of 40 mm, 1 mm apart, on 140 x 202 mm of card.

    Two make a square of 40 + 1 x 1.414 = 41.4 mm, pitch 42.4: 3 x 41.4 + 2 = 126.2 of 140 across,
    4 x 41.4 + 3 = 168.7 of 202 up: 12 pairs on one load. Cut 24 x (80 + 56.57) = 3277.7 mm, and a
    little more for a dragged blade at corners and ends.
    """
    blade = {"tool": {"kind": "drag_blade", "offset": "0.25"},
             "bed": {"width": 300, "height": 300}, "margins": _margins(0)}  # fmt: skip
    triangle = {"id": "H", "shape": {"kind": "half_square_triangle", "side": 40}, "quantity": 24}
    card = {"name": "card", "kind": "card", "width": 148, "height": 210, "edge_clearance": 4}
    kit = studio.kit(
        _body("mm", [triangle], [_run("template", blade, card, formats=["hpgl"], gap=1)])
    )
    (load,) = kit.run().loads
    assert (load.repeats, load.outlines) == (1, {"H": 24})
    assert 3277.7 <= load.payload["cut_length_mm"] <= 3277.7 * 1.05


def test_both_hands_from_four_layers(studio: Studio) -> None:
    """10 left and 10 right triangles, four layers face to face: each outline gives 2 and 2.

    10 of a hand are 5 outlines, and they give the 10 of the other hand too: 5 outlines for 20.
    """
    pen = {"tool": {"kind": "pen"}, "bed": {"width": 400, "height": 300}, "margins": _margins(10)}
    hands = [
        {"id": hand[0].upper(), "seam_allowance": 6, "quantity": 10,
         "shape": {"kind": "right_triangle", "width": 40, "height": 70, "hand": hand}}
        for hand in ("left", "right")
    ]  # fmt: skip
    cotton = {"name": "cotton", "kind": "fabric"}
    run = _run("patch", pen, cotton, formats=["svg"], layers=4, stack="face_to_face")
    kit = studio.kit(_body("mm", hands, [run]))
    assert sum(kit.run().outlines.values()) == 5
    assert kit.run().total("L") == (10, 10, 0)
    assert kit.run().total("R") == (10, 10, 0)
    assert kit.sheet.says("Stack 4 layers", "right sides together")


def test_templates_used_four_times(studio: Studio) -> None:
    """90 hexagons of 1 in, each template used 4 times: 90 / 4 = 22.5, 23 templates, 2 uses over."""
    hexagon = {"id": "H", "shape": {"kind": "hexagon", "side": "1"}, "quantity": 90}
    letter = {"name": "card", "kind": "card", "width": "8 1/2", "height": "11"}
    blade = {"tool": {"kind": "drag_blade", "offset": "0.25 mm"},
             "bed": {"width": "12", "height": "12"}, "margins": _margins("1/4")}  # fmt: skip
    kit = studio.kit(
        _body("in", [hexagon], [_run("template", blade, letter, formats=["svg"], reuse=4, gap=0)])
    )
    (load,) = kit.run().loads
    assert load.outlines == {"H": 23}
    # Totals count templates.
    assert kit.run().total("H") == (23, 23, 0)
    assert kit.sheet.says("Each template is used 4 times")
    # Letter lies in the corner of what the margins leave.
    assert kit.sheet.together("lower left corner", "1/4 in")


def test_the_next_smaller_piece_that_fits(studio: Studio) -> None:
    """A hexagon of 4 in a side, 1/4 in allowance, on a hoop field of 5 x 7 in with 1/2 in margins.

    4 x 6 in are free: the patch is 1.732 x 4 + 1/2 = 7.43 in across flats. The largest has
    1.732 s + 0.5 <= 4: s <= 2.02, and 2 s + 0.577 <= 6: s <= 2.71. So 2 in.
    """
    hoop = {"tool": {"kind": "laser", "kerf": 0}, "bed": {"width": "5", "height": "7"},
            "margins": _margins("1/2")}  # fmt: skip
    hexagon = {"id": "H", "shape": {"kind": "hexagon", "side": "4"}, "quantity": 1,
               "seam_allowance": "1/4"}  # fmt: skip
    cotton = {"name": "cotton", "kind": "fabric"}
    payload = studio.refused(_body("in", [hexagon], [_run("patch", hoop, cotton, formats=["svg"])]))
    assert payload["piece"] == "H"
    assert "2 in" in payload["detail"] + str(payload["errors"])


def test_a_knife_in_gcode(studio: Studio) -> None:
    """6 squares of 50 mm, no offset, in G-code for a knife that goes 0.6 mm deep at 1200 mm/min.

    6 x 200 = 1200 mm of cut. At 20 mm/s that is 60 s, at 1200 mm/min the same: nothing to warn of.
    """
    gcode = {"head": "knife", "feed_mm_min": 1200, "depth_mm": -0.6}
    knife = {"tool": {"kind": "drag_blade", "offset": 0}, "bed": {"width": 300, "height": 200},
             "margins": _margins(10), "speed": 20, "formats": {"gcode": gcode}}  # fmt: skip
    square = {"id": "S", "shape": {"kind": "square", "side": 50}, "quantity": 6}
    paper = {"name": "paper", "kind": "paper"}
    kit = studio.kit(_body("mm", [square], [_run("template", knife, paper, formats=["gcode"])]))
    (load,) = kit.run().loads
    assert load.outlines == {"S": 6}
    drawn = foreign.drawn(foreign.gcode(load.file("gcode")))
    assert 1200.0 <= drawn.length <= 1260.0
    assert "mm/min" not in kit.warnings
    assert foreign.gcode_halts(load.file("gcode")) == 1


def test_copies_and_spares_of_two_sizes(studio: Studio) -> None:
    """5 bags of 7 large and 3 small squares, a tenth to spare: 8 and 4 a bag, 40 and 20 in all.

    A tenth of 7 is 0.7, one; of 3 it is 0.3, one. 60 mm and 30 mm as cut, no gap, on 300 x 240 mm:
    40 x 3600 + 20 x 900 = 162,000 mm2 of 72,000: three loads at least, and three do: 5 x 4 = 20
    large fill one, two of them 40; 10 x 8 = 80 small fit on the third.
    """
    laser = {"tool": {"kind": "laser", "kerf": 0}, "bed": {"width": 300, "height": 240},
             "margins": _margins(0)}  # fmt: skip
    pieces = [
        {"id": name, "shape": {"kind": "square", "side": side}, "quantity": count,
         "seam_allowance": 5} for name, side, count in (("L", 50, 7), ("S", 20, 3))
    ]  # fmt: skip
    cotton = {"name": "cotton", "kind": "fabric"}
    run = _run("patch", laser, cotton, formats=["svg"], gap=0, ties={"count": 0})
    kit = studio.kit(_body("mm", pieces, [run], copies=5, spares={"percent": 10}))
    assert kit.run().load_count == 3
    assert kit.run().outlines == {"L": 40, "S": 20}
    assert kit.payload["totals"]["loads"] == 3
    assert kit.sheet.says("5", "cotton")
