"""Drawings by other programs are read at true size; hostile ones are refused, clearly and soon."""

from __future__ import annotations

import io
import json
import math
from typing import Any

import pytest
from ezdxf import filemanagement as ezdxf
from flask.testing import FlaskClient

from geometry.offset.allowance import make_patch
from geometry.shapes.catalogue import build
from tests.short_form import short_form

INCH = 25.4


def inspected(client: FlaskClient, data: bytes | str, **fields: Any) -> Any:
    raw = data.encode() if isinstance(data, str) else data
    body = {"file": (io.BytesIO(raw), "drawing"), **fields}
    return client.post("/v1/inspections", data=body, content_type="multipart/form-data")


def outlines(client: FlaskClient, data: bytes | str, **fields: Any) -> list[dict[str, Any]]:
    answer = inspected(client, data, **fields)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    found: list[dict[str, Any]] = answer.get_json()["outlines"]
    return found


def svg(body: str, size: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"') -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{body}</svg>'


HEXAGON = build("hexagon", {"side": INCH})
CLAM = "M75.4 50 A25.4 25.4 0 0 0 24.6 50 A25.4 25.4 0 0 1 50 75.4 A25.4 25.4 0 0 1 75.4 50 Z"


def points(outline: Any) -> str:
    return " ".join(f"{v.x + 50:.6f},{50 - v.y:.6f}" for v in outline.vertices)


def test_a_hand_written_svg_in_inches(client: FlaskClient) -> None:
    drawing = svg(
        '<g id="cut"><path id="a" d="M1 1 h2 v1 h-2 z"/></g>',
        'width="4in" height="4in" viewBox="0 0 4 4"',
    )
    (found,) = outlines(client, drawing)
    assert (found["width_mm"], found["height_mm"]) == pytest.approx((50.8, 25.4))
    assert found["nearest"]["kind"] == "rectangle"
    # y is turned up: 2 in from the top of a 4 in page is 2 in from its foot.
    assert min(y for _, y, _ in found["points"]) == pytest.approx(50.8)


def test_arcs_stay_arcs_and_the_shape_is_known(client: FlaskClient) -> None:
    (found,) = outlines(client, svg(f'<path d="{CLAM}"/>'))
    assert found["area_mm2"] == pytest.approx(2 * INCH**2, rel=1e-9)
    assert len(found["points"]) == 3
    assert found["nearest"]["kind"] == "clamshell"
    assert found["nearest"]["size_mm"] == pytest.approx(50.8, rel=1e-6)


def test_transforms_are_applied(client: FlaskClient) -> None:
    drawing = svg(
        '<g transform="translate(10 20) rotate(30)"><g transform="scale(2)">'
        '<circle cx="5" cy="0" r="4"/></g></g>'
    )
    (found,) = outlines(client, drawing)
    assert found["width_mm"] == pytest.approx(16)
    xs = [x for x, _, _ in found["points"]]
    assert sum(xs) / 2 == pytest.approx(10 + 10 * math.cos(math.radians(30)))
    assert len(found["points"]) == 2
    skewed = outlines(client, svg('<circle cx="50" cy="50" r="10" transform="skewX(20)"/>'))
    assert skewed[0]["area_mm2"] == pytest.approx(math.pi * 100, rel=1e-3)


def test_template_in_patch_gives_the_allowance(client: FlaskClient) -> None:
    patch = make_patch(HEXAGON, 6.35).outline
    drawing = svg(f'<polygon points="{points(HEXAGON)}"/><polygon points="{points(patch)}"/>')
    answer = inspected(client, drawing).get_json()
    (found,) = answer["allowances"]
    assert found["nested"]
    assert found["min_mm"] == pytest.approx(6.35, abs=1e-4)
    assert answer["outlines"][found["template"]]["inside"] == found["patch"]
    assert answer["overlaps"] == []


def test_template_beside_patch_too(client: FlaskClient) -> None:
    patch = make_patch(build("jewel", {"side": 12.7}), 6.35).outline
    jewel = build("jewel", {"side": 12.7})
    right = " ".join(f"{v.x + 80:.6f},{30 - v.y:.6f}" for v in jewel.vertices)
    left = " ".join(f"{v.x + 25:.6f},{30 - v.y:.6f}" for v in patch.vertices)
    answer = inspected(
        client, svg(f'<polygon points="{right}"/><polygon points="{left}"/>')
    ).get_json()
    (found,) = answer["allowances"]
    assert not found["nested"]
    assert found["min_mm"] == pytest.approx(6.35, abs=1e-2)


def test_groups_overlaps_open_and_doubled_lines(client: FlaskClient) -> None:
    drawing = svg(
        '<rect x="0" y="0" width="10" height="10"/><rect x="10" y="0" width="10" height="10"/>'
        '<rect x="50" y="50" width="10" height="10"/><rect x="55" y="55" width="12" height="12"/>'
        '<polyline points="80,80 90,80 90,90"/>'
    )
    answer = inspected(client, drawing).get_json()
    assert sorted(map(len, answer["groups"])) == [1, 3]
    assert len(answer["overlaps"]) == 1
    assert [each["length_mm"] for each in answer["duplicate_lines"]] == pytest.approx([10.0])
    assert len(answer["open_paths"]) == 1


def test_open_ends_are_joined(client: FlaskClient) -> None:
    drawing = svg(
        '<line x1="10" y1="10" x2="30" y2="10"/><line x1="30.01" y1="10" x2="30" y2="30"/>'
        '<line x1="10" y1="10" x2="30" y2="30"/>'
    )
    assert len(outlines(client, drawing)) == 1


@pytest.mark.parametrize(
    ("factor", "word"), [(1 / 25.4, "read as millimetres"), (72 / 96, "points")]
)
def test_wrong_units_smell(client: FlaskClient, factor: float, word: str) -> None:
    sides = (1.125, 2.625)
    body = "".join(
        f'<rect x="{5 + 60 * k * factor}" y="5" width="{s * INCH * factor}" '
        f'height="{s * INCH * factor}"/>'
        for k, s in enumerate(sides)
    )
    warnings = inspected(client, svg(body)).get_json()["warnings"]
    assert any(word in warning for warning in warnings), warnings


def test_fits_a_named_cutter(client: FlaskClient) -> None:
    drawing = svg(f'<polygon points="{points(HEXAGON)}"/>')
    assert outlines(client, drawing, cutter="drag-blade-sheet")[0]["fits"] is True
    assert inspected(client, drawing, cutter="nobody").status_code == 422


def by_ezdxf(unit: int = 1) -> str:
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = unit
    space = document.modelspace()
    space.add_lwpolyline([(v.x / INCH, v.y / INCH) for v in HEXAGON.vertices], close=True)
    space.add_circle((5, 5), 0.5)
    space.add_ellipse((10, 5), major_axis=(1, 0), ratio=0.5)
    space.add_arc((15, 5), 1, 0, 180)
    space.add_line((14, 5), (16, 5))
    space.add_spline([(20, 0), (22, 3), (24, 0), (22, -3), (20, 0)])
    text = io.StringIO()
    document.write(text)
    return text.getvalue()


def test_dxf_by_ezdxf_in_inches(client: FlaskClient) -> None:
    found = outlines(client, by_ezdxf())
    kinds = {each["nearest"]["kind"]: each["nearest"] for each in found if each["nearest"]}
    assert kinds["hexagon"]["size_mm"] == pytest.approx(INCH, rel=1e-9)
    assert kinds["circle"]["size_mm"] == pytest.approx(INCH, rel=1e-9)
    areas = [each["area_mm2"] for each in found]
    assert any(a == pytest.approx(math.pi * 0.5 * INCH**2, rel=2e-3) for a in areas)
    assert any(a == pytest.approx(math.pi / 2 * INCH**2, rel=1e-9) for a in areas)
    assert len(found) == 5


def test_svg_by_svgwrite(client: FlaskClient) -> None:
    svgwrite = pytest.importorskip("svgwrite")
    drawing = svgwrite.Drawing(size=("100mm", "80mm"), viewBox="0 0 100 80")
    group = drawing.add(drawing.g(id="sail"))
    group.add(drawing.polygon([(10, 10), (60, 10), (10, 70)]))
    (found,) = outlines(client, drawing.tostring(), group="sail")
    assert found["area_mm2"] == pytest.approx(1500)


def test_svg_by_matplotlib(client: FlaskClient) -> None:
    matplotlib = pytest.importorskip("matplotlib")
    matplotlib.use("svg")
    from matplotlib import pyplot as plt
    from matplotlib.patches import Ellipse, Polygon

    figure = plt.figure(figsize=(4, 4))
    axes = figure.add_axes((0, 0, 1, 1))
    axes.set_xlim(0, 4)
    axes.set_ylim(0, 4)
    axes.axis("off")
    axes.add_patch(Polygon([(1, 1), (3, 1), (3, 2)], gid="sail"))
    axes.add_patch(Ellipse((2, 3), 2, 1, gid="pond"))
    text = io.StringIO()
    figure.savefig(text, format="svg")
    plt.close(figure)
    (sail,) = outlines(client, text.getvalue(), group="sail")
    assert sail["area_mm2"] == pytest.approx(INCH**2, rel=1e-5)
    (pond,) = outlines(client, text.getvalue(), group="pond")
    assert pond["area_mm2"] == pytest.approx(math.pi * 0.5 * INCH**2, rel=2e-3)


def test_dxf_by_gdal(client: FlaskClient, tmp_path: Any) -> None:
    import pyogrio
    import shapely

    file = tmp_path / "by_gdal.dxf"
    ring = shapely.LineString([(0, 0), (40, 0), (40, 30), (0, 0)])
    pyogrio.raw.write(
        file, geometry=[shapely.to_wkb(ring)], field_data=[], fields=[],
        geometry_type="LineString", crs="EPSG:32633", driver="DXF", encoding="utf-8",
    )  # fmt: skip
    answer = inspected(client, file.read_bytes(), units="mm")
    assert answer.status_code == 200, answer.get_data(as_text=True)
    (found,) = answer.get_json()["outlines"]
    # GDAL states metres ($INSUNITS 6) for this coordinate system: the file's own unit wins.
    assert found["area_mm2"] == pytest.approx(600e6)
    assert any("own unit, 1000 mm" in text for text in answer.get_json()["warnings"])


def test_our_own_files(client: FlaskClient, small_kit: dict[str, Any]) -> None:
    # A pen: its paths are the outlines themselves.
    small_kit["runs"][0] |= {"formats": ["svg", "dxf", "hpgl", "plan"], "cutter": "pen-sheet"}
    kit = client.post("/v1/kits", json=small_kit).get_json()
    wanted = kit["pieces"][0]["template"]["area_mm2"]
    for file in kit["runs"][0]["loads"][0]["files"]:
        found = outlines(client, client.get(file["href"]).data)
        assert found[0]["area_mm2"] == pytest.approx(wanted, rel=1e-3), file["name"]


NESTED = "<g>" * 20_000 + "</g>" * 20_000
BOMB = (
    '<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa">'
    + "".join(f'<!ENTITY {chr(98 + k)} "{"&" + chr(97 + k) + ";" * 1}">' for k in range(8))
    + ']><svg xmlns="http://www.w3.org/2000/svg">&i;</svg>'
)
DXF_HEAD = "0\nSECTION\n2\nHEADER\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n"
DXF_FOOT = "0\nENDSEC\n0\nEOF\n"


def dxf(*records: str) -> str:
    return DXF_HEAD + "".join(records) + DXF_FOOT


def dxf_line(x: str = "9") -> str:
    return f"0\nLINE\n8\n0\n10\n0\n20\n0\n11\n{x}\n21\n9\n"


def dxf_spline(points: int) -> str:
    return f"0\nSPLINE\n8\n0\n71\n3\n74\n{points}\n" + "".join(
        f"11\n{k % 97}\n21\n{k % 89}\n31\n0\n" for k in range(points)
    )


REFUSED: dict[str, bytes | str] = {
    "curves of kilometres": svg('<path d="M0 0' + "C9e6 -9e6 -9e6 9e6 5 5" * 2000 + 'Z"/>'),
    "curves without end": svg('<path d="M0 0' + "C900 -900 -900 900 5 5" * 2000 + 'Z"/>'),
    "ellipses without end": svg('<ellipse cx="50" cy="50" rx="40" ry="3"/>' * 1900),
    "more lines than are parsed": svg("<path d='M0 0h1'/>" * 10_001),
    "decimal comma": dxf(dxf_line("9,5")),
    "dxf not a number": dxf(dxf_line("nan")),
    "dxf infinite": dxf(dxf_line("1e400")),
    "dxf block": dxf("0\nINSERT\n8\n0\n2\nA\n10\n0\n20\n0\n70\n30000\n71\n30000\n"),
    "spline of too many points": dxf(dxf_spline(2_000)),
    "dwg": b"AC1015" + b"\x00" * 60,
    "empty": b"",
    "not xml": "<svg",
    "entities": BOMB,
    "external entity": '<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg>&x;</svg>',
    "no size": '<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0h9v9z"/></svg>',
    "use of itself": svg('<use id="u" href="#u"/>'),
    "deep": svg(NESTED),
    "many": svg("<path d='M0 0h9v9z'/>" * 3000),
    "use of another file": svg('<use href="other.svg#a"/>'),
    "foreign object": svg("<foreignObject/>"),
    "nested svg": svg(svg("")),
    "half a path": svg('<path d="M0 0 L1 abc Z"/>'),
    "bad flags": svg('<path d="M0 0 A1 1 0 2 7 3 3 Z"/>'),
    "no M": svg('<path d="L1 1 2 2 Z"/>'),
    "matrices": svg(f'<path transform="{"matrix(" * 20_000}" d="M0 0h9v9z"/>'),
    "half a view box": svg("", 'width="100mm" height="50mm" viewBox="0 0 100 x"'),
    "no such fit": svg("", 'width="9mm" height="5mm" viewBox="0 0 9 5" preserveAspectRatio="xYz"'),
    "style of another file": svg("<style>@import url(other.css);</style>"),
    "style of attributes": svg("<style>[id] { display: none }</style>"),
    "moved by a path": svg('<rect width="9" height="9" style="offset-path: path(\'M0 0h9\')"/>'),
    "segments": svg('<path d="M0 0' + "L1 1" * 6000 + 'Z"/>'),
    "huge numbers": svg('<path d="M0 0 L1e99 1 Z"/>'),
    "gzip": b"\x1f\x8b\x08\x00" + b"\x00" * 40,
    "binary dxf": b"AutoCAD Binary DXF\r\n\x1a\x00" + b"\x00" * 40,
    "broken dxf": "0\nSECTION\n2\nENTITIES\n0\nLINE\n10\n",
    "dxf without unit": "0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n0\n10\n0.0\n20\n0.0\n11\n1.0\n"
    "21\n1.0\n0\nENDSEC\n0\nEOF\n",
    "hpgl exponent": "IN;SP1;PU1e5,2;PD3,4;",
    "hpgl word": "IN;ZZ1,2;",
    "plan": '{"units": "mm", "strokes": [{"points": "no"}]}',
    "deep plan": '{"units": "mm", "strokes": ' + "[" * 5000,
    "utf-16": svg("").encode("utf-16"),
}


@pytest.mark.parametrize(
    "name", short_form(REFUSED, REFUSED.keys() - {"ellipses without end", "curves without end"})
)
def test_refused_with_a_reason(client: FlaskClient, name: str) -> None:
    answer = inspected(client, REFUSED[name])
    assert answer.status_code == 422, (answer.status_code, answer.get_data(as_text=True)[:300])
    payload = answer.get_json()
    assert payload["type"].endswith("#drawing-refused")
    assert len(payload["detail"]) > 20
    assert "/etc/passwd" not in payload["detail"]


def test_outlines_that_cannot_be_cut_are_named(client: FlaskClient) -> None:
    answer = inspected(client, svg('<path id="tie" d="M0 0 L10 10 L10 0 L0 10 Z"/>')).get_json()
    assert answer["outlines"] == []
    assert any("tie" in warning and "cross" in warning for warning in answer["warnings"])


def test_forms(client: FlaskClient) -> None:
    good = svg('<path d="M0 0h9v9z"/>')
    assert client.post("/v1/inspections", json={}).status_code == 415
    empty = client.post("/v1/inspections", data={"x": "1"}, content_type="multipart/form-data")
    assert empty.status_code == 422
    assert inspected(client, good, colour="red").status_code == 422
    assert inspected(client, good, tolerance_mm="7").status_code == 422
    assert inspected(client, good, format="pdf").status_code == 422
    assert inspected(client, good, group="nowhere").status_code == 422
    huge = client.post(
        "/v1/inspections",
        data=b"x" * (2 << 20),
        content_type="multipart/form-data; boundary=xyz",
    )
    assert huge.status_code == 413
    assert client.get("/v1/inspections").status_code == 405


def test_an_outline_goes_straight_into_a_kit(client: FlaskClient) -> None:
    (found,) = outlines(client, svg(f'<path d="{CLAM}"/>'))
    body = {
        "units": "mm",
        "pieces": [
            {"id": "A", "shape": {"kind": "custom", "points": found["points"]}, "seam_allowance": 6}
        ],
    }
    piece = client.post("/v1/outlines", json=body).get_json()["pieces"][0]
    assert json.loads(json.dumps(piece["template"]["area_mm2"])) == pytest.approx(2 * INCH**2)


@pytest.mark.parametrize(
    ("body", "size"),
    [
        ('<circle cx="9" cy="9" r="1.2.3"/>', 'width="40mm" height="40mm"'),
        ('<circle cx="9" cy="9" r="3"/>', 'width="4.0.0mm" height="40mm"'),
    ],
)
def test_numbers_that_are_none_are_answered_with_a_problem(
    client: FlaskClient, body: str, size: str
) -> None:
    answer = inspected(client, svg(body, f'{size} viewBox="0 0 40 40"'))
    assert answer.status_code == 422
    assert answer.content_type == "application/problem+json"
    assert "is not a" in answer.get_data(as_text=True)
