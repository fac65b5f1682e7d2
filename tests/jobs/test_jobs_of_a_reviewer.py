"""Jobs that a reviewer new to the code worked out by hand from the README, and then sent."""

from __future__ import annotations

import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Studio


def _piece(name: str, shape: Json, count: int, allowance: str, **more: object) -> Json:
    return {
        "id": name,
        "shape": shape,
        names.QUANTITY: count,
        "seam_allowance": allowance,
        **more,
    }


def test_a_die_of_squares_and_half_squares(studio: Studio) -> None:
    """Board 10 x 8 in less 1/2 in: 9 x 7 in. 100 of 2 1/2 x 2 1/2, 50 of 2 1/2 x 1 1/2 in, 6 ply.

    Rules of 0.028 in stand 3/32 in clear: 0.12175 in from edge to edge. Three columns of 2 1/2 in
    are 7.7435 in; two squares and a half one above another are 6.7435 in: 6 and 3 outlines, 36 and
    18 pieces a press. Two presses would need 9 and 5 outlines, 75 of 63 in2; three give 108 and 54.
    Rule: 6 x 10 + 3 x 8 = 84 in. Neighbours nearer than 1/4 in count half the shorter side more: 7
    pairs of squares 8.75 in, 2 of halves side by side 1.5 in, 3 of a square and a half 3.75 in: 98
    in. By 500 lbf per in and 15 % for ejection (HANDBOOK 5.4): 56,350 lbf.
    """
    pieces = [
        _piece("A", {"kind": "square", "side": "2"}, 100, "1/4"),
        _piece("C", {"kind": "rectangle", "width": "2", "height": "1"}, 50, "1/4"),
    ]
    half = {"left": "1/2", "right": "1/2", "top": "1/2", "bottom": "1/2"}
    cutter = {
        "tool": {"kind": "steel_rule_die", "rule": "0.028 in"},
        "bed": {"width": "10", "height": "8"},
        "margins": half,
    }
    run = {
        "cut": "patch",
        "cutter": cutter,
        "layers": 6,
        "formats": ["dxf"],
        "material": {"name": "ticking", "kind": "fabric"},
    }
    kit = studio.kit({"title": "Chart room", "units": "in", "pieces": pieces, "runs": [run]})
    (load,) = kit.run().loads
    assert (load.repeats, load.outlines) == (3, {"A": 6, "C": 3})
    assert kit.run().total("A") == (100, 108, 8)
    assert kit.run().total("C") == (50, 54, 4)
    die = load.payload["die"]
    assert die["rule_length_mm"] == pytest.approx(84 * 25.4)
    assert die["effective_rule_length_mm"] == pytest.approx(98 * 25.4)
    assert die["force_lbf"] == pytest.approx(56_350, abs=1)


def test_pennants_face_to_face(studio: Studio) -> None:
    """30 right and 20 left, 4 layers face to face: 2 and 2 from an outline.

    15 outlines for the 30 make 30 of each hand, 10 left ones to spare. Legs of 60 and 100 mm, 6 mm
    of allowance: 60 + 6 + 6 cot(29.52 deg) = 76.60, 100 + 6 + 6 cot(15.48 deg) = 127.66 mm.
    """
    shape: Json = {"kind": "right_triangle", "width": 60, "height": 100}
    pieces = [
        _piece("PR", shape, 30, "6"),
        _piece("PL", {**shape, "hand": "left"}, 20, "6"),
    ]
    run = {
        "cut": "patch",
        "cutter": "laser-bed",
        "layers": 4,
        "stack": "face_to_face",
        "material": {"name": "poplin", "kind": "fabric"},
    }
    kit = studio.kit({"title": "Pennants", "units": "mm", "pieces": pieces, "runs": [run]})
    assert kit.run().load_count == 1
    assert sum(kit.run().loads[0].outlines.values()) == 15
    assert kit.run().total("PR") == (30, 30, 0)
    assert kit.run().total("PL") == (20, 30, 10)
    assert kit.sheet.together("76.6 x 127.66 mm")
    assert kit.labels.together("20 + 10 spare", "left-handed", within=80)


def test_the_cheapest_of_sheets_strips_and_a_corner(studio: Studio) -> None:
    """20 squares of 60 mm, 1 mm apart and from the edges.

    A4 (208 x 295 mm): 3 x 4 = 12, for 0.30. A strip of 70 x 297 mm: 4. An L of 200 mm without its
    upper right quarter: 3 below and 2 above, 5. Free ones hold 3 x 4 + 5 = 17, so one A4 is bought;
    the other 8 come from two strips, 41,580 mm2, less than with the L, 50,790 mm2.
    """
    corner = [[0, 0], [200, 0], [200, 100], [100, 100], [100, 200], [0, 200]]
    stock = [
        {
            "name": "A4",
            "width": 210,
            "height": 297,
            "count": 10,
            "price": "0.30",
            "currency": "EUR",
        },
        {"name": "offcut strip", "width": 70, "height": 297, "count": 3},
        {"name": "corner", "outline": corner},
    ]
    run = {
        "cut": "template",
        "cutter": {"tool": {"kind": "drag_blade"}, "bed": {"width": 305, "height": 305}},
        "gap": 1,
        "material": {"name": "card", "kind": "card", "stock": stock},
    }
    pieces = [_piece("N", {"kind": "square", "side": 60}, 20, "6")]
    kit = studio.kit({"title": "Leftovers", "units": "mm", "pieces": pieces, "runs": [run]})
    used = {each["name"]: each["used"] for each in kit.run().payload["stock"]}
    assert used == {"A4": 1, "offcut strip": 2, "corner": 0}
    assert kit.run().payload["stock_cost"] == "0.30"
    found = {load.file_names[0]: load.repeats for load in kit.run().loads}
    assert sorted(found.values()) == [1, 2]
    assert any(name.startswith("1-template-card-offcut-strip-") for name in found)
    assert kit.sheet.says("1 piece", "10 in stock", "2 pieces", "3 in stock")
