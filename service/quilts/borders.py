"""Borders of a planned quilt: strips to cut by hand, pieces for the kit, their fabric."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from geometry.model.outline import Outline
from geometry.planning.borders import Border, BorderPart, mitre_tail
from geometry.planning.cloth import Cut
from geometry.planning.grain import Grain
from geometry.planning.pieces import Need, PieceShape
from geometry.shapes.catalogue import build
from service.answers.quilt_sizes import BorderAnswer, BorderStripAnswer, JoinedStripsAnswer
from service.quilts.cut_pieces import Wanted
from service.requests.fabrics import Bought
from service.requests.quilt_spec import QuiltSpec

#: Decimals of mm to which pieces are equal, and mm below which a strip is no longer than another.
_DECIMALS = 4
_NEAR = 1e-6
#: Strips lie along or across the grain: on the bias they would stretch. Common practice, no source.
_ON_GRAIN = (0.0, 90.0, 180.0, 270.0)

Place: TypeAlias = Literal["sides", "ends"]


@dataclass(frozen=True)
class BorderStrip:
    """Equal strips of a border, mm: finished, and as cut."""

    place: Place
    count: int
    width: float
    length: float
    cut_width: float
    cut_length: float


@dataclass(frozen=True)
class Joined:
    """Strips cut across the fabric that are joined end to end, mm as cut.

    ``places`` are the edges of the quilt that they are for. ``is_along``: they are cut along the
    fabric instead.
    """

    count: int
    width: float
    length: float
    places: tuple[Place, ...]
    is_along: bool = False


def strips_of(border: Border, allowance: float) -> list[BorderStrip]:
    """Return the plain strips of a border, sides first."""
    found = []
    places: tuple[tuple[Place, float, float], ...] = (
        ("sides", border.sides_width, border.ends_width),
        ("ends", border.ends_width, border.sides_width),
    )
    for place, width, run in places:
        parts = [each for each in border.parts if each.is_strip and each.place == place]
        if parts:
            box = parts[0].outline.bounds
            length = box.height if place == "sides" else box.width
            tail = mitre_tail(border.spec, run, width, allowance)
            found.append(
                BorderStrip(
                    place, len(parts), width, length, width + 2 * allowance, length + 2.0 * tail
                )
            )
    return found


def joined_strips(border: Border, fabric: Bought, allowance: float) -> list[Joined]:
    """Return the strips across the fabric that joined strips are made of, by width.

    A seam between two takes the allowance off both. On a print with a top, the ends are cut across
    the fabric and the sides along it, so that it stands upright on all of them: ends longer than
    the fabric is wide are joined, and sides only where they come from pre-cut pieces. Where every
    strip of a width fits in one length, and joining them saves none, a seam would be for nothing.
    """
    lengths: dict[tuple[float, bool], list[float]] = {}
    places: dict[tuple[float, bool], tuple[Place, ...]] = {}
    for strip in strips_of(border, allowance):
        if _is_joined(strip, border, fabric):
            key = round(strip.cut_width, _DECIMALS), _is_along(strip, fabric)
            lengths.setdefault(key, []).extend([strip.cut_length] * strip.count)
            places[key] = (*places.get(key, ()), strip.place)
    seam = 2.0 * allowance
    found = []
    for (width, is_along), each in lengths.items():
        room = _strip_length(fabric, is_along=is_along)
        # A fabric narrower than a seam is reported where its pieces are laid out.
        count = max(1, math.ceil((sum(each) - seam) / max(room - seam, 1.0) - 1e-9))
        if max(each) <= room + _NEAR and _uncut(each, room) <= count:
            continue
        found.append(Joined(count, width, room, places[width, is_along], is_along))
    return found


def _uncut(lengths: Sequence[float], room: float) -> int:
    """Return in how many strips of a length others are cut whole, the longest of them first."""
    left: list[float] = []
    for length in sorted(lengths, reverse=True):
        fits = [at for at, rest in enumerate(left) if length <= rest + _NEAR]
        if fits:
            left[fits[0]] -= length
        else:
            left.append(room - length)
    return len(left)


def _is_along(strip: BorderStrip, fabric: Bought) -> bool:
    """Return whether a strip has to be cut along the fabric, as its print has a top."""
    return fabric.fabric.directional and strip.place == "sides"


def _is_joined(strip: BorderStrip, border: Border, fabric: Bought) -> bool:
    """Return whether a strip is joined from several if it is too long for one."""
    if not fabric.fabric.directional or fabric.pre_cut is not None:
        return border.spec.joined
    too_long = strip.cut_length > fabric.fabric.width + _NEAR
    return strip.place == "ends" and (border.spec.joined or too_long)


def _strip_length(fabric: Bought, *, is_along: bool) -> float:
    """Return the length of strips that are joined, mm."""
    if (pre_cut := fabric.pre_cut) is None:
        return fabric.fabric.width
    if not fabric.fabric.directional:
        return max(pre_cut.width, pre_cut.length)
    return pre_cut.length if is_along else pre_cut.width


def border_cuts(spec: QuiltSpec, borders: Sequence[Border]) -> Iterator[tuple[str, Wanted]]:
    """Yield the strips to cut for all kits, each with the colour of its fabric."""
    for number, border in enumerate(borders, 1):
        name, where = f"border-{number}", ("fabric",)
        strips = strips_of(border, spec.allowance)
        joined = joined_strips(border, spec.fabric, spec.allowance)
        whole = [each for each in strips if not any(each.place in one.places for one in joined)]
        for each in joined:
            width, length = each.width, each.length
            if not each.is_along:
                width, length = length, width
            cut = Cut(width, length, each.count * spec.kits, turns_deg=_ON_GRAIN)
            # Sides and ends of other widths are strips of their own.
            alone = f"{name}-{each.places[0]}" if len(joined) > 1 or whole else name
            yield border.spec.colour, Wanted(alone, cut, where)
        for strip in whole:
            width, length = strip.cut_width, strip.cut_length
            if spec.fabric.fabric.directional and strip.place == "ends":
                width, length = length, width
            cut = Cut(width, length, strip.count * spec.kits, turns_deg=_ON_GRAIN)
            yield border.spec.colour, Wanted(f"{name}-{strip.place}", cut, where)


def border_needs(borders: Sequence[Border], grain: Grain) -> tuple[Need, ...]:
    """Return the pieces of borders and their cornerstones, with equal ones grouped.

    Args:
        borders: of the quilt.
        grain: how its pieces lie on the cloth.
    """
    turns = _ON_GRAIN if grain == "straight" else None
    shapes: dict[tuple[float, float], PieceShape] = {}
    counts: dict[tuple[tuple[float, float], str], int] = {}
    for part in border_parts(borders):
        if part.is_strip:
            continue
        size = _size(part.outline)
        shapes.setdefault(size, _shape(part.outline))
        counts[size, part.colour] = counts.get((size, part.colour), 0) + 1
    return tuple(
        Need(shapes[size], "border", colour, count, 1.0, turns)
        for (size, colour), count in counts.items()
    )


def border_names(borders: Sequence[Border], needs: Mapping[str, Need]) -> list[str]:
    """Return the letter of each part of the borders, from the inside out, empty for a strip."""
    named = {
        (_size(need.shape.outline), need.colour): name
        for name, need in needs.items()
        if need.part == "border"
    }
    return [
        "" if part.is_strip else named[_size(part.outline), part.colour]
        for part in border_parts(borders)
    ]


def _size(outline: Outline) -> tuple[float, float]:
    box = outline.bounds
    return round(box.width, _DECIMALS), round(box.height, _DECIMALS)


def border_parts(borders: Sequence[Border]) -> Iterator[BorderPart]:
    """Yield all strips and pieces of the borders, from the inside out."""
    for border in borders:
        yield from border.parts


def _shape(outline: Outline) -> PieceShape:
    box = outline.bounds
    if math.isclose(box.width, box.height, rel_tol=1e-9):
        values = {"side": box.width}
        return PieceShape("square", values, build("square", values))
    values = {"width": box.width, "height": box.height}
    return PieceShape("rectangle", values, build("rectangle", values))


def borders_answer(spec: QuiltSpec, borders: Sequence[Border]) -> list[BorderAnswer]:
    """Return the borders from the inside out."""
    return [_answer(spec, each) for each in borders]


def _answer(spec: QuiltSpec, border: Border) -> BorderAnswer:
    return BorderAnswer(
        colour=border.spec.colour,
        corners=border.spec.corners,
        sides_width_mm=border.sides_width,
        ends_width_mm=border.ends_width,
        strips=[
            BorderStripAnswer(
                place=each.place,
                quantity=each.count,
                width_mm=each.width,
                length_mm=each.length,
                cut_width_mm=each.cut_width,
                cut_length_mm=each.cut_length,
            )
            for each in strips_of(border, spec.allowance)
        ],
        joined_from=[
            JoinedStripsAnswer(
                places=each.places,
                quantity=each.count,
                cut_width_mm=each.width,
                cut_length_mm=each.length,
            )
            for each in joined_strips(border, spec.fabric, spec.allowance)
        ],
        pieces=sum(not each.is_strip for each in border.parts),
    )
