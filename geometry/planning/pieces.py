"""Groups equal pieces of a quilt and finds their catalogue shapes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.measure import area, corner_turns
from geometry.model.outline import Outline
from geometry.planning.assembly import Assembly, Part
from geometry.planning.grain import Grain, on_grain, sides_on_grain, straight_turns
from geometry.planning.plane import Proto
from geometry.shapes.catalogue import build
from geometry.shapes.kinds import centred

#: Decimals (of mm, of rad) to which edges and angles of equal pieces agree.
_DECIMALS = 4

_Signature: TypeAlias = tuple[tuple[float, float, float], ...]
#: An outline's signature, and what of its position keeps it apart from others.
_Key: TypeAlias = tuple[_Signature, tuple[object, ...]]
#: Parts in the order in which they are listed.
_ORDER = {"whole": 0, "trimmed": 1, "half": 2}
_SIDES_OF_TRIANGLE, _SIDES_OF_RECTANGLE = 3, 4


@dataclass(frozen=True)
class PieceShape:
    """The shape of a piece: a catalogue kind with a size in mm, or ``custom``."""

    kind: str
    values: Mapping[str, float | str]
    outline: Outline


@dataclass(frozen=True)
class Need:
    """A number of equal pieces.

    Args:
        shape: of each, as it lies on the cloth.
        part: what they are in the quilt.
        colour: of their cloth.
        count: number of pieces.
        share: of a whole piece's area.
        turns_deg: in which they may lie on the cloth; ``None`` for any.
    """

    shape: PieceShape
    part: Part | Literal["border"]
    colour: str
    count: int
    share: float
    turns_deg: tuple[float, ...] | None = None


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


@dataclass(frozen=True)
class GroupedPieces:
    """The pieces of a quilt with equal ones grouped, and the group of each placed piece."""

    needs: tuple[Need, ...]
    of_placed: tuple[int, ...]


def needs(assembly: Assembly, colours: Sequence[str], *, grain: Grain = "free") -> tuple[Need, ...]:
    """Return the pieces of a quilt, with equal pieces grouped; see ``grouped_pieces``."""
    return grouped_pieces(assembly, colours, grain=grain).needs


def grouped_pieces(
    assembly: Assembly, colours: Sequence[str], *, grain: Grain = "free"
) -> GroupedPieces:
    """Return the pieces of a quilt, with equal pieces grouped.

    Args:
        assembly: the quilt.
        colours: the colour of each placed piece, in order.
        grain: how they lie on the cloth. ``straight``: pieces with other sides on the grain are
            apart. ``as-set``: pieces that lie otherwise in the quilt are apart. Each has the
            outline as it lies on the cloth then.
    """
    on_straight = _on_straight_grain(assembly) if grain == "straight" else {}
    names: dict[int, _Key] = {}
    shapes: dict[_Key, PieceShape] = {}
    shares: dict[_Key, float] = {}
    keys: list[tuple[_Key, Part, str]] = []
    for piece, colour in zip(assembly.placed, colours, strict=True):
        outline = assembly.shape(piece)
        name = names.get(id(outline))
        if name is None:
            proto = assembly.plane.protos[piece.proto]
            laid = on_straight.get(id(outline), outline)
            name = names[id(outline)] = (signature(outline), _position(laid, grain))
            shares.setdefault(name, area(outline) / area(proto.outline))
            if name not in shapes:
                shapes[name] = _shape(laid, proto, grain, is_cut=any(piece.sides))
        keys.append((name, piece.part, colour))
    found = {
        key: Need(
            shapes[key[0]],
            key[1],
            key[2],
            count,
            shares[key[0]],
            _turns(shapes[key[0]], key[0]) if grain == "straight" else None,
        )
        for key, count in Counter(keys).items()
    }
    listed = sorted(found, key=lambda key: _rank(found[key]))
    places = {key: place for place, key in enumerate(listed)}
    return GroupedPieces(tuple(found[key] for key in listed), tuple(places[key] for key in keys))


def _rank(need: Need) -> tuple[object, ...]:
    """Return the key by which groups are listed."""
    return (
        _ORDER[need.part],
        need.shape.kind,
        -round(need.share, _DECIMALS),
        need.colour,
        signature(need.shape.outline),
    )


def _on_straight_grain(assembly: Assembly) -> dict[int, Outline]:
    """Return each outline, by its identity, as it lies on the straight grain.

    A piece with no side along its block's edges lies as an equal piece that has one: a ring of
    wedges, every other one askew, is cut as one kind.
    """
    laid: dict[int, Outline] = {}
    askew: dict[int, Outline] = {}
    equals: dict[_Signature, Outline] = {}
    for piece in assembly.placed:
        outline = assembly.shape(piece)
        if id(outline) in laid:
            continue
        along = assembly.plane.protos[piece.proto].along_deg
        laid[id(outline)] = on_grain(outline, along)
        if sides_on_grain(outline, -along):
            equals.setdefault(signature(outline), laid[id(outline)])
        else:
            askew[id(outline)] = outline
    return laid | {
        name: equals[signature(outline)]
        for name, outline in askew.items()
        if signature(outline) in equals
    }


def _position(laid: Outline, grain: Grain) -> tuple[object, ...]:
    """Return a key of how an outline lies on cloth, as far as its grain matters."""
    if grain == "straight":
        return sides_on_grain(laid)
    return lying(laid) if grain == "as-set" else ()


def _shape(laid: Outline, proto: Proto, grain: Grain, *, is_cut: bool) -> PieceShape:
    """Return the shape of a piece as it lies on cloth: a catalogue kind where one lies alike."""
    whole = _whole(proto)
    if not is_cut and _lies_alike(whole.outline, laid, grain):
        return whole
    if is_cut or grain == "straight":
        named = _named(laid, whole, grain)
        if named.kind != "custom":
            return named
    if grain == "straight" and not is_cut and whole.kind != "custom":
        # It is drawn otherwise than it lies on the grain, as diamonds are: it is turned there.
        return whole
    return PieceShape("custom", {}, centred(laid))


def _turns(shape: PieceShape, name: _Key) -> tuple[float, ...]:
    """Return the turns in which a shape lies on the straight grain."""
    on_it = tuple(each for each in name[1] if isinstance(each, float))
    return straight_turns(shape.outline, on_it)


def _lies_alike(one: Outline, other: Outline, grain: Grain) -> bool:
    return _position(one, grain) == _position(other, grain)


def _whole(proto: Proto) -> PieceShape:
    if proto.kind != "custom":
        return PieceShape(proto.kind, proto.values, build(proto.kind, proto.values))
    return _named(proto.outline, PieceShape("custom", {}, proto.outline))


def _named(outline: Outline, whole: PieceShape, grain: Grain = "free") -> PieceShape:
    """Return a piece as a catalogue shape, or as a custom outline."""
    wanted = signature(outline)
    for kind, values in _candidates(outline, whole):
        made = build(kind, values)
        if signature(made) == wanted and _lies_alike(made, outline, grain):
            return PieceShape(kind, values, made)
    return PieceShape("custom", {}, centred(outline))


def _candidates(
    outline: Outline, whole: PieceShape
) -> Iterator[tuple[str, Mapping[str, float | str]]]:
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
        yield "half_square_triangle", {"side": short}
    else:
        for hand in ("right", "left"):
            yield "right_triangle", {"width": short, "height": middle, "hand": hand}
