"""The assembly of a quilt on a tiled plane: its pieces, whole, halved or trimmed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, TypeAlias

from geometry.errors import GeometryError
from geometry.measure import area
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid, moved
from geometry.planning.frames import NEAR, Edge, Fit, Frame, frame_of
from geometry.planning.plane import Plane, Proto, Spot
from geometry.planning.trim import cut_off, overlaps

Part: TypeAlias = Literal["whole", "half", "trimmed"]

#: Maximum pieces of a quilt; a bed in quarter-inch hexagons has 50,000.
MAX_PIECES = 60_000


@dataclass(frozen=True)
class PlacedPiece:
    """One piece of a quilt.

    ``sides`` lists the sides of the quilt on which it is cut off to fill the edge: left, right,
    lower, upper. ``row`` and ``column`` count from the lower left of the plane.
    """

    proto: int
    x: float
    y: float
    row: int
    column: int
    part: Part
    sides: tuple[bool, bool, bool, bool] = (False, False, False, False)


@dataclass(frozen=True)
class Assembly:
    """An assembled quilt top.

    Args:
        plane: the tiled plane, in the quilt's orientation.
        across: its sides.
        along: its ends.
        placed: every piece, row by row.
    """

    plane: Plane
    across: Frame
    along: Frame
    placed: tuple[PlacedPiece, ...]

    def outline(self, piece: PlacedPiece) -> Outline:
        """Return a piece's outline in the quilt, cut off where the edge is filled."""
        return moved(self.shape(piece), piece.x, piece.y)

    def shape(self, piece: PlacedPiece) -> Outline:
        """Return a piece's outline about its own origin, cut off where the edge is filled."""
        if not any(piece.sides):
            return self.plane.protos[piece.proto].outline
        return self._cut(piece)

    def _cut(self, piece: PlacedPiece) -> Outline:
        across, along = self.across, self.along
        lines = (
            across.low - piece.x,
            across.high - piece.x,
            along.low - piece.y,
            along.high - piece.y,
        )
        used = [
            round(line / NEAR) if cut else 0 for line, cut in zip(lines, piece.sides, strict=True)
        ]
        key = (piece.proto, piece.sides, *used)
        if key not in self._cuts:
            shape = self.plane.protos[piece.proto].outline
            for number, (line, is_cut) in enumerate(zip(lines, piece.sides, strict=True)):
                if is_cut:
                    shape = cut_off(shape, number // 2, line, -1 if number % 2 else 1)
            self._cuts[key] = shape
        return self._cuts[key]

    @cached_property
    def _cuts(self) -> dict[tuple[object, ...], Outline]:
        return {}

    @cached_property
    def bounds(self) -> Bounds:
        """Return the assembled quilt top's box: straight edges, or the outermost points."""
        boxes = [
            (self.plane.protos[each.proto].outline.bounds, each.x, each.y) for each in self.placed
        ]
        across, along = self.across, self.along
        straight_x, straight_y = across.edge != "whole", along.edge != "whole"
        return Bounds(
            across.low if straight_x else min(box.left + x for box, x, _ in boxes),
            along.low if straight_y else min(box.bottom + y for box, _, y in boxes),
            across.high if straight_x else max(box.right + x for box, x, _ in boxes),
            along.high if straight_y else max(box.top + y for box, _, y in boxes),
        )


def turned(plane: Plane) -> Plane:
    """Return the plane rotated: rows become columns.

    It is mirrored in the diagonal, so that all cut-off lines stay in place; a piece that is not its
    own mirror image becomes one of the other hand.
    """
    flip = Rigid(turn_deg=270.0, mirrored=True)
    protos = tuple(
        Proto(
            each.kind,
            _mirrored(each.values),
            flip.outline(each.outline),
            each.role,
            None
            if each.anchor is None
            else Bounds(each.anchor.bottom, each.anchor.left, each.anchor.top, each.anchor.right),
        )
        for each in plane.protos
    )
    spots = tuple(Spot(each.proto, each.y, each.x, each.column, each.row) for each in plane.spots)
    return Plane(
        protos,
        spots,
        width=plane.height,
        height=plane.width,
        rows=plane.columns,
        columns=plane.rows,
        across=plane.along,
        along=plane.across,
        staggered=plane.staggered,
    )


def _mirrored(values: Mapping[str, float | str]) -> Mapping[str, float | str]:
    other = {"right": "left", "left": "right"}
    return {name: other[str(value)] if name == "hand" else value for name, value in values.items()}


def assemble(
    plane: Plane,
    width: float,
    length: float,
    *,
    sides: Edge = "whole",
    ends: Edge = "whole",
    fit: Fit = "larger",
) -> Assembly:
    """Return a quilt of this size: the smallest that is at least as large, unless ``fit`` differs.

    Shape:
        An edge of whole pieces reaches the size with its outermost points. A filled edge reaches it
        with a straight line that halves pieces. A trimmed edge is cut to exactly the size, and
        pieces overhang it equally on both sides.

    Units:
        mm.

    Raises:
        GeometryError: when it would have more than ``MAX_PIECES`` pieces.
    """
    across = frame_of(plane.across, width, sides, fit)
    along = frame_of(plane.along, length, ends, fit)
    likely = across.size * along.size / (plane.width * plane.height) * len(plane.spots)
    if likely > MAX_PIECES:
        raise GeometryError(
            f"This quilt would take about {likely:,.0f} pieces; the most that is planned is "
            f"{MAX_PIECES:,}. Use larger pieces or a smaller quilt."
        )
    placed = tuple(
        sorted(_placed(plane, across, along), key=lambda each: (each.row, each.column, each.proto))
    )
    return Assembly(plane, across, along, placed)


def _placed(plane: Plane, across: Frame, along: Frame) -> Iterator[PlacedPiece]:
    for spot in plane.spots:
        proto = plane.protos[spot.proto]
        columns = list(_within(proto, 0, spot.x, plane.width, across))
        for period_y, y, under, over in _within(proto, 1, spot.y, plane.height, along):
            for period_x, x, left, right in columns:
                if (left or right) and (under or over) and not _meets(proto, x, y, across, along):
                    continue
                trimmed = (across.edge == "trimmed" and (left or right)) or (
                    along.edge == "trimmed" and (under or over)
                )
                cuts = (
                    left and across.edge == "filled",
                    right and across.edge == "filled",
                    under and along.edge == "filled",
                    over and along.edge == "filled",
                )
                yield PlacedPiece(
                    proto=spot.proto,
                    x=x,
                    y=y,
                    row=spot.row + period_y * plane.rows,
                    column=spot.column + period_x * plane.columns,
                    part="trimmed" if trimmed else "half" if any(cuts) else "whole",
                    sides=cuts,
                )


def _meets(proto: Proto, x: float, y: float, across: Frame, along: Frame) -> bool:
    """Return whether a piece at a corner of the quilt overlaps it."""
    frame = Bounds(across.low - x, along.low - y, across.high - x, along.high - y)
    return overlaps(proto.outline, frame)


def _within(
    proto: Proto, axis: int, first: float, period: float, frame: Frame
) -> Iterator[tuple[int, float, bool, bool]]:
    """Yield the periods in which a piece belongs to the quilt, with its position and overhang."""
    box = proto.box if frame.edge == "whole" else proto.outline.bounds
    low, high = (box.left, box.right) if axis == 0 else (box.bottom, box.top)
    start = math.floor((frame.low - first - high) / period)
    stop = math.ceil((frame.high - first - low) / period)
    for number in range(start, stop + 1):
        place = first + number * period
        under = place + low < frame.low - NEAR
        over = place + high > frame.high + NEAR
        if frame.edge == "whole":
            if not under and not over:
                yield number, place, False, False
        elif place + high > frame.low + NEAR and place + low < frame.high - NEAR:
            yield number, place, under, over


def fullness(plane: Plane, frame: Frame, axis: int) -> float:
    """Return the share of cloth along a pair of edges.

    Shape:
        It is measured in strips along both edges that are as deep as the dents; 1 for straight
        edges. Corners are left out: each strip is as long as a period.

    Args:
        plane: the quilt's tiled plane.
        frame: its sides or its ends.
        axis: 0 for the sides, 1 for the ends.
    """
    dents = (plane.across, plane.along)[axis].teeth
    if frame.edge != "whole" or dents <= 0.0:
        return 1.0
    period, other = (plane.width, plane.height)[:: -1 if axis else 1]
    cloth, low, high = 0.0, math.inf, -math.inf
    for spot in plane.spots:
        outline = plane.protos[spot.proto].outline
        first, near = (
            (spot.x, outline.bounds.left) if axis == 0 else (spot.y, outline.bounds.bottom)
        )
        reach = outline.bounds.width if axis == 0 else outline.bounds.height
        for _, place, _, _ in _within(plane.protos[spot.proto], axis, first, period, frame):
            cloth += area(outline)
            low, high = min(low, place + near), max(high, place + near + reach)
    return 1.0 - ((high - low) * other - cloth) / (2.0 * dents * other)


def count_parts(assembly: Assembly) -> Mapping[Part, int]:
    """Return the number of pieces of a quilt, by the way they are cut."""
    counts: dict[Part, int] = {"whole": 0, "half": 0, "trimmed": 0}
    for each in assembly.placed:
        counts[each.part] += 1
    return counts
