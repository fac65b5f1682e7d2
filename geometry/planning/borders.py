"""Borders round a quilt top: plain strips, or pieces in a row.

Source:
    Butted borders are sewn to the sides first, then to the ends; mitred ones meet along the line
    between inner and outer corner; cornerstones fill the corners. Common practice.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.errors import GeometryError
from geometry.model.outline import Outline
from geometry.model.segments import Bounds
from geometry.planning.frames import NEAR

Corners: TypeAlias = Literal["butted", "mitred", "cornerstones"]
Place: TypeAlias = Literal["sides", "ends", "corners"]

#: A border that makes up the rest is at least this wide, mm (1 in): a narrower one shows every
#: inaccuracy of the top. Common practice, no source.
MIN_REST = 25.4
#: Maximum pieces of one border.
MAX_BORDER_PIECES = 5_000


@dataclass(frozen=True)
class BorderSpec:
    """A requested border.

    Args:
        width: finished width, mm; ``None``: it makes up the rest.
        colour: of its strips.
        corners: how its corners are made.
        cornerstone_colour: of the squares in its corners.
        piece_colours: colours of its pieces in turn; empty for plain strips.
        joined: whether strips are cut across the fabric and joined end to end.
        is_optional: whether it is left out where nothing is left to make up.
    """

    width: float | None
    colour: str
    corners: Corners = "butted"
    cornerstone_colour: str = ""
    piece_colours: tuple[str, ...] = ()
    joined: bool = False
    is_optional: bool = False


@dataclass(frozen=True)
class BorderPart:
    """One strip, piece or cornerstone, in the quilt's coordinates."""

    place: Place
    outline: Outline
    colour: str
    is_strip: bool = False


@dataclass(frozen=True)
class Border:
    """A border as made.

    Args:
        spec: the requested border.
        sides_width: finished width at the left and right, mm; 0 if it has no sides.
        ends_width: finished width at top and bottom, mm; 0 if it has no ends.
        inner: box that it surrounds.
        parts: all its strips and pieces.
    """

    spec: BorderSpec
    sides_width: float
    ends_width: float
    inner: Bounds
    parts: tuple[BorderPart, ...]

    @property
    def outer(self) -> Bounds:
        """Return the box of the quilt with this border."""
        return _grown(self.inner, self.sides_width, self.ends_width)

    @property
    def seam_length(self) -> float:
        """Return the length of its seams, mm: every edge but the outer ones is sewn."""
        total = math.fsum(edge.length for part in self.parts for edge in part.outline.segments)
        return (total + _perimeter(self.inner) - _perimeter(self.outer)) / 2.0

    @property
    def seam_count(self) -> int:
        """Return the number of its seams: joins within its rows, each row to the quilt, mitres."""
        is_mitred = self.spec.corners == "mitred" and self.sides_width and self.ends_width
        return len(self.parts) + (4 if is_mitred else 0)


def stated_width(specs: Sequence[BorderSpec]) -> float:
    """Return what the borders of a stated width add to a quilt along each axis, mm."""
    return 2.0 * math.fsum(spec.width for spec in specs if spec.width is not None)


def lay_borders(
    top: Bounds, width: float, length: float, specs: Sequence[BorderSpec]
) -> tuple[Border, ...]:
    """Return the borders round a quilt top.

    Args:
        top: box of the top.
        width: of the whole quilt, for a border that makes up the rest, mm.
        length: of the whole quilt, mm.
        specs: the borders from the inside out; at most one makes up the rest.

    Raises:
        GeometryError: when a rest is negative, or a border has too many pieces.
    """
    stated = stated_width(specs)
    rest = ((width - top.width - stated) / 2.0, (length - top.height - stated) / 2.0)
    found: list[Border] = []
    inner = top
    for spec in specs:
        sides, ends = rest if spec.width is None else (spec.width, spec.width)
        if min(sides, ends) < -NEAR:
            raise GeometryError("No border makes up for a quilt top that is too large.")
        # A rest that is only rounding makes no border.
        sides, ends = (0.0 if each <= NEAR else each for each in (sides, ends))
        if sides or ends:
            _check_count(spec, inner, min(each for each in (sides, ends) if each))
            found.append(Border(spec, sides, ends, inner, tuple(_parts(spec, inner, sides, ends))))
            inner = found[-1].outer
    return tuple(found)


