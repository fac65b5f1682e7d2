"""Readers fed with broken files: whatever comes, an answer or a refusal, never anything else.

One command per reader, ten minutes each by default::

    python -m tests.property.reader_fuzz svg --seconds 600 --first 0

Readers of strangers' drawings: ``svg``, ``dxf``, ``hpgl``, ``gcode``, ``plan``. Those that read our
own files back: the same names with ``own-``, and ``own-pdf``. It prints how many files were tried
and how many of them were read, and stops at the first that ends in anything but an answer or a
refusal, or takes a minute of the processor; its number, given as ``--first``, makes it again.
"""

from __future__ import annotations

import argparse
import io
import logging
import math
import random
import resource
import signal
import sys
import time
from collections.abc import Callable
from functools import cache
from typing import NoReturn

from ezdxf import filemanagement as ezdxf

from adapters import registry
from adapters.errors import ReadBackError
from adapters.readback import read_back
from adapters.sample import sample_plan
from geometry.shapes.curves import TOLERANCE
from service.drawings.inspect import inspect_file
from service.errors import RequestError
from service.http.problems import problem_of
from service.requests.inspections import InspectionRequest
from tests.roundtrip.plans import SETTINGS

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


READERS = (*SEEDS, "own-pdf", *(f"own-{name}" for name in SEEDS))
#: Processor time that one file may take, s: a hang, on any machine.
_HANGS_S = 60.0
_MAX_MEMORY = 2 << 30


@cache
def own_file(name: str) -> bytes:
    """Return what we write for the sample plan."""
    return registry.write(name, sample_plan(), SETTINGS.get(name, {})).data


def mutated(rng: random.Random, seed: bytes) -> bytes:
    """Return a file with a few bytes changed, lost, added, repeated or cut off."""
    data = bytearray(seed)
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


def inspected(kind: str, number: int) -> bool:
    """Inspect one broken drawing; return whether it was read."""
    rng = random.Random(number)  # noqa: S311 - mutations, not secrets
    units = None if rng.random() < 0.7 else "mm"
    # Half of them as what they are, whatever their beginning looks like.
    request = InspectionRequest(rng.choice([None, kind]), units, "", TOLERANCE, "")
    data = mutated(rng, SEEDS[kind])
    try:
        answer = inspect_file(data, request, None)
    except RequestError as error:
        assert problem_of(error).status == 422, (number, error)
        assert error.detail
        return False
    assert isinstance(answer.outlines, list)
    return True


def read_as_own(name: str, number: int) -> bool:
    """Read one broken file of ours back; return whether it was believed."""
    rng = random.Random(number)  # noqa: S311 - mutations, not secrets
    plan, settings = sample_plan(), SETTINGS.get(name, {})
    try:
        found = read_back(name, mutated(rng, own_file(name)), plan, settings)
    except ReadBackError:
        return False
    assert found is not None
    allowed = registry.get(name).resolution
    assert math.isfinite(found.worst_deviation), number
    assert found.worst_deviation <= allowed, number
    return True


def fuzz(reader: str, more: Callable[[int], bool], first: int = 0) -> tuple[int, int]:
    """Try broken files while there are to be more; return how many, and how many were read."""
    tried = read = 0
    one = read_as_own if reader.startswith("own-") else inspected
    kind = reader.removeprefix("own-")
    while more(tried):
        try:
            read += one(kind, first + tried)
        except BaseException:
            sys.stderr.write(f"{reader}: file {first + tried}\n")
            raise
        tried += 1
    return tried, read


def _hangs(*_: object) -> NoReturn:
    raise RuntimeError("a minute of the processor for one file")


def main() -> None:
    """Fuzz one reader."""
    parser = argparse.ArgumentParser(description="Feed a reader with broken files.")
    parser.add_argument("reader", choices=READERS)
    parser.add_argument("--seconds", type=float, default=600.0)
    parser.add_argument("--first", type=int, default=0, help="number of the first file")
    options = parser.parse_args()
    logging.disable(logging.CRITICAL)  # libraries report each fault that they find
    resource.setrlimit(resource.RLIMIT_AS, (_MAX_MEMORY, _MAX_MEMORY))
    signal.signal(signal.SIGVTALRM, _hangs)
    end = time.monotonic() + options.seconds

    def more(_: int) -> bool:
        signal.setitimer(signal.ITIMER_VIRTUAL, _HANGS_S)
        return bool(time.monotonic() < end)

    tried, read = fuzz(options.reader, more, options.first)
    shares = f"{read} read, {tried - read} refused"
    print(f"{options.reader}: {tried} files in {options.seconds:g} s, {shares}")


if __name__ == "__main__":
    main()
