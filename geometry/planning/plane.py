"""A tiled plane: prototypes, where they stand in one period, and where it may be cut off."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from geometry.model.outline import Outline
from geometry.model.segments import Bounds


@dataclass(frozen=True)
class Proto:
    """One piece of a tiling in one position.

    Args:
        kind: the kind of the catalogue that it is.
        values: the sizes that make it, mm.
        outline: as it lies, about the place where it is put.
        role: what it is in the tiling, such as ``star`` or ``square``.
        anchor: the box that must lie inside a quilt whose edge is of whole pieces; the
            outline's own box where ``None``. A block's pieces share the block's box, so that
            an edge never leaves half a block; a piece that bulges has its cell's box.
    """

    kind: str
    values: Mapping[str, float]
    outline: Outline
    role: str
    anchor: Bounds | None = None

    @property
    def box(self) -> Bounds:
        """The box that decides whether the piece belongs to a whole edge."""
        return self.outline.bounds if self.anchor is None else self.anchor


@dataclass(frozen=True)
class Spot:
    """Where a prototype stands in the first period, and its row and column there."""

    proto: int
    x: float
    y: float
    row: int
    column: int


@dataclass(frozen=True)
class Axis:
    """Where a plane can be cut off across one axis, mm.

    Args:
        start: where a quilt of whole pieces begins.
        step: what one more row or column of them adds.
        base: what the first one adds beyond a step.
        cut_start: where a line lies that cuts pieces in halves, or between them.
        cut_step: from one such line to the next.
        overhang: how far pieces bulge beyond a whole edge.
        teeth: how deep the dents of a whole edge are, measured from its outermost points.
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
        protos: the pieces, each in each of its positions.
        spots: the pieces of the first period.
        width: of the period, mm.
        height: of the period, mm.
        rows: that a period holds.
        columns: that a period holds.
        across: where the sides may lie.
        along: where the ends may lie.
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
    """A way to tile a quilt.

    Args:
        name: how a request calls it.
        title: how people call it.
        description: what it looks like upright.
        sizes: the lengths that size it, with what each is.
        draw: makes the plane of sizes in mm.
        counts: whole numbers that it takes beside, each with its least, most and default.
    """

    name: str
    title: str
    description: str
    sizes: Mapping[str, str]
    draw: Callable[[Mapping[str, float]], Plane]
    counts: Mapping[str, tuple[int, int, int]] = field(default_factory=dict)


def plain(
    kind: str, values: Mapping[str, float], rows: list[tuple[float, ...]], role: str
) -> Proto:
    """Return the prototype of these rows of points."""
    return Proto(kind, values, Outline.of(rows), role)
