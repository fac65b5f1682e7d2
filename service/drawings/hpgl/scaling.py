"""The plane of a plotter: scaling points, user units and rotation.

Source:
    "The HP-GL/2 and HP RTL Reference Guide", Addison-Wesley 1996: a plotter unit is 0.025 mm; IP
    sets the scaling points P1 and P2 in plotter units, SC the user units that lie on them, of one
    size in both directions (type 1), by a factor (type 2) or of their own; RO turns the plane.
"""

from __future__ import annotations

import math

from geometry.shapes.paths import Matrix
from geometry.units import PLOTTER_UNITS_PER_MM
from service.drawings.drawing import DrawingError
from service.drawings.hpgl.words import Word
from service.drawings.svg.transforms import times

_ISOTROPIC, _BY_FACTOR = 1, 2


class PlotterScale:
    """What turns the numbers of instructions into mm."""

    def __init__(self) -> None:
        self._points: tuple[float, float, float, float] | None = None
        self._scaled: Matrix | None = None
        self._stated: Word | None = None
        self._turn: Matrix = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0)

    @property
    def matrix(self) -> Matrix:
        """Return the matrix from the numbers of coordinates to mm."""
        mm = 1.0 / PLOTTER_UNITS_PER_MM
        plotter = times((mm, 0.0, 0.0, mm, 0.0, 0.0), self._turn)
        return times(plotter, self._scaled) if self._scaled is not None else plotter

    def reset(self) -> None:
        """Go back to plotter units."""
        self._scaled = self._stated = None

    def input_points(self, word: Word) -> None:
        """Set P1 and P2; with two numbers P2 keeps its place beside P1.

        Raises:
            DrawingError: for numbers that it cannot have.
        """
        values = word.values
        if len(values) == 2 and self._points is not None:  # noqa: PLR2004 - P1 alone
            x, y, right, top = self._points
            values = (*values, values[0] + right - x, values[1] + top - y)
        if len(values) not in {0, 4}:
            raise DrawingError(f"{word.place} needs four numbers: P1 and P2.")
        self._points = (values[0], values[1], values[2], values[3]) if values else None
        if self._stated is not None:
            self.scale(self._stated)

    def scale(self, word: Word) -> None:
        """Set user units, or plotter units without numbers.

        Raises:
            DrawingError: for numbers that it cannot have, or without scaling points.
        """
        values = word.values
        self._scaled, self._stated = None, word if values else None
        if not values:
            return
        kind = int(values[4]) if len(values) > 4 else 0  # noqa: PLR2004 - after four bounds
        if len(values) < 4 or len(values) > 7 or kind not in {0, 1, 2}:  # noqa: PLR2004 - as above
            raise DrawingError(f"{word.place} needs four numbers and a type from 0 to 2.")
        if self._points is None:
            raise DrawingError(
                f"{word.place} scales to points that depend on the machine; add IP with four "
                "numbers before it, or send plotter units."
            )
        x, y, right, top = self._points
        if kind == _BY_FACTOR:
            # The second and fourth number are plotter units per user unit.
            left, sx, bottom, sy = values[:4]
        else:
            left, most, bottom, highest = values[:4]
            if left == most or bottom == highest:
                raise DrawingError(f"{word.place} has a range without width.")
            sx, sy = (right - x) / (most - left), (top - y) / (highest - bottom)
            if kind == _ISOTROPIC:
                x, y, sx, sy = _isotropic(values, (x, y, right, top), sx, sy)
        if not (sx and sy and math.isfinite(sx) and math.isfinite(sy)):
            raise DrawingError(f"{word.place} has a scale of zero.")
        self._scaled = (sx, 0.0, 0.0, sy, x - left * sx, y - bottom * sy)

    def rotate(self, word: Word) -> None:
        """Turn the plane by quarters about the plotter's origin.

        Raises:
            DrawingError: for numbers that it cannot have.
        """
        degrees = word.values[0] % 360.0 if word.values else 0.0
        turns: dict[float, Matrix] = {
            0.0: (1.0, 0.0, 0.0, 1.0, 0.0, 0.0),
            90.0: (0.0, 1.0, -1.0, 0.0, 0.0, 0.0),
            180.0: (-1.0, 0.0, 0.0, -1.0, 0.0, 0.0),
            270.0: (0.0, -1.0, 1.0, 0.0, 0.0, 0.0),
        }
        if degrees not in turns:
            raise DrawingError(f"{word.place} turns by 0, 90, 180 or 270 degrees.")
        self._turn = turns[degrees]


def _isotropic(
    values: tuple[float, ...], points: tuple[float, float, float, float], sx: float, sy: float
) -> tuple[float, float, float, float]:
    """Return the corner and equal scales; what is left over lies beside by shares (default half).

    Mirrored axes keep their direction.
    """
    x, y, right, top = points
    size = min(abs(sx), abs(sy))
    across, up = math.copysign(size, sx), math.copysign(size, sy)
    left_share = values[5] / 100.0 if len(values) > 5 else 0.5  # noqa: PLR2004 - after the type
    bottom_share = values[6] / 100.0 if len(values) > 6 else 0.5  # noqa: PLR2004 - as above
    x += (right - x - across * (values[1] - values[0])) * left_share
    y += (top - y - up * (values[3] - values[2])) * bottom_share
    return x, y, across, up


def forth(matrix: Matrix, point: complex) -> complex:
    """Return a point in mm."""
    a, b, c, d, e, f = matrix
    return complex(a * point.real + c * point.imag + e, b * point.real + d * point.imag + f)


def back(matrix: Matrix, point: complex) -> complex:
    """Return a point in mm in the numbers of coordinates."""
    a, b, c, d, e, f = matrix
    size = a * d - b * c
    x, y = point.real - e, point.imag - f
    return complex((d * x - c * y) / size, (a * y - b * x) / size)