def _check_count(spec: BorderSpec, inner: Bounds, width: float) -> None:
    count = _perimeter(inner) / width
    if spec.piece_colours and count > MAX_BORDER_PIECES:
        raise GeometryError(
            f"A border of pieces {width:.1f} mm wide would have about {count:,.0f} of them; the "
            f"most that is planned is {MAX_BORDER_PIECES:,}. Make it wider.",
            where=("borders",),
        )


def _parts(spec: BorderSpec, inner: Bounds, sides: float, ends: float) -> Iterator[BorderPart]:
    outer = _grown(inner, sides, ends)
    if spec.corners == "mitred":
        yield from _mitred(spec, inner, outer)
        return
    across = outer
    if spec.corners == "cornerstones" and sides and ends:
        for low, high in ((outer.left, inner.left), (inner.right, outer.right)):
            for bottom, top in ((outer.bottom, inner.bottom), (inner.top, outer.top)):
                ring = _ring(Bounds(low, bottom, high, top))
                yield BorderPart("corners", Outline.of(ring), spec.cornerstone_colour)
        across = inner
    count = 0
    for place, box, backwards in _rows(inner, outer, across):
        if box.width <= 0.0 or box.height <= 0.0:
            continue
        if not spec.piece_colours:
            yield BorderPart(place, Outline.of(_ring(box)), spec.colour, is_strip=True)
            continue
        # The colours follow each other round the quilt.
        pieces = _pieces(box, place)
        for piece in reversed(pieces) if backwards else pieces:
            colour = spec.piece_colours[count % len(spec.piece_colours)]
            yield BorderPart(place, Outline.of(_ring(piece)), colour)
            count += 1


def _rows(inner: Bounds, outer: Bounds, across: Bounds) -> list[tuple[Place, Bounds, bool]]:
    """Return the rows clockwise from the upper left, each with whether it runs backwards."""
    return [
        ("ends", Bounds(across.left, inner.top, across.right, outer.top), False),
        ("sides", Bounds(inner.right, inner.bottom, outer.right, inner.top), True),
        ("ends", Bounds(across.left, outer.bottom, across.right, inner.bottom), True),
        ("sides", Bounds(outer.left, inner.bottom, inner.left, inner.top), False),
    ]


def _pieces(box: Bounds, place: Place) -> list[Bounds]:
    """Return boxes that fill a row, as nearly square as whole numbers allow."""
    if place == "sides":
        count = max(1, round(box.height / box.width))
        step = box.height / count
        lows = [box.bottom + number * step for number in range(count)]
        return [Bounds(box.left, low, box.right, low + step) for low in lows]
    count = max(1, round(box.width / box.height))
    step = box.width / count
    lows = [box.left + number * step for number in range(count)]
    return [Bounds(low, box.bottom, low + step, box.top) for low in lows]


def _mitred(spec: BorderSpec, inner: Bounds, outer: Bounds) -> Iterator[BorderPart]:
    outside, inside = _ring(outer), _ring(inner)
    places: tuple[Place, ...] = ("ends", "sides", "ends", "sides")
    for index, place in enumerate(places):
        after = (index + 1) % 4
        rows = [outside[index], outside[after], inside[after], inside[index]]
        # A border without sides has only ends, and one without ends only sides.
        if (outer.height == inner.height) if place == "ends" else (outer.width == inner.width):
            continue
        yield BorderPart(place, Outline.of(rows), spec.colour, is_strip=True)


def _ring(box: Bounds) -> list[tuple[float, float]]:
    return [
        (box.left, box.bottom),
        (box.right, box.bottom),
        (box.right, box.top),
        (box.left, box.top),
    ]


def _grown(box: Bounds, sides: float, ends: float) -> Bounds:
    return Bounds(box.left - sides, box.bottom - ends, box.right + sides, box.top + ends)


def _perimeter(box: Bounds) -> float:
    return 2.0 * (box.width + box.height)


def mitre_tail(spec: BorderSpec, run: float, rise: float, allowance: float) -> float:
    """Return how far a strip's cut length goes beyond its finished length at one end, mm.

    Args:
        spec: of the border.
        run: of the mitre along the strip, mm.
        rise: of the mitre across the strip, mm.
        allowance: seam allowance, mm.
    """
    if spec.corners != "mitred" or run <= 0.0:
        return allowance
    # Both edges of the tip move out; they meet on its bisector.
    return allowance / math.tan(math.atan2(rise, run) / 2.0)
