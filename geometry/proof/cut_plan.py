"""Proves that a cut plan cuts the pieces of its load, before any file is written.

What the tool cuts is simulated from the plan alone (:mod:`geometry.proof.cut_edges`) and compared
with every outline, hole and mark where its placement puts it. Pieces that are cut alike are
measured once, so the cost grows with the number of different pieces and turns.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from geometry.model.cutter import IndexedBlade, Laser, Tool
from geometry.model.outline import Region
from geometry.model.placement import Placement
from geometry.model.plan import NOTES, CutPlan, Stroke
from geometry.proof.blade_angles import angle_faults
from geometry.proof.common_cuts import common_faults
from geometry.proof.cut_edges import (
    Stretch,
    Trail,
    dragged,
    drawn_in,
    half_width,
    leads_axis,
    may_have_lead,
    trail_of,
)
from geometry.proof.frames import (
    ROW_BYTES,
    corners_in_frame,
    from_anywhere,
    grid_of,
    in_frames,
    vertices_of,
)
from geometry.proof.piece_cuts import PieceEdges, TiesLeft, mark_faults, piece_faults
from geometry.proof.waste import waste_faults

#: The grid on which headings of a blade count as alike, rad.
_ALIKE_HEADING = 1.0e-4
#: Rounding of places on a bed, mm.
_ROUNDING = 1.0e-3
#: Maximum number of reported faults.
_MAX_TOLD = 5


@dataclass(frozen=True)
class CutOptions:
    """What a run asks of its tool.

    ``max_mismatch_deg`` is the largest angle between a hand-set blade and an edge.
    """

    ties: TiesLeft = field(default_factory=TiesLeft)
    common_line: bool = False
    max_mismatch_deg: float = 90.0


class _Simulated(NamedTuple):
    """What one stroke cuts: ``alike`` is equal for strokes that cut the same of their piece."""

    number: int
    alike: int
    operation: str
    trail: Trail


class PlanProof:
    """Proves the plans of one run's loads."""

    def __init__(
        self, regions: Mapping[str, Region], tool: Tool, options: CutOptions | None = None
    ) -> None:
        """Take the pieces at size, the tool, and what the run asks of it."""
        self.regions, self.tool = regions, tool
        self.options = options or CutOptions()
        self._edges: dict[tuple[str, bool], PieceEdges] = {}
        #: What strokes cut, by their vertices from the first; and from anywhere.
        self._trails: dict[tuple[object, ...], tuple[int, Trail]] = {}
        self._alike: dict[tuple[object, ...], tuple[int, Trail]] = {}
        #: What a drag blade cuts after the first line or arc of a path, by its heading there.
        self._tails: dict[tuple[object, ...], dict[int, tuple[Stretch, float]]] = {}
        self._known: dict[tuple[object, ...], tuple[tuple[str, str], ...]] = {}

    def faults(self, placements: Sequence[Placement], plan: CutPlan) -> list[str]:
        """Return what is wrong with the plan of a load, as sentences; empty if nothing is."""
        return list(itertools.islice(self._faults(placements, plan), _MAX_TOLD))

    def edges_of(self, placement: Placement) -> PieceEdges:
        """Return the edges of a placed piece, in its own frame."""
        key = (placement.piece, placement.move.mirrored)
        if key not in self._edges:
            region = self.regions[placement.piece]
            self._edges[key] = PieceEdges(region, half_width(self.tool), is_mirrored=key[1])
        return self._edges[key]

    def _faults(self, placements: Sequence[Placement], plan: CutPlan) -> Iterator[str]:
        if plan.tool_kind != self.tool.kind:
            yield f"the plan is for a {plan.tool_kind}, the tool is a {self.tool.kind}"
        numbers = [at for at, each in enumerate(plan.strokes) if each.part not in NOTES]
        strokes = [plan.strokes[at] for at in numbers]
        for number, stroke in zip(numbers, strokes, strict=True):
            place = stroke.placement
            if place is not None and not (
                0 <= place < len(placements) and placements[place].piece == stroke.piece
            ):
                yield f"stroke {number} is of no placed piece"
                return
        rows = vertices_of(strokes)
        if not np.isfinite(rows).all():
            yield "a stroke has a number that is not finite"
            return
        yield from _off_bed(rows, plan)
        if isinstance(self.tool, IndexedBlade):
            yield from angle_faults(plan, self.tool, math.radians(self.options.max_mismatch_deg))
        own: list[list[_Simulated]] = [[] for _ in placements]
        loose = []
        trails = self._trails_of(strokes, rows, placements)
        for number, (key, stroke, trail) in zip(numbers, trails, strict=True):
            if stroke.placement is None:
                loose.append((stroke, trail))
            else:
                own[stroke.placement].append(_Simulated(number, key, stroke.operation, trail))
        self._measure(placements, own)
        for number, (placement, parts) in enumerate(zip(placements, own, strict=True)):
            for kind, text in self._piece(placement, parts):
                of_kind = [each.number for each in parts if each.operation == kind]
                yield f"placement {number} ({placement.piece}{_named(of_kind)}) {text}"
        placed = [(each, self.edges_of(each)) for each in placements]
        if self.options.common_line:
            yield from common_faults(placed, strokes, self.tool, self.options.ties)
        elif odd := [each for each, _ in loose if each.part != "line-up"]:
            yield f"{len(odd)} strokes are of no piece"
        lined_up = [trail for stroke, trail in loose if stroke.part == "line-up"]
        led = strokes if isinstance(self.tool, Laser) else ()
        yield from waste_faults(placed, led, lined_up, half_width(self.tool))

    def _measure(
        self, placements: Sequence[Placement], own: Sequence[Sequence[_Simulated]]
    ) -> None:
        """Measure how far the cuts of each kind of piece are off its edges, all at once."""
        if self.options.common_line:
            return
        wanted: dict[PieceEdges, dict[Stretch, None]] = {}
        for placement, parts in zip(placements, own, strict=True):
            found = wanted.setdefault(self.edges_of(placement), {})
            for each in parts:
                if each.operation == "cut":
                    found.update(dict.fromkeys(each.trail.stretches))
        for edges, stretches in wanted.items():
            edges.measure(stretches)

    def _piece(
        self, placement: Placement, parts: Sequence[_Simulated]
    ) -> tuple[tuple[str, str], ...]:
        """Return what is wrong with one piece; pieces that are cut alike are measured once."""
        key = (placement.piece, placement.move.mirrored, *sorted(each.alike for each in parts))
        found = self._known.get(key)
        if found is None:
            found = self._known[key] = tuple(self._measured(placement, parts))
        return found

    def _measured(
        self, placement: Placement, parts: Sequence[_Simulated]
    ) -> Iterator[tuple[str, str]]:
        """Yield operations with what is wrong with them."""
        edges = self.edges_of(placement)
        by_kind: dict[str, list[Trail]] = {"cut": [], "score": [], "mark": []}
        for each in parts:
            by_kind[each.operation].append(each.trail)
        if not self.options.common_line:
            for text in piece_faults(edges, by_kind["cut"], self.options.ties):
                yield "cut", text
        for kind in ("score", "mark"):
            for text in mark_faults(edges, kind, by_kind[kind]):
                yield kind, text

    def _trails_of(
        self,
        strokes: Sequence[Stroke],
        vertices: NDArray[Any],
        placements: Sequence[Placement],
    ) -> Iterator[tuple[int, Stroke, Trail]]:
        """Yield each stroke with what it cuts in its piece's frame, and a number for both.

        Args:
            strokes: of the plan.
            vertices: theirs, one after another.
            placements: of the load.
        """
        heading: float | None = None
        follows = leads_axis(self.tool)
        for stroke, grid, turn, places in in_frames(strokes, vertices, placements):
            angle = None if stroke.angle_deg is None else math.radians(stroke.angle_deg) - turn
            before = None
            if follows and stroke.operation != "mark" and heading is not None:
                before = math.remainder(heading - turn, math.tau)
            key = (
                grid,
                stroke.closed,
                stroke.operation,
                None if angle is None else round(math.remainder(angle, math.pi), 6),
                None if before is None else round(before / _ALIKE_HEADING),
            )
            found = self._trails.get(key)
            if found is None:
                found = self._trails[key] = self._trail(stroke, key, places, angle, before)
            trail = found[1]
            if trail.heading is not None:
                heading = trail.heading + turn
            yield found[0], stroke, trail

    def _trail(
        self,
        stroke: Stroke,
        key: tuple[Any, ...],
        places: NDArray[Any],
        angle: float | None,
        before: float | None,
    ) -> tuple[int, Trail]:
        """Return what a stroke cuts in its piece's frame, with the number of all that cut alike.

        Args:
            stroke: of the plan.
            key: equal for strokes whose vertices are alike; its first member is their grid.
            places: the vertices in the frame.
            angle: of a hand-set blade in the frame, rad.
            before: the heading of a drag blade in the frame before the stroke, rad.
        """
        rows = corners_in_frame(stroke, places)
        if leads_axis(self.tool):
            offset: float = self.tool.offset  # type: ignore[union-attr]
            number = len(self._trails)
            if stroke.part == "line-up":
                return number, drawn_in(rows, offset)
            if stroke.operation != "mark":
                # Without the first vertex, unless the path comes back to it.
                rest = key[0] if stroke.closed else key[0][ROW_BYTES:]
                tails = self._tails.setdefault((rest, stroke.closed), {})
                return number, dragged(rows, offset, before, tails)
            return number, trail_of(rows, self.tool, stroke.operation, angle, before)
        may_lead = may_have_lead(self.tool, stroke.operation)
        alike = (from_anywhere(grid_of(key[0]), stroke, may_lead=may_lead), *key[1:])
        if alike not in self._alike:
            trail = trail_of(rows, self.tool, stroke.operation, angle, before)
            self._alike[alike] = len(self._alike), trail
        return self._alike[alike]


def _named(numbers: Sequence[int]) -> str:
    """Return the numbers of strokes, neighbours as a range."""
    if not numbers:
        return ""
    rows: list[list[int]] = []
    for number in numbers:
        if rows and number == rows[-1][-1] + 1:
            rows[-1].append(number)
        else:
            rows.append([number])
    words = [f"{row[0]} to {row[-1]}" if len(row) > 1 else f"{row[0]}" for row in rows]
    return f", stroke{'s' * (len(numbers) > 1)} {', '.join(words)}"


def _off_bed(rows: NDArray[np.float64], plan: CutPlan) -> Iterator[str]:
    """Yield whether the tool's axis leaves the bed."""
    if not len(rows):
        return
    low, high = rows.min(axis=0), rows.max(axis=0)
    over = max(-low[0], -low[1], high[0] - plan.bed_width, high[1] - plan.bed_height)
    if over > _ROUNDING:
        yield f"a stroke leaves the bed by {over:.3f} mm"
