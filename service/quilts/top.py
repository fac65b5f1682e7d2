"""The quilt top at the size requested, its borders, and how far it differs from that size."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from geometry.errors import GeometryError, GeometryFaults
from geometry.model.segments import Bounds
from geometry.planning.assembly import Assembly, assemble, turned
from geometry.planning.borders import MIN_REST, Border, lay_borders, stated_width
from geometry.planning.frames import NEAR, Edge, Fit, NearestSizes, Size, frame_of, nearest_sizes
from geometry.planning.outside import outside_length, ragged_edges
from geometry.planning.plane import Axis, Plane
from geometry.planning.seams import Seams, seams_of
from geometry.planning.settings import check_block, on_point_axis, set_on_point, set_straight
from geometry.units import format_decimal
from service.answers.quilt_sizes import (
    NearestAxisSizesAnswer,
    NearestTopSizesAnswer,
    NearSizeAnswer,
)
from service.quilts.star_sizes import with_other_stars
from service.requests.quilt_size import QuiltSize
from service.requests.quilt_spec import QuiltSpec
from service.schemas.units_in_text import in_units
from service.texts import gettext as _
from service.texts import gettext_noop as _later

#: A quilt whose size differs by more than this share is reported.
_TOLERANCE = 0.02
#: Rounding in a number of diamonds.
_NEARLY = 1e-9
_AXES = ("width", "length")
_WORDS = ("wide", "long")
_IS = (
    _later("The quilt is {size} wide; {requested} was requested ({apart})."),
    _later("The quilt is {size} long; {requested} was requested ({apart})."),
)


@dataclass(frozen=True)
class QuiltTop:
    """A quilt top with its borders.

    Args:
        assembly: the tiled top.
        borders: round it, from the inside out.
        sizes: nearest sizes of the tiled top, across and along.
        counts: the tiling's whole numbers, stated or chosen.
    """

    assembly: Assembly
    borders: tuple[Border, ...]
    sizes: tuple[NearestSizes, NearestSizes]
    counts: Mapping[str, int]

    @property
    def bounds(self) -> Bounds:
        """Return the box of the whole quilt."""
        return self.borders[-1].outer if self.borders else self.assembly.bounds

    @cached_property
    def seams(self) -> Seams:
        """The seams of the tiled top, without its borders."""
        return seams_of(self.assembly)

    @cached_property
    def outside(self) -> float:
        """The length round the whole quilt, mm, along points and dents where edges keep them."""
        if self.borders:
            return 2.0 * (self.bounds.width + self.bounds.height)
        return outside_length(self.assembly, self.seams)


def quilt_top(spec: QuiltSpec) -> QuiltTop:
    """Return a quilt's top and borders.

    Raises:
        geometry.errors.GeometryError: when the tiling does not make this size.
    """
    counts = counts_of(spec)
    block = spec.tiling.draw({**spec.sizes, **counts})
    if spec.on_side:
        block = turned(block)
    plane, edges = _set(block, spec)
    if spec.borders:
        _check_straight(plane, edges)
    stated = stated_width(spec.borders)
    left = (spec.quilt.width - stated, spec.quilt.length - stated)
    if min(left) <= 0.0:
        detail = f"These borders take {format_decimal(stated)} mm of the quilt's size; use narrower"
        raise GeometryError(f"{detail} ones or fewer.", where=("borders",))
    axes = (plane.across, plane.along)
    found = [_axis(spec, index, axes[index], left[index], edges[index]) for index in range(2)]
    if errors := tuple(each for each in found if isinstance(each, GeometryError)):
        raise GeometryFaults(errors)
    (across, width), (along, length) = (each for each in found if not isinstance(each, Exception))
    fit: Fit = "smaller" if spec.fit == "borders" else spec.fit
    if spec.setting is not None and spec.setting.is_on_point:
        counted = [
            frame_of(axes[0], width, "filled", fit),
            frame_of(axes[1], length, "filled", fit),
        ]
        assembly = set_on_point(block, spec.setting, *(each.count for each in counted))
    else:
        assembly = assemble(plane, width, length, sides=edges[0], ends=edges[1], fit=fit)
    across, along = (
        with_other_stars(sizes, spec, counts, of_block, edge)
        for sizes, of_block, edge in zip(
            (across, along), (block.width, block.height), edges, strict=True
        )
    )
    borders = lay_borders(assembly.bounds, spec.quilt.width, spec.quilt.length, spec.borders)
    return QuiltTop(assembly, borders, (across, along), counts)


def counts_of(spec: QuiltSpec) -> dict[str, int]:
    """Return the tiling's whole numbers; a star gets the diamonds that fill the quilt."""
    usual = {name: bounds[2] for name, bounds in spec.tiling.counts.items()}
    counts = {**usual, **spec.counts}
    if "diamonds" not in usual or "diamonds" in spec.counts:
        return counts
    plane = spec.tiling.draw({**spec.sizes, "diamonds": 1})
    if spec.on_side:
        plane = turned(plane)
    stated = stated_width(spec.borders)
    # A block of n diamonds along an edge is n times as wide and long as one of a single diamond.
    across = (spec.quilt.width - stated) / plane.width
    along = (spec.quilt.length - stated) / plane.height
    if spec.fit == "borders":
        across -= 2.0 * MIN_REST / plane.width
        along -= 2.0 * MIN_REST / plane.height
    if spec.fit == "larger":
        found = math.ceil(max(across, along) - _NEARLY)
    elif spec.fit == "nearest":
        found = round(min(across, along))
    else:
        found = math.floor(min(across, along) + _NEARLY)
    least, most, _ = spec.tiling.counts["diamonds"]
    return counts | {"diamonds": min(max(found, least), most)}


