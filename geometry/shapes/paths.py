"""A strict parser of SVG path data, with conversion to lines and arcs.

Source:
    W3C, "Scalable Vector Graphics (SVG) 1.1 (Second Edition)", 2011: chapter 8.3 and
    appendix F.6.5 (an arc's centre from its end points).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from geometry.errors import ShapeError
from geometry.model.outline import Vertex
from geometry.model.points import Point
from geometry.shapes.curves import TOLERANCE, bezier, ellipse_arc, fitted
from geometry.shapes.path_commands import path_commands, single_line
from geometry.tolerance import LARGEST_COORDINATE

#: Maximum characters and drawn segments of path data.
MAX_TEXT = 200_000
MAX_SEGMENTS = 5_000
#: An arc whose ``rest`` is below this is a half circle: the rest is rounding.
_HALF = 1.0e-10

#: A matrix (a, b, c, d, e, f) as in SVG: x' = a x + c y + e, y' = b x + d y + f.
Matrix = tuple[float, float, float, float, float, float]


@dataclass
class Subpath:
    """One subpath as written: steps after the start, in the path's units, y down."""

    start: complex
    steps: list[tuple[str, tuple[complex, ...]]] = field(default_factory=list)
    closed: bool = False


def subpaths(text: str) -> list[Subpath]:
    """Return the subpaths of path data; all steps are absolute: L, C (cubic), Q, A.

    Raises:
        ShapeError: for a syntax error, naming the character, or when it is too long.
    """
    if len(text) > MAX_TEXT:
        raise ShapeError(f"Path data has at most {MAX_TEXT} characters.", where=("path",))
    if (line := single_line(text)) is not None:
        start, end = line
        return [Subpath(start, [("L", (end,))])]
    runs: list[Subpath] = []
    at = control = 0j
    count, last = 0, ""
    for command, numbers in path_commands(text):
        count += 1
        if count > MAX_SEGMENTS:
            raise ShapeError(f"Path data has at most {MAX_SEGMENTS} segments.", where=("path",))
        upper = command.upper()
        base = at if command.islower() else 0j
        if upper == "M":
            at = base + complex(*numbers)
            runs.append(Subpath(at))
            last = upper
            continue
        if not runs:
            raise ShapeError("Path data starts with M.", where=("path",))
        run = runs[-1]
        if upper == "Z":
            run.closed = True
            at = run.start
        else:
            if run.closed:
                run = Subpath(at)
                runs.append(run)
            at, control = _step(run, upper, numbers, base, at, control, last)
        last = upper
    return runs


def _step(
    run: Subpath,
    upper: str,
    numbers: list[float],
    base: complex,
    at: complex,
    control: complex,
    last: str,
) -> tuple[complex, complex]:
    """Add one step to a subpath; return its end and its last control point."""
    if upper in "HV":
        end = (
            complex(base.real + numbers[0], at.imag)
            if upper == "H"
            else complex(at.real, base.imag + numbers[0])
        )
        run.steps.append(("L", (end,)))
        return end, end
    end = base + complex(*numbers[-2:])
    points = [base + complex(*numbers[k : k + 2]) for k in range(0, len(numbers) - 2, 2)]
    if upper == "L":
        run.steps.append(("L", (end,)))
        return end, end
    if upper == "A":
        shape = complex(numbers[0], numbers[1]), complex(numbers[2], 0.0)
        run.steps.append(("A", (*shape, complex(numbers[3], numbers[4]), end)))
        return end, end
    if upper in "ST":
        kin = "CS" if upper == "S" else "QT"
        points.insert(0, 2.0 * at - control if last in kin and last else at)
    run.steps.append(("C" if upper in "CS" else "Q", (*points, end)))
    return end, points[-1]


def vertices_of(run: Subpath, matrix: Matrix, *, tolerance: float = TOLERANCE) -> list[Vertex]:
    """Return a subpath as vertices of lines and arcs, converted by the matrix to mm and y up.

    Shape:
        The end point is the last vertex; a closed subpath repeats its start only if the data did.

    Raises:
        ShapeError: when it extends too far, or its curves need too many lines and arcs.

    Tolerance:
        Circles that stay circles are exact; all other curves deviate by at most ``tolerance`` mm.
    """
    vertices: list[Vertex] = []
    at = run.start
    for kind, points in run.steps:
        end = points[-1]
        if len(vertices) > MAX_SEGMENTS:
            detail = f"Curves need more than {MAX_SEGMENTS} lines and arcs; simplify the path."
            raise ShapeError(detail, where=("path",))
        if kind in "CQ" and not _near(matrix, points):
            detail = (
                f"A curve leads more than {LARGEST_COORDINATE / 1000:g} m away; check the unit."
            )
            raise ShapeError(detail, where=("path",))
        if kind == "L":
            vertices.append(_vertex(matrix, at))
        elif kind in "CQ":
            controls = [_mapped(matrix, point) for point in (at, *points)]
            vertices.extend(fitted(bezier(controls), tolerance=tolerance))
        else:
            vertices.extend(_arc(at, points, matrix, tolerance))
        at = end
    vertices.append(_vertex(matrix, at))
    return vertices


