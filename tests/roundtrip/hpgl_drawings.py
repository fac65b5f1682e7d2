"""HP-GL files of other hands: by ezdxf's plotter backend in its four qualities, and by hand."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator
from typing import Any

from ezdxf.addons.drawing import hpgl2, layout
from ezdxf.addons.drawing.frontend import Frontend
from ezdxf.addons.drawing.properties import RenderContext
from ezdxf.filemanagement import new

from tests.contract import test_hpgl_as_drawn as by_hand

QUALITIES = ("compatible", "low_quality", "normal_quality", "high_quality")


def _triangle(space: Any) -> None:
    space.add_lwpolyline([(5, 5), (45, 5), (45, 30)], close=True)


def _bulges(space: Any) -> None:
    rows = [(5, 5, 0.4), (45, 5, 0), (45, 30, -0.3), (5, 30, 0.1)]
    space.add_lwpolyline(rows, format="xyb", close=True)


def _circles(space: Any) -> None:
    for k in range(4):
        space.add_circle((12 + 22 * k, 20), 4 + 1.5 * k)


def _arcs(space: Any) -> None:
    space.add_arc((20, 20), 12, 10, 200)
    space.add_arc((60, 20), 9, 270, 90)
    space.add_line((80, 5), (95, 35))


def _curves(space: Any) -> None:
    space.add_ellipse((30, 20), major_axis=(20, 5), ratio=0.4)
    space.add_spline([(60, 5), (70, 30), (80, 10), (95, 25)])


def _blocks(space: Any) -> None:
    block = space.doc.blocks.new("leaf")
    block.add_lwpolyline([(0, 0, 0.5), (15, 0, 0.5)], format="xyb", close=True)
    for k in range(4):
        space.add_blockref("leaf", (10 + 20 * k, 15), dxfattribs={"rotation": 20 * k})


DRAWN: dict[str, Callable[[Any], None]] = {
    "triangle": _triangle, "bulges": _bulges, "circles": _circles, "arcs": _arcs,
    "curves": _curves, "blocks": _blocks,
}  # fmt: skip


def by_ezdxf(name: str, quality: str) -> bytes:
    """Return a drawing as ezdxf's plotter backend writes it, on a page of its own size."""
    document = new("R2010")
    document.header["$INSUNITS"] = 4
    DRAWN[name](document.modelspace())
    backend = hpgl2.PlotterBackend()
    Frontend(RenderContext(document), backend).draw_layout(document.modelspace())
    page = layout.Page(100, 40, layout.Units.mm, layout.Margins.all(0))
    data: bytes = getattr(backend, quality)(page)
    return data


def _star(corners: int, x: int, y: int, radius: int) -> list[tuple[int, int]]:
    points = []
    for k in range(2 * corners):
        reach = radius if k % 2 == 0 else radius // 2
        angle = math.pi * k / corners
        points.append((x + round(reach * math.cos(angle)), y + round(reach * math.sin(angle))))
    return [*points, points[0]]


def _listed(points: list[tuple[int, int]], between: str = ",") -> str:
    return between.join(f"{x}{between}{y}" for x, y in points)