def _set(block: Plane, spec: QuiltSpec) -> tuple[Plane, tuple[Edge, Edge]]:
    """Return the plane of set blocks, and how the quilt's sides and ends are made."""
    setting = spec.setting
    if setting is None:
        return block, (spec.sides, spec.ends)
    check_block(block, setting)
    if setting.is_on_point:
        axis = on_point_axis(block, setting)
        return replace(block, across=axis, along=axis), ("filled", "filled")
    # Blocks have straight edges: there is nothing to fill.
    sides, ends = ("whole" if each == "filled" else each for each in (spec.sides, spec.ends))
    return set_straight(block, setting), (sides, ends)


def _check_straight(plane: Plane, edges: tuple[Edge, Edge]) -> None:
    for axis, edge, name in zip((plane.across, plane.along), edges, ("sides", "ends"), strict=True):
        if edge == "whole" and axis.teeth > 0.0:
            detail = (
                f"The {name} of whole pieces are not straight, and a border is sewn to straight"
            )
            raise GeometryError(
                f'{detail} ones: set edge to "filled" or "trimmed".', where=("edge",)
            )


def _axis(
    spec: QuiltSpec, index: int, axis: Axis, left: float, edge: Edge
) -> tuple[NearestSizes, float] | GeometryError:
    """Return the nearest sizes along an axis and the size to make, or why there is none."""
    sizes = nearest_sizes(axis, left, edge)
    room = left
    is_exact = sizes.larger.mm <= left + NEAR
    is_optional = any(each.is_optional for each in spec.borders)
    if spec.fit == "borders" and not (is_exact and is_optional):
        # What is left becomes a border, which must be wide enough to sew.
        room = left - 2.0 * MIN_REST
    if spec.fit in {"larger", "nearest"} or nearest_sizes(axis, room, edge).smaller is not None:
        return sizes, room
    one = nearest_sizes(axis, 0.0, edge).larger.mm
    detail = f"The smallest quilt of this tiling is {format_decimal(one)} mm {_WORDS[index]}; "
    detail += f"at most {format_decimal(max(room, 0.0))} mm is left for it"
    if room < left:
        detail += f" beside borders of {format_decimal(MIN_REST)} mm or more"
    detail += '. Use smaller pieces, or another fit, such as "nearest".'
    where = ("quilt",) if spec.quilt.bed else ("quilt", _AXES[index])
    return GeometryError(detail, where=where)


