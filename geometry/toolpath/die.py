"""The report of a steel-rule die: its rule, distances, nicks, bridges and press force.

Source:
    Die makers' public notes: rule 2 pt = 0.028 in; minimum distance between rules 3/32 in; 500 lbf
    per inch of rule, ejection 15 % more; holes of 3/8 in and less count as 2.5 in of rule; rules
    side by side within 1/4 in add half the shorter length (HANDBOOK C56 to C58). Nicks, bridges and
    the minimum bend radius are common practice without a published source.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from geometry import polygons
from geometry.model.outline import Outline
from geometry.model.plan import Stroke
from geometry.model.points import turn_between
from geometry.model.segments import Arc, Line, Segment
from geometry.sentences import said
from geometry.toolpath.apart import min_clear_distance
from geometry.toolpath.notches import BRIDGE, NICK_WIDTH, NICKS, Notch, notches
from geometry.units import MM_PER_INCH

#: Minimum clear width between the faces of two rules, mm: room for ejection rubber. The source
#: gives it "to leave room" for the rubber, so the rules' thickness does not count.
MIN_APART = 3.0 / 32.0 * MM_PER_INCH
#: Minimum inside bend radius of a 2 pt rule, mm; sharper corners are mitred.
MIN_BEND = 1.0
#: Press force per length of rule, lbf per inch, and the factor for ejection.
FORCE_PER_INCH, EJECTION = 500.0, 0.15
#: Holes up to this size, mm, count as this length of rule, mm.
_SMALL_HOLE, _HOLE_COUNTS = 3.0 / 8.0 * MM_PER_INCH, 2.5 * MM_PER_INCH
#: Parallel rules within this distance, mm, need more force.
_BESIDE = MM_PER_INCH / 4.0
#: Maximum reported distance between rules, mm.
_LOOKED = MM_PER_INCH
#: Tolerance of "parallel", rad.
_PARALLEL = 1.0e-6
NEWTON_PER_LBF = 4.4482216152605


@dataclass(frozen=True)
class DieReport:
    """The data for the maker of the die and the owner of the press.

    Units:
        mm; force in lbf and kN. ``min_rule_distance`` is clear between the faces of rules that do
        not touch, ``None`` if their lines are over one inch apart; ``nicks`` and ``bridges`` are
        notches in the rule's edge and back.
    """

    rule: float
    rule_length: float
    effective_rule_length: float
    force_lbf: float
    force_kn: float
    min_rule_distance: float | None
    nicks: tuple[Notch, ...]
    bridges: tuple[Notch, ...]
    warnings: tuple[str, ...]


def press_force(length: float) -> float:
    """Return the press force, lbf, for a length of rule, mm, including ejection."""
    return length / MM_PER_INCH * FORCE_PER_INCH * (1.0 + EJECTION)


def force_words(force: float) -> str:
    """Return a press force, lbf, in words, to three figures: the rule of thumb is no better."""
    return f"{_three(force)} lbf ({_three(force * NEWTON_PER_LBF / 1000.0)} kN)"


def _three(value: float) -> str:
    """Return a number to three figures."""
    digits = 2 - math.floor(math.log10(value)) if value > 0.0 else 0
    return f"{round(value, digits):,.{max(0, digits)}f}"


def die_report(rules: Sequence[Stroke], outlines: Sequence[Stroke], rule: float) -> DieReport:
    """Return the report of a die with rules along the cut strokes.

    Args:
        rules: centre lines of the rules: outlines and holes, but a common line only once.
        outlines: the closed outlines and holes that the rules cut, each for itself.
        rule: thickness, mm.
    """
    cuts = [stroke for stroke in rules if stroke.operation == "cut"]
    length = sum(stroke.length for stroke in cuts)
    effective = sum(_effective_length(stroke) for stroke in cuts) + _added_by_neighbours(cuts)
    lines = min_clear_distance(outlines, _LOOKED)
    # The lines are the middles of the rules, so half of each rule stands between two of them.
    apart = None if lines is None else max(0.0, lines - rule)
    nicks, bridges = notches(outlines)
    force = press_force(effective)
    return DieReport(
        rule=rule,
        rule_length=length,
        effective_rule_length=effective,
        force_lbf=force,
        force_kn=force * NEWTON_PER_LBF / 1000.0,
        min_rule_distance=apart,
        nicks=nicks,
        bridges=bridges,
        warnings=(*_warnings(outlines, rule, length, force, apart), _notches_note(nicks, bridges)),
    )


def _effective_length(stroke: Stroke) -> float:
    """Return the length of rule, mm, that counts for the press force: more for small holes."""
    box = Outline(stroke.vertices).bounds
    if stroke.part == "hole" and max(box.width, box.height) <= _SMALL_HOLE + _PARALLEL:
        return max(_HOLE_COUNTS, stroke.length)
    return stroke.length


def _added_by_neighbours(cuts: Sequence[Stroke]) -> float:
    """Return half the shorter length of each pair of parallel rules side by side, added up, mm."""
    lines: list[tuple[int, Segment]] = [
        (number, part)
        for number, stroke in enumerate(cuts)
        for part in stroke.segments
        if isinstance(part, Line)
    ]
    shapes = [polygons.LineString([part.start, part.end]) for _, part in lines]
    if not shapes:
        return 0.0
    tree = polygons.STRtree(shapes)
    firsts, seconds = tree.query(shapes, predicate="dwithin", distance=_BESIDE)
    total = 0.0
    for a, b in sorted(zip(firsts.tolist(), seconds.tolist(), strict=True)):
        (one, first), (other, second) = lines[a], lines[b]
        if a < b and one != other and _facing(first, second):
            total += min(first.length, second.length) / 2.0
    return total


def _facing(first: Segment, second: Segment) -> bool:
    """Return whether two lines are parallel and side by side, not one behind the other."""
    if abs(math.remainder(first.start_heading - second.start_heading, math.pi)) > _PARALLEL:
        return False
    dx, dy = math.cos(first.start_heading), math.sin(first.start_heading)
    along = sorted(
        (end.x - first.start.x) * dx + (end.y - first.start.y) * dy
        for end in (second.start, second.end)
    )
    return min(along[1], first.length) - max(along[0], 0.0) > _PARALLEL


def _warnings(
    rings: Sequence[Stroke], rule: float, length: float, force: float, apart: float | None
) -> list[str]:
    warnings = [
        (
            said(
                "The die holds {length:.1f} mm of steel rule {rule:g} mm thick: the press needs "
                "about {force_words}, ejection included: do not use a press that is rated for "
                "less. The maker of the die and the manual of the press have the last word.",
                rule=rule,
                length=length,
                force_words=force_words(force),
            )
        ),
        (
            said(
                "The drawing is the centre line of the rule's cutting edge (edge in the middle "
                "of the rule), seen from the cutting side, the size that is cut: the inside "
                "dimension between two facing rules is {rule:g} mm less, the outside dimension "
                "{rule:g} mm more.",
                rule=rule,
            )
        ),
    ]
    if apart is not None and apart < MIN_APART - _PARALLEL:
        warnings.append(
            said(
                "Two rules leave {apart:.2f} mm clear between them; ejection rubber needs "
                "{min_apart:.2f} mm (3/32 in): lay the pieces out with a gap of at least "
                "{gap:.2f} mm between their cut lines.",
                apart=apart,
                min_apart=MIN_APART,
                gap=MIN_APART + rule,
            )
        )
    warnings.extend(_bend_warnings(rings, rule))
    return warnings


def _notches_note(nicks: Sequence[Notch], bridges: Sequence[Notch]) -> str:
    return said(
        "Drawn away from corners: {nick_count} nicks, {nick_width:g} mm wide, in the "
        "rule's edge ({nicks} per outline where it has room) as short strokes inwards, "
        "and {bridge_count} bridges, {bridge:g} mm wide, in its back as brackets; "
        "agree on them with the maker of the die.",
        nick_count=len(nicks),
        nick_width=NICK_WIDTH,
        nicks=NICKS,
        bridge_count=len(bridges),
        bridge=BRIDGE,
    )


def _bend_warnings(rings: Sequence[Stroke], rule: float) -> list[str]:
    tight: dict[str, float] = {}
    inward: set[str] = set()
    for stroke in rings:
        parts = stroke.segments
        for part, following in zip(parts, parts[1:] + parts[:1], strict=True):
            if isinstance(part, Arc) and part.radius < MIN_BEND + rule / 2.0:
                tight[stroke.piece] = min(part.radius, tight.get(stroke.piece, math.inf))
            turn = turn_between(part.end_heading, following.start_heading)
            if stroke.closed and turn < -_PARALLEL:
                inward.add(stroke.piece)
    warnings = [
        said(
            "Piece {piece} bends the rule to {radius:.2f} mm; below {min_bend:g} mm inside it "
            "breaks: use two rules mitred.",
            piece=piece,
            radius=radius,
            min_bend=MIN_BEND,
        )
        for piece, radius in sorted(tight.items())
    ]
    warnings.extend(
        said("Piece {piece} has hollow corners; rules are mitred there.", piece=piece)
        for piece in sorted(inward)
    )
    return warnings
