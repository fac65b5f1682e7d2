"""A leftover that reaches past the bed leaves what lies past its edge, too."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Json, Studio

#: Cut from another board, but wanted again.
BANNER = {"kind": "rectangle", "width": 230, "height": 290}


def _request(strip: Json, bed: Json, material: Json, **cutter: Any) -> Json:
    """Return a kit that cuts one strip from a leftover, and a banner from another board."""
    board = {"width": 600, "height": 600}
    tool = cutter.pop("tool", {"kind": "drag_blade", "offset": 0})
    runs: list[Json] = [
        {"pieces": [{"id": "S"}], "cutter": {"tool": tool, "bed": bed, **cutter}, "gap": 0},
        {"pieces": [{"id": "B"}], "cutter": {"tool": tool, "bed": board}},
    ]
    clear: Json = {"edge_clearance": 0, **material}
    of_runs = [
        {**run, "cut": "template", "material": {"name": "grey board", "kind": "card", **each}}
        for run, each in zip(runs, (clear, {}), strict=True)
    ]
    return {
        "title": "Quay banner",
        "units": "mm",
        "pieces": [
            {"id": "S", "shape": {"kind": "rectangle", **strip}, "grain": "fixed"},
            {"id": "B", "shape": BANNER},
        ],
        "runs": [{**run, "formats": ["svg"]} for run in of_runs],
    }


def _box(row: Json) -> tuple[float, ...]:
    return tuple(row[f"{name}_mm"] for name in ("x", "y", "width", "height"))


SIDEWAYS, UPRIGHT = {"width": 400, "height": 300}, {"width": 300, "height": 400}
LEFTOVER, TALL = {"width": 500, "height": 300}, {"width": 300, "height": 500}
ANGLE = [[0, 0], [500, 0], [500, 100], [100, 100], [100, 300], [0, 300]]
TEN = {"margins": {"left": 10, "right": 10, "top": 10, "bottom": 10}}


@pytest.mark.parametrize(
    ("strip", "bed", "material", "cutter", "rest"),
    [
        # 100 of 500 cut: 400 x 300 are left, 300 of them on the bed.
        ({"width": 100, "height": 300}, SIDEWAYS, LEFTOVER, {}, (100, 0, 400, 300)),
        # The same along the other side.
        ({"width": 300, "height": 100}, UPRIGHT, TALL, {}, (0, 100, 300, 400)),
        # Margins of 10: cut from 10 to 110, so 390 are left of 500, and 280 between the margins.
        ({"width": 100, "height": 280}, SIDEWAYS, LEFTOVER, TEN, (110, 10, 390, 280)),
        # Laid with its end 100 past the left: from 0 to 100 on the bed is cut, which parts the
        # leftover; 100 x 300 are left of it on the left, 300 x 300 on the right.
        (
            {"width": 100, "height": 300},
            SIDEWAYS,
            {**LEFTOVER, "position": {"x": -100, "y": 0}},
            {},
            (100, 0, 300, 300),
        ),
        # 10 kept free at its own edges, not at the bed's: 110 to 490, and 10 to 290.
        (
            {"width": 100, "height": 280},
            SIDEWAYS,
            {**LEFTOVER, "edge_clearance": 10},
            {},
            (110, 10, 380, 280),
        ),
        # An angle of two arms 100 wide: of the upright one 90 x 290 are cut, from the corner on.
        (
            {"width": 90, "height": 290},
            SIDEWAYS,
            {"stock": [{"name": "angle", "outline": ANGLE}]},
            {},
            (90, 0, 410, 100),
        ),
        # As large as the bed: nothing lies past it.
        ({"width": 100, "height": 300}, SIDEWAYS, SIDEWAYS, {}, (100, 0, 300, 300)),
    ],
)
def test_the_largest_rest(
    studio: Studio, strip: Json, bed: Json, material: Json, cutter: Json, rest: tuple[float, ...]
) -> None:
    kit = studio.kit(_request(strip, bed, material, **cutter))
    (load,) = kit.run().loads
    assert _box(load.payload["offcuts"][0]) == pytest.approx(rest)
    assert _box(load.payload["used"]["largest_rest"]) == pytest.approx(rest)


def test_the_rest_past_the_bed_is_worth_keeping(studio: Studio) -> None:
    """Cut to 260, the leftover has 240 x 300 left, which hold the banner of 230 x 290.

    140 x 300 are left on the bed, and of a board as large as the bed: they hold neither piece.
    """
    strip = {"width": 260, "height": 300}
    kit = studio.kit(_request(strip, SIDEWAYS, LEFTOVER))
    assert "left over, worth keeping: 240 x 300 mm" in kit.run().loads[0].picture
    assert kit.sheet.says("240 x 300 mm")
    kit = studio.kit(_request(strip, SIDEWAYS, SIDEWAYS))
    assert "worth keeping" not in kit.run().loads[0].picture


def test_a_rest_wholly_past_the_bed_is_stated(studio: Studio) -> None:
    """A strip of 400 fills the bed: the 100 x 300 past it are left, where no picture shows them."""
    kit = studio.kit(_request({"width": 400, "height": 300}, SIDEWAYS, LEFTOVER))
    (load,) = kit.run().loads
    assert [_box(each) for each in load.payload["offcuts"]] == [(400, 0, 100, 300)]
    assert kit.sheet.says("100 x 300 mm")


BEAM = {"kind": "laser", "kerf": 0}


def test_what_is_trimmed_off_for_a_beam_is_left_by_itself(studio: Studio) -> None:
    """The lid must close: of 500, 100 are trimmed off, and 100 of the other 400 are cut."""
    strip = {"width": 100, "height": 300}
    kit = studio.kit(_request(strip, SIDEWAYS, LEFTOVER, tool=BEAM))
    (load,) = kit.run().loads
    assert [_box(each) for each in load.payload["offcuts"]] == [
        (100, 0, 300, 300),
        (400, 0, 100, 300),
    ]
    assert _box(load.payload["used"]["largest_rest"]) == (100, 0, 300, 300)
    assert kit.sheet.says("trim off what hangs over", "300 x 300 mm, 100 x 300 mm")


def test_what_is_trimmed_off_on_two_sides(studio: Studio) -> None:
    """Of 500 x 400 laid 50 past the left and the bottom: left 50 x 400, right 50 x 400.

    Between them, on the bed of 400 x 300, 50 are trimmed off the top and 50 off the bottom.
    """
    material = {"width": 500, "height": 400, "position": {"x": -50, "y": -50}}
    kit = studio.kit(_request({"width": 400, "height": 300}, SIDEWAYS, material, tool=BEAM))
    (load,) = kit.run().loads
    assert [_box(each) for each in load.payload["offcuts"]] == [
        (-50, -50, 50, 400),
        (400, -50, 50, 400),
        (0, 300, 400, 50),
        (0, -50, 400, 50),
    ]
