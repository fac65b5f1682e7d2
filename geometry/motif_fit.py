"""How cloth with a printed repeat lies, from motifs that were measured on it.

An affine map (a turn, a move, two stretches and a skew: six numbers) is fitted by least squares.
Three motifs that are not in a line have six coordinates, so they fit it exactly and their residual
is 0 whatever was measured. What they do tell is how far they are from the repeat as it was
printed, only turned and moved: that residual is stated too, and with four motifs or more both are.
Where it is less than anybody measures, a turn and a move are taken as the fit: stretch and skew
would be those of the measuring, and pieces as large as the repeat would overlap by them.
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
#: Motifs this near to the print as it was printed, mm, do not show that it is stretched or skewed:
#: cloth is neither laid nor measured more exactly.
_AS_PRINTED = 0.05
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
        is_as_printed: whether the fit is such a turn and move.
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
    is_as_printed: bool
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

    Tolerance:
        A print that is nowhere farther from the motifs than 0.05 mm is only turned and moved.

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
    rigid, printed_residual = _only_turned(printed, found)
    is_as_printed = printed_residual <= _AS_PRINTED
    exact = found.size == _UNKNOWNS and not is_as_printed
    residual = 0.0 if exact else float(np.hypot(*(rows @ solution - found).T).max())
    if is_as_printed:
        lies, residual = rigid, printed_residual
    across, along = math.hypot(lies.xx, lies.yx), math.hypot(lies.xy, lies.yy)
    angle = math.atan2(lies.determinant, lies.xx * lies.xy + lies.yx * lies.yy)
    return MotifFit(
        lies,
        residual,
        printed_residual,
        is_as_printed,
        exact,
        (lies.turn_deg - base_deg + 180.0) % 360.0 - 180.0,
        across,
        along,
        90.0 - math.degrees(angle),
    )


def _require_a_triangle(printed: np.ndarray) -> None:
    spread = np.linalg.svd(printed - printed.mean(axis=0), compute_uv=False)
    if len(printed) < 3 or spread[1] < _IN_LINE * spread[0]:  # noqa: PLR2004 - a triangle
        raise GeometryError(
            "The measured motifs lie in a line, so they do not say how the cloth lies across it; "
            "measure three that form a triangle, far apart."
        )


def _only_turned(printed: np.ndarray, found: np.ndarray) -> tuple[Affine, float]:
    """Return the best turn and move, and the largest distance after it, mm."""
    middle, there = printed.mean(axis=0), found.mean(axis=0)
    one, other = printed - middle, found - there
    cos = float((one * other).sum())
    sin = float((one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]).sum())
    size = math.hypot(cos, sin)
    cos, sin = cos / size, sin / size
    turned = one @ np.array([[cos, sin], [-sin, cos]])
    x, y = (float(each) for each in there - middle @ np.array([[cos, sin], [-sin, cos]]))
    return Affine(cos, -sin, x, sin, cos, y), float(np.hypot(*(turned - other).T).max())
