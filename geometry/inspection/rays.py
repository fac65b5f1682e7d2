"""Measures the allowance between two nested outlines of a drawing, in arrays.

As :mod:`geometry.proof.allowance`, which proves our own patches one ray at a time: rays at right
angles to a template's edges count where they meet a parallel edge of the patch first. Drawings of
other programs have few digits, so that "parallel" is wider here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from geometry.inspection.work import StepBudget
from geometry.model.outline import Outline
from geometry.segment_pairs import Numbers, Segments

#: Positions of rays along an edge, and of points along the patch.
_SHARES, _POINTS = (0.003, 0.5, 0.91), (0.0, 0.19, 0.5, 0.77)
#: Tolerance of "parallel": rad for lines, mm for centres, with a share of the radius.
_PARALLEL, _CENTRE, _CENTRE_SHARE = 1.0e-3, 0.01, 1.0e-4
#: Differences of a file's rounding, mm.
_ROUNDING = 1.0e-3
#: Shares of a segment's length beyond its ends that still belong to it.
_BEYOND = 1.0e-9
#: Steps for a ray or a point and an edge.
_STEPS = 5
#: Maximum numbers of an array at a time: what a processor keeps near, and memory without new pages.
_CHUNK = 15_000


@dataclass(frozen=True)
class NestedAllowance:
    """Smallest and largest allowance, mm, and the share of template edges that it is beside."""

    min_mm: float
    max_mm: float
    beside: float


def measure_nested(template: Outline, patch: Outline, work: StepBudget) -> NestedAllowance | None:
    """Return the allowance from a template to the patch around it; ``None`` without work left."""
    inner, outer = Segments([template.segments]), Segments([patch.segments])
    steps = _STEPS * (len(_SHARES) + len(_POINTS)) * len(inner.parts) * len(outer.parts)
    if not work.can_do(steps):
        return None
    origins = _at(template, _SHARES)
    headings = np.array([part.heading_at(s) for part in template.segments for s in _SHARES])
    edges = np.repeat(np.arange(len(inner.parts)), len(_SHARES))
    lengths = _rays(inner, outer, edges, origins, headings)
    is_met = np.isfinite(lengths)
    if not is_met.any():
        return NestedAllowance(0.0, 0.0, 0.0)
    normals = np.stack([np.sin(headings), -np.cos(headings)], axis=1)
    ends = origins[is_met] + lengths[is_met, None] * normals[is_met]
    # A ray to whose end another edge is nearer has crossed a notch.
    is_foot = _distances(inner, ends) >= lengths[is_met] - _ROUNDING
    if not is_foot.any():
        return NestedAllowance(0.0, 0.0, 0.0)
    found = lengths[is_met][is_foot]
    beside = len(np.unique(edges[is_met][is_foot])) / len(inner.parts)
    near = float(_distances(inner, _at(patch, _POINTS)).min())
    return NestedAllowance(min(float(found.min()), near), float(found.max()), beside)


def _at(outline: Outline, shares: tuple[float, ...]) -> Numbers:
    return np.array([part.point_at(share) for part in outline.segments for share in shares])


def _rays(
    inner: Segments, outer: Segments, edges: NDArray[np.intp], origins: Numbers, headings: Numbers
) -> Numbers:
    """Return each ray's length to the first edge it meets if that is parallel, else infinity."""
    found = np.full(len(origins), np.inf)
    step = max(1, _CHUNK // len(outer.parts))
    for begin in range(0, len(origins), step):
        rows = slice(begin, begin + step)
        lengths = _hits(outer, origins[rows], headings[rows])
        nearest = lengths.argmin(axis=1)
        best = lengths[np.arange(len(nearest)), nearest]
        edge = edges[rows]
        bend = outer_heading(outer)[nearest] - headings[rows]
        is_parallel = np.abs((bend + math.pi / 2) % math.pi - math.pi / 2) <= _PARALLEL
        apart = np.hypot(*(outer.centre[nearest] - inner.centre[edge]).T)
        reach = _CENTRE + _CENTRE_SHARE * outer.radius[nearest]
        arcs, others = outer.is_arc[nearest], inner.is_arc[edge]
        is_alike = np.where(arcs & others, apart <= reach, is_parallel & ~arcs & ~others)
        found[rows] = np.where(is_alike, best, np.inf)
    return found


def outer_heading(table: Segments) -> Numbers:
    """Return the directions of chords, rad."""
    return np.asarray(np.arctan2(table.chord[:, 1], table.chord[:, 0]))


def _hits(table: Segments, origins: Numbers, headings: Numbers) -> Numbers:
    """Return the distances along rays (rows), to the right of a heading, to segments (columns)."""
    nx, ny = np.sin(headings)[:, None], -np.cos(headings)[:, None]
    found = np.full((len(origins), len(table.parts)), np.inf)
    lines, arcs = np.flatnonzero(~table.is_arc), np.flatnonzero(table.is_arc)
    if len(lines):
        dx, dy = table.chord[lines].T
        wx, wy = (table.start[lines].T[:, None, :]) - origins.T[:, :, None]
        across = nx * dy - ny * dx
        with np.errstate(divide="ignore", invalid="ignore"):
            share = (wx * ny - wy * nx) / across
            along = (wx * dy - wy * dx) / across
        is_hit = (share >= -_BEYOND) & (share <= 1.0 + _BEYOND) & (along >= 0.0)
        found[:, lines] = np.where(is_hit, along, np.inf)
    if len(arcs):
        cx, cy = (table.centre[arcs].T[:, None, :]) - origins.T[:, :, None]
        along = cx * nx + cy * ny
        half_squared = table.radius[arcs] ** 2 - (cx * cx + cy * cy - along * along)
        half = np.sqrt(np.maximum(half_squared, 0.0))
        best = np.full(along.shape, np.inf)
        for length in (along - half, along + half):
            x, y = origins[:, :1] + length * nx, origins[:, 1:] + length * ny
            is_hit = (half_squared >= 0.0) & (length >= 0.0) & _on_arcs(table, arcs, x, y)
            best = np.where(is_hit & (length < best), length, best)
        found[:, arcs] = best
    return found


def _on_arcs(table: Segments, arcs: NDArray[np.intp], x: Numbers, y: Numbers) -> NDArray[np.bool_]:
    """Return whether points on the circles of arcs are on the far side of their chords."""
    dx, dy = table.chord[arcs].T
    side = dx * (y - table.start[arcs, 1]) - dy * (x - table.start[arcs, 0])
    slack = _BEYOND * table.length[arcs] * table.radius[arcs]
    return np.asarray(np.where(table.bulge[arcs] > 0.0, side <= slack, side >= -slack))


def _distances(table: Segments, points: Numbers) -> Numbers:
    """Return the distances of points from the nearest of the segments, mm."""
    found = np.empty(len(points))
    step = max(1, _CHUNK // len(table.parts))
    everything = np.arange(len(table.parts))
    squared = np.maximum(table.length**2, 1e-300)
    for begin in range(0, len(points), step):
        x, y = points[begin : begin + step].T[:, :, None]
        dx, dy = x - table.start[:, 0], y - table.start[:, 1]
        share = np.clip((dx * table.chord[:, 0] + dy * table.chord[:, 1]) / squared, 0.0, 1.0)
        px, py = dx - share * table.chord[:, 0], dy - share * table.chord[:, 1]
        off = np.sqrt(px * px + py * py)
        if table.is_arc.any():
            ax, ay = x - table.centre[:, 0], y - table.centre[:, 1]
            away = np.hypot(ax, ay)
            scale = table.radius / np.maximum(away, 1e-300)
            foot = table.centre[:, 0] + scale * ax, table.centre[:, 1] + scale * ay
            ends = np.minimum(np.hypot(dx, dy), np.hypot(x - table.end[:, 0], y - table.end[:, 1]))
            on_arc = _on_arcs(table, everything, *foot)
            off = np.where(table.is_arc, np.where(on_arc, np.abs(away - table.radius), ends), off)
        found[begin : begin + step] = off.min(axis=1)
    return found
