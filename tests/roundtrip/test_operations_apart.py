"""Cut, score, mark and each blade angle as layers with colours that general software sorts by.

Source of the colours: "DXF Reference" for AutoCAD 2000, colour numbers 1 red, 2 yellow, 3 green,
4 cyan, 5 blue, 6 magenta, 7 black on white. Read with ezdxf and a plain XML parser.
"""

from __future__ import annotations

import io
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from ezdxf import filemanagement as ezdxf
from flask.testing import FlaskClient

from adapters import registry
from adapters.errors import SettingError
from geometry.model.cutter import WorkArea
from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stroke
from service.app import create_app
from service.settings import Settings

HUES = ["#ff0000", "#ffff00", "#00ff00", "#00ffff", "#0000ff", "#ff00ff"]
AREA = WorkArea.rectangle(0.0, 0.0, 100.0, 100.0)


def plan_of(*kinds: tuple[Any, float | None], layers: tuple[str, ...] = ()) -> CutPlan:
    strokes = tuple(
        Stroke(operation, (Vertex(1.0, 1.0 + at, 0.0), Vertex(9.0, 1.0 + at, 0.0)), closed=False,
               station=at + 1, angle_deg=angle)
        for at, (operation, angle) in enumerate(kinds)
    )  # fmt: skip
    return CutPlan("Sampler", 100.0, 100.0, AREA, strokes, layers=layers)


def dxf_layers(data: bytes) -> dict[str, int]:
    document = ezdxf.read(io.StringIO(data.decode()))
    assert not document.audit().errors
    used = {entity.dxf.layer for entity in document.modelspace()}
    return {layer.dxf.name: layer.dxf.color for layer in document.layers if layer.dxf.name in used}


def svg_layers(data: bytes) -> dict[str, str]:
    groups = ET.fromstring(data).iter("{http://www.w3.org/2000/svg}g")  # noqa: S314 - our own
    return {group.attrib["id"]: group.attrib["stroke"] for group in groups}


ALL = [("mark", None), ("score", None), *(("cut", 22.5 * at) for at in range(6))]
NAMES = ["mark", "score", "cut-0deg", "cut-22p5deg", "cut-45deg", "cut-67p5deg", "cut-90deg",
         "cut-112p5deg"]  # fmt: skip


@pytest.mark.parametrize("release", ["R2000", "R12"])
def test_each_kind_of_work_has_a_standard_colour_and_a_seventh_begins_again(release: str) -> None:
    plan = plan_of(*ALL)
    numbers = dxf_layers(registry.write("dxf", plan, {"release": release}).data)
    assert [numbers[name] for name in NAMES] == [1, 2, 3, 4, 5, 6, 1, 2]
    hues = svg_layers(registry.write("svg", plan, {}).data)
    assert [hues[name] for name in NAMES] == [*HUES, *HUES[:2]]


@pytest.mark.parametrize(("kind", "layer"), [(("cut", None), "cut"), (("cut", 45.0), "cut-45deg")])
def test_one_kind_of_work_is_black(kind: tuple[Any, float | None], layer: str) -> None:
    plan = plan_of(kind, kind)
    assert dxf_layers(registry.write("dxf", plan, {}).data) == {layer: 7}
    assert svg_layers(registry.write("svg", plan, {}).data) == {layer: "#000000"}


def test_a_user_s_own_mapping_comes_first() -> None:
    plan = plan_of(("mark", None), ("cut", 0.0), ("cut", 45.0), ("score", None))
    # "cut" stands for every angle that has no colour of its own; 1 is taken, so mark gets 2.
    mapping = {"cut": 1, "cut-45deg": 30}
    numbers = dxf_layers(registry.write("dxf", plan, {"colours": mapping}).data)
    assert numbers == {"mark": 2, "cut-0deg": 1, "cut-45deg": 30, "score": 3}
    hues = svg_layers(registry.write("svg", plan, {"colours": {"score": "#123ABC"}}).data)
    assert hues["score"] == "#123abc"
    alone = registry.write("svg", plan_of(("cut", None)), {"colours": {"cut": "#ff0000"}})
    assert svg_layers(alone.data) == {"cut": "#ff0000"}


