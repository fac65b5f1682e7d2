"""Groups equal pieces of a quilt and finds their catalogue shapes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.measure import area, corner_turns
from geometry.model.outline import Outline
from geometry.planning.assembly import Assembly, Part
from geometry.planning.plane import Proto
from geometry.shapes.catalogue import build
from geometry.shapes.kinds import centred

#: Decimals (of mm, of rad) to which edges and angles of equal pieces agree.
_DECIMALS = 4

_Signature: TypeAlias = tuple[tuple[float, float, float], ...]
#: An outline's signature, and its vertices in its box where it may not be turned.
_Key: TypeAlias = tuple[_Signature, _Signature]
_SIDES_OF_TRIANGLE, _SIDES_OF_RECTANGLE = 3, 4


@dataclass(frozen=True)
class Shape:
    """The shape of a piece: a catalogue kind with a size in mm, or ``custom``."""

    kind: str
    values: Mapping[str, float | str]
    outline: Outline


@dataclass(frozen=True)
class Need:
    """A number of equal pieces; ``share`` is their share of a whole piece's area."""

    shape: Shape
    part: Part | Literal["border"]
    colour: str
    count: int
    share: float


def signature(outline: Outline) -> _Signature:
    """Return a key that is equal for outlines that are congruent without mirroring."""
    rows = [
        (round(edge.length, _DECIMALS), round(vertex.bulge, _DECIMALS), round(turn, _DECIMALS))
        for edge, vertex, turn in zip(
            outline.segments, outline.vertices, corner_turns(outline), strict=True
        )
    ]
    return tuple(min(rows[index:] + rows[:index] for index in range(len(rows))))


def lying(outline: Outline) -> _Signature:
    """Return a key that is equal for outlines that are the same without a turn."""
    box = outline.bounds
    return tuple(
        sorted(
            (
                round(x - box.left, _DECIMALS) + 0.0,
                round(y - box.bottom, _DECIMALS) + 0.0,
                round(bulge, _DECIMALS) + 0.0,
            )
            for x, y, bulge in outline.vertices
        )
    )


def needs(
    assembly: Assembly, colours: Sequence[str], *, as_they_lie: bool = False
) -> tuple[Need, ...]:
    """Return the pieces of a quilt, with equal pieces grouped.

    Args:
        assembly: the quilt.
        colours: the colour of each placed piece, in order.
        as_they_lie: for cloth whose print has a top: pieces that lie otherwise in the quilt are
            apart, and each has the outline as it lies there.
    """
    names: dict[int, _Key] = {}
    shapes: dict[_Key, Shape] = {}
    counts: dict[tuple[_Key, Part, str], int] = {}
    shares: dict[_Key, float] = {}
    for piece, colour in zip(assembly.placed, colours, strict=True):
        outline = assembly.shape(piece)
        name = names.get(id(outline))
        if name is None:
            name = names[id(outline)] = (signature(outline), lying(outline) if as_they_lie else ())
            proto = assembly.plane.protos[piece.proto]
            shares.setdefault(name, area(outline) / area(proto.outline))
            whole = _whole(proto)
            shape = _named(outline, whole) if any(piece.sides) else whole
            if as_they_lie and lying(shape.outline) != name[1]:
                shape = Shape("custom", {}, centred(outline))
            shapes.setdefault(name, shape)
        key = (name, piece.part, colour)
        counts[key] = counts.get(key, 0) + 1
    found = [
        Need(shapes[name], part, colour, count, shares[name])
        for (name, part, colour), count in counts.items()
    ]
    order = {"whole": 0, "trimmed": 1, "half": 2}
    return tuple(
        sorted(
            found,
            key=lambda need: (
                order[need.part],
                need.shape.kind,
                -round(need.share, _DECIMALS),
                need.colour,
                signature(need.shape.outline),
            ),
        )
    )


def _whole(proto: Proto) -> Shape:
    if proto.kind != "custom":
        return Shape(proto.kind, proto.values, build(proto.kind, proto.values))
    return _named(proto.outline, Shape("custom", {}, proto.outline))


def _named(outline: Outline, whole: Shape) -> Shape:
    """Return a cut piece as a catalogue shape, or as a custom outline."""
    wanted = signature(outline)
    for kind, values in _candidates(outline, whole):
        made = build(kind, values)
        if signature(made) == wanted:
            return Shape(kind, values, made)
    return Shape("custom", {}, centred(outline))


def _candidates(outline: Outline, whole: Shape) -> Iterator[tuple[str, Mapping[str, float | str]]]:
    size = float(whole.values.get("side", 0.0))
    if whole.kind == "hexagon":
        yield "half_hexagon", {"side": size}
        yield "half_hexagon_flat", {"side": size}
    lengths = [edge.length for edge in outline.segments]
    if len(lengths) == _SIDES_OF_RECTANGLE and not outline.has_arcs:
        if math.isclose(lengths[0], lengths[1], rel_tol=1e-9):
            yield "square", {"side": lengths[0]}
        yield "rectangle", {"width": lengths[0], "height": lengths[1]}
    edges = sorted(lengths)
    if len(edges) != _SIDES_OF_TRIANGLE or outline.has_arcs:
        return
    short, middle, long = edges
    if math.isclose(short, long, rel_tol=1e-9):
        yield "triangle", {"side": short}
    elif math.isclose(short, middle, rel_tol=1e-9):
        yield "quarter_square_triangle", {"base": long}
    else:
        for hand in ("right", "left"):
            yield "right_triangle", {"width": short, "height": middle, "hand": hand}
