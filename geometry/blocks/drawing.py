"""From a drawing to the pieces of a block: cleaned, checked, with holes and the block's outline."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from geometry.blocks.cleaning import DOT, clean, drop_overshoots, extent
from geometry.blocks.faces import Faces, Ring, contains, find_faces, origin, ring_of
from geometry.blocks.network import Drawn, Edge, Network, Repair, network_of
from geometry.blocks.slivers import close_slivers, mean_width, middle_of, slivers
from geometry.errors import GeometryError, GeometryFaults
from geometry.model.points import Point, distance
from geometry.model.segments import Segment

#: Maximum lines and arcs of a drawing, and pieces of a block.
MAX_DRAWN = 10_000
MAX_PIECES = 5_000
#: Places named in one refusal.
_MAX_NAMED = 20
_MAX_ROUNDS = 6


@dataclass(frozen=True)
class Face:
    """A piece of the block: its ring, and what is drawn inside it without touching it."""

    ring: Ring
    holes: tuple[Ring, ...] = ()

    @property
    def area(self) -> float:
        """Return the area without holes, mm2."""
        return self.ring.area + sum(hole.area for hole in self.holes)


@dataclass(frozen=True)
class FoundBlock:
    """A block as it is drawn.

    Args:
        network: its nodes and edges.
        faces: its pieces.
        of_half: the piece to the left of each half-edge; -1 outside the block.
        outer: the ring round the block, counter-clockwise.
        repairs: of the drawing.
    """

    network: Network
    faces: tuple[Face, ...]
    of_half: list[int]
    outer: Ring
    repairs: tuple[Repair, ...]

    def inner_edges(self) -> Iterator[tuple[Segment, int, int]]:
        """Yield each edge between two pieces, and the pieces on its left and on its right."""
        for index, edge in enumerate(self.network.edges):
            left, right = self.of_half[2 * index], self.of_half[2 * index + 1]
            if left != right and min(left, right) >= 0:
                yield self.network.part(edge), left, right


def find_block(
    drawn: Sequence[Drawn], *, tolerance: float, remove_loose: bool = False
) -> FoundBlock:
    """Return the block of a drawing.

    Args:
        drawn: its lines and arcs.
        tolerance: within which ends are snapped, mm.
        remove_loose: whether lines that enclose nothing are removed.

    Raises:
        GeometryError: when the drawing cannot be repaired; each error names a place.
    """
    if not drawn:
        raise GeometryError("Nothing is drawn; a block has lines that enclose its pieces.")
    if len(drawn) > MAX_DRAWN:
        raise GeometryError(f"A block has at most {MAX_DRAWN} lines and arcs.")
    network = network_of(drawn)
    clean(network, tolerance)
    faces = _without_loose(network, tolerance, remove=remove_loose)
    for _ in range(_MAX_ROUNDS):
        if not close_slivers(network, faces, tolerance):
            break
        clean(network, tolerance)
        faces = _without_loose(network, tolerance, remove=remove_loose)
    _refuse(
        GeometryError(
            f"At {_place(middle_of(ring))} a piece is only {mean_width(ring):.2g} mm wide; draw it "
            "wider, or draw its two sides as one line."
        )
        for ring in slivers(faces, tolerance)
    )
    if len(faces.inner) > MAX_PIECES:
        raise GeometryError(f"A block has at most {MAX_PIECES} pieces.")
    return _with_holes(network, faces)


def _place(point: Point) -> str:
    return f"({point.x:.2f}, {point.y:.2f}) mm"


def _refuse(errors: Iterable[GeometryError]) -> None:
    """Raise the errors together, if there are any; no more are made than are named."""
    found = tuple(itertools.islice(errors, _MAX_NAMED))
    if len(found) == 1:
        raise found[0]
    if found:
        raise GeometryFaults(found)


# Lines that enclose nothing: ends that dangle, and bridges between parts.


def _without_loose(network: Network, tolerance: float, *, remove: bool) -> Faces:
    """Return the faces, after removing lines that enclose nothing.

    Raises:
        GeometryError: when there are such lines and they are neither dots nor to be removed.
    """
    drop_overshoots(network, tolerance)
    faces = find_faces(network)
    loose = _loose(network, faces)
    if not loose:
        return faces
    parts: dict[int, list[Edge]] = defaultdict(list)
    names = Network(network.nodes, loose, []).components()
    for edge in loose:
        parts[names[edge.first]].append(edge)
    whole = network.components()
    gone = set(loose)
    kept = {whole[edge.first] for edge in network.edges if edge not in gone}
    refused: list[tuple[list[Edge], Point]] = []
    for edges in parts.values():
        at, size = extent([network.part(edge) for edge in edges])
        is_dot = size <= DOT and whole[edges[0].first] not in kept
        if is_dot or remove:
            network.note("dot" if is_dot else "loose-line", at, size)
        else:
            refused.append((edges, at))
    _refuse(_loose_error(network, edges, at) for edges, at in refused)
    network.edges = [edge for edge in network.edges if edge not in gone]
    return find_faces(network)


def _loose(network: Network, faces: Faces) -> list[Edge]:
    """Return the edges that have the same ring on both sides."""
    # The ring of a face and the outer ring of its inside differ; a loose line has one ring.
    return [
        edge
        for index, edge in enumerate(network.edges)
        if faces.of_half[2 * index] == faces.of_half[2 * index + 1]
    ]


def _loose_error(network: Network, edges: Sequence[Edge], at: Point) -> GeometryError:
    """Return the error of lines that enclose nothing, with the gap to the next line's end."""
    degrees = network.degrees()
    ends = [node for edge in edges for node in (edge.first, edge.last) if degrees[node] == 1]
    if not ends:
        return GeometryError(
            f"The line through {_place(at)} joins two parts and encloses nothing; remove it, or "
            "close the piece beside it."
        )
    end = network.nodes[ends[0]]
    others = [
        distance(end, point)
        for number, point in enumerate(network.nodes)
        if number != ends[0] and degrees[number]
    ]
    near = f" The nearest other end is {min(others):.2f} mm away." if others else ""
    return GeometryError(
        f"A line ends at {_place(end)} without meeting another.{near} Close the gap, raise the "
        "snap tolerance, or have loose lines removed."
    )


