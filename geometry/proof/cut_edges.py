"""The edges that a tool leaves: what the lines of a plan cut, simulated tool by tool.

A pen and a rule draw their line. The tip of a drag blade trails behind its axis, a beam burns half
its width to either side, and a hand-set blade stabs past both ends of its line.
"""

from __future__ import annotations

import cmath
import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from geometry.model.cutter import DragBlade, IndexedBlade, Laser, Tool
from geometry.proof.curves import Corner, PathSet, Places, length_of, samples, sweep_and_centre
from geometry.proof.drag_tip import tip_trail

#: A heading from which a blade that is drawn into line starts, rad off its line: about a radian.
_ASKEW = 1.0
#: The grid on which headings of a blade count as the same after a line, rad.
_SAME_TAIL = 1.0e-7
#: Vertices of the shortest path with a lead: its start, and a ring of two arcs.
_LEAD_AND_RING = 4


@dataclass(frozen=True, eq=False)
class Stretch:
    """A part of what is cut, which several strokes may have in common.

    ``on_edges`` is the part of its line that follows edges, ``paths`` all that is cut.
    """

    on_edges: Sequence[Corner]
    paths: Sequence[Sequence[Corner]]

    @cached_property
    def lines(self) -> PathSet:
        """All that is cut, for distances."""
        return PathSet(self.paths)

    @cached_property
    def length(self) -> float:
        """The length of all that is cut, mm."""
        return sum(length_of(path) for path in self.paths)


@dataclass(frozen=True)
class Trail:
    """What one stroke cuts, in the frame of its piece.

    ``rows`` is the cut line; ``stabs`` are ends of stabs of a hand-set blade, with how far each may
    reach into a piece, and ``ends`` the stretches that its first and last stab cut past the line,
    each with how far its stab lies beside it. ``shorter`` is what their slant takes off them, mm.
    ``heading`` is that of a drag blade afterwards. ``followed`` is what follows edges, where a beam
    starts in the waste. ``parts`` are stretches of a drag blade's line, of which other strokes may
    have some too.
    """

    rows: Sequence[Corner]
    heading: float | None = None
    stabs: Sequence[complex] = ()
    rough: Sequence[float] = ()
    ends: Sequence[tuple[Sequence[Corner], float]] = ()
    shorter: float = 0.0
    followed: Sequence[Corner] | None = None
    parts: tuple[Stretch, ...] = ()

    @property
    def paths(self) -> list[Sequence[Corner]]:
        """All that is cut, as paths."""
        return [self.rows, *(path for path, _ in self.ends)]

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """All that is cut, in stretches."""
        return self.parts or (Stretch(self.on_edges, self.paths),)

    @cached_property
    def points(self) -> Places:
        """Points of the cut line, without the way of a beam into it."""
        return samples(self.on_edges)

    @property
    def on_edges(self) -> Sequence[Corner]:
        """The part of the cut line that follows edges."""
        return self.rows if self.followed is None else self.followed


def leads_axis(tool: Tool) -> bool:
    """Return whether a plan holds the path of an axis that its tip trails behind."""
    return isinstance(tool, DragBlade) and tool.offset > 0.0 and not tool.machine_compensates


def half_width(tool: Tool) -> float:
    """Return how far a tool cuts to either side of its line, mm."""
    return tool.kerf / 2.0 if isinstance(tool, Laser) else 0.0


def may_have_lead(tool: Tool, operation: str) -> bool:
    """Return whether a stroke may start in the waste: only the cuts of a beam do."""
    return isinstance(tool, Laser) and operation == "cut"


def trail_of(
    rows: Sequence[Corner],
    tool: Tool,
    operation: str,
    angle: float | None,
    heading: float | None,
) -> Trail:
    """Return what a tool cuts along a path.

    Args:
        rows: the path's vertices.
        tool: the tool.
        operation: of the stroke; a drag blade's marks are drawn by a pen.
        angle: of a hand-set blade, rad, in the frame of the path.
        heading: of a drag blade before the stroke, rad; ``None`` for one that lies in line.
    """
    if isinstance(tool, DragBlade) and leads_axis(tool) and operation != "mark":
        return dragged(rows, tool.offset, heading, {})
    if isinstance(tool, IndexedBlade) and angle is not None:
        return _stabbed(rows, tool.width / 2.0, angle)
    return Trail(rows, followed=without_lead(rows) if may_have_lead(tool, operation) else None)


