"""Drawings with what drawing programs add to outlines: some is left out, some cannot be read.

Letters, dimensions, fills, pictures and sheets beside the outlines are left out. A drawing that
cannot be read as it looks is refused, and the refusal names the feature.
"""

from __future__ import annotations

import functools
import io
from collections.abc import Callable, Iterator
from typing import Any

from tests.foreign.other_makers import add_to
from tests.foreign.parts import HEIGHT, SETS, WIDTH, Circle, Drawing, Part
from tests.foreign.svg_makers import add_shapes

CORNERS = [(0.0, 0.0), (20.0, 0.0), (20.0, 10.0), (0.0, 10.0)]


def by_ezdxf(draw: Callable[[Any, Any], object], *, is_binary: bool = False) -> bytes:
    """Return a DXF in mm of what a function draws in its model space."""
    from ezdxf.filemanagement import new

    document = new("R2010", setup=True)
    document.header["$INSUNITS"] = 4
    draw(document, document.modelspace())
    if is_binary:
        target = io.BytesIO()
        document.write(target, fmt="bin")
        return target.getvalue()
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


def annotated(parts: tuple[Part, ...], _: Any, space: Any) -> None:
    """Draw parts with letters, a dimension, a leader, points, a fill and a cover."""
    for part in parts:
        add_to(space, part, 1.0, "plain")
    space.add_text("cut on the fold", height=3)
    space.add_mtext("two of each")
    space.add_linear_dim(base=(0, -9), p1=(0, 0), p2=(20, 0)).render()
    space.add_leader([(0, 0), (5, 5), (9, 5)])
    space.add_point((1, 1))
    space.add_hatch(color=2).paths.add_polyline_path(CORNERS, is_closed=True)
    space.add_solid(CORNERS)
    space.add_wipeout([(1, 1), (5, 5)])


def lifted(parts: tuple[Part, ...], _: Any, space: Any) -> None:
    """Draw parts dashed, in a plane 5 mm above the drawing's."""
    for part in parts:
        if isinstance(part, Circle):
            look = {"linetype": "DASHED"}
            space.add_circle((part.x, part.y, 5.0), part.radius, dxfattribs=look)
        else:
            at = {"linetype": "DASHED", "elevation": 5.0}
            space.add_lwpolyline(part.corners, close=True, dxfattribs=at)


def in_space(parts: tuple[Part, ...], document: Any, space: Any) -> None:
    """Draw polygons as flat polylines of three dimensions, and a circle on a printed sheet."""
    for part in parts:
        if isinstance(part, Circle):
            space.add_circle((part.x, part.y), part.radius)
        else:
            space.add_polyline3d([(x, y, 0.0) for x, y in part.corners], close=True)
    document.paperspace().add_circle((0, 0), 5)


def by_svgwrite(parts: tuple[Part, ...], manner: str) -> bytes:
    """Return shapes beside letters and pictures, clipped and faded, or as symbols."""
    import svgwrite

    size = (f"{WIDTH}mm", f"{HEIGHT}mm")
    drawing: Any = svgwrite.Drawing(size=size, viewBox=f"0 0 {WIDTH} {HEIGHT}")
    look: dict[str, str] = {"fill": "none", "stroke": "black"}
    if manner == "annotated":
        drawing.defs.add(drawing.linearGradient(id="sea"))
        drawing.defs.add(drawing.marker(id="arrow")).add(drawing.circle((0, 0), 1))
        drawing.add(drawing.text("cut on the fold", (5, 5)))
        drawing.add(drawing.image("swatch.png", (1, 1), (5, 5)))
        drawing.add(drawing.script("void 0"))
        add_shapes(drawing, drawing, parts, 1.0, **{**look, "fill": "url(#sea)"})
    elif manner == "clipped":
        clip = drawing.defs.add(drawing.clipPath(id="window"))
        clip.add(drawing.rect((0, 0), (5, 5)))
        drawing.defs.add(drawing.filter(id="shade"))
        look |= {"clip_path": "url(#window)", "filter": "url(#shade)", "stroke_dasharray": "2 1"}
        add_shapes(drawing, drawing, parts, 1.0, **look)
    else:
        symbol = drawing.defs.add(drawing.symbol(id="piece"))
        add_shapes(drawing, symbol, parts, 1.0, **look)
        drawing.add(drawing.use("#piece"))
    return str(drawing.tostring()).encode()