MORE = {
    "circle": "IN;SP1;PU1200,800;CI400;",
    "circle of fine chords": "IN;SP1;PU1200,800;CI600,1;",
    "circle between lines": "IN;SP1;PU100,100;PD900,100;CI80,2;PD900,900;PU;",
    "arc": "IN;SP1;PU1200,400;PD;AA800,400,90;PU;",
    "arc clockwise": "IN;SP1;PU1200,800;PD;AA800,800,-200,2;PU;",
    "arc with the pen up": "IN;SP1;PU1200,800;AA800,800,90;PD100,100;PU;",
    "relative arc": "IN;SP1;PU1200,800;PD;AR-300,-100,120,1;PU;",
    "full turn": "IN;SP1;PU1200,800;PD;AA800,800,360,2;PU;",
    "arc to a line": "IN;SP1;PU400,400;PD800,400;AA800,600,90,1;PD1000,1000,400,1000,400,400;PU;",
    "arc through a point": "IN;SP1;PU400,400;PD;AT600,600,800,400,1;PU;",
    "arc through a point, right": "IN;SP1;PU400,400;PD;AT600,200,800,400,1;PU;",
    "relative arc through a point": "IN;SP1;PU400,400;PD;RT150,250,500,100,1;PU;",
    "wedge": "IN;SP1;PU1200,800;EW400,30,75;",
    "wedge clockwise": "IN;SP1;PU1200,800;EW400,90,-120,1;",
    "rectangles": "IN;SP1;PU100,100;EA900,500;ER300,700;PU1500,100;EA1100,300;",
    "relative after absolute": "IN;SP1;PA200,200;PD;PR400,0;PR0,400,-400,0;PA200,200;PU;",
    "pens": "IN;SP1;PU100,100;PD900,100;SP2;PU100,300;PD900,300;SP3;PU100,500;PD900,500;SP0;",
    "scale with arcs": "IN;IP0,0,4000,4000;SC0,100,0,100;SP1;PU30,20;PD;AA20,20,180,1;CI5,1;PU;",
    "scale without": "IN;IP0,0,4000,4000;SC0,100,0,100;SP1;PU30,20;PD40,20;SC;PU400,400;PD900,400;",
    "scale mirrored": "IN;IP0,0,4000,4000;SC100,0,0,100;SP1;PU30,20;PD40,20,40,30,30,20;PU;",
    "scaling points moved": "IN;IP400,400,2400,1400;SC0,2,0,1;SP1;PU0,0;PD1,0,1,1,0,1,0,0;PU;",
    "decimal scale": "IN;IP0,0,4000,4000;SC0,10.5,0,10.5;SP1;PU3.25,2;PD4.75,2,4,3.125;PU;",
    "star, commas": f"IN;SP1;PU1900,800;PD{_listed(_star(5, 1200, 800, 700))};PU;",
    "star, blanks": f"IN;SP1;PU1900 800;PD{_listed(_star(7, 1200, 800, 700), ' ')};PU;",
    "no terminators": "INSP1PU100,100PD900,100PD900,900PU100,900PD100,100PUSP0",
    "speed and force": "IN;VS10;VS20,1;FS5;AS2;SP1;PU100,100;PD900,100,900,700;PU;",
    "defaults": "DF;SP1;PA100,100;PD;PA900,100,900,700;PU;PA0,0;SP0;",
    "empty instructions": "IN;;;SP1;;PU100,100;;PD900,100;;PU;;",
    "line ends": "IN;\r\nSP1;\r\nPU100,100;\r\nPD900,100,\r\n900,700;\r\nPU;\r\n",
    "cubic": "IN;SP1;PU400,400;PD;BZ600,900,900,900,1200,400;PU;",
    "relative cubic": "IN;SP1;PU400,400;PD;BR200,500,500,500,800,0,100,-200,300,-200,400,0;PU;",
    "polygon drawn by its edge": "IN;SP1;PU400,400;PM;PD900,400,900,900;PM2;EP;",
}  # fmt: skip


def _walks() -> Iterator[tuple[str, str]]:
    """Yield random walks of moves, absolute and relative, up and down."""
    for number in range(12):
        rng = random.Random(number)  # noqa: S311 - drawings, no secrets
        text = ["IN;SP1;PU2000,2000;"]
        for _ in range(30):
            x, y = rng.randint(200, 3600), rng.randint(200, 3600)
            text.append(
                rng.choice(
                    [f"PD{x},{y};", f"PU{x},{y};", f"PA{x},{y};", "PD;", "PU;", "PD;PR40,25;PA;",
                     f"PD{x},{y},{y},{x};", "CI60,2;", f"PA{x} {y}", f"PD;AA{x},{y},0.5;"]
                )
            )  # fmt: skip
        yield f"walk {number}", "".join(text) + "PU;"


def drawings() -> dict[str, bytes]:
    """Return all files by name."""
    found = {f"ezdxf {name} {q}": by_ezdxf(name, q) for name in DRAWN for q in QUALITIES}
    found |= {f"hand {name}": text.encode("latin-1") for name, text in MORE.items()}
    found |= {name: text.encode() for name, text in _walks()}
    for name, text in by_hand.SAME.items():
        if name == "encoded":
            text = text.format(by_hand.encoded(400, 200, 1200, 0, 0, 800, -1200, 0, 0, -800))  # noqa: PLW2901
        found[f"same {name}"] = text.encode("latin-1")
    return found
