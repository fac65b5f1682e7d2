"""The pieces of a drawn block: names, fabrics, and where their letters stand."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from geometry import polygons
from geometry.blocks.block import DrawnBlock
from geometry.blocks.faces import contains
from geometry.blocks.groups import Group, reading_orders
from geometry.blocks.placing import GroupMember
from geometry.measure import centroid, flattened
from geometry.model.outline import Outline
from geometry.model.points import Point

#: The fabric of pieces whose drawing names none.
PLAIN = "fabric"
#: Up to this many pieces, letters stand at the widest place.
_MAX_WIDEST = 400
#: Arcs become lines within this share of a piece's size.
_FINE = 200.0
#: Share of the widest place's room that the middle of a piece needs to be preferred.
_AS_GOOD = 0.8


@dataclass(frozen=True)
class NamedPiece:
    """A piece of a block with its name.

    Args:
        name: its group's letter and a number.
        group: of pieces equal to it.
        member: how the group's template lies on it.
        outline: in the block.
        holes: in it.
        area: without holes, mm2.
        fabric: its name.
        at: where its letter stands.
        room: radius free about that place, mm.
    """

    name: str
    group: Group
    member: GroupMember
    outline: Outline
    holes: tuple[Outline, ...]
    area: float
    fabric: str
    at: Point
    room: float


def named_pieces(block: DrawnBlock, fills: Sequence[tuple[Outline, str]]) -> tuple[NamedPiece, ...]:
    """Return a block's pieces, by group, from the top and from the left."""
    found: list[NamedPiece] = []
    widest = len(block.found.faces) <= _MAX_WIDEST
    fabrics = _Fabrics(fills)
    faces = block.found.faces
    holes_of = [tuple(hole.outline.reversed() for hole in face.holes) for face in faces]
    order = reading_orders([face.ring.outline for face in faces])
    places = _label_places([face.ring.outline for face in faces], holes_of, widest=widest)
    for group in block.groups:
        members = sorted(group.members, key=lambda member: order[member.face])
        for number, member in enumerate(members, start=1):
            face = faces[member.face]
            at, room = places[member.face]
            found.append(
                NamedPiece(
                    name=f"{group.letter}{number}",
                    group=group,
                    member=member,
                    outline=block.outline_of(member.face),
                    holes=holes_of[member.face],
                    area=face.area,
                    fabric=fabrics.at(at),
                    at=at,
                    room=room,
                )
            )
    return tuple(found)


def by_letter(pieces: Iterable[NamedPiece]) -> dict[str, list[NamedPiece]]:
    """Return a block's pieces by the letter of their group."""
    found: dict[str, list[NamedPiece]] = defaultdict(list)
    for piece in pieces:
        found[piece.group.letter].append(piece)
    return found


class _Fabrics:
    """The fabrics of a drawing, in the order of drawing."""

    def __init__(self, fills: Sequence[tuple[Outline, str]]) -> None:
        self._fills = fills
        self._boxes = polygons.STRtree([polygons.box(*outline.bounds) for outline, _ in fills])

    def at(self, place: Point) -> str:
        """Return the fabric drawn last about a place."""
        if not self._fills:
            return PLAIN
        found: list[int] = self._boxes.query(polygons.Point(*place)).tolist()
        for number in sorted(found, reverse=True):
            outline, fabric = self._fills[number]
            if contains(outline, place):
                return fabric
        return PLAIN


def _label_places(
    outlines: Sequence[Outline], holes: Sequence[Sequence[Outline]], *, widest: bool
) -> list[tuple[Point, float]]:
    """Return where each piece's letter stands, and the radius free about it, mm.

    Args:
        outlines: of the pieces.
        holes: in each of them.
        widest: whether letters stand in the middle of the largest circle in their piece.
    """
    sizes = [(box.width, box.height) for box in (outline.bounds for outline in outlines)]
    areas = _areas(outlines, holes, [max(size) / _FINE for size in sizes])
    places = [] if widest else polygons.point_on_surface(list(areas.values()))
    points = dict(zip(areas, polygons.get_coordinates(places).tolist(), strict=False))
    found = []
    for number, (outline, size) in enumerate(zip(outlines, sizes, strict=True)):
        if number not in areas:
            # A thin lens, or a ring that as lines crosses itself.
            found.append((centroid(outline), 0.0))
        elif widest:
            found.append(label_place_in(areas[number], max(size) / _FINE))
        else:
            found.append((Point(*points[number]), 0.25 * min(size)))
    return found


def _areas(
    outlines: Sequence[Outline], holes: Sequence[Sequence[Outline]], chords: Sequence[float]
) -> dict[int, polygons.Polygon]:
    """Return the pieces that can be polygons, by their numbers; all are made at once."""
    numbers, rings = [], []
    for number, (outline, chord) in enumerate(zip(outlines, chords, strict=True)):
        points = flattened(outline, chord)
        if len(points) > 2:  # noqa: PLR2004 - a ring
            numbers.append(number)
            rings.append(points)
    if not numbers:
        return {}
    owners = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    places = np.array(list(itertools.chain.from_iterable(rings)))
    shells = polygons.linearrings(places, indices=owners)
    made = polygons.polygons(shells)
    for at, number in enumerate(numbers):
        inner = [flattened(hole, chords[number]) for hole in holes[number]]
        if kept := [each for each in inner if len(each) > 2]:  # noqa: PLR2004 - a ring
            made[at] = polygons.Polygon(rings[at], kept)
    valid = polygons.is_valid(made).tolist()
    return {number: made[at] for at, number in enumerate(numbers) if valid[at]}


def label_place_in(polygon: polygons.Polygon, chord: float) -> tuple[Point, float]:
    """Return a place for letters in a polygon, and the radius free about it, mm.

    Args:
        polygon: of any size, with its holes.
        chord: within which its arcs are lines, mm.
    """
    line = polygons.maximum_inscribed_circle(polygon, 4.0 * chord)
    (x, y), *_ = line.coords
    # In the middle of a long piece rather than at one end of it.
    at = polygon.centroid
    room = at.distance(polygon.boundary) if polygon.contains(at) else 0.0
    if room >= _AS_GOOD * line.length:
        return Point(at.x, at.y), float(room)
    return Point(x, y), float(line.length)
