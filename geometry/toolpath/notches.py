"""Nicks in a rule's edge and bridges in its back, away from corners, and their drawing.

A nick leaves the sheet uncut at a point, so that pieces stay in it until they are blanked. A bridge
is a notch in the back where the die board holds together. Both are in the rule of one edge:
outlines with a common edge share its notches.

Source:
    Common practice without a published source for the sizes: nicks of 0.3 to 0.8 mm, 2 to 4 per
    outline; 6 mm of board or more at a bridge, one or two per side.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from geometry.model.outline import Vertex
from geometry.model.plan import Stroke
from geometry.model.points import Point, ahead
from geometry.model.segments import Segment
from geometry.toolpath.shared_edges import shared_edges
from geometry.toolpath.ties import tie_counts

#: Nicks per outline, their width, mm; width of board at each bridge, mm.
NICKS, NICK_WIDTH, BRIDGE = 2, 0.5, 6.0
#: Minimum length of sides with one bridge, and with two, mm.
_ONE_FROM, _TWO_FROM = 4.0 * BRIDGE, 20.0 * BRIDGE
#: Minimum distance of nicks from corners, mm.
_OFF_CORNERS = 2.0
#: Distance of a bridge's bracket from the rule, and half of a nick's stroke, mm.
_TICK = 1.0
_LEFT = math.pi / 2.0


@dataclass(frozen=True)
class Notch:
    """A nick or bridge: its middle on the rule's line and its length.

    Units:
        mm. ``owners`` are the numbers of the outlines that the rule cuts there.
    """

    kind: Literal["nick", "bridge"]
    at: Point
    part: Segment
    owners: tuple[int, ...]


def notches(outlines: Sequence[Stroke]) -> tuple[tuple[Notch, ...], tuple[Notch, ...]]:
    """Return the nicks and bridges of the rules round outlines.

    Args:
        outlines: the closed outlines, separately.
    """
    if not outlines:
        return (), ()
    edges = shared_edges(outlines)
    counts = tie_counts(edges, len(outlines), NICKS, _OFF_CORNERS)
    nicks: list[Notch] = []
    bridges: list[Notch] = []
    for number, edge in enumerate(edges):
        count = counts.get(number, 0)
        nicks.extend(_spread("nick", edge.part, edge.owners, count, NICK_WIDTH))
        long = edge.part.length
        # Nicks are at halves or thirds of a side, bridges between them.
        share = 0 if long < _ONE_FROM else 1 if long < _TWO_FROM else 2
        bridges.extend(_between("bridge", edge.part, edge.owners, share, count))
    return tuple(nicks), tuple(bridges)


def _spread(
    kind: Literal["nick", "bridge"],
    part: Segment,
    owners: tuple[int, ...],
    count: int,
    width: float,
) -> Iterator[Notch]:
    for place in range(count):
        yield _notch(kind, part, owners, (place + 1) / (count + 1), width)


def _between(
    kind: Literal["nick", "bridge"],
    part: Segment,
    owners: tuple[int, ...],
    count: int,
    nicks: int,
) -> Iterator[Notch]:
    """Yield bridges clear of an edge's nicks."""
    if nicks == 0:
        yield from _spread(kind, part, owners, count, BRIDGE)
        return
    taken = [(place + 1) / (nicks + 1) for place in range(nicks)]
    gaps = [(a + b) / 2.0 for a, b in zip([0.0, *taken], [*taken, 1.0], strict=True)]
    room = part.length / (nicks + 1)
    if room < BRIDGE + 2.0 * _OFF_CORNERS:
        return
    # The outermost free positions first, because bridges far apart hold the board best.
    for share in [gaps[0], gaps[-1]][:count]:
        yield _notch(kind, part, owners, share, BRIDGE)


def _notch(
    kind: Literal["nick", "bridge"],
    part: Segment,
    owners: tuple[int, ...],
    share: float,
    width: float,
) -> Notch:
    half = width / part.length / 2.0
    stretch = part.between(share - half, share + half)
    return Notch(kind, part.point_at(share), stretch, owners)


def drawn(found: Sequence[Notch], outlines: Sequence[Stroke]) -> list[Stroke]:
    """Return strokes for notches: a nick is an inward tick, a bridge a bracket inside.

    Shape:
        With the operation ``mark`` and their own part, as notes to the maker.
    """
    strokes = []
    for notch in found:
        part = notch.part
        if notch.kind == "nick":
            heading = part.heading_at(0.5)
            ends: tuple[Point, ...] = (notch.at, ahead(notch.at, heading + _LEFT, 2.0 * _TICK))
        else:
            first = ahead(part.start, part.start_heading + _LEFT, _TICK)
            last = ahead(part.end, part.end_heading + _LEFT, _TICK)
            ends = (part.start, first, last, part.end)
        owner = outlines[notch.owners[0]]
        alone = len(notch.owners) == 1
        strokes.append(
            Stroke(
                "mark",
                tuple(Vertex(*end) for end in ends),
                closed=False,
                piece=owner.piece if alone else "",
                placement=owner.placement if alone else None,
                part=notch.kind,
            )
        )
    return strokes
