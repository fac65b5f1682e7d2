"""Cutters that come with the service: one of each kind of tool, to start from.

Sizes are round numbers of ordinary sheets, hoops and boards, not those of any machine; a shop
saves its own cutter with its machine's numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Final

BUILT_IN: Final[Mapping[str, Mapping[str, Any]]] = MappingProxyType(
    {
        "drag-blade-sheet": {
            "title": "Drag blade, sheet on a mat",
            "tool": {"kind": "drag_blade", "offset": "0.25 mm", "machine_compensates": False},
            "bed": {"width": "12 in", "height": "12 in"},
            "margins": {"left": "1/4 in", "right": "1/4 in", "top": "1/4 in", "bottom": "1/4 in"},
            "speed": 50.0,
            "travel_speed": 150.0,
        },
        "indexed-blade-hoop": {
            "title": "Blade set by hand to four angles, in a hoop",
            "tool": {
                "kind": "indexed_blade",
                "positions_deg": [0.0, 45.0, 90.0, 135.0],
                "blade_width": "0.8 mm",
                "step": "0.3 mm",
            },
            "bed": {"width": "260 mm", "height": "160 mm"},
            "margins": {"left": "10 mm", "right": "10 mm", "top": "10 mm", "bottom": "30 mm"},
            "speed": 10.0,
            "travel_speed": 100.0,
            "stop_s": 30.0,
        },
        "laser-bed": {
            "title": "Laser over a bed",
            "tool": {"kind": "laser", "kerf": "0.2 mm"},
            "bed": {"width": "600 mm", "height": "400 mm"},
            "margins": {"left": "5 mm", "right": "5 mm", "top": "5 mm", "bottom": "5 mm"},
            "speed": 20.0,
            "travel_speed": 300.0,
        },
        "die-board": {
            "title": "Steel rule in a die board",
            "tool": {"kind": "steel_rule_die", "rule": "0.71 mm"},
            "bed": {"width": "300 mm", "height": "300 mm"},
            "margins": {"left": "15 mm", "right": "15 mm", "top": "15 mm", "bottom": "15 mm"},
        },
        "pen-sheet": {
            "title": "Pen on a sheet, cut by hand",
            "tool": {"kind": "pen"},
            "bed": {"width": "210 mm", "height": "297 mm"},
            "margins": {"left": "10 mm", "right": "10 mm", "top": "10 mm", "bottom": "10 mm"},
            "speed": 80.0,
            "travel_speed": 200.0,
        },
    }
)
