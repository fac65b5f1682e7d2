"""Power, depth, feed and speed that a file should state for a stroke, from the settings alone."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from adapters.readers.strokes import ReadStroke
from geometry.model.plan import Stroke

#: Feeds and depths in inches are rounded to this, mm and mm/min; power to this share.
_ROUNDING, _SHARE = 0.026, 1.0e-3
#: z of a head while it travels, mm, where nothing else is stated.
_CLEAR = 5.0


def work_fault(
    format_name: str, read: ReadStroke, stroke: Stroke, settings: Mapping[str, Any]
) -> str:
    """Return what a file states wrongly about the cutting of a stroke; empty if it is right."""
    wanted = _gcode(stroke, settings) if format_name == "gcode" else _hpgl(settings)
    stated = dict(read.work)
    if stated.keys() != wanted.keys():
        return (
            f"states {', '.join(stated) or 'nothing'} instead of {', '.join(wanted) or 'nothing'}"
        )
    for name, value in wanted.items():
        found = stated[name]
        if isinstance(value, str) or isinstance(found, str):
            same = found == value
        else:
            same = abs(found - value) <= (
                _ROUNDING if name.endswith(("_min", "_mm")) else _SHARE * abs(value) + 1e-9
            )
        if not same:
            return f"states {name} {found}, it is {value}"
    return ""


def _gcode(stroke: Stroke, settings: Mapping[str, Any]) -> dict[str, float | str]:
    own = "" if stroke.operation == "cut" else "score_"
    wanted: dict[str, float | str] = {"feed_mm_min": float(settings["feed_mm_min"])}
    if settings["head"] == "laser":
        return wanted | {
            "power": float(settings[f"{own}power"]),
            "power_word": str(settings.get("power_word") or "M3"),
        }
    plunge = settings.get("plunge_feed_mm_min") or settings["feed_mm_min"]
    return wanted | {
        "depth_mm": float(settings[f"{own}depth_mm"]),
        "plunge_feed_mm_min": float(plunge),
        "clear_mm": float(settings.get("clear_mm", _CLEAR)),
    }


def _hpgl(settings: Mapping[str, Any]) -> dict[str, float | str]:
    speed = settings.get("speed_cm_s")
    return {} if speed is None else {"speed_cm_s": float(math.floor(speed))}
