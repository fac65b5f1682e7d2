"""Readers by other hands, each asked for the paths of a file in mm, y up, in the file's order."""

from __future__ import annotations

import csv
import io
import itertools
import math
import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pyogrio
import pytest
import shapely
import svgelements
from ezdxf import filemanagement as ezdxf
from ezdxf.addons.hpgl2 import api as hpgl2

from geometry.model.plan import CutPlan, Stroke
from tests.roundtrip import follow, pdfium_paths

Points = list[tuple[float, float]]


def needs(program: str) -> str:
    """Return a program's place, or skip aloud."""
    found = shutil.which(program)
    if found is None:
        pytest.skip(f"{program} is not installed: this outside reader was NOT asked")
    return found


def _run(*command: str) -> None:
    subprocess.run(
        command, check=True, timeout=600, stdin=subprocess.DEVNULL, capture_output=True,
        env={"LC_ALL": "C", "PATH": "/usr/local/bin:/usr/bin:/bin"},
    )  # fmt: skip


def svgelements_paths(data: bytes, plan: CutPlan, _: Path) -> list[Points]:
    drawing = svgelements.SVG.parse(io.BytesIO(data))
    scale = plan.bed_width / float(drawing.width)
    found = []
    for path in (e for e in drawing.elements() if isinstance(e, svgelements.Path)):
        points = []
        for part in path:
            if isinstance(part, svgelements.Move):
                points.append(part.end)
                continue
            # Chords within 0.0002 mm.
            steps = 1
            if isinstance(part, svgelements.Arc):
                step = 2.0 * math.acos(1.0 - 0.0002 / max(0.01, part.rx * scale))
                steps = math.ceil(abs(part.sweep) / step)
            points.extend(part.point(k / steps) for k in range(1, steps + 1))
        found.append([(p.x * scale, plan.bed_height - p.y * scale) for p in points])
    return found


def librsvg_paths(data: bytes, plan: CutPlan, folder: Path) -> list[Points]:
    """Return what librsvg would draw: it hands its paths to cairo, which writes them down."""
    program = needs("rsvg-convert")
    (folder / "in.svg").write_bytes(data)
    _run(program, "-f", "svg", "-o", str(folder / "out.svg"), str(folder / "in.svg"))
    text = (folder / "out.svg").read_text()
    # cairo's pixels, 96 per inch.
    whole = re.search(r'<svg[^>]* width="([\d.]+)"', text)
    assert whole
    assert float(whole[1]) * 25.4 / 96 == pytest.approx(plan.bed_width, abs=1e-3)
    return [_turned(points, 25.4 / 96, plan) for points in _cairo(text)]


def poppler_paths(data: bytes, plan: CutPlan, folder: Path) -> list[Points]:
    program = needs("pdftocairo")
    (folder / "in.pdf").write_bytes(data)
    options = ("-svg", "-f", "2", "-l", "2", "-nocenter", "-noshrink")
    _run(program, *options, str(folder / "in.pdf"), str(folder / "page.svg"))
    paths = _cairo((folder / "page.svg").read_text())
    return [_turned(points, 25.4 / 72, plan) for points in paths[-len(plan.strokes) :]]


def _turned(points: Points, scale: float, plan: CutPlan) -> Points:
    return [(x * scale, plan.bed_height - y * scale) for x, y in points]


_TOKEN = re.compile(r"[MLCZ]|-?[\d.]+(?:e-?\d+)?")


def _cairo(text: str) -> list[Points]:
    """Return stroked paths of a drawing by cairo, in its own units, transforms applied."""
    body = text.rsplit("</defs>", maxsplit=1)[-1]
    found = []
    for tag in re.findall(r"<path [^>]*/>", body):
        shape = re.search(r' d="([^"]*)"', tag)
        move = re.search(r'transform="matrix\(([^)]*)\)"', tag)
        assert shape
        a, b, c, d, e, f = map(float, move[1].split(",")) if move else (1, 0, 0, 1, 0, 0)
        if "fill:none" in tag.replace(" ", ""):
            points = _cairo_points(_TOKEN.findall(shape[1]))
            found.append([(a * x + c * y + e, b * x + d * y + f) for x, y in points])
    return found


