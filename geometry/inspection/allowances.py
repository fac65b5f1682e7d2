"""Seam allowances between outlines: of nested ones, and of pairs drawn apart."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

from geometry.errors import GeometryError
from geometry.inspection.likeness import ALIKE, difference
from geometry.inspection.rays import measure_nested
from geometry.inspection.work import StepBudget
from geometry.measure import area, corner_turns, perimeter
from geometry.model.outline import Outline
from geometry.offset.allowance import make_patch
from geometry.tolerance import SMOOTH_TURN

#: Allowances below this, mm, are ignored: pieces that touch, or lines drawn twice.
_MIN_ALLOWANCE = 0.5
#: Minimum share of a template's edges with a patch edge beside them.
_BESIDE = 0.5
#: Sum of bends below which an area balance is linear.
_STRAIGHT = 1.0e-9
#: Corners sharper than this, rad from a full turn back, are not mitred.
_CUSP = 0.1
#: Relative difference of a calculated perimeter at which a patch is made and compared: blunt and
#: round corners change it.
_MAY_BE = 0.1
#: Steps to make and compare a patch: at least, and for an edge.
_MAKE, _MAKE_EDGE = 50_000, 10_000


@dataclass(frozen=True)
class DrawnAllowance:
    """The allowance between two outlines of a drawing; ``nested`` or drawn apart."""

    template: int
    patch: int
    nested: bool
    min_mm: float
    max_mm: float


@dataclass(frozen=True)
class _Sized:
    """An outline's area, perimeter and bend: the factor of its patch's area and perimeter.

    An outline moved out by w has the area A + P w + B w^2 and the perimeter P + 2 B w.
    """

    area: float
    perimeter: float
    bend: float


def find_allowances(
    outlines: Sequence[Outline], inside: Sequence[int | None], work: StepBudget
) -> Iterator[DrawnAllowance]:
    """Yield the allowances of nested outlines, then of outlines drawn apart.

    Args:
        outlines: simple outlines.
        inside: for each the number of the smallest outline around it.
        work: bounds the measurements.
    """
    for template, patch in enumerate(inside):
        if patch is None:
            continue
        found = measure_nested(outlines[template], outlines[patch], work)
        # A removal hole, or a motif inside an outline, has no parallel edges; pieces that touch
        # have no allowance.
        if found is not None and found.beside >= _BESIDE and found.min_mm >= _MIN_ALLOWANCE:
            yield DrawnAllowance(template, patch, True, found.min_mm, found.max_mm)  # noqa: FBT003
    paired = {index for index, holder in enumerate(inside) if holder is not None}
    paired |= {holder for holder in inside if holder is not None}
    apart = [index for index in range(len(outlines)) if index not in paired]
    sizes = {index: _sized(outlines[index]) for index in apart}
    for first, second in combinations(apart, 2):
        small, large = sorted((first, second), key=lambda index: sizes[index].area)
        wide = _wide_by_area(sizes[small], sizes[large])
        if wide is None or wide < _MIN_ALLOWANCE:
            continue
        # Making a patch costs far more than this comparison.
        around = sizes[small].perimeter + 2.0 * sizes[small].bend * wide
        if not math.isclose(around, sizes[large].perimeter, rel_tol=_MAY_BE):
            continue
        edges = len(outlines[small].vertices) + len(outlines[large].vertices)
        if not work.can_do(_MAKE + _MAKE_EDGE * edges):
            return
        if _is_patch(outlines[small], outlines[large], wide):
            yield DrawnAllowance(small, large, False, wide, wide)  # noqa: FBT003


def _sized(outline: Outline) -> _Sized:
    turns = corner_turns(outline)
    bend = sum(math.tan(turn / 2.0) for turn in turns if SMOOTH_TURN < abs(turn) < math.pi - _CUSP)
    bend += sum(2.0 * math.atan(v.bulge) for v in outline.vertices)
    return _Sized(area(outline), perimeter(outline), bend)


def _wide_by_area(template: _Sized, patch: _Sized) -> float | None:
    """Return the allowance with which a mitred patch has the other's area, or ``None``."""
    more = patch.area - template.area
    if more <= 0.0:
        return None
    root = template.perimeter**2 + 4.0 * template.bend * more
    if abs(template.bend) > _STRAIGHT and root > 0.0:
        return (math.sqrt(root) - template.perimeter) / (2.0 * template.bend)
    return more / template.perimeter


def _is_patch(template: Outline, patch: Outline, wide: float) -> bool:
    try:
        made = make_patch(template, wide).outline
    except GeometryError:
        return False
    same = math.isclose(perimeter(made), perimeter(patch), rel_tol=ALIKE)
    return same and difference(made, patch) <= ALIKE
