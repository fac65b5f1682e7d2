"""SVG path data of outlines with y up; the whole picture is flipped once."""

from __future__ import annotations

from functools import lru_cache

from geometry.model.outline import Chain, Outline, has_arcs
from geometry.model.segments import Arc
from geometry.model.transform import Rigid

#: Of most numbers in pictures, and of most others.
_DIGITS, _FEW = 3, 2


def number(value: float, digits: int = _DIGITS) -> str:
    """Return a number as SVG text, without needless zeros or a negative zero."""
    # Pictures have thousands of numbers; a stated format takes two thirds of the time.
    if digits == _DIGITS:
        text = f"{value:.3f}"
    elif digits == _FEW:
        text = f"{value:.2f}"
    else:
        text = f"{value:.{digits}f}"
    if text[-1] != "0":
        return text
    text = text.rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def placed(move: Rigid) -> str:
    """Return the ``transform`` that puts a piece where its placement does."""
    hand = " scale(-1 1)" if move.mirrored else ""
    return f"translate({number(move.x)} {number(move.y)}) rotate({_turn(move.turn_deg)}){hand}"


@lru_cache(maxsize=256)
def _turn(turn_deg: float) -> str:
    """Return a turn as SVG text; placements have few different ones."""
    return number(turn_deg, 6)


def path_data(path: Outline | Chain) -> str:
    """Return the ``d`` of an outline or chain in a y-up frame."""
    vertices, is_closed = path.vertices, isinstance(path, Outline)
    if not has_arcs(vertices):
        places = [f"{number(x)} {number(y)}" for x, y, _ in vertices]
        return f"M{'L'.join([*places, places[0]])}Z" if is_closed else f"M{'L'.join(places)}"
    first = vertices[0]
    parts = [f"M{number(first.x)} {number(first.y)}"]
    # From the vertices, because a path of lines needs no segments.
    ends = (*vertices[1:], first) if is_closed else vertices[1:]
    for start, last in zip(vertices, ends, strict=False):
        end = f"{number(last.x)} {number(last.y)}"
        if start.bulge:
            radius = number(Arc(start.point, last.point, start.bulge).radius)
            # In a y-up frame a counter-clockwise arc has the sweep flag set.
            parts.append(f"A{radius} {radius} 0 0 {int(start.bulge > 0)} {end}")
        else:
            parts.append(f"L{end}")
    return "".join(parts) + ("Z" if is_closed else "")
