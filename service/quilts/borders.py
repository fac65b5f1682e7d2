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

#: Decimals of mm to which pieces are equal.
_DECIMALS = 4
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

    ``places`` are the edges of the quilt that they are for.
    """

    count: int
    width: float
    length: float
    places: tuple[Place, ...]


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

    A seam between two takes the allowance off both.
    """
    if not border.spec.joined:
        return []
    across = fabric.fabric.width
    if fabric.pre_cut is not None:
        across = max(fabric.pre_cut.width, fabric.pre_cut.length)
    totals: dict[float, float] = {}
    places: dict[float, tuple[Place, ...]] = {}
    for strip in strips_of(border, allowance):
        width = round(strip.cut_width, _DECIMALS)
        totals[width] = totals.get(width, 0.0) + strip.count * strip.cut_length
        places[width] = (*places.get(width, ()), strip.place)
    seam = 2.0 * allowance
    # A fabric narrower than a seam is reported where its pieces are laid out.
    usable = max(across - seam, 1.0)
    return [
        Joined(max(1, math.ceil((total - seam) / usable - 1e-9)), width, across, places[width])
        for width, total in totals.items()
    ]


def border_cuts(spec: QuiltSpec, borders: Sequence[Border]) -> Iterator[tuple[str, Wanted]]:
    """Yield the strips to cut for all kits, each with the colour of its fabric."""
    for number, border in enumerate(borders, 1):
        name, where = f"border-{number}", ("fabric",)
        joined = joined_strips(border, spec.fabric, spec.allowance)
        for each in joined:
            cut = Cut(each.length, each.width, each.count * spec.kits, turns_deg=_ON_GRAIN)
            # Sides and ends of other widths are strips of their own.
            alone = f"{name}-{each.places[0]}" if len(joined) > 1 else name
            yield border.spec.colour, Wanted(alone, cut, where)
        if joined:
            continue
        for strip in strips_of(border, spec.allowance):
            count = strip.count * spec.kits
            cut = Cut(strip.cut_width, strip.cut_length, count, turns_deg=_ON_GRAIN)
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
