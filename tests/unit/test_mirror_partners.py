"""Plies face to face: which piece each mirror image is, and how few outlines make both.

Expected counts are worked by hand: of L layers face to face, half (rounded up) lie right side up.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
import shapely.affinity

from geometry.hands import mirror_turns, pair_turns
from geometry.model.outline import Mark, Outline, Region
from geometry.model.transform import Rigid
from geometry.shapes.catalogue import CATALOGUE, build
from service.errors import RequestError
from service.tools.built_in import BUILT_IN
from tests import requested
from tests.short_form import SHAPES, short_form

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester


def _kit(pieces: list[dict[str, Any]], **run: Any) -> dict[str, Any]:
    body = {
        "title": "Harbour rail",
        "units": "in",
        "pieces": pieces,
        "runs": [
            {
                "cut": "patch",
                "cutter": "laser-bed",
                "layers": 2,
                "stack": "face_to_face",
                "formats": ["plan"],
                "effort": "quick",
                "material": {"name": "cotton", "kind": "fabric"},
                **run,
            }
        ],
    }
    answer: dict[str, Any] = requested.layouts(body, BUILT_IN.get).answer
    return answer


def _piece(name: str, hand: str, quantity: int, **more: Any) -> dict[str, Any]:
    shape = {"kind": "parallelogram", "base": "3", "side": "2", "angle_deg": 45, "hand": hand}
    return {
        "id": name,
        "shape": shape,
        "quantity": quantity,
        "seam_allowance": "1/4",
        **more,
    }


def _outlines(answer: dict[str, Any]) -> dict[str, int]:
    found: dict[str, int] = {}
    for load in answer["runs"][0]["loads"]:
        for piece, count in load["outlines"].items():
            found[piece] = found.get(piece, 0) + count * load["repeats"]
    return found


def _made(answer: dict[str, Any]) -> dict[str, tuple[int, int]]:
    totals = answer["runs"][0]["totals"]
    assert not any("mirrored" in each for each in totals.values())
    return {piece: (each["made"], each["spare"]) for piece, each in totals.items()}


def test_twenty_of_each_hand_take_twenty_outlines() -> None:
    answer = _kit([_piece("R", "right", 20), _piece("L", "left", 20)])
    assert _outlines(answer) == {"R": 20}
    assert _made(answer) == {"R": (20, 0), "L": (20, 0)}
    assert answer["runs"][0]["pieces_per_outline"] == {"R": {"R": 1, "L": 1}}
    loads = answer["runs"][0]["loads"]
    assert sum(load["pieces"]["L"] * load["repeats"] for load in loads) == 20


@pytest.mark.parametrize(
    ("right", "left", "layers", "outlines", "made"),
    [
        # 20 outlines give 20 of each hand: 8 left ones are spare.
        (20, 12, 2, 20, (20, 20)),
        (12, 20, 2, 20, (20, 20)),
        # Of 4 layers each outline gives 2 and 2.
        (20, 20, 4, 10, (20, 20)),
        (21, 20, 4, 11, (22, 22)),
        # Of 3 layers an outline gives 2 of the hand drawn and 1 of the other: 20 and 10.
        (20, 10, 3, 10, (20, 10)),
        # 6 drawn right and 7 drawn left: 2*6+7 = 19 and 6+2*7 = 20; 12 give 36 in all, too few.
        (19, 20, 3, 13, (19, 20)),
    ],
)
def test_outlines_are_as_few_as_both_hands_allow(
    right: int, left: int, layers: int, outlines: int, made: tuple[int, int]
) -> None:
    answer = _kit([_piece("R", "right", right), _piece("L", "left", left)], layers=layers)
    assert sum(_outlines(answer).values()) == outlines
    totals = answer["runs"][0]["totals"]
    assert totals["R"]["made"] >= right
    assert totals["L"]["made"] >= left
    assert (totals["R"]["made"], totals["L"]["made"]) == made


def test_sets_and_symmetric_pieces_share_the_stack() -> None:
    hexagon = {"id": "H", "shape": {"kind": "hexagon", "side": "1"}, "quantity": 20}
    pieces = [_piece("R", "right", 20), _piece("L", "left", 20), hexagon]
    answer = _kit(pieces, sets=True)
    assert _outlines(answer) == {"R": 20, "H": 10}
    assert _made(answer) == {"R": (20, 0), "L": (20, 0), "H": (20, 0)}


def test_templates_used_again_are_counted_in_uses() -> None:
    pieces = [_piece("R", "right", 20), _piece("L", "left", 20)]
    answer = _kit(pieces, cut="template", reuse=5, material={"name": "card", "kind": "card"})
    # 20 pieces in 5 uses are 4 templates of each hand: 4 outlines in 2 layers.
    assert _outlines(answer) == {"R": 4}
    assert answer["runs"][0]["totals"]["L"]["made"] == 4


def test_another_allowance_is_another_patch() -> None:
    answer = _kit([_piece("R", "right", 4), _piece("L", "left", 4, seam_allowance="3/8")])
    assert _outlines(answer) == {"R": 4, "L": 4}
    assert answer["runs"][0]["totals"]["R"]["mirrored"] == 4
    assert sum("not a piece of this run" in text for text in answer["warnings"]) == 2


def test_all_face_up_makes_no_mirror_image() -> None:
    answer = _kit([_piece("R", "right", 4), _piece("L", "left", 4)], stack="face_up")
    assert _outlines(answer) == {"R": 2, "L": 2}


def test_match_marks_and_words_do_not_part_a_pair() -> None:
    more = {"match_marks": True, "label": True, "grain_arrow": True, "seam_line": "mark"}
    answer = _kit([_piece("R", "right", 6, **more), _piece("L", "left", 6, **more)])
    assert _outlines(answer) == {"R": 6}


def test_arcs_pair_too() -> None:
    # A leaf with one bulging and one straight side beside its image, as custom outlines.
    right = {"kind": "custom", "points": [[0, 0], [3, 0, 0.4], [1, 2]]}
    left = {"kind": "custom", "points": [[0, 0], [-1, 2, 0.4], [-3, 0]]}
    other = {"kind": "custom", "points": [[0, 0], [-1, 2, 0.3], [-3, 0]]}
    pieces = [{"id": "R", "shape": right, "quantity": 6}, {"id": "L", "shape": left, "quantity": 6}]
    assert _outlines(_kit(pieces)) == {"R": 6}
    pieces[1]["shape"] = other
    assert _outlines(_kit(pieces)) == {"R": 6, "L": 6}


def test_of_several_the_declared_partner_is_taken() -> None:
    pieces = [
        _piece("R", "right", 8),
        _piece("L1", "left", 8),
        _piece("L2", "left", 4, mirror_of="R"),
    ]
    answer = _kit(pieces)
    assert answer["runs"][0]["pieces_per_outline"]["R"] == {"R": 1, "L2": 1}
    del pieces[2]["mirror_of"]
    assert _kit(pieces)["runs"][0]["pieces_per_outline"]["R"] == {"R": 1, "L1": 1}


@pytest.mark.parametrize(
    ("other", "said"),
    [("R", "own mirror"), ("Q", "no piece"), ("S", "not the mirror image")],
)
def test_a_wrong_partner_is_refused_where_it_stands(other: str, said: str) -> None:
    pieces = [_piece("R", "right", 8, mirror_of=other), _piece("S", "right", 8)]
    with pytest.raises(RequestError) as caught:
        _kit(pieces)
    (fault,) = caught.value.errors
    assert fault.pointer == "#/pieces/0/mirror_of"
    assert said in fault.detail


def test_the_sheet_says_how_to_stack_and_what_an_outline_gives() -> None:
    body = {
        "units": "in",
        "pieces": [_piece("R", "right", 4), _piece("L", "left", 4)],
        "runs": [
            {
                "cut": "patch",
                "cutter": "laser-bed",
                "layers": 2,
                "stack": "face_to_face",
                "formats": ["plan"],
                "material": {"name": "cotton", "kind": "fabric"},
            }
        ],
    }
    page = requested.kit(body, BUILT_IN.get, read_back=False).files["run-sheet.html"].decode()
    assert "Each outline of R gives one R below and one L above, mirrored" in page
    assert "right side down" in page


# Grain: a layer is turned over about its lengthwise grain, the y axis.


def test_grain_parts_a_pair_that_would_lie_across_it() -> None:
    fixed = [_piece("R", "right", 4, grain="fixed"), _piece("L", "left", 4, grain="fixed")]
    answer = _kit(fixed)
    sign = mirror_turns(*(_region(each["hand"]) for each in ({"hand": "right"}, {"hand": "left"})))
    # The catalogue draws both hands at one base line: the image lies on the other as it is.
    assert 0.0 in sign
    assert _outlines(answer) == {"R": 4}
    turned = [fixed[0], _piece("L", "left", 4, grain=[90])]
    assert _outlines(_kit(turned)) == {"R": 4, "L": 4}
    free = [fixed[0], _piece("L", "left", 4)]
    assert _outlines(_kit(free)) == {"R": 4}


def test_a_symmetric_piece_that_its_grain_keeps_is_not_counted_twice() -> None:
    # A half-square triangle with its legs along and across the grain: turned over, the grain runs
    # along the other leg.
    triangle = {"id": "T", "shape": {"kind": "half_square_triangle", "side": "3"}, "quantity": 4}
    assert _outlines(_kit([triangle])) == {"T": 2}
    answer = _kit([triangle | {"grain": "fixed"}])
    assert _outlines(answer) == {"T": 4}
    assert any("does not keep its grain" in text for text in answer["warnings"])


def _region(hand: str) -> Region:
    sizes: dict[str, float | int | str] = {"base": 76.2, "side": 50.8, "angle_deg": 45.0}
    return Region(build("parallelogram", sizes | {"hand": hand}))


@pytest.mark.parametrize("kind", short_form(sorted(CATALOGUE), SHAPES))
def test_every_kind_is_its_images_image(kind: str) -> None:
    """Checked against shapely: the mirrored outline, turned, covers the same area."""
    outline = build(kind, CATALOGUE[kind].unit)
    one = Region(outline)
    other = Rigid(37.0, 5.0, -3.0).region(one)
    image = Rigid(mirrored=True).region(one)
    assert mirror_turns(one, image)
    turns = mirror_turns(one, other)
    mirrored, target = _polygon(image.outline), _polygon(other.outline)
    best = min(_apart(mirrored, target, turn) for turn in range(360))
    assert bool(turns) == bool(mirror_turns(one, one))
    for turn in turns:
        assert _apart(mirrored, target, turn) < 1e-6 * target.area
    if not turns:
        assert best > 1e-4 * target.area


def _polygon(outline: Outline) -> shapely.Polygon:
    points = [part.point_at(k / 64.0) for part in outline.segments for k in range(64)]
    return shapely.Polygon(points)


def _apart(one: shapely.Polygon, other: shapely.Polygon, turn: float) -> float:
    turned = shapely.affinity.rotate(one, turn, origin=(0, 0))
    a, b = turned.centroid, other.centroid
    moved = shapely.affinity.translate(turned, b.x - a.x, b.y - a.y)
    return float(moved.symmetric_difference(other).area)


def test_holes_and_marks_part_what_outlines_would_pair() -> None:
    square = Outline.of([(-10, -10), (10, -10), (10, 10), (-10, 10)])
    hole = Outline.of([(3, 1, 1), (5, 1, 1)])
    holed = Region(square, (hole,))
    assert mirror_turns(Region(square), Region(square)) == (0.0, 90.0, 180.0, 270.0)
    assert not mirror_turns(holed, holed)
    assert mirror_turns(holed, Rigid(10.0, mirrored=True).region(holed)) == pytest.approx((10.0,))
    marked = Region(square, (), (Mark("match-mark", "mark", hole),))
    assert not mirror_turns(marked, Region(square))
    lettered = Region(square, (), (Mark("label", "mark", hole),))
    assert mirror_turns(lettered, Region(square))


def test_vertices_within_an_edge_do_not_matter() -> None:
    plain = Outline.of([(0, 0), (30, 0), (8, 20)])
    split = Outline.of([(0, 0), (12, 0), (30, 0), (8, 20)])
    image = Rigid(mirrored=True).outline(plain)
    assert mirror_turns(Region(split), Region(image)) == (0.0,)
    quarter, eighth = math.tan(math.pi / 8), math.tan(math.pi / 16)
    whole = Outline.of([(0, 0), (10, 0, quarter), (0, 10)])
    root = 10 / math.sqrt(2)
    halves = Outline.of([(0, 0), (10, 0, eighth), (root, root, eighth), (0, 10)])
    assert mirror_turns(Region(whole), Region(halves)) == pytest.approx((270.0,))


def test_a_ply_turned_over_lies_at_the_opposite_turn() -> None:
    # Mirrored and turned by t the piece at turn g lies at -g - t of its partner.
    assert pair_turns((0.0,), (0.0,), (0.0,)) == (True, (0.0,))
    assert pair_turns((30.0,), (330.0,), (0.0,)) == (True, (30.0,))
    assert pair_turns((30.0,), (30.0,), (0.0,)) == (False, ())
    assert pair_turns(None, (0.0,), (90.0,)) == (True, (270.0,))
    assert pair_turns(None, None, (90.0,)) == (True, None)
    assert pair_turns(None, None, ()) == (False, None)
