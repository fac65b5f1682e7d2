"""Every format read by readers that this project did not write.

Tolerances are what each reader was measured to give on files that are right: svgelements and
svgpathtools to the fourth decimal, GDAL at 0.1 degree chords, HP-GL half a grid diagonal
(0.0177 mm) plus the chord tolerance.
"""

from __future__ import annotations

import io
import json
import math
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pyogrio
import pypdf
import pytest
import svgelements
import svgpathtools
from ezdxf import filemanagement as ezdxf
from ezdxf.addons.hpgl2 import api as hpgl2

from adapters import registry
from adapters.errors import SettingError
from adapters.readback import read_back
from geometry.measure import area, perimeter
from tests.roundtrip import compare, pdfium_paths, plans

HPGL_TOLERANCE = 0.0177 + 0.005 + 0.001


def written(name: str, **settings: Any) -> bytes:
    return registry.get(name).write(plans.plan(), settings or plans.SETTINGS.get(name, {})).data


def needs(program: str) -> str:
    found = shutil.which(program)
    if found is None:
        pytest.skip(f"{program} is not installed: this outside reader was NOT asked")
    return found


def test_the_flag_is_what_it_says() -> None:
    # derived: 600 - 25 - (1 - pi / 4) 64; 100 - 16 + 4 pi
    assert area(plans.FLAG) == pytest.approx(plans.FLAG_AREA, abs=1e-6)
    assert perimeter(plans.FLAG) == pytest.approx(plans.FLAG_LENGTH, abs=1e-6)


def test_svg_by_svgelements() -> None:
    drawing = svgelements.SVG.parse(io.BytesIO(written("svg")))
    scale = 300.0 / float(drawing.width)
    paths = {e.id: e for e in drawing.elements() if isinstance(e, svgelements.Path)}
    for number, (name, outline) in enumerate(plans.pieces().items(), start=1):
        path = paths[f"{name}-{number}"]
        points: list[svgelements.Point] = []
        for part in path:
            if isinstance(part, svgelements.Move):
                continue
            steps = 200 if isinstance(part, svgelements.Arc) else 1
            points.extend(part.point(k / steps) for k in range(steps))
        rows = [(p.x * scale, 200.0 - p.y * scale) for p in points]
        compare.assert_same(rows, outline, 0.001)


@pytest.mark.long
def test_svg_by_svgpathtools(tmp_path: Path) -> None:
    file = tmp_path / "plan.svg"
    file.write_bytes(written("svg"))
    paths, attributes, _ = svgpathtools.svg2paths2(str(file))
    assert attributes[0]["id"] == "flag-1-mark"
    cuts = paths[2:]
    for path, outline in zip(cuts, plans.pieces().values(), strict=True):
        # y points down in the file, so a counter-clockwise outline has a negative area.
        # It sums chords of arcs; chords of 0.02 mm are far finer than this tolerance.
        assert -path.area(chord_length=0.02) == pytest.approx(area(outline), rel=1e-5)
        assert path.length() == pytest.approx(perimeter(outline), rel=1e-5)


@pytest.mark.librsvg
def test_svg_by_librsvg(tmp_path: Path) -> None:
    program = needs("rsvg-convert")
    picture, out = tmp_path / "fill.svg", tmp_path / "fill.png"
    outline = plans.pieces()["flag"]
    text = registry.get("svg").write(plans.plan({"flag": outline}), {}).data.decode()
    # Only the cut flag, filled: ten pixels a millimetre.
    head, _, tail = text.partition('<g id="mark"')
    body = '<g id="cut"' + tail.split('<g id="cut"')[1]
    filled = re.sub(
        r'fill="none" stroke="#\w+" stroke-width="0.1"', 'fill="#000" stroke="none"', head + body
    )
    picture.write_text(filled)
    subprocess.run(
        [program, "-d", "254", "-p", "254", "-b", "white", "-o", str(out), str(picture)],
        check=True,
        timeout=600,
    )
    dark = _dark_pixels(out)
    assert len(dark) / 100.0 == pytest.approx(area(outline), rel=2e-3)
    xs, ys = [x for x, _ in dark], [y for _, y in dark]
    assert min(xs) / 10 == pytest.approx(outline.bounds.left, abs=0.11)
    assert (2000 - max(ys)) / 10 == pytest.approx(outline.bounds.bottom, abs=0.11)
    # The round corner is upper right, the notch lower left: a mirror would swap them.
    assert (
        int(outline.bounds.left * 10) + 10,
        1999 - int(outline.bounds.bottom * 10) - 10,
    ) not in dark
    assert (int(outline.bounds.right * 10) - 3, 1999 - int(outline.bounds.top * 10) + 3) not in dark


