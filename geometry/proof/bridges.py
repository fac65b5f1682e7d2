"""Measures the uncut stretches of a ring: the ties that hold a piece, and what was forgotten."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import chain

import numpy as np
from numpy.typing import NDArray

from geometry.proof.curves import Corner, Places, flat
from geometry.proof.cut_edges import Trail

#: Stretches shorter than this, mm, come from the chords of arcs.
_ROUNDING = 1.0e-6
#: Tangent of half the sharpest turn, 166 degrees, beside which all that a disc cannot reach is left
#: out: between arcs that touch it is less than their tangents say.
_SHARPEST = 8.0
#: Most pairs of a line and an edge that are compared at once, for the sake of memory.
_AT_ONCE = 500_000

Numbers = NDArray[np.float64]


def uncut(
    ring: Places, cuts: Iterable[Trail], within: float, *, radius: float = 0.0, side: float = 1.0
) -> list[float]:
    """Return the lengths of the stretches of a ring that no cut runs along, mm.

    Shape:
        Each line of a cut covers the part of an edge opposite to it, as far as both its ends lie
        within reach. Stretches in hollow corners that no disc can reach are left out.

    Args:
        ring: its points; the last is the first.
        cuts: the strokes.
        within: how far from the ring a line may run to cut it, mm.
        radius: of the disc that cuts, mm.
        side: 1 for a piece on the left of its ring, -1 on the right.
    """
    lengths = np.abs(np.diff(ring))
    along = np.concatenate([[0.0], np.cumsum(lengths)])
    ways = list(chain.from_iterable([(each.rows, 0.0), *each.ends] for each in cuts))
    if not ways:
        return [float(along[-1])]
    first, last, reach = _lines(ways, within)
    size = max(1, _AT_ONCE // len(lengths))
    rows = [
        _covered(ring, along, first[at : at + size], last[at : at + size], reach[at : at + size])
        for at in range(0, len(first), size)
    ]
    starts = np.concatenate([row[0] for row in rows])
    order = np.argsort(starts)
    ends = np.maximum.accumulate(np.concatenate([row[1] for row in rows])[order])
    begins, stops = np.concatenate([[0.0], ends]), np.concatenate([starts[order], along[-1:]])
    gaps = stops - begins
    if radius:
        low, high = _unreached(ring, along, radius, side)
        for at in np.flatnonzero(gaps > _ROUNDING):
            over = np.minimum(high, stops[at]) - np.maximum(low, begins[at])
            gaps[at] -= min(gaps[at], over[over > 0.0].sum())
    if len(gaps) > 1:
        # A stretch over the ring's first point comes in two parts.
        gaps = np.concatenate([gaps[1:-1], [max(gaps[0], 0.0) + max(gaps[-1], 0.0)]])
    return [float(gap) for gap in gaps if gap > _ROUNDING]


def _unreached(ring: Places, along: Numbers, radius: float, side: float) -> tuple[Numbers, Numbers]:
    """Return where parts of a ring start and end that no disc can reach, as distances along it.

    Source:
        A disc of radius r that touches both edges of a corner meets them at r tan(turn / 2) from
        it (derived).
    """
    edges = np.diff(ring)
    turns = side * np.angle(edges / np.roll(edges, 1))
    hollow = np.flatnonzero(turns < 0.0)
    reach = radius * np.minimum(np.tan(-turns[hollow] / 2.0), _SHARPEST)
    # Beside the ring's first point they go on at its end.
    places = np.concatenate([along[hollow] + times * along[-1] for times in (-1.0, 0.0, 1.0)])
    reach = np.tile(reach, 3)
    return places - reach, places + reach


def _lines(
    ways: Sequence[tuple[Sequence[Corner], float]], within: float
) -> tuple[Places, Places, Numbers]:
    """Return the starts and ends of all straight lines, and how far each may lie off a ring."""
    rows = [np.array(flat(way)) for way, _ in ways]
    # The first and last stab of a blade may lie beside the edge that they cut.
    reach = [
        np.full(len(row) - 1, within + beside) for row, (_, beside) in zip(rows, ways, strict=True)
    ]
    return (
        np.concatenate([row[:-1] for row in rows]),
        np.concatenate([row[1:] for row in rows]),
        np.concatenate(reach),
    )


def _covered(
    ring: Places, along: Numbers, first: Places, last: Places, reach: Numbers
) -> tuple[Numbers, Numbers]:
    """Return where covered parts of a ring start and end, as distances along it."""
    edges = np.diff(ring)
    lengths = np.abs(edges)
    turned = np.conj(edges) / lengths
    a = (first[:, None] - ring[:-1]) * turned
    b = (last[:, None] - ring[:-1]) * turned
    low = np.clip(np.minimum(a.real, b.real), 0.0, lengths)
    high = np.clip(np.maximum(a.real, b.real), 0.0, lengths)
    line, edge = np.nonzero(high > low)
    a, b, low, high = a[line, edge], b[line, edge], low[line, edge], high[line, edge]
    slope = (b.imag - a.imag) / (b.real - a.real)
    off = np.maximum(
        np.abs(a.imag + slope * (low - a.real)), np.abs(a.imag + slope * (high - a.real))
    )
    near = off <= reach[line]
    return along[edge[near]] + low[near], along[edge[near]] + high[near]
