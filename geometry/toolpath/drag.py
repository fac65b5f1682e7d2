"""Compensation of drag blades: the axis path for which the blade's tip follows the strokes.

The axis leads the tip by the offset along the tip's heading. For a line that is the shifted line;
for an arc it is a concentric arc with radius sqrt(r^2 + offset^2); where the heading jumps, the
axis swings about the fixed tip on an arc of radius offset. The raised blade keeps its heading, so
each stroke starts with the heading of the last one.

Source:
    Own derivation; the tip's path is the axis's tractrix, simulated in geometry.proof.drag_tip.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from geometry.errors import InternalError
from geometry.model.cutter import DragBlade
from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.model.points import Point, ahead, distance, turn_between
from geometry.model.segments import Segment
from geometry.sentences import said
from geometry.tolerance import SHORTEST_EDGE
from geometry.toolpath.apart import min_rule_distance

#: Tolerance of gaps, mm.
_ROUNDING = 1.0e-3

#: Swings that move the axis by less than this, mm, become a straight step.
_STEP = 0.01
#: Overlap of a closed cut beyond its start, mm, because blades are thick and cut at a slant.
OVERCUT = 1.0
#: Range of usual offsets, mm. Source: a blade supplier's published range (0.007 to 0.039 in).
USUAL_OFFSETS = (0.175, 1.0)
#: Edges and radii of less than this many offsets are too small for the blade.
MIN_OFFSETS = 3.0


def compensated(
    blade: DragBlade, strokes: Sequence[Stroke], heading: float | None
) -> tuple[list[Stroke], float | None]:
    """Return the axis's paths for the strokes, and the blade's heading after the last.

    Shape:
        Closed strokes become open: they overlap their own start by ``OVERCUT``. Strokes of the
        operation ``mark`` belong to a pen and do not change.

    Args:
        blade: its offset, mm.
        strokes: the tip's paths, in order.
        heading: direction of the blade, rad; ``None`` if unknown.
    """
    if not blade.offset or blade.machine_compensates:
        return list(strokes), heading
    done = []
    for stroke in strokes:
        if stroke.operation == "mark":
            done.append(stroke)
            continue
        parts = [*stroke.segments]
        if stroke.closed:
            parts.append(_overcut(parts[0]))
        vertices, heading = _axis(parts, blade.offset, heading)
        done.append(replace(stroke, vertices=vertices, closed=False))
    return done, heading


def _overcut(first: Segment) -> Segment:
    return first.between(0.0, min(1.0, OVERCUT / first.length))


def _axis(
    parts: Sequence[Segment], offset: float, heading: float | None
) -> tuple[tuple[Vertex, ...], float]:
    """Return the axis's path over joined segments, and the heading at its end."""
    vertices: list[Vertex] = []
    for part in parts:
        if heading is not None:
            vertices.extend(_swing(part.start, heading, part.start_heading, offset))
        begin = ahead(part.start, part.start_heading, offset)
        heading = part.end_heading
        vertices.append(Vertex(begin.x, begin.y, part.bulge))
    tip = parts[-1].end
    if heading is None:
        raise InternalError("a stroke without a segment cannot be followed by a blade")
    end = ahead(tip, heading, offset)
    vertices.append(Vertex(end.x, end.y))
    return _without_specks(vertices), heading


def _swing(tip: Point, before: float, after: float, offset: float) -> list[Vertex]:
    turn = turn_between(before, after)
    begin = ahead(tip, before, offset)
    return [Vertex(begin.x, begin.y, 0.0 if abs(turn) * offset < _STEP else math.tan(turn / 4.0))]


def _without_specks(vertices: Sequence[Vertex]) -> tuple[Vertex, ...]:
    """Drop steps too short for any machine (a smooth joint's two equal axis points)."""
    kept = [vertices[0]]
    for vertex in vertices[1:]:
        if distance(kept[-1].point, vertex.point) < SHORTEST_EDGE:
            kept[-1] = kept[-1]._replace(bulge=vertex.bulge)
        else:
            kept.append(vertex)
    return tuple(kept)


def warnings(blade: DragBlade, strokes: Sequence[Stroke]) -> list[str]:
    """Return warnings about details too small for the blade, with the expected error."""
    offset = blade.offset
    if not offset:
        return []
    warnings = []
    low, high = USUAL_OFFSETS
    if not low <= offset <= high:
        warnings.append(
            said(
                "A blade offset of {offset:g} mm is outside the usual {low:g} to {high:g} mm; "
                "check it by cutting a small square: corners must come out sharp.",
                offset=offset,
                low=low,
                high=high,
            )
        )
    if blade.machine_compensates:
        warnings.append(
            said(
                "The machine compensates: set its own blade offset to {offset:g} mm; the paths "
                "are the pieces' outlines.",
                offset=offset,
            )
        )
    least = MIN_OFFSETS * offset
    cuts = [stroke for stroke in strokes if stroke.operation != "mark" and stroke.part != "line-up"]
    warnings.extend(_too_small(cuts, "edge", least, offset))
    warnings.extend(_too_small(cuts, "arc", least, offset))
    apart = min_rule_distance([stroke for stroke in cuts if stroke.part == "outline"])
    if apart is not None and apart < 2.0 * offset - _ROUNDING:
        warnings.append(
            said(
                "Pieces lie {apart:.2f} mm apart, less than the {swing:g} mm in which the "
                "blade swings: the strip between them may tear and pull edges by up to "
                "{pull:.2f} mm; a wider gap is safer.",
                apart=apart,
                swing=2.0 * offset,
                pull=2.0 * offset - apart,
            )
        )
    return warnings


def _too_small(strokes: Sequence[Stroke], what: str, least: float, offset: float) -> list[str]:
    small: dict[str, float] = {}
    for stroke in strokes:
        for part in stroke.segments:
            size = part.length if what == "edge" else getattr(part, "radius", math.inf)
            if size < least:
                small[stroke.piece] = min(size, small.get(stroke.piece, math.inf))
    template = (
        said(
            "{{piece}}: its smallest edge is {{size:.3g}} mm long, below three blade offsets "
            "({least:.3g} mm); the blade may not align there; expect errors up to {offset:g} mm.",
            least=least,
            offset=offset,
        )
        if what == "edge"
        else said(
            "{{piece}}: its smallest arc is {{size:.3g}} mm in radius, below three blade offsets "
            "({least:.3g} mm); the blade may not align there; expect errors up to {offset:g} mm.",
            least=least,
            offset=offset,
        )
    )
    return [
        template.format(piece=_named(piece), size=size) for piece, size in sorted(small.items())
    ]


def _named(piece: str) -> str:
    return said("Piece {piece}", piece=piece) if piece else said("A cut")