def test_a_kind_of_work_has_one_colour_in_all_loads_of_a_run() -> None:
    """A set blade cuts the second load from the last angle back to the first."""
    run = ("cut-0deg", "cut-45deg")
    there = plan_of(("cut", 0.0), ("cut", 45.0), layers=run)
    back = plan_of(("cut", 45.0), ("cut", 0.0), layers=run)
    for name, read in (("dxf", dxf_layers), ("svg", svg_layers)):
        first, second = (read(registry.write(name, plan, {}).data) for plan in (there, back))
        assert first == second


@pytest.mark.parametrize(
    ("name", "colours", "word"),
    [
        ("dxf", {"cut": 0}, "from 1 to 255"),
        ("dxf", {"cut": 2.5}, "whole number"),
        ("dxf", {"cut": "red"}, "whole number"),
        ("dxf", {"trim": 1}, "no layer trim"),
        ("dxf", 3, "must map layers"),
        ("svg", {"cut": "red"}, "#ff0000"),
        ("svg", {"cut": '#000" onload="x'}, "#ff0000"),
        ("svg", {"cut": 1}, "#ff0000"),
    ],
)
def test_a_mapping_that_cannot_be_is_refused(name: str, colours: Any, word: str) -> None:
    with pytest.raises(SettingError, match=word):
        registry.write(name, plan_of(("cut", None)), {"colours": colours})


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return create_app(Settings(data=tmp_path_factory.mktemp("data"))).test_client()


def body(colours: dict[str, Any]) -> dict[str, Any]:
    cutter = {
        "tool": {"kind": "indexed_blade"},
        "bed": {"width": "300 mm", "height": "200 mm"},
        "formats": {"svg": {"colours": colours}, "dxf": {"colours": {"cut-90deg": 5}}},
    }
    piece = {"id": "A", "shape": {"kind": "square", "side": 30}, "quantity": 2, "label": True}
    return {
        "units": "mm",
        "pieces": [piece],
        "runs": [{"cut": "patch", "cutter": cutter, "formats": ["svg", "dxf"]}],
    }


def test_a_cutter_states_its_colours_and_paper_has_none(client: FlaskClient) -> None:
    kit = client.post("/v1/kits", json=body({"cut-0deg": "#00aa55"})).get_json()
    (load,) = kit["runs"][0]["loads"]
    parts = [(file["format"], client.get(file["href"]).data) for file in load["files"]]
    svgs = [svg_layers(data) for name, data in parts if name == "svg"]
    dxfs = [dxf_layers(data) for name, data in parts if name == "dxf"]
    assert [each["cut-0deg"] for each in svgs if "cut-0deg" in each] == ["#00aa55"]
    assert [each["cut-90deg"] for each in dxfs if "cut-90deg" in each] == [5]
    for href in (load["picture"], load["path_picture"], kit["run_sheet_page"]):
        page = client.get(href).get_data(as_text=True).lower()
        assert not [hue for hue in (*HUES, "#00aa55") if hue in page]
    assert any("degrees" in stop["message"] for stop in load["stops"])


def test_a_wrong_colour_is_pointed_at(client: FlaskClient) -> None:
    answer = client.post("/v1/kits", json=body({"cut": "red"}))
    assert answer.status_code == 422
    (fault,) = answer.get_json()["errors"]
    assert fault["pointer"] == "#/runs/0/cutter/formats/svg/colours"
    listed = {each["name"]: each for each in client.get("/v1/formats").get_json()["formats"]}
    for name in ("svg", "dxf"):
        assert "colours" in {setting["name"] for setting in listed[name]["settings"]}
