"""A knife in an oval hoop: the raised blade does not cross the hoop's rim on its own.

The hoop is an ellipse of 200 by 140 mm. Its box's corner, the machine's 0,0, lies outside:
((0 - 100) / 100)^2 + ((0 - 70) / 70)^2 = 2 > 1. An ellipse is convex, so ways between places
within it stay within it; the way home to 0,0 would cross the rim at 5 mm, which is less than the
height of many rims (common practice, no source). With 0,0 in the centre nothing crosses, and in a
rectangle 0,0 is a corner of the opening itself.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from service.tools.built_in import BUILT_IN
from tests.requested import kit

OVAL = {"shape": "ellipse", "width": 200, "height": 140}
RIM = "crosses the frame"


def made(bed: dict[str, Any], **axes: Any) -> tuple[list[str], list[tuple[float, float]], str]:
    knife = {"head": "knife", "depth_mm": -1, "feed_mm_min": 600, **axes}
    body = {
        "title": "Rowlock hoop",
        "units": "mm",
        "pieces": [{"id": "A", "shape": {"kind": "square", "side": 40}, "quantity": 3}],
        "runs": [
            {
                "cut": "template",
                "cutter": {
                    "tool": {"kind": "drag_blade", "machine_compensates": True},
                    "bed": bed,
                    "formats": {"gcode": knife, "hpgl": axes},
                },
                "material": {"name": "cotton", "kind": "fabric"},
                "formats": ["gcode", "hpgl"],
            }
        ],
    }
    found = kit(body, BUILT_IN.get)
    program = next(data for name, data in found.files.items() if name.endswith(".ngc")).decode()
    ways = re.findall(r"^G0 X(\S+) Y(\S+)$", program, re.MULTILINE)
    return list(found.answer["warnings"]), [(float(x), float(y)) for x, y in ways], program


def test_the_way_home_over_an_oval_rim_is_left_out_and_said() -> None:
    warnings, ways, program = made(OVAL)
    assert len(ways) == 3
    assert all(((x - 100) / 100) ** 2 + ((y - 70) / 70) ** 2 < 1 for x, y in ways)
    assert program.splitlines()[-2:] == ["G0 Z5.0", "M2"]
    said = [text for text in warnings if RIM in text]
    assert any("it travels at 5 mm" in text and "above the last cut" in text for text in said)
    assert any("comes back the same way" in text for text in said)  # HP-GL


@pytest.mark.parametrize(
    ("bed", "axes"),
    [(OVAL, {"origin": "centre"}), ({"width": 200, "height": 140}, {})],
    ids=["centre", "rectangle"],
)
def test_where_no_rim_is_crossed_it_goes_home(bed: dict[str, Any], axes: dict[str, Any]) -> None:
    warnings, ways, _ = made(bed, **axes)
    assert ways[-1] == (0.0, 0.0)
    assert not any(RIM in text for text in warnings)
