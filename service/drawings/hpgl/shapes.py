"""The shapes of a plotter as subpaths, in the numbers of its coordinates, y up."""

from __future__ import annotations

import cmath
import math

from geometry.shapes.paths import Subpath

_Steps = list[tuple[str, tuple[complex, ...]]]
_WHOLE = 360.0
#: Maximum sweep of one arc, degrees.
_PART = 120.0


def arc_steps(start: complex, centre: complex, sweep_deg: float) -> tuple[_Steps, complex]:
    """Return an arc in parts of at most a third of a turn, and its end."""
    arm, radius = start - centre, abs(start - centre)
    count = max(1, math.ceil(abs(sweep_deg) / _PART))
    flags = complex(0.0, 1.0 if sweep_deg > 0.0 else 0.0)
    shape = complex(radius, radius), 0j, flags
    steps: _Steps = []
    end = start
    for part in range(1, count + 1):
        end = centre + arm * cmath.rect(1.0, math.radians(sweep_deg * part / count))
        if part == count and abs(sweep_deg) == _WHOLE:
            end = start
        steps.append(("A", (*shape, end)))
    return steps, end


def circle(centre: complex, radius: float) -> Subpath:
    """Return a circle as two halves."""
    half = complex(radius, radius), 0j, 1j
    east, west = centre + radius, centre - radius
    return Subpath(east, [("A", (*half, west)), ("A", (*half, east))], closed=True)


def rectangle(one: complex, other: complex) -> Subpath | None:
    """Return the rectangle between two opposite corners, ``None`` without an area."""
    if one.real == other.real or one.imag == other.imag:
        return None
    corners = [complex(other.real, one.imag), other, complex(one.real, other.imag)]
    return Subpath(one, [("L", (corner,)) for corner in corners], closed=True)


def wedge(centre: complex, radius: float, first_deg: float, sweep_deg: float) -> Subpath | None:
    """Return a sector of a circle, ``None`` without an area."""
    if not radius or not sweep_deg:
        return None
    if abs(sweep_deg) >= _WHOLE:
        return circle(centre, radius)
    start = centre + cmath.rect(radius, math.radians(first_deg))
    steps, _ = arc_steps(start, centre, sweep_deg)
    return Subpath(centre, [("L", (start,)), *steps], closed=True)


def arc_through(start: complex, middle: complex, end: complex) -> tuple[complex, float] | None:
    """Return the centre and sweep, degrees, of an arc through three points; ``None`` for a line.

    Without another end it is a circle on whose diameter the middle lies.
    """
    if start == end:
        return (start + middle) / 2.0, _WHOLE
    a, b = middle - start, end - start
    across = (a * b.conjugate()).imag
    if abs(across) <= 1e-9 * abs(a) * abs(b):
        return None
    # The centre is as far from the start as from the other two points.
    centre = start + (b * abs(a) ** 2 - a * abs(b) ** 2) * 0.5j / across
    sweep = math.degrees(cmath.phase((end - centre) / (start - centre))) % _WHOLE
    first = math.degrees(cmath.phase((middle - centre) / (start - centre))) % _WHOLE
    return centre, sweep if first <= sweep else sweep - _WHOLE
