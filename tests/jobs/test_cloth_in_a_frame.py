"""Where a stated sheet of cloth lies in a hoop, and what is said where the hoop does not grip it.

A frame holds cloth only where the cloth reaches past its opening; 1 in or 25 mm on each side is
common practice, no source.
"""

from __future__ import annotations

import copy
from typing import Any

import pytest

from service.kits.recuts import recut
from service.requests.recuts import RecutRequest
from service.tools.built_in import BUILT_IN
from tests.jobs import names
from tests.jobs.studio import Json, Studio
from tests.requested import kit as made_kit

pytestmark = pytest.mark.usefixtures("in_process")

HOOP: Json = {
    "tool": {"kind": "indexed_blade", "positions_deg": [0, 90], "blade_width": "0.8 mm"},
    "bed": {"width": 10, "height": 6},
    "margins": {"left": "1/2", "right": "1/2", "top": "1/2", "bottom": "1 1/4"},
}


def _flags(**material: Any) -> Json:
    return {
        "title": "Slipway flags",
        "units": "in",
        "pieces": [
            {
                "id": "A",
                "shape": {"kind": "square", "side": 2},
                names.QUANTITY: 3,
                "seam_allowance": "1/4",
            }
        ],
        "runs": [
            {
                "cut": "patch",
                "cutter": HOOP,
                "gap": "1/8",
                "formats": ["plan"],
                "material": {"name": "cotton", "kind": "fabric", **material},
            }
        ],
    }


def _answer(studio: Studio, **material: Any) -> tuple[Json, list[str]]:
    """Return a preview's run, and what its warnings say of the hoop's grip."""
    answer = studio.calculated("/v1/layouts", _flags(**material))
    said = [each for each in answer["warnings"] if "grip" in each or "past the" in each]
    return answer["runs"][0], said


def test_cloth_that_is_large_enough_lies_centred_over_the_opening(studio: Studio) -> None:
    """14 x 9 in over an opening of 10 x 6 in: (10 - 14) / 2 = -2 in across, (6 - 9) / 2 = -1 1/2
    in up. It reaches 2 and 1 1/2 in past on every side: nothing to warn of. All of the field
    inside the margins can be used: 9 x 4 1/4 in."""
    run, said = _answer(studio, width=14, height=9)
    assert (run["sheet"]["x_mm"], run["sheet"]["y_mm"]) == pytest.approx((-50.8, -38.1))
    area = run["work_area"]
    assert (area["width_mm"], area["height_mm"]) == pytest.approx((228.6, 107.95))
    assert said == []
    message = run["loads"][0]["stops"][0]["message"]
    assert message.startswith("Hoop cotton, right side up, centred over the opening.")


@pytest.mark.parametrize(
    ("material", "x_in", "y_in", "sides"),
    [
        # 1/2 in past on all sides: centred, but 1 in is usual.
        ({"width": 11, "height": 7}, -0.5, -0.5, "left, right, top, bottom"),
        # (10 - 14) / 2: 2 in past left and right; 5 in are less than the 6 in up: as every sheet.
        ({"width": 14, "height": 5}, -2.0, 0.0, "top, bottom"),
        # 6 in across begin at the margin; (6 - 9) / 2: 1 1/2 in past top and bottom.
        ({"width": 6, "height": 9}, 0.5, -1.5, "left, right"),
        # 9 in across begin at the margin of 1/2 in.
        ({"width": 9, "height": 5}, 0.5, 0.0, "left, right, top, bottom"),
    ],
)
def test_cloth_that_is_too_small_is_bonded_to_a_backing(
    studio: Studio, material: Json, x_in: float, y_in: float, sides: str
) -> None:
    """The hoop takes 10 + 2 by 6 + 2 = 12 x 8 in."""
    run, said = _answer(studio, **material)
    assert (run["sheet"]["x_mm"], run["sheet"]["y_mm"]) == pytest.approx((x_in * 25.4, y_in * 25.4))
    (text,) = said
    assert text == (
        "Run 1: The hoop does not grip the material well: it reaches less than 1 in past the "
        f"opening on these sides: {sides}. Take at least 12 in x 8 in, centred over the opening, "
        "or bond it to a backing of that size that the hoop grips."
    )


def test_a_scrap_past_the_opening_one_way_is_gripped_there(studio: Studio) -> None:
    """6 x 9 in over 10 x 6 in: its corner lies 1/2 in from the left and 1 1/2 in below the opening.

    Inside it and the margins are 5.84 (less 2 mm each side) by 4 1/4 in: two squares of 2 1/2 in
    and 1/8 in between them go side by side, the third needs another 2 1/2 in up: 5 1/8 in, too
    many, so it takes 2 loads. They lie where they would if nothing reached past.
    """
    run, _ = _answer(studio, width=6, height=9)
    area = run["work_area"]
    sides = [area[name] for name in ("x_mm", "y_mm", "width_mm", "height_mm")]
    assert sides == pytest.approx([14.7, 31.75, 6 * 25.4 - 4.0, 107.95])
    assert sum(load["repeats"] for load in run["loads"]) == 2
    where = "1/2 in from the hoop's left edge and 1 1/2 in beyond its lower edge"
    assert run["sheet"]["position"] == f"lower left corner {where}"
    assert where in run["loads"][0]["stops"][0]["message"]


def test_a_stated_position_holds(studio: Studio) -> None:
    """14 x 9 in from 1 1/4 in left of the opening: 14 - 10 - 1 1/4 = 2 3/4 in past its right."""
    run, said = _answer(studio, width=14, height=9, position={"x": "-1 1/4", "y": "-1/2"})
    assert (run["sheet"]["x_mm"], run["sheet"]["y_mm"]) == pytest.approx((-31.75, -12.7))
    assert len(said) == 1
    assert "on these sides: bottom. Without a stated position it lies centred" in said[0]


def test_a_laser_bed_grips_nothing(studio: Studio) -> None:
    """On a bed of 10 x 6 in without margins the same cloth lies with its corner on the bed's."""
    body = copy.deepcopy(_flags(width=14, height=9))
    laser = {"tool": {"kind": "laser", "kerf": "0.2 mm"}, "bed": {"width": 10, "height": 6}}
    body["runs"][0]["cutter"] = laser
    answer = studio.calculated("/v1/layouts", body)
    sheet = answer["runs"][0]["sheet"]
    assert (sheet["x_mm"], sheet["y_mm"]) == (0.0, 0.0)
    assert not any("grip" in each for each in answer["warnings"])


@pytest.mark.parametrize(
    "chosen", [{"pieces": {"A": 1}}, {"pieces": {}, "loads": {1: 1}}], ids=["pieces", "loads"]
)
def test_a_kit_of_an_earlier_version_is_cut_again_where_its_sheet_lay(chosen: Json) -> None:
    """Such a kit's request states no position, and its answer says corner on corner (0, 0)."""
    first = made_kit(_flags(width=14, height=9), BUILT_IN.get)
    stored = {**first.answer, "request": _flags(width=14, height=9), "cutters": {}}
    stored["runs"][0]["sheet"] |= {"x_mm": 0.0, "y_mm": 0.0}
    request = RecutRequest(run=1, layers=None, laser_safe=False, **chosen)
    again = recut(stored, request, nester=None)
    sheet = again.answer.runs[0].sheet
    assert sheet is not None
    assert (sheet.x_mm, sheet.y_mm) == (0.0, 0.0)
    assert again.request["runs"][0]["material"]["position"] == {
        "x": "0.000000 mm",
        "y": "0.000000 mm",
    }