def by_plotter_program(parts: tuple[Part, ...]) -> bytes:
    """Return HP-GL/2 with its printer's frame, a label, a filled square, and lists of points."""
    text = ["\x1b%-1BIN;DF;PS5200,2400;SP1;FT1;LT4,2;PU40,40;LBcut on the fold\x03PU0,0;RA40,40"]
    for part in parts:
        if isinstance(part, Circle):
            text.append(f"PU{part.x * 40:.3f},{part.y * 40:.3f};CI{part.radius * 40:.3f},1")
        else:
            (x, y), *more = [(x * 40, y * 40) for x, y in part.corners]
            points = ",".join(f"{a:.3f},{b:.3f}" for a, b in (*more, (x, y)))
            text.append(f"PU{x:.3f},{y:.3f};PD{points};PU")
    return ";".join([*text, "SP0;\x1b%0A"]).encode("latin-1")


def _by_svgwrite_nested() -> bytes:
    import svgwrite

    drawing: Any = svgwrite.Drawing(size=("99mm", "99mm"), viewBox="0 0 99 99")
    inner = drawing.add(drawing.svg(insert=(9, 9), size=(50, 50), viewBox="0 0 9 9"))
    inner.add(drawing.rect((0, 0), (5, 5)))
    return str(drawing.tostring()).encode()


_HEAD = 'xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm" viewBox="0 0 9 9"'
_RECT = '<rect width="3" height="3"/>'


def drawings() -> Iterator[tuple[str, Drawing]]:
    """Yield all drawings that are read, with their names."""
    for name, parts in SETS.items():
        for draw in (annotated, lifted, in_space):
            make = functools.partial(by_ezdxf, functools.partial(draw, parts))
            yield f"ezdxf {name} {draw.__name__}", Drawing(make, parts)
        for manner in ("annotated", "clipped", "symbols"):
            make = functools.partial(by_svgwrite, parts, manner)
            yield f"svgwrite {name} {manner}", Drawing(make, parts)
        yield f"hpgl {name}", Drawing(functools.partial(by_plotter_program, parts), parts)


def refused() -> Iterator[tuple[str, Callable[[], bytes], str]]:
    """Yield drawings that are refused: their names, their makers, and what the refusal names."""
    tilted = [(0, 0, 0), (20, 0, 5), (20, 10, 0)]
    wide = [(x, y, 1, 1) for x, y in CORNERS]
    for draw, word in (
        (lambda _, space: space.add_3dface(CORNERS), "3DFACE"),
        (lambda _, space: space.add_polyline3d(tilted), "not flat: its z coordinates"),
        (lambda _, space: space.add_lwpolyline(wide), "polyline with a width"),
        (lambda _, space: space.add_mline(CORNERS), "MLINE"),
    ):
        yield f"ezdxf {word}", functools.partial(by_ezdxf, draw), word
    circle = functools.partial(
        by_ezdxf, lambda _, space: space.add_circle((0, 0), 9), is_binary=True
    )
    yield "ezdxf binary", circle, "binary DXF"
    yield "svgwrite nested", _by_svgwrite_nested, "<svg> number 1"
    entity = f'<!DOCTYPE svg [<!ENTITY ns "x">]><svg {_HEAD}>{_RECT}</svg>'
    yield "editor entities", entity.encode, "declares entities"
    web = f'<svg {_HEAD}><foreignObject width="5" height="5"/>{_RECT}</svg>'
    yield "editor web page", web.encode, "<foreignObject> number 1"