# Parts of a drawing within each other.


def _with_holes(network: Network, faces: Faces) -> FoundBlock:
    """Return the block with each part of the drawing in the piece that it lies in."""
    if not faces.inner:
        raise GeometryError("The lines enclose nothing; close the block's outline.")
    outers = sorted(range(len(faces.outer)), key=lambda number: faces.outer[number].area)
    holes: dict[int, list[Ring]] = defaultdict(list)
    of_outer = {outers[0]: -1}
    for number in outers[1:]:
        ring = faces.outer[number]
        point = network.nodes[origin(network, ring.halves[0])]
        own = {faces.of_half[half ^ 1] for half in ring.halves}
        around = [
            index
            for index, face in enumerate(faces.inner)
            if index not in own and face.area > -ring.area and contains(face.outline, point)
        ]
        if not around:
            box, first = ring.outline.bounds, faces.outer[outers[0]].outline.bounds
            raise GeometryError(
                "The drawing has separate parts: one from "
                f"{_place(Point(first.left, first.bottom))} and one from "
                f"{_place(Point(box.left, box.bottom))}; send one block, or choose a group."
            )
        inside = min(around, key=lambda index: faces.inner[index].area)
        holes[inside].append(ring)
        of_outer[number] = inside
    origins = network.origins()
    made = tuple(
        _face(network, ring, holes.get(index, ()), [origins[half] for half in ring.halves])
        for index, ring in enumerate(faces.inner)
    )
    of_half = [owner if owner >= 0 else of_outer[-1 - owner] for owner in faces.of_half]
    outer = _round_block(network, faces.outer[outers[0]])
    return FoundBlock(network, made, of_half, outer, tuple(network.repairs))


def _face(network: Network, ring: Ring, holes: Sequence[Ring], nodes: Sequence[int]) -> Face:
    """Return a face; parts that touch its outline in a corner become holes.

    Args:
        network: that the ring belongs to.
        ring: round the face.
        holes: parts of the drawing inside it.
        nodes: along the ring.

    Raises:
        GeometryError: when lines that run along each other leave open what is inside.
    """
    if len(set(nodes)) == len(nodes):
        return Face(ring, (*holes,))
    simple = _simple_rings(network, ring)
    wholes = [each for each in simple if each.area > 0.0]
    if len(wholes) != 1:
        raise GeometryError(
            f"About {_place(middle_of(ring))} lines meet at too small an angle to tell the pieces "
            "beside them apart; draw them as one line, or farther apart."
        )
    (whole,) = wholes
    return Face(whole, (*holes, *(each for each in simple if each.area <= 0.0)))


def _simple_rings(network: Network, ring: Ring) -> list[Ring]:
    """Return a ring, split where it meets itself in a corner."""
    nodes = [origin(network, half) for half in ring.halves]
    if len(set(nodes)) == len(nodes):
        return [ring]
    found: list[Ring] = []
    walk: list[int] = []
    at: dict[int, int] = {}
    for half in ring.halves:
        node = origin(network, half)
        if node in at:
            begin = at[node]
            found.append(ring_of(network, walk[begin:]))
            at = {each: place for each, place in at.items() if place < begin}
            walk = walk[:begin]
        at[node] = len(walk)
        walk.append(half)
    return [*found, ring_of(network, walk)]


def _round_block(network: Network, outer: Ring) -> Ring:
    """Return the ring round the whole block, counter-clockwise.

    Raises:
        GeometryError: when parts of it only touch in a corner.
    """
    rings = _simple_rings(network, outer)
    if len(rings) > 1:
        nodes = [origin(network, half) for half in outer.halves]
        twice = next(node for node in nodes if nodes.count(node) > 1)
        raise GeometryError(
            f"Parts of the block only touch at {_place(network.nodes[twice])}; pieces are sewn "
            "along edges."
        )
    return ring_of(network, [half ^ 1 for half in reversed(outer.halves)])
