"""A die is one die: how many outlines of each kind stand on it, and how often it is pressed.

Expected numbers are worked by hand. Squares of 50 mm a gap of 3/32 in (2.38 mm) apart take
102.4 mm for two: four fit an area of 110 by 110 mm, and no more by area.
"""

from __future__ import annotations

import io
from typing import Any

import pytest
from ezdxf.filemanagement import read

from geometry.layout.fitting.fit import DoesNotFit
from geometry.layout.item import Item, Layout
from geometry.model.cutter import WorkArea
from geometry.model.outline import Outline
from geometry.proof.overlap import check_load
from service.tools.built_in import BUILT_IN
from tests import requested
from tests.layouts import lay_out_dies

_GAP = 3.0 / 32.0 * 25.4
_ROOM = WorkArea.rectangle(10, 10, 110, 110)


def _square(side: float = 50.0) -> Outline:
    return Outline.of([(0, 0), (side, 0), (side, side), (0, side)])


def _dies(quantities: dict[str, int], **more: Any) -> Layout:
    items = [Item(piece, _square(), count) for piece, count in quantities.items()]
    layout = lay_out_dies(items, _ROOM, gap=_GAP, effort="quick", **more)
    for load in layout.loads:
        assert not check_load({piece: _square() for piece in quantities}, load, _ROOM, _GAP)
    return layout


def _shown(layout: Layout) -> list[tuple[int, dict[str, int]]]:
    return [(load.repeats, dict(load.outlines)) for load in layout.loads]


def test_one_kind_fills_the_die() -> None:
    assert _shown(_dies({"A": 100})) == [(25, {"A": 4})]
    # 97 take 25 presses as well, and 4 outlines on the die all the same.
    assert _shown(_dies({"A": 97})) == [(25, {"A": 4})]
    # 9 take 3 presses, and for 3 presses 3 outlines will do: no spare.
    assert _shown(_dies({"A": 9})) == [(3, {"A": 3})]


def test_kinds_share_the_die_in_proportion() -> None:
    # 3 and 1: 40 / 3 -> 14 presses, 10 / 1 -> 10; 2 and 2 would take 20.
    assert _shown(_dies({"A": 40, "B": 10})) == [(14, {"A": 3, "B": 1})]
    # 1 of each is all that equal quantities leave of 3 kinds: 2 + 1 + 1 needs no fewer presses.
    assert _shown(_dies({"A": 7, "B": 7, "C": 7})) == [(7, {"A": 1, "B": 1, "C": 1})]


def test_whole_sets_where_they_are_asked_for() -> None:
    # Sets of 1 and 1, two on the die: 10 / 2 = 5 presses.
    per_set = {"A": 1, "B": 1}
    assert _shown(_dies({"A": 10, "B": 10}, per_set=per_set)) == [(5, {"A": 2, "B": 2})]
    # Sets of 3 and 2 do not fit on four places.
    layout = _dies({"A": 30, "B": 20}, per_set={"A": 3, "B": 2})
    assert len(layout.loads) == 1
    assert any("full set" in text for text in layout.warnings)


def test_the_fewest_dies_where_one_does_not_hold_every_kind() -> None:
    layout = _dies(dict.fromkeys("ABCDE", 8))
    assert len(layout.loads) == 2
    assert any("2 dies" in text for text in layout.warnings)
    made: dict[str, int] = {}
    for load in layout.loads:
        for piece, count in load.outlines.items():
            made[piece] = made.get(piece, 0) + count * load.repeats
    assert made == dict.fromkeys("ABCDE", 8)


def test_time_that_is_up_still_gives_whole_dies() -> None:
    layout = _dies({"A": 8, "B": 8}, should_stop=lambda: True)
    # What the first stage finds is found in any case: no die is worse for the time.
    assert len(layout.loads) == len(_dies({"A": 8, "B": 8}).loads)
    for piece in "AB":
        assert sum(load.outlines.get(piece, 0) * load.repeats for load in layout.loads) >= 8


def test_a_piece_too_large_is_refused() -> None:
    with pytest.raises(DoesNotFit):
        lay_out_dies([Item("A", _square(120), 1)], _ROOM, gap=_GAP)


_ORDER: dict[str, Any] = {
    "units": "in",
    "pieces": [
        {
            "id": "HH",
            "shape": {"kind": "half_hexagon", "side": "2"},
            "quantity": 400,
            "seam_allowance": "1/4",
            "match_marks": True,
        },
        {
            "id": "CL",
            "shape": {"kind": "clamshell", "width": "3"},
            "quantity": 200,
            "seam_allowance": "1/4",
            "corners": {"kind": "blunt"},
        },
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {
                "tool": {"kind": "steel_rule_die", "rule": "0.028 in"},
                "bed": {"width": "12", "height": "10"},
                "margins": dict.fromkeys(("left", "right", "top", "bottom"), "1/2"),
            },
            "formats": ["dxf", "svg"],
            "layers": 6,
            "sets": True,
            "effort": "quick",
            "material": {"name": "quilting cotton", "kind": "fabric"},
        }
    ],
}


def test_an_order_is_one_die() -> None:
    """Sets of 2 and 1, 6 layers: a set gives 12 and 6, so 200 sets take 34 sets on the die.

    One set: 34 presses; two: 17; three: 12. Four (68 + 31 square inches of half hexagons and
    clamshells) are more than the 11 by 9 in hold.
    """
    bundle = requested.kit(_ORDER, BUILT_IN.get)
    (run,) = bundle.answer["runs"]
    (die,) = run["dies"]
    sets = die["outlines"]["CL"]
    assert die["outlines"] == {"HH": 2 * sets, "CL": sets}
    assert die["pieces_per_press"] == {"HH": 12 * sets, "CL": 6 * sets}
    assert (sets, die["presses"]) in {(2, 17), (3, 12)}
    assert run["presses"] == die["presses"]
    made = {piece: count * die["presses"] for piece, count in die["pieces_per_press"].items()}
    assert {piece: each["made"] for piece, each in run["totals"].items()} == made
    assert run["spare"] == made["HH"] - 400 + made["CL"] - 200
    page = bundle.files["run-sheet.html"].decode()
    assert f"press it {die['presses']} times" in page
    (name,) = (name for name in bundle.files if name.endswith(".dxf"))
    drawing = read(io.StringIO(bundle.files[name].decode()))
    layers = [entity.dxf.layer for entity in drawing.modelspace()]
    load = run["loads"][0]
    assert layers.count("nick") == len(load["die"]["nicks"])
    assert layers.count("bridge") == len(load["die"]["bridges"])
    # Four match marks on each half hexagon, one rule round each piece.
    assert layers.count("mark") == 4 * 2 * sets
    assert layers.count("cut") == 3 * sets
    (picture,) = (name for name in bundle.files if name.endswith("-path-picture.svg"))
    assert f"{3 * sets} rules" in bundle.files[picture].decode()
