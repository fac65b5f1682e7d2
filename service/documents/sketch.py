"""A drawing that is printed and shown on a page alike, and how it is written as SVG."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from geometry.model.outline import Chain, Outline
from geometry.model.points import Point
from geometry.model.segments import Bounds
from geometry.model.transform import Rigid
from service.documents.pictures.letters import width_of
from service.documents.pictures.looks import INK, Look
from service.documents.pictures.path import number, path_data

#: Millimetres per CSS pixel are not of interest: drawings state their size in millimetres.
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

    ``apart`` is the distance between lines in the drawing's units.
    """

    paths: tuple[Outline, ...]
    angle_deg: float
    apart: float
    look: Look

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


@dataclass(frozen=True)
class Sketch:
    """A drawing, y up, in millimetres of what it shows, from bottom to top.

    ``scale`` is millimetres on paper per unit, ``words`` say what it is for those who cannot
    see it. What reaches past the box is left out if it ``is_part`` of a larger drawing.
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


def fitting_scale(box: Bounds, room: tuple[float, float]) -> float:
    """Return the scale at which a box fits a room of these millimetres; 1 at most."""
    return min(1.0, room[0] / box.width, room[1] / box.height)


def sketch_svg(sketch: Sketch) -> str:
    """Return a drawing as an SVG element with a text for those who cannot see it."""
    box, scale = sketch.box, sketch.scale
    inside = "".join(_inside(sketch))
    return (
        f'<svg role="img" aria-label="{escape(sketch.title)}" width="{number(box.width * scale)}mm"'
        f' height="{number(box.height * scale)}mm" viewBox="{number(box.left)} {number(-box.top)} '
        f'{number(box.width)} {number(box.height)}" '
        f'overflow="{"hidden" if sketch.is_part else "visible"}">'
        f'<g transform="scale(1 -1)">{inside}</g></svg>'
    )


def _inside(sketch: Sketch) -> Iterator[str]:
    scale = sketch.scale
    for shape in sketch.ground:
        yield shape_svg(shape, scale)
    for each in sketch.copies:
        drawn = "".join(shape_svg(shape, scale) for shape in each.shapes)
        for move in each.moves:
            yield f'<g transform="{moved(move)}">{drawn}</g>'
    for place, hatching in enumerate(sketch.hatchings):
        paths, lines = ("".join(map(path_data, each)) for each in (hatching.paths, hatching.lines))
        yield (
            f'<clipPath id="hatched-{place}"><path d="{paths}"/></clipPath>'
            f'<path clip-path="url(#hatched-{place})" d="{lines}" {hatching.look.svg(scale)}/>'
        )
    for shape in sketch.top:
        yield shape_svg(shape, scale)
    for words in sketch.words:
        if words.ground is not None:
            wide, high = words.ground_box
            yield (
                f'<rect x="{number(words.at.x - wide / 2)}" y="{number(words.at.y - high / 2)}" '
                f'width="{number(wide)}" height="{number(high)}" fill="{words.ground}"/>'
            )
        turn = " rotate(-90)" if words.upright else ""
        yield (
            f'<text transform="translate({number(words.at.x)} {number(words.at.y)}) scale(1 -1)'
            f'{turn}" y="{number(0.35 * words.size)}" font-size="{number(words.size)}" '
            f'fill="{words.ink}" text-anchor="{"start" if words.begins else "middle"}" '
            f"{_LETTERS}>{escape(words.text)}</text>"
        )


def shape_svg(shape: Shape, scale: float) -> str:
    """Return a shape as an SVG element; ``scale`` is millimetres on paper per unit."""
    data = "".join(path_data(path) for path in shape.paths)
    rule = ' fill-rule="evenodd"' if shape.look.fill and len(shape.paths) > 1 else ""
    return f'<path d="{data}" {shape.look.svg(scale)}{rule}/>'


def moved(move: Rigid) -> str:
    """Return a placement as an SVG transform, y up."""
    hand = " scale(-1 1)" if move.mirrored else ""
    place = f"translate({number(move.x)} {number(move.y)})"
    return f"{place} rotate({number(move.turn_deg, 6)}){hand}"
