"""A drawing that is printed and shown on a page alike, and how it is written as SVG."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from html import escape
from zlib import crc32

from geometry.model.outline import Chain, Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid
from service.documents.pictures.letters import width_of
from service.documents.pictures.looks import INK, Look
from service.documents.pictures.path import number, path_data

#: Millimetres per CSS pixel are not of interest: drawings state their size in millimetres.
#: As many equal words are drawn once in a document of its own.
_MANY, _ORIGIN = 8, Point(0.0, 0.0)
_LETTERS = 'font-family="sans-serif" stroke="none"'


@dataclass(frozen=True)
class Shape:
    """Lines and outlines of one look; several outlines leave holes where they overlap."""

    paths: tuple[Outline | Chain, ...]
    look: Look


@dataclass(frozen=True)
class Copies:
    """Shapes that are drawn at several places."""

    shapes: tuple[Shape, ...]
    moves: tuple[Rigid, ...]


@dataclass(frozen=True)
class Hatching:
    """Lines across outlines, so that fills that print alike in grey can be distinguished.

    ``apart`` is the distance between lines in the drawing's units. It ends with the drawing's
    ``trimmed_to`` if it ``is_trimmed``.
    """

    paths: tuple[Outline, ...]
    angle_deg: float
    apart: float
    look: Look
    is_trimmed: bool = False

    @property
    def lines(self) -> Iterator[Chain]:
        """Yield lines that cover the box of the outlines."""
        box = Bounds.around([path.bounds for path in self.paths])
        middle = Point((box.left + box.right) / 2.0, (box.bottom + box.top) / 2.0)
        reach = math.hypot(box.width, box.height) / 2.0
        count = math.ceil(reach / self.apart)
        turned = Rigid(self.angle_deg, middle.x, middle.y)
        for place in range(-count, count + 1):
            level = place * self.apart
            yield turned.chain(Chain.of([(-reach, level), (reach, level)]))


@dataclass(frozen=True)
class Words:
    """A text about a point; ``size`` is the height of its letters in the drawing's units.

    ``ground`` is the colour behind it, where it stands on lines. A text that ``begins`` at its
    point stands to the right of it.
    """

    text: str
    at: Point
    size: float
    upright: bool = False
    ground: str | None = None
    begins: bool = False
    ink: str = INK

    @property
    def ground_box(self) -> tuple[float, float]:
        """Return the width and height of the ground that keeps lines away from the letters."""
        return (width_of(self.text) + 0.3) * self.size, 1.15 * self.size

    @property
    def covered(self) -> Bounds:
        """Return what the letters cover about their point, with the ground's air."""
        wide, high = (side / 2.0 for side in self.ground_box)
        if self.upright:
            wide, high = high, wide
        x, y = self.at
        return Bounds(x - wide, y - high, x + wide, y + high)


@dataclass(frozen=True)
class Sketch:
    """A drawing, y up, in millimetres of what it shows, from bottom to top.

    ``scale`` is millimetres on paper per unit, ``words`` say what it is for those who cannot
    see it. What reaches past the box is left out if it ``is_part`` of a larger drawing; of copies
    and of trimmed hatchings what reaches past ``trimmed_to``, if it is stated.
    """

    box: Bounds
    scale: float
    title: str
    ground: tuple[Shape, ...] = ()
    copies: tuple[Copies, ...] = ()
    hatchings: tuple[Hatching, ...] = ()
    top: tuple[Shape, ...] = ()
    words: tuple[Words, ...] = ()
    is_part: bool = False
    trimmed_to: Bounds | None = None


def fitting_scale(box: Bounds, room: tuple[float, float]) -> float:
    """Return the scale at which a box fits a room of these millimetres; 1 at most."""
    return min(1.0, room[0] / box.width, room[1] / box.height)


def sketch_svg(sketch: Sketch) -> str:
    """Return a drawing as an SVG element with a text for those who cannot see it."""
    box, scale = sketch.box, sketch.scale
    inside = drawn_svg(sketch)
    return (
        f'<svg role="img" aria-label="{escape(sketch.title)}" width="{number(box.width * scale)}mm"'
        f' height="{number(box.height * scale)}mm" viewBox="{number(box.left)} {number(-box.top)} '
        f'{number(box.width)} {number(box.height)}" '
        f'overflow="{"hidden" if sketch.is_part else "visible"}">'
        f'<g transform="scale(1 -1)">{inside}</g></svg>'
    )


