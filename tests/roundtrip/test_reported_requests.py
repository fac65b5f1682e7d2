"""Requests and drawings that once failed or were answered wrongly, each with its answer by hand.

``tests/fixtures/format_requests`` holds them. Files are read by other hands: ezdxf, shapely, and
for HP-GL and the cut plan a few lines here. Lengths are mm, and 40 plotter units are 1 mm (HP-GL).
"""

from __future__ import annotations

import hashlib
import io
import itertools
import json
import math
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
import shapely
from ezdxf import bbox
from ezdxf import filemanagement as ezdxf
from flask.testing import FlaskClient

from service.app import create_app
from service.settings import Settings
from tests.roundtrip.odd_plugin import Plug

FOLDER = Path(__file__).resolve().parents[1] / "fixtures" / "format_requests"
TESTED: set[str] = set()


def named(name: str) -> str:
    """Return the name of a file in the folder, which is tested here."""
    TESTED.add(name)
    return name


class Made(NamedTuple):
    """A kit's answer, and its files by name."""

    answer: Any
    files: dict[str, bytes]

    @property
    def loads(self) -> list[Any]:
        return [load for run in self.answer["runs"] for load in run["loads"]]

    def only_file(self) -> str:
        (data,) = self.files.values()
        return data.decode()


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[FlaskClient]:
    app = create_app(Settings(data=tmp_path_factory.mktemp("data"), compute_seconds=600))
    yield app.test_client()
    app.extensions["quarterseam-store"]().close()


def request(name: str) -> dict[str, Any]:
    """Return a request of the folder."""
    body: dict[str, Any] = json.loads((FOLDER / f"{name}.json").read_text())
    return body


def made(client: FlaskClient, name: str) -> Made:
    """Post a request; its files have the stated hashes."""
    posted = client.post("/v1/kits", json=request(name))
    assert posted.status_code == 201, posted.get_data(as_text=True)
    answer = posted.get_json()
    files = {}
    for run in answer["runs"]:
        for file in (file for load in run["loads"] for file in load["files"]):
            files[file["name"]] = client.get(file["href"]).data
            assert hashlib.sha256(files[file["name"]]).hexdigest() == file["sha256"]
    return Made(answer, files)


def drawn(text: str) -> Any:
    document = ezdxf.read(io.StringIO(text))
    assert not document.audit().errors
    return document


def arc_length(document: Any) -> float:
    """Return the length of all arcs, which is all that is drawn."""
    arcs = list(document.modelspace())
    assert {each.dxftype() for each in arcs} == {"ARC"}
    sweeps = [(each.dxf.end_angle - each.dxf.start_angle) % 360.0 for each in arcs]
    lengths = [each.dxf.radius * math.radians(s) for each, s in zip(arcs, sweeps, strict=True)]
    return float(sum(lengths))


CIRCLE = named("exploded-circle-turned")


def test_a_circle_in_separate_arcs_turned_by_a_quarter(client: FlaskClient) -> None:
    """Radius 15 + 6.35 = 21.35, so 42.7 wide; the machine's y runs against the bed's x."""
    kit = made(client, CIRCLE)
    document = drawn(kit.only_file())
    (circle,) = document.modelspace()
    assert (circle.dxftype(), circle.dxf.radius) == ("CIRCLE", pytest.approx(21.35, abs=1e-4))
    box = bbox.extents(document.modelspace())
    assert tuple(box.size)[:2] == pytest.approx((42.7, 42.7), abs=0.02)
    assert box.extmax[1] == pytest.approx(0.0, abs=0.02)
    (warning,) = [each for each in kit.answer["warnings"] if "negative" in each]
    assert "-42.7 mm" in warning
    assert "lower-right" in warning


PETAL = named("exploded-rosette-petal")


def test_a_petal_in_separate_arcs(client: FlaskClient) -> None:
    """Two sixths of a circle of radius 40: 80 pi / 3 = 83.776 long, 80 - 40 sqrt 3 wide: 10.718."""
    document = drawn(made(client, PETAL).only_file())
    assert arc_length(document) == pytest.approx(83.776, abs=0.001)
    size = tuple(bbox.extents(document.modelspace()).size)[:2]
    assert sorted(size) == pytest.approx([10.718, 40.0], abs=0.02)


def pens(text: str) -> set[str]:
    """Return the pens of an HP-GL file that draw."""
    return set(re.findall(r"SP([1-9]\d*);", text))


DRAG, SET = named("pen-apart-from-drag-blade"), named("pen-apart-from-set-blade")


