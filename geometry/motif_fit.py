"""How cloth with a printed repeat lies, from motifs that were measured on it.

An affine map (a turn, a move, two stretches and a skew: six numbers) is fitted by least squares.
Three motifs that are not in a line have six coordinates, so they fit it exactly and their residual
is 0 whatever was measured. What they do tell is how far they are from the repeat as it was
printed, only turned and moved: that residual is stated too, and with four motifs or more both are.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from geometry.errors import GeometryError
from geometry.model.motif import Affine

#: Motifs are in a line when the smaller spread is less than this share of the larger one.
_IN_LINE = 0.02
#: Number of unknowns of the map, and of coordinates of three points.
_UNKNOWNS = 6


class MeasuredMotif(NamedTuple):
    """A motif as it was printed (mm within the print), and where it was measured."""

    printed: tuple[float, float]
    measured: tuple[float, float]


@dataclass(frozen=True)
class MotifFit:
    """How cloth lies, and how far measured motifs are from that.

    Attributes:
        lies: the map from the print to the bed.
        residual: the largest distance of a measured motif from the fitted one, mm.
        printed_residual: the same from the print as it is, only turned and moved.
        is_exact: whether there were as many coordinates as unknowns, so that ``residual`` is 0
            by construction.
        turn_deg: by how much the cloth is turned.
        stretch_across: its width over the printed one, along the columns' direction.
        stretch_along: its height over the printed one.
        skew_deg: by how much the angle between width and height is less than a right angle.
    """

    lies: Affine
    residual: float
    printed_residual: float
    is_exact: bool
    turn_deg: float
    stretch_across: float
    stretch_along: float
    skew_deg: float


def fit_motifs(measured: Sequence[MeasuredMotif], base_deg: float = 0.0) -> MotifFit:
    """Return how cloth lies, from three motifs or more.

    Args:
        measured: the motifs.
        base_deg: the turn of the cloth's axes on this bed, which does not count as askew.

    Source:
        Linear least squares for the affine map; the nearest turn and move by the polar
        decomposition of the covariance (Kabsch, Acta Crystallographica A32, 1976).

    Raises:
        GeometryError: when the motifs are in a line or fewer than three.
    """
    printed = np.array([each.printed for each in measured], dtype=np.float64)
    found = np.array([each.measured for each in measured], dtype=np.float64)
    _require_a_triangle(printed)
    rows = np.column_stack([printed, np.ones(len(printed))])
    solution, *_ = np.linalg.lstsq(rows, found, rcond=None)
    (xx, yx), (xy, yy), (x0, y0) = solution.tolist()
    lies = Affine(xx, xy, x0, yx, yy, y0)
    if lies.determinant <= 0.0:
        raise GeometryError(
            "As measured the cloth would lie wrong side up or have no area; check columns and rows."
        )
    across, along = math.hypot(xx, yx), math.hypot(xy, yy)
    angle = math.degrees(math.atan2(lies.determinant, xx * xy + yx * yy))
    exact = found.size == _UNKNOWNS
    residual = 0.0 if exact else float(np.hypot(*(rows @ solution - found).T).max())
    return MotifFit(
        lies,
        residual,
        _rigid_residual(printed, found),
        exact,
        (lies.turn_deg - base_deg + 180.0) % 360.0 - 180.0,
        across,
        along,
        90.0 - angle,
    )


def _require_a_triangle(printed: np.ndarray) -> None:
    spread = np.linalg.svd(printed - printed.mean(axis=0), compute_uv=False)
    if len(printed) < 3 or spread[1] < _IN_LINE * spread[0]:  # noqa: PLR2004 - a triangle
        raise GeometryError(
            "The measured motifs lie in a line, so they do not say how the cloth lies across it; "
            "measure three that form a triangle, far apart."
        )


def _rigid_residual(printed: np.ndarray, found: np.ndarray) -> float:
    """Return the largest distance after the best turn and move, mm."""
    one, other = printed - printed.mean(axis=0), found - found.mean(axis=0)
    cos = float((one * other).sum())
    sin = float((one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]).sum())
    size = math.hypot(cos, sin)
    cos, sin = cos / size, sin / size
    turned = one @ np.array([[cos, sin], [-sin, cos]])
    return float(np.hypot(*(turned - other).T).max())
