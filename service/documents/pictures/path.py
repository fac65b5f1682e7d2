"""SVG path data of outlines with y up; the whole picture is flipped once."""

from __future__ import annotations

from geometry.model.outline import Chain, Outline
from geometry.model.segments import Arc


def number(value: float, digits: int = 3) -> str:
    """Return a number as SVG text, without needless zeros or a negative zero."""
    text = f"{value:.{digits}f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def path_data(path: Outline | Chain) -> str:
    """Return the ``d`` of an outline or chain in a y-up frame."""
    parts = [f"M{number(path.vertices[0].x)} {number(path.vertices[0].y)}"]
    for each in path.segments:
        end = f"{number(each.end.x)} {number(each.end.y)}"
        if isinstance(each, Arc):
            radius = number(each.radius)
            # In a y-up frame a counter-clockwise arc has the sweep flag set.
            parts.append(f"A{radius} {radius} 0 0 {int(each.bulge > 0)} {end}")
        else:
            parts.append(f"L{end}")
    return "".join(parts) + ("Z" if isinstance(path, Outline) else "")
