"""Inspection of a drawing: sizes, kinds, groups, allowances, and likely mistakes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache, lru_cache
from itertools import combinations

import shapely

from geometry.errors import AllowanceError
from geometry.hands import merged_edges
from geometry.intersect import close_pairs, meet
from geometry.layout.fit import DoesNotFit, fitting_turn
from geometry.layout.item import Item
from geometry.measure import area, corner_turns, flattened, perimeter
from geometry.model.cutter import WorkArea
from geometry.model.outline import Chain, Outline, Vertex
from geometry.model.points import Point, distance
from geometry.model.transform import Rigid
from geometry.offset.allowance import make_patch
from geometry.proof.allowance import measure_allowance
from geometry.shapes.catalogue import CATALOGUE
from geometry.tolerance import SMOOTH_TURN

#: Relative difference up to which two outlines, or an outline and a catalogue shape, are equal.
_ALIKE = 2.0e-3
#: Usual fractions of an inch, and the tolerance for sizes: in mm, and relative for files with few
#: digits.
_PART_MM = 25.4 / 8.0
_NEAR, _NEAR_SHARE = 3.0e-3, 2.0e-5
#: Number of different sizes needed to report a small mistake of units.
_SUBTLE_FROM = 2
#: Allowances below this, mm, are ignored: pieces that touch, or lines drawn twice.
_MIN_ALLOWANCE = 0.5
#: Minimum share of a template's edges with a patch edge beside them.
_BESIDE = 0.5
#: Chord tolerance for finding an outline's position, and distance of outlines that touch, mm.
_CHORD, _TOUCHING = 0.02, 0.05
#: Shares of an edge's length that count as its ends.
_ENDS = 1.0e-6
#: Usual pieces are 5 mm to half a metre in size.
_PIECES = (5.0, 500.0)
#: Sum of bends below which an area balance is linear.
_STRAIGHT = 1.0e-9
#: Mistakes of units, and the factors that correct them.
_MISTAKES = {
    25.4: "inches that were read as millimetres",
    1.0 / 25.4: "millimetres that were read as inches",
    96.0 / 72.0: "points (72 per inch) that were read as pixels (96)",
    72.0 / 96.0: "pixels (96 per inch) that were read as points (72)",
    96.0 / 90.0: "an older drawing of 90 pixels to the inch read at 96",
    90.0 / 96.0: "a drawing of 96 pixels to the inch read at 90",
    1016.0 / 1000.0: "plotter units of 1016 per inch read at 1000",
    1000.0 / 1016.0: "plotter units of 1000 per inch read at 1016",
}


@dataclass(frozen=True)
class Nearest:
    """The catalogue shape of an outline: its kind, one size and the deviation."""

    kind: str
    parameter: str
    size: float
    off: float


@dataclass(frozen=True)
class Measured:
    """One outline; ``inside`` is the index of the smallest outline around it."""

    outline: Outline
    nearest: Nearest | None
    inside: int | None
    fits: bool | None


@dataclass(frozen=True)
class Allowance:
    """The allowance between two outlines, mm; ``nested`` or drawn apart."""

    template: int
    patch: int
    nested: bool
    least: float
    most: float


@dataclass(frozen=True)
class Inspection:
    """The result of an inspection."""

    outlines: tuple[Measured, ...]
    groups: tuple[tuple[int, ...], ...]
    allowances: tuple[Allowance, ...]
    overlaps: tuple[tuple[int, int], ...]
    duplicate_lines: tuple[tuple[int, int, float], ...]
    warnings: tuple[str, ...] = field(default=())


def inspect(outlines: Sequence[Outline], *, room: WorkArea | None = None) -> Inspection:
    """Inspect closed, simple, counter-clockwise outlines.

    Args:
        outlines: the outlines of the drawing.
        room: a cutter's work area, to check whether each outline fits.
    """
    inside = _holders(outlines)
    measured = tuple(
        Measured(outline, nearest_kind(outline), inside[index], _fits(outline, room))
        for index, outline in enumerate(outlines)
    )
    return Inspection(
        outlines=measured,
        groups=_groups(outlines),
        allowances=tuple(_allowances(outlines, inside)),
        overlaps=tuple(_overlaps(outlines)),
        duplicate_lines=tuple(_duplicate_lines(outlines)),
        warnings=tuple(_unit_mistakes(measured)),
    )


def _holders(outlines: Sequence[Outline]) -> list[int | None]:
    """Return for each outline the smallest one that contains it.

    An outline that only shares an edge with another lies beside it, not inside.
    """
    shapes = [shapely.Polygon(flattened(outline, _CHORD)) for outline in outlines]
    tree = shapely.STRtree([shape.buffer(_TOUCHING) for shape in shapes])
    found: list[int | None] = []
    for index, shape in enumerate(shapes):
        holders = [
            (area(outlines[number]), number)
            for number in sorted(tree.query(shape, predicate="covered_by").tolist())
            if number != index and area(outlines[number]) > area(outlines[index]) * (1.0 + _ALIKE)
        ]
        found.append(min(holders)[1] if holders else None)
    return found


def crossings(paths: Sequence[Outline | Chain]) -> int:
    """Return the number of points at which a line meets another between its own ends."""
    parts = [(index, part) for index, path in enumerate(paths) for part in path.segments]
    places: set[tuple[int, int]] = set()
    for a, b in close_pairs([part for _, part in parts], _TOUCHING):
        (one, first), (other, second) = parts[a], parts[b]
        if one == other:
            continue
        met = meet(first, second)
        if met.overlap:
            continue
        for crossing in met.crossings:
            if _ENDS < crossing.first < 1.0 - _ENDS or _ENDS < crossing.second < 1.0 - _ENDS:
                at = first.point_at(crossing.first)
                places.add((round(at.x / _TOUCHING / 10.0), round(at.y / _TOUCHING / 10.0)))
    return len(places)


def _fits(outline: Outline, room: WorkArea | None) -> bool | None:
    if room is None:
        return None
    try:
        fitting_turn(Item("", outline, 1), room)
    except DoesNotFit:
        return False
    return True


# Signatures: an outline's edges and corners in order, independent of position, rotation and size.


def _signature(outline: Outline) -> tuple[tuple[float, float, float], ...]:
    whole = perimeter(outline)
    return tuple(
        (part.length / whole, 4.0 * math.atan(part.bulge), turn)
        for part, turn in zip(outline.segments, corner_turns(outline), strict=True)
    )


def difference(first: Outline, second: Outline) -> float:
    """Return the difference of two shapes, 0 if similar; infinite if the number of edges differs.

    Rotated, mirrored and scaled outlines are similar.
    """
    first, second = _plain(first), _plain(second)
    if len(first.vertices) != len(second.vertices):
        return math.inf
    wanted = _signature(first)
    either_hand = (_signature(second), _signature(Rigid(mirrored=True).outline(second)))
    return min(
        _off(wanted, other[shift:] + other[:shift])
        for other in either_hand
        for shift in range(len(wanted))
    )


@lru_cache(maxsize=1024)
def _plain(outline: Outline) -> Outline:
    """Return an outline with edges along one line or circle merged."""
    parts = merged_edges(outline)
    return Outline(tuple(Vertex(part.start.x, part.start.y, part.bulge) for part in parts))


def _off(a: Sequence[tuple[float, float, float]], b: Sequence[tuple[float, float, float]]) -> float:
    worst = 0.0
    for one, other in zip(a, b, strict=True):
        turn = abs(math.remainder(one[2] - other[2], math.tau))
        worst = max(worst, abs(one[0] - other[0]), abs(one[1] - other[1]), turn)
    return worst


@cache
def _units() -> dict[str, tuple[str, float, Outline]]:
    """Return the kinds sized by one length, each with that parameter and its unit outline."""
    found: dict[str, tuple[str, float, Outline]] = {}
    for name, kind in CATALOGUE.items():
        if kind.required or len(kind.size_options[0]) != 1:
            continue
        # The sizing parameter may be an unexpected one, as for a petal, which is sized by its
        # square.
        for parameter, *more in kind.size_options:
            if parameter in kind.unit and not more:
                found[name] = (parameter, float(kind.unit[parameter]), kind.build(kind.unit))
                break
    return found


def nearest_kind(outline: Outline) -> Nearest | None:
    """Return the catalogue shape of an outline, up to rotation and mirroring, with its size.

    Rectangles are recognised by their angles; ``size`` is then the longer side.
    """
    best: Nearest | None = None
    for kind, (parameter, unit, drawn) in _units().items():
        off = difference(outline, drawn)
        if off <= _ALIKE and (best is None or off < best.off - 1e-9):
            size = unit * perimeter(outline) / perimeter(drawn)
            best = Nearest(kind, parameter, size, off)
    if best is None and (diameter := _circle(outline)) is not None:
        return Nearest("circle", "diameter", diameter, _ALIKE)
    if best is None and _is_rectangle(outline):
        longer = max(part.length for part in outline.segments)
        return Nearest("rectangle", "width", longer, 0.0)
    return best


def _circle(outline: Outline) -> float | None:
    """Return the diameter of a circle drawn as other curves or as many arcs."""
    if not all(part.bulge for part in outline.segments):
        return None
    box = outline.bounds
    middle = Point((box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0)
    points = [part.point_at(share) for part in outline.segments for share in (0.0, 0.3, 0.6)]
    reach = [distance(middle, point) for point in points]
    return 2.0 * sum(reach) / len(reach) if max(reach) - min(reach) <= _ALIKE * max(reach) else None


def _is_rectangle(outline: Outline) -> bool:
    return (
        len(outline.vertices) == 4  # noqa: PLR2004 - four corners
        and not outline.has_arcs
        and all(abs(turn - math.pi / 2.0) < _ALIKE for turn in corner_turns(outline))
    )


def _groups(outlines: Sequence[Outline]) -> tuple[tuple[int, ...], ...]:
    """Return groups of indices of congruent outlines, including mirror images."""
    groups: list[list[int]] = []
    for index, outline in enumerate(outlines):
        for group in groups:
            first = outlines[group[0]]
            alike = math.isclose(perimeter(first), perimeter(outline), rel_tol=_ALIKE)
            if alike and difference(first, outline) <= _ALIKE:
                group.append(index)
                break
        else:
            groups.append([index])
    return tuple(tuple(group) for group in groups)


def _allowances(outlines: Sequence[Outline], inside: Sequence[int | None]) -> Iterator[Allowance]:
    for template, patch in enumerate(inside):
        if patch is not None:
            found = measure_allowance(outlines[template], outlines[patch])
            # A removal hole, or a motif inside an outline, has no parallel edges; pieces that touch
            # have no allowance.
            beside = len(found.edges) >= _BESIDE * len(outlines[template].vertices)
            if beside and found.least >= _MIN_ALLOWANCE:
                yield Allowance(template, patch, True, found.least, found.most)  # noqa: FBT003
    paired = {index for index, holder in enumerate(inside) if holder is not None}
    paired |= {holder for holder in inside if holder is not None}
    apart = [index for index in range(len(outlines)) if index not in paired]
    for first, second in combinations(apart, 2):
        small, large = sorted((first, second), key=lambda index: area(outlines[index]))
        wide = _apart_allowance(outlines[small], outlines[large])
        if wide is not None and wide >= _MIN_ALLOWANCE:
            yield Allowance(small, large, False, wide, wide)  # noqa: FBT003


def _apart_allowance(template: Outline, patch: Outline) -> float | None:
    """Return the allowance with which one outline is the other's patch, or ``None``.

    It is calculated from the area of a mitred patch, then verified.
    """
    turns = corner_turns(template)
    bend = sum(math.tan(turn / 2.0) for turn in turns if SMOOTH_TURN < abs(turn) < math.pi - 0.1)
    bend += sum(2.0 * math.atan(v.bulge) for v in template.vertices)
    long, more = perimeter(template), area(patch) - area(template)
    if more <= 0.0:
        return None
    root = long * long + 4.0 * bend * more
    wide = (
        (math.sqrt(root) - long) / (2.0 * bend)
        if abs(bend) > _STRAIGHT and root > 0.0
        else more / long
    )
    try:
        made = make_patch(template, wide).outline
    except AllowanceError:
        return None
    same = math.isclose(perimeter(made), perimeter(patch), rel_tol=_ALIKE)
    return wide if same and difference(made, patch) <= _ALIKE else None


def _overlaps(outlines: Sequence[Outline]) -> Iterator[tuple[int, int]]:
    """Yield pairs whose edges cross; outlines inside each other or touching do not overlap."""
    for first, second in combinations(range(len(outlines)), 2):
        a, b = outlines[first].bounds, outlines[second].bounds
        near = a.left < b.right and b.left < a.right and a.bottom < b.top and b.bottom < a.top
        if near and _cross(outlines[first], outlines[second]):
            yield first, second


def _cross(first: Outline, second: Outline) -> bool:
    return any(
        0.0 < crossing.first < 1.0 and 0.0 < crossing.second < 1.0
        for a in first.segments
        for b in second.segments
        for crossing in meet(a, b).crossings
    )


def _duplicate_lines(outlines: Sequence[Outline]) -> Iterator[tuple[int, int, float]]:
    """Yield pairs of outlines with the length of their common edges, mm."""
    edges = [(index, part) for index, outline in enumerate(outlines) for part in outline.segments]
    shared: dict[tuple[int, int], float] = {}
    for a, b in close_pairs([part for _, part in edges], 1e-6):
        pair = (edges[a][0], edges[b][0])
        if pair[0] == pair[1]:
            continue
        found = meet(edges[a][1], edges[b][1])
        if found.overlap:
            shares = [crossing.first for crossing in found.crossings]
            length = (max(shares) - min(shares)) * edges[a][1].length
            shared[pair] = shared.get(pair, 0.0) + length
    for (first, second), length in sorted(shared.items()):
        yield first, second, length


def _unit_mistakes(measured: Sequence[Measured]) -> Iterator[str]:
    """Return a note if only the same mistake of units explains all known sizes."""
    known = [each for each in measured if each.nearest is not None]
    sizes = [each.nearest.size for each in known if each.nearest is not None]
    boxes = [each.outline.bounds for each in known]
    across = [length for box in boxes for length in (box.width, box.height)]
    if not sizes or any(
        _is_plain(size) and _PIECES[0] <= size <= _PIECES[1] for size in (*sizes, *across)
    ):
        # One plain size is enough, because a mistake of units affects all of them.
        return
    distinct = len({round(size, 2) for size in sizes})
    for factor, mistake in _MISTAKES.items():
        gross = not 0.5 < factor < 2.0  # noqa: PLR2004 - inches for millimetres
        if gross and all(_PIECES[0] <= size <= _PIECES[1] for size in sizes):
            # Usual sizes are not 25 times too large or too small.
            continue
        if not gross and distinct < _SUBTLE_FROM:
            # A single size is plain by chance too often.
            continue
        if all(
            _is_plain(size * factor) and _PIECES[0] <= size * factor <= _PIECES[1] for size in sizes
        ):
            yield (
                f"These sizes come out plain when multiplied by {factor:.4g}: "
                f"they may be {mistake}."
            )
            return


def _is_plain(size: float) -> bool:
    """Return whether a size is close to whole eighths of an inch or whole millimetres."""
    for part in (_PART_MM, 1.0):
        count = round(size / part)
        if count and abs(size - count * part) <= _NEAR + _NEAR_SHARE * size:
            return True
    return False