def _mapped(matrix: Matrix, point: complex) -> Point:
    a, b, c, d, e, f = matrix
    return Point(a * point.real + c * point.imag + e, b * point.real + d * point.imag + f)


def _near(matrix: Matrix, points: Sequence[complex]) -> bool:
    # Fitting takes longer the longer a curve is, so one of kilometres is rejected first.
    return all(
        abs(value) <= LARGEST_COORDINATE for point in points for value in _mapped(matrix, point)
    )


def _vertex(matrix: Matrix, point: complex) -> Vertex:
    a, b, c, d, e, f = matrix
    x, y = point.real, point.imag
    return Vertex(a * x + c * y + e, b * x + d * y + f)


def keeps_circles(matrix: Matrix) -> bool:
    """Return whether a matrix maps circles to circles."""
    a, b, c, d, _, _ = matrix
    size = math.hypot(a, b)
    return abs(math.hypot(c, d) - size) <= 1e-9 * size and abs(a * c + b * d) <= 1e-9 * size * size


def _arc(
    start: complex, points: Sequence[complex], matrix: Matrix, tolerance: float
) -> list[Vertex]:
    """Return an elliptical arc as vertices, without its end."""
    radii, turn_deg, flags, end = points
    rx, ry = abs(radii.real), abs(radii.imag)
    if start == end:
        return []
    if rx == 0.0 or ry == 0.0:
        return [_vertex(matrix, start)]
    try:
        centre, rx, ry, first, sweep = _centre_form(start, end, rx, ry, turn_deg.real, flags)
    except (OverflowError, ZeroDivisionError):
        # The square of a huge number overflows; a tiny radius gives a division by zero.
        detail = "An arc's radii are too large or too small for its ends; check the unit."
        raise ShapeError(detail, where=("path",)) from None
    turn = math.radians(turn_deg.real)
    if math.isclose(rx, ry, rel_tol=1e-9) and keeps_circles(matrix):
        a, b, c, d, _, _ = matrix
        bent = sweep if a * d - b * c > 0.0 else -sweep
        parts = 2 if abs(sweep) > math.pi * (1.0 + 1e-9) else 1
        bulge = math.tan(bent / parts / 4.0)
        found = []
        for part in range(parts):
            angle = first + turn + sweep * part / parts
            place = start if part == 0 else centre + rx * complex(math.cos(angle), math.sin(angle))
            found.append(Vertex(*_mapped(matrix, place), bulge))
        return found
    axis = complex(math.cos(turn), math.sin(turn))
    u, v = _linear(matrix, rx * axis), _linear(matrix, ry * axis * 1j)
    middle = _mapped(matrix, centre)
    # Huge numbers become infinite, and their differences no numbers at all.
    is_finite = all(map(math.isfinite, (abs(u), abs(v), *middle)))
    if not is_finite or max(abs(u), abs(v)) > LARGEST_COORDINATE:
        detail = f"An ellipse is larger than {LARGEST_COORDINATE / 1000:g} m; check the unit."
        raise ShapeError(detail, where=("path",))
    curve = ellipse_arc(middle, (u, v), first, sweep)
    return fitted(curve, tolerance=tolerance)


def _linear(matrix: Matrix, vector: complex) -> complex:
    a, b, c, d, _, _ = matrix
    return complex(a * vector.real + c * vector.imag, b * vector.real + d * vector.imag)


def _centre_form(
    start: complex, end: complex, rx: float, ry: float, turn_deg: float, flags: complex
) -> tuple[complex, float, float, float, float]:
    """Return centre, radii, first eccentric angle and sweep (F.6.5, F.6.6)."""
    axis = complex(math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg)))
    half = (start - end) / 2.0 * axis.conjugate()
    big = (half.real / rx) ** 2 + (half.imag / ry) ** 2
    if big > 1.0:
        rx, ry = rx * math.sqrt(big), ry * math.sqrt(big)
    below = (rx * half.imag) ** 2 + (ry * half.real) ** 2
    rest = (rx * ry) ** 2 / below - 1.0
    # For a half circle the square root would turn rounding into 1e-8.
    rest = rest if rest > _HALF else 0.0
    sign = -1.0 if flags.real == flags.imag else 1.0
    local = sign * math.sqrt(rest) * complex(rx * half.imag / ry, -ry * half.real / rx)
    centre = local * axis + (start + end) / 2.0

    def angle(point: complex) -> float:
        shifted = (point - centre) * axis.conjugate()
        return math.atan2(shifted.imag / ry, shifted.real / rx)

    first = angle(start)
    sweep = (angle(end) - first) % math.tau
    if not flags.imag:
        sweep -= math.tau
    return centre, rx, ry, first, sweep