@pytest.mark.parametrize(
    ("name", "parts"),
    [
        (DRAG, ["pen", "station-1"]),
        # The mirrored flag's edges lie at 0 and 90 degrees; its quarter arc is cut at 45.
        (SET, ["pen", "station-1", "station-2", "station-3"]),
    ],
)
def test_pen_and_blade_are_parted_on_every_tool(
    client: FlaskClient, name: str, parts: list[str]
) -> None:
    """Letters and marks are drawn, the cut and the crease are the blade's: files of their own."""
    kit = made(client, name)
    wanted = [f"1-patch-other-1-{part}.{end}" for end in ("plt", "svg", "dxf") for part in parts]
    assert sorted(kit.files) == sorted(wanted)
    # No warning advises to write one file per angle or tool: that is what was asked.
    assert not [each for each in kit.answer["warnings"] if "one file" in each or "station" in each]
    used = {part: pens(kit.files[f"1-patch-other-1-{part}.plt"].decode()) for part in parts}
    assert all(used.values())
    assert not [part for part in parts[1:] if used[part] & used["pen"]]
    for part in parts:
        document = drawn(kit.files[f"1-patch-other-1-{part}.dxf"].decode())
        layers = {entity.dxf.layer.split("-")[0] for entity in document.modelspace()}
        assert layers <= ({"mark"} if part == "pen" else {"cut", "score"})
    assert any("pen" in stop["message"] for stop in kit.loads[0]["stops"])


@pytest.mark.parametrize("name", [named("extents-r12-inches"), named("extents-r2000-inches")])
def test_extents_in_inches(client: FlaskClient, name: str) -> None:
    """A flag of 30 x 20 with 3 around is 36 x 26, the circle 42.7; the bed is 150 x 100 mm."""
    document = drawn(made(client, name).only_file())
    header = document.header
    assert header["$LIMMAX"][:2] == pytest.approx((150 / 25.4, 100 / 25.4), abs=1e-4)
    box = bbox.extents(document.modelspace())
    assert header["$EXTMIN"][:2] == pytest.approx(tuple(box.extmin)[:2], abs=0.001)
    assert header["$EXTMAX"][:2] == pytest.approx(tuple(box.extmax)[:2], abs=0.001)
    sizes = sorted(
        tuple(sorted(tuple(bbox.extents([each]).size)[:2])) for each in document.modelspace()
    )
    inches = [(26 / 25.4, 36 / 25.4)] * 3 + [(42.7 / 25.4, 42.7 / 25.4)]
    for size, wanted in zip(sizes, inches, strict=True):
        assert size == pytest.approx(wanted, abs=0.001)


#: Areas, mm2. Flag: 600, less its notch of 25 and the corner's 64 - 16 pi. Triangle: its long side
#: squared / 4. Tumbler: mean width x height. Clamshell: width squared / 2. Apple core: half its
#: length squared. Quarter circle and its partner of 50.8 mm. Parallelogram: base x side x sin 52.
AREAS = {
    "flag": 600 - 25 - (64 - 16 * math.pi),
    "hst": 50.8**2 / 4,
    "tumb": (31.75 + 22.225) / 2 * 34.925,
    "clam": 38.1**2 / 2,
    "apple": 63.5**2 / 2,
    "dpie": math.pi * 34.925**2 / 4,
    "dell": 50.8**2 - math.pi * 34.925**2 / 4,
    "para": 38.1 * 25.4 * math.sin(math.radians(52)),
}


def polygon(points: list[list[float]]) -> shapely.Polygon:
    """Return a ring of a cut plan with arcs in chords of half a degree."""
    found = []
    for (x, y, bulge), (to_x, to_y, _) in itertools.pairwise([*points, points[0]]):
        first, last = complex(x, y), complex(to_x, to_y)
        found.append(first)
        if bulge:
            # The bulge is the tangent of a quarter of the sweep (DXF reference).
            sweep = 4 * math.atan(bulge)
            middle = (first + last) / 2 + 1j * (last - first) / 2 / math.tan(sweep / 2)
            count = math.ceil(abs(sweep) / math.radians(0.5))
            for k in range(1, count):
                turn = sweep * k / count
                found.append(middle + (first - middle) * complex(math.cos(turn), math.sin(turn)))
    return shapely.Polygon([(place.real, place.imag) for place in found])