def _cairo_points(words: list[str]) -> Points:
    points: Points = []
    values: list[float] = []
    kind = ""
    for word in words:
        if word == "Z":
            points.append(points[0])
        elif word in "MLC":
            # After a closed ring cairo says once more where it is.
            kind, values = ("" if word == "M" and points else word), []
        else:
            values.append(float(word))
            if kind and len(values) == (6 if kind == "C" else 2):
                ends = list(zip(values[::2], values[1::2], strict=True))
                points.extend(pdfium_paths.cubic(points[-1], *ends) if kind == "C" else ends)
                values = []
    return points


_GDAL = {"OGR_ARC_STEPSIZE": "0.3", "DXF_CLOSED_LINE_AS_POLYGON": "NO"}


def gdal_paths(data: bytes, _plan: CutPlan, folder: Path) -> list[Points]:
    """Return what the GDAL inside pyogrio's wheel reads."""
    file = folder / "in.dxf"
    file.write_bytes(data)
    pyogrio.set_gdal_config_options(_GDAL)
    _, _, shapes, _ = pyogrio.raw.read(file)
    return [_places(shapely.from_wkb(shape)) for shape in shapes]


def ogr2ogr_paths(data: bytes, _plan: CutPlan, folder: Path) -> list[Points]:
    """Return what Debian's GDAL reads, another version."""
    program = needs("ogr2ogr")
    (folder / "in.dxf").write_bytes(data)
    found = [word for key, value in _GDAL.items() for word in ("--config", key, value)]
    out = folder / "out.csv"
    _run(program, *found, "-f", "CSV", "-lco", "GEOMETRY=AS_WKT", str(out), str(folder / "in.dxf"))
    csv.field_size_limit(1 << 24)
    with out.open(newline="") as rows:
        return [_places(shapely.from_wkt(row["WKT"])) for row in csv.DictReader(rows)]


def _places(shape: Any) -> Points:
    return [(x, y) for x, y, *_ in shapely.get_coordinates(shape).tolist()]


def hpgl_by_ezdxf(data: bytes, _plan: CutPlan, _: Path) -> list[Points]:
    player = hpgl2.record_plotter_output(b"\x1b%1B" + data, hpgl2.MergeControl.NONE)
    moves: list[Points] = []
    for _record, _properties, path in player.recordings():
        points = [(p.x / 40.0, p.y / 40.0) for p in path.vertices()]
        moves.extend([a, b] for a, b in itertools.pairwise(points))
    return follow.joined(moves)


def hp2xx_paths(data: bytes, plan: CutPlan, folder: Path) -> list[Points]:
    program = needs("hp2xx")
    source, target = folder / "in.plt", folder / "out.dxf"
    source.write_bytes(data)
    window = (f"{plan.bed_width * 40:.0f}", f"{plan.bed_height * 40:.0f}")
    box = ("-x", "0", "-y", "0", "-X", window[0], "-Y", window[1])
    _run(program, "-q", "-t", "-m", "dxf", *box, "-f", str(target), str(source))
    moves = [
        [(line.dxf.start.x, line.dxf.start.y), (line.dxf.end.x, line.dxf.end.y)]
        for line in ezdxf.readfile(target).modelspace().query("LINE")
    ]
    return follow.joined(moves)


def pdfium_page(data: bytes, plan: CutPlan, _: Path) -> list[Points]:
    width, rings = pdfium_paths.rings(data)
    assert width == pytest.approx(plan.bed_width, abs=1e-3)
    return rings[-len(plan.strokes) :]


def exploded(entities: list[Points], strokes: tuple[Stroke, ...]) -> Iterator[Points]:
    """Join lines and arcs that stand by themselves; the format draws every arc one way round."""
    left = list(entities)
    for stroke in strokes:
        joined: Points = []
        for part in stroke.segments[:1] if follow.is_circle(stroke) else stroke.segments:
            piece = left.pop(0)
            start = part.start
            near = [abs(end[0] - start.x) + abs(end[1] - start.y) for end in (piece[0], piece[-1])]
            joined.extend(piece if near[0] <= near[1] else piece[::-1])
        yield joined
