"""What the bench reads: the worker's own units, no words for programmers, times of a press."""

from __future__ import annotations

import re
from typing import Any

import pytest

from tests.jobs.studio import Studio


def square(units: str, side: str, cutter: dict[str, Any], **run: Any) -> dict[str, Any]:
    return {
        "title": "Net loft",
        "units": units,
        "pieces": [
            {"id": "S", "shape": {"kind": "square", "side": side}, "quantity": 6},
        ],
        "runs": [
            {
                "cut": "template",
                "cutter": cutter,
                "material": {"name": "card", "kind": "card"},
                "formats": ["svg"],
            }
            | run
        ],
    }


def test_a_press_follows_no_path(studio: Studio) -> None:
    """A die cuts all its lines at once, each press in the 20 s of a stop.

    Followed like a path, four squares' rule of 4 x 160 mm would add 12.8 s at 50 mm/s.
    """
    cutter = {"tool": {"kind": "steel_rule_die"}, "bed": {"width": "100", "height": "100"}}
    kit = studio.kit(square("mm", "40", cutter, formats=["dxf"]))
    presses = kit.run().payload["presses"]
    assert kit.payload["totals"]["estimated_s"] == pytest.approx(20.0 * presses)
    assert kit.sheet.says("20 s for each press")
    assert kit.sheet.is_silent_about("50 mm/s", "150 mm/s")


def test_a_gap_and_a_size_in_inches_are_told_as_asked(studio: Studio) -> None:
    """1/16 in is 0.0625 in = 1.5875 mm: the sheet says 1/16 in, not 0.062 in; 2 x 2 in once."""
    cutter = {
        "tool": {"kind": "drag_blade", "offset": "0.01 in"},
        "bed": {"width": "12", "height": "9"},
    }
    kit = studio.kit(square("in", "2", cutter, gap="1/16"))
    assert kit.sheet.together("1/16 in", "between pieces")
    assert kit.sheet.together("2 x 2 in")
    assert "which is" not in kit.sheet.text
    assert "0.062 in" not in kit.sheet.text


def test_a_picture_tells_offcuts_in_the_units_of_the_request(studio: Studio) -> None:
    """Six squares of 4 cm: 40 mm on a bed of 130 mm. No inches where none were asked for."""
    cutter = {"tool": {"kind": "laser", "kerf": "0 mm"}, "bed": {"width": "30", "height": "13"}}
    for units, scale in (("cm", 1), ("mm", 10)):
        bed = {"width": str(30 * scale), "height": str(13 * scale)}
        kit = studio.kit(square(units, str(4 * scale), cutter | {"bed": bed}))
        payload = re.findall(r"left over, [^<]*: [^<]*", kit.run().loads[0].picture)
        # Only what holds a piece of 40 mm is worth keeping.
        offcuts = [
            each
            for each in kit.run().loads[0].payload["offcuts"]
            if min(each["width_mm"], each["height_mm"]) >= 40.0
        ]
        assert len(payload) == len(offcuts) > 0
        for text, each in zip(payload, offcuts, strict=True):
            found = re.fullmatch(r"left over, worth keeping: ([\d.]+) x ([\d.]+) (\w+)", text)
            assert found is not None, text
            width, height, unit = found.groups()
            assert unit == units
            mm = 10.0 / scale
            assert float(width) * mm == pytest.approx(each["width_mm"], abs=0.51)
            assert float(height) * mm == pytest.approx(each["height_mm"], abs=0.51)


@pytest.mark.without_nester
def test_the_bench_reads_no_names_of_members(studio: Studio) -> None:
    """A blade set by hand, written as HP-GL: the answer names the member, the sheet does not."""
    cutter = {
        "tool": {"kind": "indexed_blade", "positions_deg": [0, 90], "blade_width": "0.8"},
        "bed": {"shape": "ellipse", "width": "200", "height": "150"},
    }
    body = square("mm", "40", cutter, formats=["hpgl"])
    body["runs"][0]["one_file_per"] = "load"
    kit = studio.kit(body)
    assert "one_file_per" in kit.warnings
    assert kit.sheet.says("one file per blade angle")
    assert "one_file_per" not in kit.sheet.text
    # An oval's work area is no rectangle.
    assert kit.sheet.together("Work area within", within=2)


def test_times_of_a_file_with_a_feed_of_its_own(studio: Studio) -> None:
    """G-code at 1200 mm/min runs at 1200 / 60 = 20 mm/s; times count 50 mm/s if none is stated.

    6 squares of 160 mm: 19.2 s at 50 mm/s, but 48 s at the file's own feed.
    """
    settings = {"head": "laser", "power": 300, "feed_mm_min": 1200}
    cutter = {
        "tool": {"kind": "laser", "kerf": "0.2"},
        "bed": {"width": "200", "height": "150"},
        "formats": {"gcode": settings},
    }
    unstated = studio.kit(square("mm", "40", cutter, formats=["gcode"]))
    assert "1200 mm/min, which is 20 mm/s" in unstated.warnings
    stated = studio.kit(square("mm", "40", cutter | {"speed": 20}, formats=["gcode"]))
    assert "mm/min" not in stated.warnings
    more = stated.payload["totals"]["estimated_s"] - unstated.payload["totals"]["estimated_s"]
    assert more == pytest.approx(6 * 160.8 / 20 - 6 * 160.8 / 50, abs=0.5)
    # A square written as text is answered as a number is.
    wrong = square("mm", "40", cutter)
    wrong["pieces"][0]["quantity"] = "6"
    (fault,) = studio.refused(wrong)["errors"]
    assert fault["pointer"] == "#/pieces/0/quantity"
    assert "whole number, written without quotation marks" in fault["detail"]
    # And a missing setting, where it belongs and what it may be.
    missing = square("mm", "40", cutter | {"formats": {}}, formats=["gcode"])
    details = " ".join(each["detail"] for each in studio.refused(missing)["errors"])
    assert 'under "gcode" in the cutter\'s "formats", as laser or knife' in details