def drawn_svg(sketch: Sketch, *, reuse: bool = False) -> str:
    """Return what is drawn, y up; copies of a document of its own ``reuse`` their first one.

    Ids follow from what they stand for, so that several drawings on a page do not share one.
    """
    scale = sketch.scale
    ground = "".join(shape_svg(shape, scale) for shape in sketch.ground)
    inside = "".join((*_copies(sketch, reuse=reuse), *_hatchings(sketch, trimmed=True)))
    if sketch.trimmed_to is not None and inside:
        box = sketch.trimmed_to
        rect = (
            f'<rect x="{number(box.left)}" y="{number(box.bottom)}" '
            f'width="{number(box.width)}" height="{number(box.height)}"/>'
        )
        name = _name("trimmed", rect)
        inside = f'<clipPath id="{name}">{rect}</clipPath><g clip-path="url(#{name})">{inside}</g>'
    inside += "".join(_hatchings(sketch, trimmed=False))
    top = "".join(shape_svg(shape, scale) for shape in sketch.top)
    return "".join((ground, inside, top, *_all_words(sketch, reuse=reuse)))


def _copies(sketch: Sketch, *, reuse: bool) -> Iterator[str]:
    for each in sketch.copies:
        drawn = "".join(shape_svg(shape, sketch.scale) for shape in each.shapes)
        if not reuse:
            for move in each.moves:
                yield f'<g transform="{moved(move)}">{drawn}</g>'
            continue
        name = _name("kind", drawn)
        yield f'<defs><g id="{name}">{drawn}</g></defs>'
        for move in each.moves:
            turned = f' transform="{moved(move)}"'
            if not move.mirrored and not move.turn_deg:
                turned = f' x="{number(move.x)}" y="{number(move.y)}"'
            yield f'<use href="#{name}"{turned}/>'


def _hatchings(sketch: Sketch, *, trimmed: bool) -> Iterator[str]:
    for hatching in sketch.hatchings:
        if hatching.is_trimmed != trimmed:
            continue
        paths, lines = ("".join(map(path_data, each)) for each in (hatching.paths, hatching.lines))
        name = _name("hatched", paths)
        yield (
            f'<clipPath id="{name}"><path d="{paths}"/></clipPath>'
            f'<path clip-path="url(#{name})" d="{lines}" {hatching.look.svg(sketch.scale)}/>'
        )


def _name(what: str, drawn: str) -> str:
    return f"{what}-{crc32(drawn.encode()):08x}"


def _all_words(sketch: Sketch, *, reuse: bool) -> Iterator[str]:
    """Yield the words; letters that stand in many pieces are drawn once and used again."""
    if not reuse:
        yield from map(_words_svg, sketch.words)
        return
    alike = Counter(replace(each, at=_ORIGIN) for each in sketch.words)
    names: dict[Words, str] = {}
    for each in sketch.words:
        key = replace(each, at=_ORIGIN)
        if alike[key] < _MANY:
            yield _words_svg(each)
            continue
        if key not in names:
            drawn = _words_svg(key)
            names[key] = _name("word", drawn)
            yield f'<defs><g id="{names[key]}">{drawn}</g></defs>'
        yield f'<use href="#{names[key]}" x="{number(each.at.x)}" y="{number(each.at.y)}"/>'


def _words_svg(words: Words) -> str:
    ground = ""
    if words.ground is not None:
        wide, high = words.ground_box
        ground = (
            f'<rect x="{number(words.at.x - wide / 2)}" y="{number(words.at.y - high / 2)}" '
            f'width="{number(wide)}" height="{number(high)}" fill="{words.ground}"/>'
        )
    turn = " rotate(-90)" if words.upright else ""
    return (
        f'{ground}<text transform="translate({number(words.at.x)} {number(words.at.y)}) '
        f'scale(1 -1){turn}" y="{number(0.35 * words.size)}" font-size="{number(words.size)}" '
        f'fill="{words.ink}" text-anchor="{"start" if words.begins else "middle"}" '
        f"{_LETTERS}>{escape(words.text)}</text>"
    )


def shape_svg(shape: Shape, scale: float) -> str:
    """Return a shape as an SVG element; ``scale`` is millimetres on paper per unit."""
    data = "".join(path_data(path) for path in shape.paths)
    rule = ' fill-rule="evenodd"' if shape.look.fill and len(shape.paths) > 1 else ""
    return f'<path d="{data}" {_look_svg(shape.look, scale)}{rule}/>'


#: Many shapes look alike.
_look_svg = lru_cache(maxsize=64)(Look.svg)


def moved(move: Rigid) -> str:
    """Return a placement as an SVG transform, y up."""
    hand = " scale(-1 1)" if move.mirrored else ""
    place = f"translate({number(move.x)} {number(move.y)})"
    return f"{place} rotate({number(move.turn_deg, 6)}){hand}"
