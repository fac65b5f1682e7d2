"""Blocks that are set mirrored: where their pieces lie, and how many of each hand a quilt takes."""

from __future__ import annotations

from typing import Any

import pytest
from shapely import Polygon, affinity, union_all

from geometry.planning.assembly import Assembly
from geometry.planning.pieces import needs
from service.errors import RequestError
from service.quilts.plan import quilt_plan
from service.quilts.top import quilt_top
from service.requests.quilt_plans import QuiltPlanRequestSchema
from service.schemas.loading import load

SIDE = 30.0
#: A right triangle of 30 x 10 on the lower edge, its right angle at the right, and the rest.
BLOCK = {
    "size": SIDE,
    "pieces": [
        {"points": [[0, 0], [30, 0], [30, 10]], "colour": "a"},
        {"points": [[0, 0], [30, 10], [30, 30], [0, 30]], "colour": "b"},
    ],
}
CHECKED = [[False, True], [True, False]]


def _body(columns: int, rows: int, **setting: Any) -> dict[str, Any]:
    quilt = {"width": columns * SIDE + 0.01, "length": rows * SIDE + 0.01}
    return {"units": "mm", "block": BLOCK, "quilt": quilt, "fit": "smaller", "setting": setting}


def _covered(made: Assembly, colour: str) -> Any:
    """Return what pieces of a colour cover."""
    return union_all(
        [
            Polygon([row[:2] for row in made.outline(each).rows()])
            for each in made.placed
            if made.plane.protos[each.proto].role == colour
        ]
    )


def _assembly(body: dict[str, Any]) -> Assembly:
    return quilt_top(load(QuiltPlanRequestSchema(), body)).assembly


def test_every_other_block_is_mirrored() -> None:
    """From the lower left: as drawn, mirrored; above them mirrored, as drawn. By hand."""
    made = _assembly(_body(2, 2, mirrored=CHECKED))
    drawn, mirrored = [(0, 0), (30, 0), (30, 10)], [(0, 0), (30, 0), (0, 10)]
    cells = [(drawn, 0, 0), (mirrored, 30, 0), (mirrored, 0, 30), (drawn, 30, 30)]
    wanted = union_all([affinity.translate(Polygon(row), x, y) for row, x, y in cells])
    assert _covered(made, "a").symmetric_difference(wanted).area == pytest.approx(0.0, abs=1e-6)
    rest = Polygon([(0, 0), (60, 0), (60, 60), (0, 60)]).difference(wanted)
    assert _covered(made, "b").symmetric_difference(rest).area == pytest.approx(0.0, abs=1e-6)
    # Both hands of both pieces, two of each: fabric has a right side.
    assert [need.count for need in needs(made, ["x"] * len(made.placed))] == [2, 2, 2, 2]


def test_a_block_is_mirrored_before_it_is_turned() -> None:
    """Mirrored, the triangle is (0,0) (30,0) (0,10); a quarter turn about the middle on: by hand.

    A point x, y goes to 30 - y, x: (30, 0), (30, 30), (20, 0).
    """
    made = _assembly(_body(1, 1, mirrored=[[True]], turns_deg=[[90]]))
    wanted = Polygon([(30, 0), (30, 30), (20, 0)])
    assert _covered(made, "a").symmetric_difference(wanted).area == pytest.approx(0.0, abs=1e-6)


def test_turns_and_mirror_images_repeat_on_their_own() -> None:
    """Turns every three columns, mirror images every two rows: 6 x 2 blocks, half mirrored."""
    made = _assembly(_body(6, 2, turns_deg=[[0, 90, 180]], mirrored=[[False], [True]]))
    assert [need.count for need in needs(made, ["x"] * len(made.placed))] == [6, 6, 6, 6]
    whole = Polygon([(0, 0), (180, 0), (180, 60), (0, 60)])
    both = union_all([_covered(made, "a"), _covered(made, "b")])
    assert both.symmetric_difference(whole).area == pytest.approx(0.0, abs=1e-6)


def test_on_point_too() -> None:
    """One block on its tip: mirrored left to right about its upright diagonal's turn of 45 degrees.

    Pieces cover the same as the mirrored block turned by 45 degrees about its middle.
    """
    diagonal = SIDE * 2**0.5
    body = _body(1, 1, layout="on_point", mirrored=[[True]])
    body["quilt"] = {"width": diagonal + 0.01, "length": diagonal + 0.01}
    made = _assembly(body)
    turned = affinity.rotate(Polygon([(0, 0), (30, 0), (0, 10)]), 45, origin=(15, 15))
    wanted = affinity.translate(turned, diagonal / 2 - 15, diagonal / 2 - 15)
    assert _covered(made, "a").symmetric_difference(wanted).area == pytest.approx(0.0, abs=1e-6)


@pytest.mark.without_nester
def test_the_kit_has_a_piece_of_each_hand() -> None:
    """Four triangles and four of the rest, half of them mirrored: kinds of two pieces each."""
    plan = quilt_plan(load(QuiltPlanRequestSchema(), _body(2, 2, mirrored=CHECKED)))
    assert sorted(each["quantity"] for each in plan.kit["pieces"]) == [2, 2, 2, 2]


@pytest.mark.parametrize("mirrored", [[], [[]], [[True], [True, False]], [[1]], [["no"]], True])
def test_rubbish_is_refused(mirrored: Any) -> None:
    with pytest.raises(RequestError) as found:
        load(QuiltPlanRequestSchema(), _body(1, 1, mirrored=mirrored))
    assert all(each.pointer.startswith("#/setting/mirrored") for each in found.value.errors)