def nearest_answer(top: QuiltTop) -> NearestTopSizesAnswer:
    """Return the nearest sizes of the tiled top, with their differences."""
    width, length = (_sizes(each) for each in top.sizes)
    return NearestTopSizesAnswer(width=width, length=length)


def _sizes(sizes: NearestSizes) -> NearestAxisSizesAnswer:
    smaller, requested = sizes.smaller, sizes.requested
    return NearestAxisSizesAnswer(
        requested_mm=requested,
        smaller=None if smaller is None else _size(smaller, requested),
        larger=_size(sizes.larger, requested),
    )


def _size(size: Size, requested: float) -> NearSizeAnswer:
    difference = size.mm - requested
    return NearSizeAnswer(
        size_mm=size.mm,
        difference_mm=0.0 if abs(difference) <= NEAR else difference,
        count=size.count,
        diamonds=size.diamonds,
    )


def size_warnings(spec: QuiltSpec, top: QuiltTop) -> Iterator[str]:
    """Yield a warning for each axis on which the quilt differs by more than 2 %."""
    made = QuiltSize(top.bounds.width, top.bounds.height)
    for index, name in enumerate(_AXES):
        size, requested = getattr(made, name), getattr(spec.quilt, name)
        difference = size - requested
        if abs(difference) <= _TOLERANCE * requested + NEAR:
            continue
        text = _(_IS[index], size=_mm(size), requested=_mm(requested), apart=_apart(difference))
        sizes = top.sizes[index]
        other = sizes.smaller if difference > 0.0 else sizes.larger
        if other is not None and abs(other.mm - size + _borders(top, index)) > NEAR:
            whole = other.mm + _borders(top, index)
            values = {"size": _mm(whole), "apart": _apart(whole - requested)}
            if other.diamonds is not None:
                next_size = _(
                    "With {diamonds} diamonds it is {size} ({apart}).",
                    diamonds=other.diamonds,
                    **values,
                )
            elif difference > 0.0:
                next_size = _("The next smaller size is {size} ({apart}).", **values)
            else:
                next_size = _("The next larger size is {size} ({apart}).", **values)
            text += f" {next_size}"
        nearer = _("Other pieces, another fit, trimmed edges or borders bring it nearer.")
        yield in_units(f"{text} {nearer}", spec.units, at_the_bench=True)


def edge_warnings(spec: QuiltSpec, top: QuiltTop) -> Iterator[str]:
    """Yield how a quilt is bound whose edges keep the points and dents of whole pieces."""
    ragged = tuple(ragged_edges(top.assembly))
    if top.borders or not any(ragged):
        return
    straight = 2.0 * (top.bounds.width + top.bounds.height)
    edges = _("sides and ends") if all(ragged) else _("sides") if ragged[0] else _("ends")
    text = _(
        "The {edges} keep the points and dents of whole pieces, and the binding follows them: "
        "{around} round the quilt; a rectangle of its size has {straight}. Trimmed or filled edges "
        "are bound straight.",
        edges=edges,
        around=_mm(top.outside),
        straight=_mm(straight),
    )
    if any(each.outline.has_arcs for each in top.assembly.plane.protos):
        text = f"{text} {_('Curved edges take strips cut on the bias.')}"
    yield in_units(text, spec.units, at_the_bench=True)


def _borders(top: QuiltTop, index: int) -> float:
    return 2.0 * sum((each.sides_width, each.ends_width)[index] for each in top.borders)


def _mm(length: float) -> str:
    return f"{format_decimal(length)} mm"


def _apart(difference: float) -> str:
    length = _mm(abs(difference))
    if difference > 0.0:
        return _("{length} more", length=length)
    return _("{length} less", length=length)
