"""Drawings by other programs: an SVG in inches and in pixels, and a DXF without a unit."""

from __future__ import annotations

import math
from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Studio

BODY = """<style>.c{fill:none;stroke:red}</style>
 <g id="layer1" transform="translate(96,96) scale(1.0)">
  <polygon class="c" id="hexA"
    points="96,0 192,55.4256 192,166.2769 96,221.7025 0,166.2769 0,55.4256"/>
  <g transform="rotate(15)"><rect id="sq" x="300" y="0" width="96" height="96"/></g>
  <circle id="c1" cx="400" cy="300" r="48"/>
  <path id="bez" d="M 100 400 c 26.5 0 48 21.5 48 48 s -21.5 48 -48 48
    s -48 -21.5 -48 -48 s 21.5 -48 48 -48 z"/>
  <path id="open" d="M 300 500 L 396 500 L 396 596 L 300 596 L 300 500.5"/>
  <rect id="rounded" x="10" y="600" width="96" height="96" rx="10"/>
  <text x="0" y="800">hello</text>
  <use xlink:href="#sq" x="0" y="200"/>
  <ellipse cx="500" cy="700" rx="60" ry="30"/>
 </g>"""


def svg(width: str, height: str) -> str:
    return (
        '<?xml version="1.0"?><svg xmlns="http://www.w3.org/2000/svg" '
        f'xmlns:xlink="http://www.w3.org/1999/xlink" width="{width}" height="{height}" '
        f'viewBox="0 0 816 1056">{BODY}</svg>'
    )


def check(payload: dict[str, Any]) -> None:
    by_name = {each["name"]: each for each in payload["outlines"]}
    hexagon = by_name["hexA"]
    assert hexagon["width_mm"] == pytest.approx(50.8, abs=1e-3)
    assert hexagon["area_mm2"] == pytest.approx(3.464102 * 645.16, abs=0.1)
    assert hexagon["nearest"]["kind"] == "hexagon"
    squares = [
        each for each in payload["outlines"] if each["area_mm2"] == pytest.approx(645.16, abs=0.1)
    ]
    assert len(squares) >= 2
    assert by_name["c1"]["area_mm2"] == pytest.approx(math.pi * 12.7**2, abs=0.05)
    assert by_name["c1"]["nearest"]["kind"] == "circle"
    assert by_name["bez"]["width_mm"] == pytest.approx(25.4, abs=0.03)
    cut = 25.4 * 10 / 96
    assert by_name["rounded"]["area_mm2"] == pytest.approx(
        645.16 - (4 - math.pi) * cut**2, abs=0.05
    )
    ovals = [
        each for each in payload["outlines"] if each["width_mm"] == pytest.approx(31.75, abs=0.04)
    ]
    assert [each["height_mm"] for each in ovals] == pytest.approx([15.875], abs=0.04)


def test_foreign_svg_in_inches(studio: Studio) -> None:
    """8.5 x 11 in on a view box of 816 x 1056: 96 per inch, one unit 0.264583 mm.

    The hexagon is 192 units = 2 in across flats: area 2 root 3 x 1 in2 = 3.464102 in2. The square
    and its copy by <use> are 1 in, the circle 1 in across, the rounded square 1 in less
    (4 - pi) x (10/96)^2, the ellipse 120 x 60 units = 31.75 x 15.875 mm (curves
    become arcs within 0.02 mm on each side). The text is no geometry:
    it is left out, and said.
    """
    answer = studio.inspected(svg("8.5in", "11in"), "drawing.svg")
    assert answer.status_code == 200
    payload = answer.get_json()
    check(payload)
    assert "text" in str({key: payload[key] for key in payload if key != "outlines"}).lower()


def test_foreign_svg_in_pixels(studio: Studio) -> None:
    """Without a unit the size is pixels; stated as "px" they are 96 per inch (CSS)."""
    answer = studio.inspected(svg("816", "1056"), "drawing.svg", units="px")
    assert answer.status_code == 200, answer.get_json()
    check(answer.get_json())


def entity(kind: str, layer: str, **codes: float) -> str:
    pairs = "".join(f"{code[1:]}\n{value}\n" for code, value in codes.items())
    return f"0\n{kind}\n8\n{layer}\n{pairs}"


def line(layer: str, x: float, y: float, u: float, v: float) -> str:
    return entity("LINE", layer, c10=x, c20=y, c30=0, c11=u, c21=v, c31=0)


ROOT3 = math.sqrt(3.0)
DXF = (
    "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
    + line("TRI", 0, 0, 2, 0)
    + line("TRI", 2, 0, 1, ROOT3)
    + line("TRI", 1, ROOT3, 0, 0)
    + entity("ARC", "PEEL", c10=5, c20=0, c30=0, c40=2, c50=90, c51=180)
    + entity("ARC", "PEEL", c10=3, c20=2, c30=0, c40=2, c50=270, c51=360)
    + entity("CIRCLE", "HOLES", c10=8, c20=1, c30=0, c40=0.5)
    + line("STRAY", 10, 0, 12, 0)
    + "0\nENDSEC\n0\nEOF\n"
)


def test_foreign_dxf(studio: Studio) -> None:
    """In inches: a triangle of side 2, an orange peel in a square of 2, a circle of 1, a line.

    Areas: root 3 = 1.732051; 0.570796 x 4 = 2.283185; pi / 4 = 0.785398 in2. The peel's two
    quarter circles of radius 2 meet at (3, 0) and (5, 2): tip to tip 2 root 2 = 2.828427 in.
    """
    answer = studio.inspected(DXF, "drawing.dxf", units="in")
    assert answer.status_code == 200, answer.get_json()
    payload = answer.get_json()
    found = {each["group"]: each for each in payload["outlines"]}
    assert {name: each["area_mm2"] / 645.16 for name, each in found.items()} == pytest.approx(
        {"TRI": 1.732051, "PEEL": 2.283185, "HOLES": 0.785398}, abs=1e-4
    )
    assert found["TRI"]["nearest"]["kind"] == "triangle"
    assert found["PEEL"]["nearest"]["kind"] == "petal"
    assert found["HOLES"]["nearest"]["kind"] == "circle"
    (stray,) = payload[names.OPEN_PATHS]
    assert stray["group"] == "STRAY"
    assert payload["allowances"] == []
