"""A tiled plane: prototypes, their positions in one period, and its cut-off lines."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from geometry.model.outline import Outline
from geometry.model.segments import Bounds


@dataclass(frozen=True)
class Proto:
    """One piece of a tiling in one orientation.

    Args:
        kind: its catalogue kind.
        values: its sizes, mm, and its hand if it has one.
        outline: its outline in this orientation, about its position.
        role: its role in the tiling, such as ``star`` or ``square``.
        anchor: the box that must lie inside a quilt with edges of whole pieces; the outline's box
            if ``None``. A block's pieces share the block's box, so that an edge never leaves half a
            block; a bulging piece has its cell's box.
        colour: its own colour, whatever colours are placed; empty for none.
        along_deg: direction of the edges of its block, where that is turned, up to quarter turns.
    """

    kind: str
    values: Mapping[str, float | str]
    outline: Outline
    role: str
    anchor: Bounds | None = None
    colour: str = ""
    along_deg: float = 0.0

    @property
    def box(self) -> Bounds:
        """Return the box that decides whether the piece belongs to a whole edge."""
        return self.outline.bounds if self.anchor is None else self.anchor


@dataclass(frozen=True)
class Spot:
    """The position of a prototype in the first period, with its row and column."""

    proto: int
    x: float
    y: float
    row: int
    column: int


@dataclass(frozen=True)
class Axis:
    """The cut-off positions of a plane along one axis, mm.

    Args:
        start: start of a quilt of whole pieces.
        step: size of one more row or column.
        base: size of the first one beyond a step.
        cut_start: position of a line that halves pieces, or lies between them.
        cut_step: distance from one such line to the next.
        overhang: distance by which pieces bulge beyond a whole edge.
        teeth: depth of the dents in a whole edge, from its outermost points.
    """

    start: float
    step: float
    cut_step: float
    base: float = 0.0
    cut_start: float = 0.0
    overhang: float = 0.0
    teeth: float = 0.0


@dataclass(frozen=True)
class Plane:
    """A plane tiled by a period of pieces.

    Args:
        protos: the pieces, in each of their orientations.
        spots: the pieces of the first period.
        width: width of the period, mm.
        height: height of the period, mm.
        rows: number of rows per period.
        columns: number of columns per period.
        across: possible positions of the sides.
        along: possible positions of the ends.
        staggered: whether every other row is shifted by half a piece.
    """

    protos: tuple[Proto, ...]
    spots: tuple[Spot, ...]
    width: float
    height: float
    rows: int
    columns: int
    across: Axis
    along: Axis
    staggered: bool = False


@dataclass(frozen=True)
class Tiling:
    """A tiling of a quilt.

    Args:
        name: its name in requests.
        title: its usual name.
        description: its appearance in its normal orientation.
        sizes: the lengths that size it, with descriptions.
        draw: returns the plane for sizes in mm.
        counts: its whole numbers, each with minimum, maximum and default.
    """

    name: str
    title: str
    description: str
    sizes: Mapping[str, str]
    draw: Callable[[Mapping[str, float]], Plane]
    counts: Mapping[str, tuple[int, int, int]] = field(default_factory=dict)


def plain(
    kind: str, values: Mapping[str, float | str], rows: list[tuple[float, ...]], role: str
) -> Proto:
    """Return the prototype with these rows of points."""
    return Proto(kind, values, Outline.of(rows), role)
