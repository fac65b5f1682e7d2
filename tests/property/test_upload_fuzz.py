"""Readers of strangers' drawings: whatever comes, an answer or a refusal, never anything else.

The short form runs in CI. The long form takes ten minutes for each reader, fifty for all:
``pytest -m long tests/property/test_upload_fuzz.py``, with ``-k svg`` (``hpgl``, ``gcode``,
``plan``, ``dxf``) for one.
"""

from __future__ import annotations

import io
import random
import time
from collections.abc import Callable, Sequence

import pytest
from ezdxf import filemanagement as ezdxf

from geometry.shapes.curves import TOLERANCE
from service.drawings.inspect import inspect_file
from service.errors import RequestError
from service.http.problems import problem_of
from service.requests.inspections import InspectionRequest

SVG = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100">'
    b'<g id="a" transform="rotate(30 5 5) scale(1 2)"><path id="p" d="M10 10 h20 v10 A5 5 0 0 1 '
    b'20 30 C 15 30 12 28 10 20 Z"/><circle cx="50" cy="50" r="9"/></g>'
    b'<polygon points="1,1 9,1 5,8"/><ellipse cx="70" cy="20" rx="9" ry="4"/>'
    b"<style>.a > rect, #q { fill: none; transform: rotate(3deg) } .b{display:none}</style>"
    b'<symbol id="s" viewBox="0 0 9 9"><rect id="q" width="9" height="50%" rx="2"/></symbol>'
    b'<use href="#s" x="5" width="20" height="20" class="a" style="stroke:red"/></svg>'
)
HPGL = (
    b"IN;\nSP1;\nPU100,100;\nPD900,100,900,900,100,100;\nPU;IP0,0,4000,4000;SC0,100,0,100,1;"
    b"PA30,20;PD;AA20,20,90;AR1,2,-30,1;AT3,4,5,6;CI5;EA9,9;ER3,3;EW4,0,90;BZ1,2,3,4,5,6;PR;PD1,1;"
    b"SC;RO90;LBtext\x03DT#;LBmore#PE7<=?L`_??d__?Cb@?d@Cb;PM0;PD9,9,9,0;PM2;EP;LT2;SP0;\n"
)
GCODE = (
    b"%\n(piece A)\nG21 G90 G17\nM5\nG0 X10 Y5 Z5\nM3 S500\nG1 Z-1 F100\nG1 X40\n"
    b"G3 X40 Y25 I0 J10\nG2 X10 Y25 R15\nG91 G1 Y-20 ; back\nG20 X.1\nG92 X0\nM5\nM2\n%\n"
)
PLAN = (
    b'{"units":"mm","strokes":[{"operation":"cut","piece":"A","closed":true,'
    b'"points":[[0,0,0],[10,0,0.5],[10,10,0]]}]}'
)


def _dxf() -> bytes:
    document = ezdxf.new("R2000")
    document.header["$INSUNITS"] = 4
    space = document.modelspace()
    space.add_lwpolyline([(0, 0, 0.3), (30, 0, 0), (30, 20, -0.2)], format="xyb", close=True)
    space.add_ellipse((60, 5), major_axis=(9, 1), ratio=0.5)
    space.add_spline([(20, 40), (22, 43), (24, 40), (22, 37)])
    space.add_arc((15, 70), 5, 10, 200)
    block = document.blocks.new("B", base_point=(1, 2))
    block.add_circle((3, 3), 2)
    block.add_lwpolyline([(0, 0, 0.5), (4, 0, 1), (4, 4, 0)], format="xyb", close=True)
    look = {"xscale": 2, "rotation": 30, "column_count": 2, "column_spacing": 9}
    space.add_blockref("B", (60, 60), dxfattribs=look)
    text = io.StringIO()
    document.write(text)
    return text.getvalue().encode()


SEEDS = {"svg": SVG, "hpgl": HPGL, "gcode": GCODE, "plan": PLAN, "dxf": _dxf()}
ODDITIES = (
    b"1e999", b"nan", b"-", b"\x00", b"\xff\xfe", b"<g>", b"</g>", b'"', b"&", b"0", b"99999999999",
    b"\n0\nLINE\n", b"M", b"A", b",", b"{", b"[", b"1e-99", b"SPLINE", b"ENDSEC", b"transform=",
)  # fmt: skip


def mutated(rng: random.Random, kind_of_file: str) -> bytes:
    data = bytearray(SEEDS[kind_of_file])
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(data) + 1)
        kind = rng.randrange(5)
        if kind == 0 and data:
            data[min(at, len(data) - 1)] = rng.randrange(256)
        elif kind == 1:
            del data[at : at + rng.randint(1, 40)]
        elif kind == 2:
            data[at:at] = rng.choice(ODDITIES)
        elif kind == 3:
            piece = bytes(data[at : at + rng.randint(1, 60)])
            data[at:at] = piece * rng.randint(1, 30)
        else:
            data = data[: max(1, at)]
    return bytes(data)


def run(more: Callable[[int], bool], kinds: Sequence[str]) -> int:
    number = 0
    while more(number):
        rng = random.Random(number)  # noqa: S311 - mutations, not secrets
        units = None if rng.random() < 0.7 else "mm"
        kind = kinds[number % len(kinds)]
        # Half of them as what they are, whatever their beginning looks like.
        told = InspectionRequest(rng.choice([None, kind]), units, "", TOLERANCE, "")
        data = mutated(rng, kind)
        try:
            answer = inspect_file(data, told, None)
        except RequestError as error:
            assert problem_of(error).status == 422, (number, error)
            assert error.detail
        else:
            assert isinstance(answer.outlines, list)
        number += 1
    return number


def test_a_few_hundred_broken_drawings() -> None:
    assert run(lambda number: number < 500, tuple(SEEDS)) == 500


@pytest.mark.long
@pytest.mark.timeout(1800)
@pytest.mark.parametrize("kind", SEEDS)
def test_ten_minutes_of_broken_drawings(kind: str) -> None:
    end = time.monotonic() + 600
    assert run(lambda _: time.monotonic() < end, (kind,)) > 100
