"""Every format read by readers that this project did not write.

Tolerances are what each reader was measured to give on files that are right: svgelements and
svgpathtools to the fourth decimal, GDAL at 0.1 degree chords, HP-GL half a grid diagonal
(0.0177 mm) plus the chord tolerance.
"""

from __future__ import annotations

import io
import json
import shutil
import subprocess
from pathlib import Path
from typing import Any

import compare
import ezdxf
import plans
import pyogrio
import pytest
import svgelements
import svgpathtools
from ezdxf.addons.hpgl2 import api as hpgl2

from adapters import registry
from geometry.measure import area, perimeter

HPGL_TOLERANCE = 0.0177 + 0.005 + 0.001


def written(name: str, **settings: Any) -> bytes:
    return registry.get(name).write(plans.plan(), settings).data


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
        points = []
        for part in path:
            if isinstance(part, svgelements.Move):
                continue
            steps = 200 if isinstance(part, svgelements.Arc) else 1
            points.extend(part.point(k / steps) for k in range(steps))
        rows = [(p.x * scale, 200.0 - p.y * scale) for p in points]
        compare.assert_same(rows, outline, 0.001)


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
    picture.write_text(
        (head + body)
        .replace('fill="none" stroke="#000"', 'fill="#000"')
        .replace('stroke-width="0.1"', 'stroke="none"')
    )
    subprocess.run(
        [program, "-d", "254", "-p", "254", "-b", "white", "-o", str(out), str(picture)],
        check=True,
        timeout=60,
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
    for entity, outline in zip(entities[:5], list(plans.pieces().values())[:5], strict=True):
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
    told = subprocess.run(
        [program, "-al", "-q", str(file)], check=True, capture_output=True, text=True, timeout=60
    ).stdout
    assert told.count("LINESTRING") + told.count("POLYGON") == 8


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
        timeout=60,
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
