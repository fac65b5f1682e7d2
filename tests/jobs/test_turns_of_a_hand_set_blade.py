"""A blade set by hand: of turns that are equally good for it, those that save loads are taken."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs.studio import Studio
from tests.short_form import short_form


def _cutter(width: int, height: int) -> dict[str, Any]:
    """Return a cutter with a hand-set blade and 10 mm kept free on every side, mm."""
    return {
        "tool": {"kind": "indexed_blade", "blade_width": 0.8, "step": 0.3},
        "bed": {"width": width, "height": height},
        "margins": {"left": 10, "right": 10, "top": 10, "bottom": 10},
    }


def _run(studio: Studio, run: dict[str, Any], piece: dict[str, Any]) -> dict[str, Any]:
    kit = studio.kit({"title": "Sail patches", "units": "mm", "pieces": [piece], "runs": [run]})
    found: dict[str, Any] = kit.payload["runs"][0]
    return found


def _count(run: dict[str, Any]) -> int:
    return sum(int(load.get("repeats", 1)) for load in run["loads"])


@pytest.mark.parametrize("effort", ["quick", "normal"])
@pytest.mark.parametrize("grain", ["free", [30]])
def test_hexagons_in_rows_of_four(studio: Studio, grain: Any, effort: str) -> None:
    """24 hexagons of 20 mm with 6 mm all round, 240 x 140 mm to lie in, 3 mm apart.

    The patch is 40 + 2 x 6 / cos 30 = 53.856 mm across corners and 34.641 + 12 = 46.641 across
    flats. With a corner up, rows are (46.641 + 3) sin 60 = 42.990 mm apart, so that three take
    53.856 + 2 x 42.990 = 139.84 of 140 mm; four in a row with every other row half a step along
    take 4.5 x 49.641 - 3 = 220.4 of 240 mm. A load holds 12: two loads.

    For the blade (0, 45, 90, 135) that turn is as good as any other: edges at 30, 90 and 150
    degrees lie 15, 0 and 15 off the blade, three settings. With a side up it is 0, 15 and 15 too.
    """
    run = _run(
        studio,
        {
            "cut": "patch",
            "cutter": _cutter(260, 160),
            "material": {"name": "linen", "kind": "stiffened_fabric"},
            "formats": ["dxf"],
            "gap": 3,
            "effort": effort,
        },
        {
            "id": "H",
            "shape": {"kind": "hexagon", "side": 20},
            "quantity": 24,
            "seam_allowance": 6,
            "grain": grain,
        },
    )
    assert _count(run) == 2
    for load in run["loads"]:
        assert load["outlines"] == {"H": 12}
        assert sorted({e["mismatch_deg"] for e in load["edges"]}) == pytest.approx([0.0, 15.0])
        assert len({edge["angle_deg"] for edge in load["edges"]}) == 3


def test_rougher_edges_save_a_load(studio: Studio) -> None:
    """Half-square triangles that lie square are smooth; askew they take a load less.

    One triangle of legs 100 mm, no allowance, is 100 x 100 mm when its legs lie along the blade at
    0 and 90 degrees (the long edge at 45 or 135), and 141.4 x 70.7 mm when its long edge lies
    along it: nothing else keeps all three edges on the blade. A bed of 130 x 98 mm holds neither,
    and 100 mm is too high. Turned by 15 degrees, a triangle with the corners (0, 0), (100, 0) and
    (0, 100) has them at (0, 0), (96.6, 25.9) and (-25.9, 96.6): 122.5 x 96.6 mm, which fits, and
    its edges are 15 degrees off three settings. Turned elsewhere within the usual 15 degrees it is
    larger one way or the other. So four pieces take four loads, and none is refused.
    """
    run = _run(
        studio,
        {
            "cut": "template",
            "cutter": _cutter(150, 118),
            "material": {"name": "card", "kind": "card"},
            "formats": ["dxf"],
        },
        {"id": "T", "shape": {"kind": "half_square_triangle", "side": 100}, "quantity": 4},
    )
    assert _count(run) == 4
    for load in run["loads"]:
        assert sorted({e["mismatch_deg"] for e in load["edges"]}) == pytest.approx([15.0])
        assert len({edge["angle_deg"] for edge in load["edges"]}) == 3


@pytest.mark.parametrize("effort", short_form(["quick", "normal"], ["quick"]))
@pytest.mark.parametrize(("count", "loads"), [(6, 1), (14, 3)])
def test_a_piece_and_its_mirror_image(studio: Studio, count: int, loads: int, effort: str) -> None:
    """Right triangles of 2 by 1 1/2 in and their mirror images, 2 mm apart on 240 by 120 mm.

    The inscribed circle's radius is (2 + 1 1/2 - 2 1/2) / 2 = 1/2 in, so with 1/4 in all round a
    patch is half as large again: 76.2 by 57.15 mm. Two make a rectangle, 2 / 0.6 = 3.33 mm apart
    along it: three such pairs take 3 x 79.53 + 2 x 2 = 242.6 mm, 2.6 more than there is. With one
    of each pair raised by 0.65 mm they are nearer by 4/3 of that, three times: 240 by 57.8 mm. Two
    rows and 2 mm are 117.6 of 120 mm: 12 on a load, 6 of each. 14 of each are 28, three loads.

    The blade cuts 0, 90 and one of 45 and 135 degrees for either of them (8.13 degrees off), all
    four for both as they lie in the mirror. That is one setting more, for a load less.
    """
    sides = {"seam_allowance": "1/4", "quantity": count}
    cutter = _cutter(260, 140)
    request = {
        "title": "Burgees",
        "units": "in",
        "pieces": [
            {"id": "T", "shape": {"kind": "right_triangle", "width": "2", "height": "1 1/2"}}
            | sides,
            {"id": "U", "shape": {"kind": "custom", "points": [[0, 0], [2, 0], [2, 1.5]]}} | sides,
        ],
        "runs": [
            {
                "cut": "patch",
                "cutter": cutter
                | {
                    name: {side: f"{mm} mm" for side, mm in cutter[name].items()}
                    for name in ("bed", "margins")
                }
                | {"tool": cutter["tool"] | {"blade_width": "0.8 mm", "step": "0.3 mm"}},
                "material": {"name": "linen", "kind": "stiffened_fabric"},
                "formats": ["svg"],
                "gap": "2 mm",
                "effort": effort,
            }
        ],
    }
    run: dict[str, Any] = studio.kit(request).payload["runs"][0]
    assert _count(run) == loads
    for name in ("T", "U"):
        assert run["totals"][name]["made"] == count
