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
    ends = ".plt, .svg or .dxf"
    assert kit.sheet.says(
        f"1-patch-other-1-pen{ends} (pen)", f"1-patch-other-1-station-1{ends} (blade)"
    )


def test_without_a_word_of_it_nobody_counts_strokes(studio: Studio) -> None:
    """HP-GL, SVG and DXF cannot stop a machine, so pen and blade have a file each.

    The sheet then says, worked by hand: load and fit the pen, start "...-1-pen"; the file ends,
    change to the blade, start "...-1-station-1". G-code halts by itself, so it has one file. One
    file of all formats has to be asked for; then the strokes are counted.
    """
    body = copy.deepcopy(REQUEST)
    (run,) = body["runs"]
    del run["one_file_per"]
    stated = studio.kit(REQUEST)
    kit = studio.kit(body)
    assert kit.run().loads[0].file_names == stated.run().loads[0].file_names
    ends = ".plt, .svg or .dxf"
    assert kit.sheet.together(
        "fit the pen first", f"1-pen{ends}", "the file ends", "fit the blade", f"1-station-1{ends}"
    )
    assert kit.sheet.says("neither the material nor the machine's zero point")
    kit.sheet.is_silent_about("after stroke", "count its")

    run["formats"] = ["svg", "gcode"]
    gcode = {"head": "knife", "depth_mm": -2, "score_depth_mm": -1, "feed_mm_min": 600}
    run["cutter"]["formats"] = {"gcode": gcode}
    mixed = studio.kit(body)
    assert sorted(mixed.run().loads[0].file_names) == [
        "1-patch-other-1-pen.svg",
        "1-patch-other-1-station-1.svg",
        "1-patch-other-1.ngc",
    ]
    assert mixed.sheet.together("stops by itself", "the file ends", "fit the blade")

    run["one_file_per"] = "load"
    counted = studio.kit(body)
    assert sorted(counted.run().loads[0].file_names) == [
        "1-patch-other-1.ngc",
        "1-patch-other-1.svg",
    ]
    assert counted.sheet.says("after stroke")


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
