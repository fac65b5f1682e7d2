"""The patch of a template: all edges moved out by the seam allowance, none lost.

Source:
    Convex arcs grow by the allowance, hollow ones shrink by it, lines stay parallel; corners as
    in ``corners``. Area of a fully mitred patch: A + a P + a^2 (sum of cot(angle/2) + half the
    sum of signed sweeps); own derivation, checked in tests/property.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from geometry.errors import AllowanceError
from geometry.measure import corner_turns
from geometry.model.outline import Outline
from geometry.offset.corners import CornerResult, Corners, Treated
from geometry.offset.joined import LostError, joined, ways_round
from geometry.offset.raw import all_widths, move_edges
from geometry.sentences import said

__all__ = ["CornerResult", "Corners", "Patch", "make_patch"]

_NO_EDGES: Mapping[int, float] = {}
_NO_CORNERS: Mapping[int, Corners] = {}
_USUAL = Corners()
#: Cosine of half a turn below which a corner counts as a cusp.
_NEVER = 1.0e-4
#: Bisections to find the largest possible allowance: to a millionth of the requested one.
_HALVINGS = 24


@dataclass(frozen=True)
class Patch:
    """A template's patch, the treatment of each convex corner, and warnings."""

    outline: Outline
    corners: tuple[CornerResult, ...]
    warnings: tuple[str, ...]


def make_patch(
    template: Outline,
    seam_allowance: float,
    *,
    edges: Mapping[int, float] = _NO_EDGES,
    corners: Corners = _USUAL,
    corner_overrides: Mapping[int, Corners] = _NO_CORNERS,
) -> Patch:
    """Return the patch of a simple, counter-clockwise template.

    Shape:
        Counter-clockwise, simple, no more vertices than its lines and arcs need.

    Units:
        mm.

    Args:
        template: the finished outline.
        seam_allowance: of all edges that have none of their own, at least 0.
        edges: allowances of single edges by index, where they differ.
        corners: treatment of convex corners.
        corner_overrides: treatments of single corners by vertex index.

    Raises:
        AllowanceError: when a hollow arc or an edge vanishes or the patch would meet itself;
            ``largest`` is the largest ``seam_allowance`` that works, with the allowances of single
            edges changed in proportion.
    """
    widths = all_widths(template, seam_allowance, edges)
    if min(widths) < 0.0:
        raise AllowanceError("A seam allowance is 0 or more.", largest=None)
    try:
        return _patch(template, widths, corners, corner_overrides)
    except LostError as lost:
        share = _largest_share(template, widths, corners, corner_overrides)
        bound = (seam_allowance or max(widths)) * share
        # Rounded down, so that this value works when requested.
        largest = math.floor(bound * 1000.0) / 1000.0
        alike = (
            "" if set(widths) == {seam_allowance} else ", with those of single edges in proportion"
        )
        detail = (
            # Less than it: the bound itself fails, and units other than mm are rounded to it.
            f"{lost} An allowance that works for this outline is less than {bound:.3f} mm{alike}."
            if largest
            else f"{lost} No allowance works for this outline."
        )
        raise AllowanceError(detail, largest=largest or None) from None


def _largest_share(
    template: Outline,
    widths: tuple[float, ...],
    corners: Corners,
    overrides: Mapping[int, Corners],
) -> float:
    """Return the largest share of the requested widths that works, rounded down."""
    works, fails = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (works + fails) / 2.0
        try:
            _patch(template, tuple(width * middle for width in widths), corners, overrides)
            works = middle
        except LostError:
            fails = middle
    return works


def _patch(
    template: Outline,
    widths: tuple[float, ...],
    corners: Corners,
    overrides: Mapping[int, Corners],
) -> Patch:
    moved = move_edges(template, widths)
    requested = [overrides.get(index, corners) for index in range(len(moved))]
    turns = corner_turns(template)
    ways = ways_round(template, moved, requested, turns)
    outline = joined(moved, ways, turns)
    results: list[CornerResult] = []
    changed: dict[_Change, list[int]] = {}
    for index, (way, spec) in enumerate(zip(ways, requested, strict=True)):
        if way is None or way.treatment == "step":
            continue
        results.append(CornerResult(index, way.treatment, way.tail))
        if way.treatment != spec.kind:
            change = _changed(turns[index], way, (widths[index - 1], widths[index]), spec)
            changed.setdefault(change, []).append(index)
    warnings = tuple(_warning(corners_of, change) for change, corners_of in changed.items())
    return Patch(outline, tuple(results), warnings)


@dataclass(frozen=True)
class _Change:
    """A corner's angle, how it is cut, and why not as requested."""

    angle_deg: float
    treatment: str
    why: str


def _warning(corners: Sequence[int], change: _Change) -> str:
    """Return the warning about corners that are all cut the same way, and not as requested."""
    first, last = ", ".join(map(str, corners[:-1])), corners[-1]
    treatment = {
        "mitre": said("mitre"),
        "blunt": said("blunt"),
        "round": said("round"),
    }[change.treatment]
    how = {"angle": change.angle_deg, "treatment": treatment, "why": change.why}
    if not first:
        return said(
            "corner {last} ({angle:g} degrees) is cut {treatment}: {why}.", last=last, **how
        )
    return said(
        "corners {first} and {last} ({angle:g} degrees) are cut {treatment}: {why}.",
        first=first,
        last=last,
        **how,
    )


def _changed(turn: float, way: Treated, widths: tuple[float, float], corners: Corners) -> _Change:
    """Return how a corner between two allowances is cut, and why not as requested."""
    half = math.cos(turn / 2.0)
    if corners.kind != "mitre":
        why = said("the two edges have different allowances")
    elif half < _NEVER:
        why = said("the edges there never meet")
    else:
        why = said(
            "a mitre would reach {widest:.2f} mm beyond the template's corner, more than "
            "{limit:g} times the allowance",
            widest=_mitre_reach(turn, widths),
            limit=corners.limit,
        )
    angle = math.degrees(math.pi - turn)
    return _Change(round(angle, 3), way.treatment, why)


def _mitre_reach(turn: float, widths: tuple[float, float]) -> float:
    """Return how far beyond a corner the two edges meet once they are moved out, mm.

    Source:
        The point at two distances from two lines through the corner; elementary. With equal
        allowances it is a / sin(angle / 2).
    """
    one, other = widths
    square = one * one + other * other - 2.0 * one * other * math.cos(turn)
    return math.sqrt(square) / math.sin(turn)
