"""B-splines, rational or not, as curves for fitting.

Source:
    C. de Boor, "On calculating with B-splines", Journal of Approximation Theory 6 (1972): the
    recursion, here at many parameters at once. The derivative's control points, and the quotient
    rule for weights: L. Piegl, W. Tiller, "The NURBS Book", 2nd edition 1997, chapters 3 and 4.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from geometry.errors import ShapeError
from geometry.model.points import Point
from geometry.shapes.curves import Curve

_Floats: TypeAlias = NDArray[np.float64]

#: A turn of less than this, rad, at a knot is a smooth joint with rounded numbers.
_SMOOTH = 1.0e-5
#: Distance from a knot, as a share of the whole, at which its two directions are taken.
_BESIDE = 1.0e-12


def spline(
    degree: int,
    knots: Sequence[float],
    controls: Sequence[Point],
    weights: Sequence[float] = (),
) -> tuple[Curve, tuple[float, ...], int]:
    """Return a B-spline's curve, the parameters of possible sharp turns, and its spans.

    Args:
        degree: degree of its polynomials, at least one.
        knots: in order; their number is that of control points plus degree plus one.
        controls: control points, mm.
        weights: of the control points, above zero; equal by default.

    Raises:
        ShapeError: when the numbers are inconsistent or out of order.
    """
    at, given = _checked(degree, knots, controls, weights)
    low, high = at[degree], at[len(controls)]
    points = np.array([complex(*point) for point in controls])
    # Weighted points and weights are columns of one table.
    table = np.stack([points * given, given.astype(complex)], axis=1)
    rises = (at[degree + 1 : -1] - at[1 : -degree - 1])[:, None]
    slopes = np.where(rises > 0.0, degree * np.diff(table, axis=0) / np.where(rises, rises, 1), 0)

    def many(parameters: _Floats) -> tuple[NDArray[np.complex128], _Floats]:
        t = low + parameters * (high - low)
        value = _de_boor(degree, at, table, t)
        slope = _de_boor(degree - 1, at[1:-1], slopes, t)
        place = value[:, 0] / value[:, 1]
        return place, np.angle(slope[:, 0] - place * slope[:, 1])

    def point(t: float) -> Point:
        place = many(np.array([t]))[0][0]
        return Point(float(place.real), float(place.imag))

    def direction(t: float) -> float:
        return float(many(np.array([t]))[1][0])

    inner, counts = np.unique(at[(at > low) & (at < high)], return_counts=True)
    full = (inner[counts >= degree] - low) / (high - low)
    # A chain of polynomials made smooth by its control points only appears to have corners.
    turns = many(full + _BESIDE)[1] - many(full - _BESIDE)[1]
    sharp = full[np.abs(np.angle(np.exp(1j * turns))) > _SMOOTH]
    return Curve(point, direction, many), tuple(sharp.tolist()), len(inner) + 1


def _checked(
    degree: int, knots: Sequence[float], controls: Sequence[Point], weights: Sequence[float]
) -> tuple[_Floats, _Floats]:
    """Return a spline's knots, and a weight for each control point."""
    if degree < 1 or len(controls) <= degree or len(knots) != len(controls) + degree + 1:
        raise ShapeError("A spline needs one knot for each control point, and degree + 1 more.")
    at = np.array(knots, dtype=float)
    if not np.isfinite(at).all() or (np.diff(at) < 0.0).any() or not at[degree] < at[len(controls)]:
        raise ShapeError("A spline's knots must rise.")
    given = np.array(weights or [1.0] * len(controls), dtype=float)
    if len(given) != len(controls) or not (np.isfinite(given) & (given > 0.0)).all():
        raise ShapeError("A spline needs one weight above zero for each control point.")
    return at, given


def _de_boor(
    degree: int, knots: _Floats, table: NDArray[np.complex128], t: _Floats
) -> NDArray[np.complex128]:
    """Return values of the spline for a table of control rows, at parameters in its range."""
    span = np.clip(np.searchsorted(knots, t, side="right") - 1, degree, len(table) - 1)
    # At an end with several equal knots, step back to the last span with a length.
    last = int(np.searchsorted(knots, knots[len(table)], side="left")) - 1
    span = np.minimum(span, max(last, degree))
    rows = [table[span - degree + k] for k in range(degree + 1)]
    for level in range(1, degree + 1):
        for k in range(degree, level - 1, -1):
            left = knots[span - degree + k]
            right = knots[span + 1 + k - level]
            wide = right - left
            share = np.where(wide > 0.0, (t - left) / np.where(wide > 0.0, wide, 1.0), 0.0)
            rows[k] = rows[k - 1] + (rows[k] - rows[k - 1]) * share[:, None]
    return rows[degree]