def dragged(
    rows: Sequence[Corner],
    offset: float,
    heading: float | None,
    tails: dict[int, tuple[Stretch, float]],
) -> Trail:
    """Return what a drag blade cuts along a path of its axis.

    Along the first line or arc the blade comes into line, however it lay before; what follows is
    then the same.

    Args:
        rows: the path's vertices.
        offset: rod length, mm.
        heading: of the blade before, rad; ``None`` for one that lies in line.
        tails: what is known of the path after its first line or arc, by the heading there; what is
            found is added.
    """
    entry = _settled(rows, offset) if heading is None else heading
    trail, after = tip_trail(rows[:2], offset, entry)
    head = Stretch(trail, [trail])
    if len(rows) == 2:  # noqa: PLR2004 - one line or arc
        return Trail(trail, after, parts=(head,))
    key = round(math.remainder(after, math.tau) / _SAME_TAIL)
    if key not in tails:
        rest, end = tip_trail(rows[1:], offset, after)
        tails[key] = Stretch(rest, [rest]), end
    tail, end = tails[key]
    return Trail([*trail[:-1], *tail.on_edges], end, parts=(head, tail))


def without_lead(rows: Sequence[Corner]) -> Sequence[Corner]:
    """Return a path without the line that leads to a ring; others are returned as they are."""
    has_ring = len(rows) >= _LEAD_AND_RING and rows[1][0] == rows[-1][0] != rows[0][0]
    has_lead = has_ring and not rows[0][1]
    return rows[1:] if has_lead else rows


def drawn_in(rows: Sequence[Corner], offset: float) -> Trail:
    """Return the tip's path on the stroke that brings a drag blade into line."""
    trail, after = tip_trail(rows, offset, first_heading(rows) + _ASKEW)
    return Trail(trail, after)


def _settled(rows: Sequence[Corner], offset: float) -> float:
    """Return the heading of a blade that already follows the first line or arc of a path.

    Source:
        Round a circle of radius R the rod settles at asin(rod / R) behind the tangent (derived).
    """
    (first, bulge), (last, _) = rows[0], rows[1]
    if not bulge:
        return first_heading(rows)
    _, centre = sweep_and_centre(first, last, bulge)
    behind = math.asin(min(1.0, offset / abs(first - centre)))
    return first_heading(rows) - math.copysign(behind, bulge)


def first_heading(rows: Sequence[Corner]) -> float:
    """Return the direction in which a path starts, rad."""
    return headings_of(rows[0], rows[1])[0]


def headings_of(first: Corner, last: Corner) -> tuple[float, float]:
    """Return the direction of a line or an arc at its start and its end, rad."""
    way = last[0] - first[0]
    chord = math.atan2(way.imag, way.real)
    half = 2.0 * math.atan(first[1])
    return chord - half, chord + half


def _stabbed(rows: Sequence[Corner], half: float, angle: float) -> Trail:
    """Return a hand-set blade's cut, with its stabs where lines and arcs begin and end."""
    reach = cmath.rect(half, angle)
    stabs, rough, past, shorter = [], [], [], []
    for first, last in itertools.pairwise(rows):
        ends, radius = [first[0], last[0]], math.inf
        headings, centre, sweep = [*headings_of(first, last)], 0j, 0.0
        if first[1]:
            # The middle of an arc may lie worst: its direction is between those of its ends.
            sweep, centre = sweep_and_centre(first[0], last[0], first[1])
            radius = abs(first[0] - centre)
            ends.append(centre + (first[0] - centre) * cmath.exp(0.5j * sweep))
            headings.append(headings[0] + sweep / 2.0)
        for place, heading in zip(ends, headings, strict=True):
            stabs += [place - reach, place + reach]
            rough += [_beside(half, angle - heading, radius)] * 2
        # A slanted stab is shorter along its line.
        for place, heading, side in zip(ends, headings, (-1.0, 1.0), strict=False):
            along = side * half * abs(math.cos(angle - heading))
            way = [(place, 0.0), (place + cmath.rect(along, heading), 0.0)]
            if sweep:
                # It lies beside the arc that goes on there, as the others do beside theirs.
                turn = math.copysign(along / radius, sweep * along)
                onward = centre + (place - centre) * cmath.exp(1j * turn)
                way = [(place, math.tan(turn / 4.0)), (onward, 0.0)]
            past.append((way, _beside(half, angle - heading, radius)))
            shorter.append(half - abs(along))
    return Trail(rows, None, stabs, rough, [past[0], past[-1]], shorter[0] + shorter[-1])


def _beside(half: float, mismatch: float, radius: float) -> float:
    """Return how far the end of a stab lies beside a line, or beside an arc that bends away."""
    across = half * abs(math.sin(mismatch))
    if math.isinf(radius):
        return across
    return math.hypot(radius + across, half * math.cos(mismatch)) - radius