@pytest.mark.parametrize("name", [named("eight-kinds-quick"), named("six-kinds-quick")])
def test_many_kinds_are_laid_out_quickly(client: FlaskClient, name: str) -> None:
    """All pieces lie on one load of 300 x 260 mm, at their areas, and none over another."""
    body = request(name)
    kit = made(client, name)
    (load,) = kit.loads
    assert load["outlines"] == {piece["id"]: piece["quantity"] for piece in body["pieces"]}
    strokes = json.loads(kit.only_file())["strokes"]
    rings = [polygon(stroke["points"]) for stroke in strokes]
    for stroke, ring in zip(strokes, rings, strict=True):
        assert ring.area == pytest.approx(AREAS[stroke["piece"]], rel=1e-4)
        assert shapely.box(-0.001, -0.001, 300.001, 260.001).covers(ring)
    for one, other in itertools.combinations(rings, 2):
        assert one.intersection(other).area < 0.01


GENTLE = named("gentle-arc-by-radius")


def test_a_gentle_arc_beyond_the_machine_s_numbers_is_chords(client: FlaskClient) -> None:
    """The top is 203.2 wide and bows by 0.05 x 101.6 = 5.08: its radius is
    (101.6^2 + 5.08^2) / 10.16 = 1018.5, whose centre a number up to 32767 / 40 = 819 cannot state.
    So the box is 203.2 x (76.2 + 5.08), in plotter units 8128 x 3251.
    """
    kit = made(client, GENTLE)
    text = kit.only_file()
    assert "AA" not in text
    lists = re.findall(r"P[UD]([-\d,]+);", text)
    points = [
        tuple(map(int, pair)) for part in lists for pair in re.findall(r"(-?\d+),(-?\d+)", part)
    ]
    width, height = (max(each) - min(each) for each in zip(*points, strict=True))
    assert sorted((width, height)) == pytest.approx([3251, 8128], abs=1)
    (warning,) = [each for each in kit.answer["warnings"] if "centre" in each]
    assert "chords" in warning


COLLISION = named("two-formats-one-extension")

SAME_EXTENSION = """
name = "ext_svg"
extension = "svg"
media_type = "image/svg+xml"
def write(self, plan, settings):
    from adapters import svg
    return Written(svg.ADAPTER.write(plan, {}).data + b"<!-- by another -->")
"""


def test_two_formats_of_one_extension_have_two_files(plug: Plug, tmp_path: Path) -> None:
    """Each link serves what its own format wrote."""
    plug(SAME_EXTENSION, name="ext_svg")
    client = create_app(Settings(data=tmp_path / "data", compute_seconds=600)).test_client()
    kit = made(client, COLLISION)
    one, other = sorted(kit.files.values(), key=len)
    assert other == one + b"<!-- by another -->"
    assert len(kit.files) == 2


SAME = named("same-bytes-twice")


@pytest.mark.long  # its templates alone are made twice by test_same_bytes.py
def test_the_same_request_has_the_same_files(client: FlaskClient) -> None:
    """18 pieces on one load of 300 x 260 mm for each of two runs, in three formats."""
    packed = []
    asked = request(SAME)
    body = {**asked, "runs": [{**run, "effort": "quick"} for run in asked["runs"]]}
    for _ in range(2):
        answer = client.post("/v1/kits", json=body, headers={"Accept": "application/zip"})
        assert answer.status_code == 201
        with zipfile.ZipFile(io.BytesIO(answer.data)) as inside:
            packed.append({name: inside.read(name) for name in inside.namelist()})
    first, second = ({k: v for k, v in each.items() if k != "kit.json"} for each in packed)
    assert first == second
    ends = ("svg", "dxf", "plt")
    assert {f"{run}-other-1.{end}" for run in ("1-template", "2-patch") for end in ends} <= set(
        first
    )


@pytest.mark.parametrize(
    ("name", "size"),
    [
        # A rectangle from 10, 10 to 40, 30 mm, in millimetres by its header.
        (named("rectangle-crlf.dxf"), (30.0, 20.0)),
        # 1600 x 1200 plotter units.
        (named("rectangle-crlf.plt"), (40.0, 30.0)),
    ],
)
def test_drawings_with_carriage_returns(
    client: FlaskClient, name: str, size: tuple[float, float]
) -> None:
    """A plotted or drawn rectangle is read, whatever ends its lines."""
    data = (FOLDER / name).read_bytes()
    assert b"\r\n" in data
    form = {"file": (io.BytesIO(data), name)}
    answer = client.post("/v1/inspections", data=form, content_type="multipart/form-data")
    assert answer.status_code == 200
    (outline,) = answer.get_json()["outlines"]
    assert (outline["width_mm"], outline["height_mm"]) == pytest.approx(size, abs=0.001)


def test_each_file_of_the_folder_is_tested() -> None:
    kept = {each.name.removesuffix(".json") for each in FOLDER.iterdir()}
    assert kept == TESTED
