"""A flag with drawn marks for machines that cannot stop inside a file: pen first, then blade."""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest

from tests.jobs.studio import Studio

REQUEST: dict[str, Any] = {
    "title": "Pier flag",
    "units": "mm",
    "pieces": [
        {
            "id": "flag",
            "shape": {
                "kind": "custom",
                "points": [[5, 0], [30, 0], [30, 20], [0, 20], [0, 5], [5, 5]],
            },
            "quantity": 1,
            "seam_allowance": "3 mm",
            "label": "A1",
            "seam_line": "score",
        }
    ],
    "runs": [
        {
            "cut": "patch",
            "cutter": {
                "tool": {"kind": "drag_blade"},
                "bed": {"width": 120, "height": 100},
            },
            "formats": ["hpgl", "svg", "dxf"],
            "one_file_per": "station",
        }
    ],
}


def test_pen_and_drag_blade_have_a_file_each(studio: Studio) -> None:
    """The label is drawn with the pen, the seam line creased and the outline cut by the blade.

    So each of three formats has two files: the pen's (HP-GL pen 3, the pen of marks) and the
    blade's (pens 1 and 2, of cuts and scores). The operator changes the tool between the files,
    not inside one, so that no file needs a stop.
    """
    kit = studio.kit(REQUEST)
    load = kit.run().loads[0]
    assert load.file_names == [
        f"1-patch-other-1-{part}.{extension}"
        for extension in ("plt", "svg", "dxf")
        for part in ("pen", "station-1")
    ]
    pen, blade = (each.data.decode() for each in load.files if each.format == "hpgl")
    assert set(re.findall(r"SP(\d)", pen)) == {"3", "0"}
    assert set(re.findall(r"SP(\d)", blade)) == {"1", "2", "0"}
    assert [stop["reason"] for stop in load.stops] == ["load-material", "change-tool"]
    warnings = kit.warnings
    assert "one_file_per" not in warnings
    assert "cannot stop" not in warnings
    assert kit.sheet.says("1-patch-other-1-pen.plt (pen)", "1-patch-other-1-station-1.plt (blade)")


def test_pen_and_three_blade_angles_have_a_file_each(studio: Studio) -> None:
    """Edges lie level and upright, so the blade has two angles, after the pen: three files."""
    body = copy.deepcopy(REQUEST)
    tool = {"kind": "indexed_blade", "positions_deg": [0, 45, 90, 135]}
    body["runs"][0]["cutter"]["tool"] = tool
    kit = studio.kit(body)
    load = kit.run().loads[0]
    begin, change, *turns = load.stops
    # The pen goes in first; the blade is set when it comes in.
    assert begin["message"].endswith("Fit the pen first.")
    assert "blade" not in begin["message"]
    assert change["message"].startswith("Take the pen out and fit the blade. Set the blade to ")
    assert [stop["reason"] for stop in turns] == ["turn-blade", "snip-ties"]
    parts = ("pen", "station-1", "station-2")
    assert [n for n in load.file_names if n.endswith("plt")] == [
        f"1-patch-other-1-{part}.plt" for part in parts
    ]
    warnings = kit.warnings
    assert "one_file_per" not in warnings
    assert "cannot stop" not in warnings


@pytest.mark.parametrize("tool", [{"kind": "pen"}, {"kind": "laser", "kerf": "0.2 mm"}])
def test_tools_that_need_no_hand_have_one_file(studio: Studio, tool: dict[str, Any]) -> None:
    """A pen draws everything, a beam cuts and marks: nobody changes a tool within a load."""
    body = copy.deepcopy(REQUEST)
    body["runs"][0]["cutter"]["tool"] = tool
    body["runs"][0]["material"] = {"name": "cotton", "kind": "fabric"}
    names = studio.kit(body).run().loads[0].file_names
    assert names == [f"1-patch-cotton-1.{each}" for each in ("plt", "svg", "dxf")]
