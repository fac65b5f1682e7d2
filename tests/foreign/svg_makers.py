"""SVG by matplotlib, cairo, svgwrite, svgpathtools and reportlab, and as editors export it."""

from __future__ import annotations

import functools
import io
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.foreign.parts import HEIGHT, SETS, WIDTH, Circle, Drawing, Part, box, moved

INCH = 25.4
FIXTURES = Path(__file__).resolve().parents[1] / "fixtures" / "drawings"


def by_matplotlib(parts: tuple[Part, ...], *, is_transparent: bool) -> bytes:
    """Return patches in data coordinates that fill the figure."""
    import matplotlib as mpl

    mpl.use("svg")
    from matplotlib import patches
    from matplotlib import pyplot as plt

    figure = plt.figure(figsize=(WIDTH / INCH, HEIGHT / INCH))
    axes: Any = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, WIDTH)
    axes.set_ylim(0, HEIGHT)
    axes.axis("off")
    for part in parts:
        look = {"facecolor": "none", "edgecolor": "black", "clip_on": False}
        axes.add_patch(
            patches.Circle((part.x, part.y), part.radius, **look)
            if isinstance(part, Circle)
            else patches.Polygon(part.corners, closed=True, **look)
        )
    text = io.StringIO()
    figure.savefig(text, format="svg", transparent=is_transparent)
    plt.close(figure)
    return text.getvalue().encode()


def _points(part: Any, scale: float = 1.0) -> list[tuple[float, float]]:
    return [(x * scale, (HEIGHT - y) * scale) for x, y in part.corners]


def add_shapes(
    drawing: Any, parent: Any, parts: tuple[Part, ...], scale: float, **look: Any
) -> None:
    """Draw parts in the element ``parent``."""
    for part in parts:
        if isinstance(part, Circle):
            centre = (part.x * scale, (HEIGHT - part.y) * scale)
            parent.add(drawing.circle(centre, part.radius * scale, **look))
        else:
            parent.add(drawing.polygon(_points(part, scale), **look))


def by_svgwrite(parts: tuple[Part, ...], manner: str) -> bytes:
    """Return shapes in mm, in pixels of a group, as styled copies, or in a stretched view box."""
    import svgwrite

    look = {"fill": "none", "stroke": "black"}
    size = (f"{WIDTH}mm", f"{HEIGHT}mm")
    if manner == "pixels":
        drawing = svgwrite.Drawing(size=size, viewBox=f"0 0 {WIDTH * 4} {HEIGHT * 4}")
        group = drawing.add(drawing.g(transform=f"translate(0 {HEIGHT * 2}) scale(2)"))
        inner = group.add(drawing.g(transform=f"translate(0 {-HEIGHT})"))
        add_shapes(drawing, inner, parts, 2.0, **look)
    elif manner == "copies":
        drawing = svgwrite.Drawing(size=size, viewBox=f"0 0 {WIDTH} {HEIGHT}")
        drawing.add(drawing.style(".cut { fill: none; stroke: #111 } .help { display: none }"))
        original = drawing.defs.add(drawing.g(id="piece"))
        add_shapes(drawing, original, parts, 1.0, class_="cut")
        drawing.add(drawing.use("#piece", insert=(7, 0)))
        drawing.add(drawing.rect((1, 1), (9, 9), class_="help"))
    elif manner == "turned":
        drawing = svgwrite.Drawing(size=size, viewBox=f"0 0 {WIDTH} {HEIGHT}")
        group = drawing.add(drawing.g(transform=f"rotate(-30 0 {HEIGHT})"))
        add_shapes(drawing, group, parts, 1.0, **look)
    else:
        drawing = svgwrite.Drawing(size=size, viewBox=f"-20 -10 {WIDTH} {HEIGHT}")
        group = drawing.add(drawing.g(transform="translate(-20 -10)"))
        add_shapes(drawing, group, parts, 1.0, **look)
    return str(drawing.tostring()).encode()


def by_svgpathtools(parts: tuple[Part, ...]) -> bytes:
    """Return paths of lines and arcs."""
    import svgpathtools
    from svgpathtools import Arc, Line

    paths = []
    for part in parts:
        if isinstance(part, Circle):
            east, west = (complex(part.x + s * part.radius, HEIGHT - part.y) for s in (1, -1))
            radius = complex(part.radius, part.radius)
            paths.append(
                svgpathtools.Path(
                    Arc(east, radius, 0, 0, 1, west), Arc(west, radius, 0, 0, 1, east)
                )
            )
        else:
            corners = [complex(*point) for point in _points(part)]
            ends = [*corners[1:], corners[0]]
            paths.append(
                svgpathtools.Path(*(Line(a, b) for a, b in zip(corners, ends, strict=True)))
            )
    with tempfile.TemporaryDirectory() as folder:
        file = f"{folder}/a.svg"
        size = {"width": f"{WIDTH}mm", "height": f"{HEIGHT}mm"}
        size["viewBox"] = f"0 0 {WIDTH} {HEIGHT}"
        svgpathtools.wsvg(paths, filename=file, svg_attributes=size)
        return Path(file).read_bytes()


def by_reportlab(parts: tuple[Part, ...]) -> bytes:
    """Return shapes with y up in pixels, which its SVG turns over by a group."""
    from reportlab.graphics import renderSVG, shapes

    px = 96.0 / INCH
    # Whole numbers: it writes the page's size without decimals.
    drawing = shapes.Drawing(500, 240)
    for part in parts:
        if isinstance(part, Circle):
            drawing.add(shapes.Circle(part.x * px, part.y * px, part.radius * px))
        else:
            drawing.add(shapes.Polygon([value * px for corner in part.corners for value in corner]))
    return str(renderSVG.drawToString(drawing)).encode()


HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'


def _path(part: Part, scale: float, *, curves: bool = False) -> str:
    """Return path data as editors write it: relative, with shorthand, circles as arcs or curves."""
    if not isinstance(part, Circle):
        (x, y), *more = _points(part, scale)
        text, at = f"m {x:.6g},{y:.6g}", (x, y)
        for point in more:
            text += f" {point[0] - at[0]:.6f},{point[1] - at[1]:.6f}"
            at = point
        return text + " z"
    x, y, r = part.x * scale, (HEIGHT - part.y) * scale, part.radius * scale
    if not curves:
        return f"M {x + r:.6f} {y:.6f} a {r:.6f} {r:.6f} 0 0 1 {-2 * r:.6f} 0 {r:.6f} {r:.6f} 0 1 1 {2 * r:.6f} 0 Z"  # noqa: E501
    k = 0.5522847498 * r
    return (
        f"M{x + r:.5f},{y:.5f}c0,{k:.5f}{-r + k:.5f},{r:.5f}{-r:.5f},{r:.5f}"
        f"s{-r:.5f}{-r + k:.5f}{-r:.5f}{-r:.5f}S{x - k:.5f},{y - r:.5f},{x:.5f},{y - r:.5f}"
        f"S{x + r:.5f},{y - k:.5f},{x + r:.5f},{y:.5f}z"
    )


def by_editor(parts: tuple[Part, ...], manner: str) -> bytes:
    """Return a file in the manner of a vector editor's export."""
    mm = f'width="{WIDTH}mm" height="{HEIGHT}mm"'
    if manner == "layers":
        # Layers with transforms that cancel out, a hidden layer, an empty bounding box, a guide.
        body = "".join(f'<path style="fill:none;stroke:#000" d="{_path(p, 1)}"/>' for p in parts)
        return (
            f'{HEAD}<svg xmlns="http://www.w3.org/2000/svg" {mm} viewBox="0 0 {WIDTH} {HEIGHT}">'
            '<defs id="d"><clipPath id="c"><rect width="5" height="5"/></clipPath></defs>'
            '<g id="layer1" style="display:none"><rect width="9" height="9"/></g>'
            f'<rect width="{WIDTH}" height="{HEIGHT}" style="fill:none"/>'
            '<g id="layer2" transform="translate(-12.5,-40)"><g transform="translate(12.5,40)">'
            f"{body}</g></g></svg>"
        ).encode()
    if manner == "classes":
        # Points at 72 per inch, classes of a style sheet, curves with shorthand.
        pt = 72.0 / INCH
        body = "".join(f'<path class="st1" d="{_path(p, pt, curves=True)}"/>' for p in parts)
        return (
            '<svg version="1.1" id="Layer_1" xmlns="http://www.w3.org/2000/svg" x="0px" y="0px" '
            f'width="{WIDTH}mm" height="{HEIGHT}mm" viewBox="0 0 {WIDTH * pt} {HEIGHT * pt}" '
            'style="enable-background:new 0 0 130 60;" xml:space="preserve">'
            '<style type="text/css">.st0{display:none;} .st1{fill:none;stroke:#000000;'
            "stroke-width:0.1;}</style>"
            f'<rect class="st0" width="50" height="50"/><g>{body}</g></svg>'
        ).encode()
    # Pixels at 96 per inch without a unit, a matrix with y up, all of it in inches of a group.
    body = ""
    for part in parts:
        if isinstance(part, Circle):
            body += f'<circle cx="{part.x}" cy="{part.y}" r="{part.radius}"/>'
        else:
            body += f'<polyline points="{" ".join(f"{x},{y}" for x, y in part.corners)}"/>'
            # A polyline that ends where it starts is closed.
            first = "{},{}".format(*part.corners[0])
            body = body.removesuffix('"/>') + f' {first}"/>'
    px = 96.0 / INCH
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH * px}" height="{HEIGHT * px}">'
        f'<g fill="none" stroke="#00f" transform="matrix({px} 0 0 {-px} 0 {HEIGHT * px})">'
        f"{body}</g></svg>"
    ).encode()


def drawings() -> Iterator[tuple[str, Drawing]]:
    """Yield all drawings with their names."""
    page = box(0, 0, WIDTH, HEIGHT)
    for name, parts in SETS.items():
        for is_transparent in (False, True):
            make = functools.partial(by_matplotlib, parts, is_transparent=is_transparent)
            drawn = parts if is_transparent else (page, *parts)
            yield f"matplotlib {name} {is_transparent}", Drawing(make, drawn)
        for manner in ("points", "matrix", "turned"):
            file = FIXTURES / f"cairo-{name}-{manner}.svg"
            drawn = moved(parts, 30, 0.5, (0, 0)) if manner == "turned" else parts
            yield f"cairo {name} {manner}", Drawing(file.read_bytes, drawn)
        for manner, drawn in (
            ("pixels", parts),
            ("offset", parts),
            ("copies", moved(parts, 0, 1, (7, 0))),
            ("turned", moved(parts, 30, 1, (0, 0))),
        ):
            make = functools.partial(by_svgwrite, parts, manner)
            yield f"svgwrite {name} {manner}", Drawing(make, drawn)
        yield f"svgpathtools {name}", Drawing(functools.partial(by_svgpathtools, parts), parts)
        make = functools.partial(by_reportlab, parts)
        yield f"reportlab {name}", Drawing(make, parts, units="px", is_floating=True)
        for manner, units in (("layers", None), ("classes", None), ("pixels", "px")):
            make = functools.partial(by_editor, parts, manner)
            yield (
                f"editor {name} {manner}",
                Drawing(make, parts, units=units, is_floating=units is not None),
            )