def _dark_pixels(file: Path) -> set[tuple[int, int]]:
    image_module = pytest.importorskip("PIL.Image", reason="Pillow reads the picture")
    image = image_module.open(file).convert("L")
    width = image.size[0]
    data = image.tobytes()
    return {(i % width, i // width) for i, value in enumerate(data) if value < 128}


def test_dxf_by_ezdxf_audit() -> None:
    text = written("dxf").decode("ascii")
    document = ezdxf.read(io.StringIO(text))
    assert document.audit().errors == []
    assert document.header["$INSUNITS"] == 4
    assert document.header["$MEASUREMENT"] == 1
    entities = [e for e in document.modelspace() if e.dxf.layer == "cut"]
    kinds = [entity.dxftype() for entity in entities]
    assert kinds == ["LWPOLYLINE"] * 5 + ["CIRCLE"]
    lines: list[Any] = entities[:5]
    for entity, outline in zip(lines, list(plans.pieces().values())[:5], strict=True):
        rows = list(entity.get_points("xyb"))
        assert len(rows) == len(outline.vertices)
        assert all(abs(bulge) <= 1.0 for _, _, bulge in rows)
    assert {layer.dxf.name for layer in document.layers} >= {"cut", "score", "mark"}


def test_dxf_by_gdal(tmp_path: Path) -> None:
    file = tmp_path / "plan.dxf"
    file.write_bytes(written("dxf"))
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.1", "DXF_CLOSED_LINE_AS_POLYGON": "NO"})
    _, _, shapes, columns = pyogrio.raw.read(file)
    layers = list(columns[0])
    rings = [
        _coordinates(shape) for shape, layer in zip(shapes, layers, strict=True) if layer == "cut"
    ]
    for number, (ring, outline) in enumerate(zip(rings, plans.pieces().values(), strict=True)):
        # GDAL draws circles clockwise.
        compare.assert_same(ring[:-1], outline, 0.001, signed=number < 5)


def _coordinates(shape: bytes) -> list[tuple[float, float]]:
    import shapely

    return [(x, y) for x, y, *_ in shapely.get_coordinates(shapely.from_wkb(shape)).tolist()]


@pytest.mark.gdal
def test_dxf_by_ogrinfo(tmp_path: Path) -> None:
    program = needs("ogrinfo")
    file = tmp_path / "plan.dxf"
    file.write_bytes(written("dxf"))
    output = subprocess.run(
        [program, "-al", "-q", str(file)], check=True, capture_output=True, text=True, timeout=600
    ).stdout
    assert output.count("LINESTRING") + output.count("POLYGON") == 8


def test_hpgl_by_ezdxf() -> None:
    data = b"\x1b%1B" + written("hpgl")
    player = hpgl2.record_plotter_output(data, hpgl2.MergeControl.NONE)
    runs = [
        [(p.x / 40.0, p.y / 40.0) for p in points.vertices()]
        for _, _, points in player.recordings()
    ]
    cuts = _joined(runs)[2:]
    assert len(cuts) == len(plans.pieces())
    for points, outline in zip(cuts, plans.pieces().values(), strict=True):
        compare.assert_same(points[:-1], outline, HPGL_TOLERANCE)


def _joined(runs: list[list[tuple[float, float]]]) -> list[list[tuple[float, float]]]:
    """Join what one pen-down wrote as several instructions."""
    joined: list[list[tuple[float, float]]] = []
    for run in runs:
        if joined and joined[-1][-1] == run[0] and joined[-1][0] != joined[-1][-1]:
            joined[-1].extend(run[1:])
        else:
            joined.append(run)
    return joined


@pytest.mark.hp2xx
def test_hpgl_by_hp2xx(tmp_path: Path) -> None:
    program = needs("hp2xx")
    source, target = tmp_path / "in.plt", tmp_path / "out.dxf"
    source.write_bytes(written("hpgl"))
    subprocess.run(
        [
            program,
            "-q",
            "-t",
            "-m",
            "dxf",
            "-x",
            "0",
            "-y",
            "0",
            "-X",
            "12000",
            "-Y",
            "8000",
            "-f",
            str(target),
            str(source),
        ],
        check=True,
        timeout=600,
        stdin=subprocess.DEVNULL,
        env={"LC_ALL": "C"},
        capture_output=True,
    )
    rings = _rings_of_lines(target)
    for outline in plans.pieces().values():
        ring = min(
            rings,
            key=lambda each: (
                abs(each[0][0] - outline.vertices[0].x) + abs(each[0][1] - outline.vertices[0].y)
            ),
        )
        compare.assert_same(ring, outline, HPGL_TOLERANCE)


def _rings_of_lines(file: Path) -> list[list[tuple[float, float]]]:
    """Join hp2xx's lines, whose numbers are in mm, end to end."""
    document = ezdxf.readfile(file)
    rings: list[list[tuple[float, float]]] = []
    for line in document.modelspace().query("LINE"):
        start, end = (line.dxf.start.x, line.dxf.start.y), (line.dxf.end.x, line.dxf.end.y)
        if rings and rings[-1][-1] == pytest.approx(start, abs=1e-3):
            rings[-1].append(end)
        else:
            rings.append([start, end])
    return [ring[:-1] for ring in rings]


def test_gcode_by_gcodeparser() -> None:
    """Words by an outside tokenizer; motion by the arithmetic of NISTIR 6556 alone."""
    from gcodeparser import parse_gcode_lines

    rings: list[list[tuple[float, float]]] = []
    at, down = (0.0, 0.0), False
    for line in parse_gcode_lines(written("gcode").decode("ascii")):
        word = "".join(map(str, line.command))
        if word in {"M3", "M4"}:
            down = True
            rings.append([at])
        elif word == "M5":
            down = False
        elif word in {"G0", "G1", "G2", "G3"}:
            end = (line.params["X"], line.params["Y"])
            if word in {"G2", "G3"}:
                rings[-1].extend(_along(at, end, line.params, ccw=word == "G3"))
            elif down:
                rings[-1].append(end)
            at = end
    assert len(rings) == 8
    for ring, outline in zip(rings[2:], plans.pieces().values(), strict=True):
        assert ring[0] == ring[-1]
        compare.assert_same(ring[:-1], outline, 0.001)


def _along(
    start: tuple[float, float], end: tuple[float, float], words: Any, *, ccw: bool
) -> list[tuple[float, float]]:
    centre = (start[0] + words["I"], start[1] + words["J"])
    radius = math.dist(centre, start)
    # RS274NGC section 3.5.3: the two radii agree within 0.002 mm.
    assert abs(math.dist(centre, end) - radius) <= 0.002
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    last = math.atan2(end[1] - centre[1], end[0] - centre[0])
    sweep = (last - first) % math.tau if ccw else -((first - last) % math.tau)
    inner = [first + sweep * k / 200 for k in range(1, 200)]
    return [
        *((centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in inner),
        end,
    ]


def test_gcode_grammar() -> None:
    """Every line is a comment or plain words, short, without exponents."""
    word = r"([GM][0-9]+|[XYZIJFS][+-]?[0-9]+(\.[0-9]{1,4})?)"
    grammar = re.compile(rf"(\([A-Za-z0-9 _.-]{{0,60}}\)|{word}( {word})*)")
    for line in written("gcode").decode("ascii").splitlines():
        assert grammar.fullmatch(line), line
        assert len(line) <= 70


def test_pdf_by_pdfium() -> None:
    width, rings = pdfium_paths.rings(written("pdf", paper="bed", margin_mm=0.0))
    assert width == pytest.approx(300, abs=1e-3)
    cuts = rings[-len(plans.pieces()) :]
    for ring, outline in zip(cuts, plans.pieces().values(), strict=True):
        compare.assert_same(ring, outline, 0.002)


@pytest.mark.poppler
def test_pdf_by_poppler(tmp_path: Path) -> None:
    program = needs("pdftocairo")
    source, target = tmp_path / "plan.pdf", tmp_path / "page.svg"
    source.write_bytes(written("pdf", paper="bed", margin_mm=0.0))
    subprocess.run(
        [program, "-svg", "-f", "2", "-l", "2", "-nocenter", "-noshrink", str(source), str(target)],
        check=True, timeout=600,
    )  # fmt: skip
    paths, _ = svgpathtools.svg2paths(str(target))
    lengths = sorted(path.length() * 25.4 / 72 for path in paths)
    for outline in plans.pieces().values():
        assert any(length == pytest.approx(perimeter(outline), rel=1e-3) for length in lengths)


def test_pdf_tiles_show_every_stroke_at_the_same_place() -> None:
    data = written("pdf", paper="letter")
    whole = read_back("pdf", data, plans.plan(), {})
    assert whole is not None
    assert whole.worst_deviation <= 0.002
    document = pypdf.PdfReader(io.BytesIO(data))
    # The check page, and one sheet: what is drawn is 265 by 143 mm.
    assert len(document.pages) == 2
    root: Any = document.trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"
    contents = document.pages[0].get_contents()
    assert contents is not None
    # The check square: exactly one inch.
    assert b" 72 72 re" in contents.get_data()


def test_gcode_refuses_what_is_not_stated() -> None:
    write = registry.get("gcode").write
    for settings, missing in (
        ({}, "head"),
        ({"head": "laser", "power": 1}, "feed_mm_min"),
        ({"head": "laser", "feed_mm_min": 100}, "power"),
        ({"head": "knife", "feed_mm_min": 100}, "depth_mm"),
        # The plan scores and marks: at the power or depth of a cut that would go through.
        ({"head": "laser", "feed_mm_min": 100, "power": 1}, "score_power"),
        ({"head": "knife", "feed_mm_min": 100, "depth_mm": -1}, "score_depth_mm"),
        ({"head": "knife", "feed_mm_min": 100, "depth_mm": 0}, "depth_mm"),
        ({"head": "laser", "feed_mm_min": 100, "power": 1, "speed": 3}, "speed"),
    ):
        with pytest.raises(SettingError) as caught:
            write(plans.plan(), settings)
        assert caught.value.setting == missing


def test_gcode_by_knife_and_in_inches() -> None:
    for settings in (
        {"head": "knife", "depth_mm": -1.0, "score_depth_mm": -0.2, "feed_mm_min": 600},
        {"head": "laser", "power": 200, "score_power": 9, "feed_mm_min": 600, "units": "in"},
    ):
        data = registry.get("gcode").write(plans.plan(), settings).data
        found = read_back("gcode", data, plans.plan(), settings)
        assert found is not None
        assert found.worst_deviation <= 0.001


def test_plan_by_json() -> None:
    document = json.loads(written("plan"))
    assert document["units"] == "mm"
    assert document["work_area"] == {"x_mm": 0, "y_mm": 0, "width_mm": 300, "height_mm": 200}
    cuts = [stroke for stroke in document["strokes"] if stroke["operation"] == "cut"]
    for stroke, outline in zip(cuts, plans.pieces().values(), strict=True):
        # To the last digit: a recut is made from these numbers.
        assert [tuple(point) for point in stroke["points"]] == list(outline.vertices)
        assert stroke["closed"]
    assert document["stops"][0]["reason"] == "load-material"


@pytest.mark.parametrize("name", registry.BUILT_IN)
def test_the_same_plan_gives_the_same_bytes(name: str) -> None:
    assert written(name) == written(name)
