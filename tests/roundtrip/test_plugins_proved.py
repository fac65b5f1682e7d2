"""Plug-ins whose files are wrong, or cannot be proved, are found out and named."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

import pypdf
import pytest
from flask.testing import FlaskClient

from adapters import registry
from adapters.errors import BrokenPluginError
from adapters.readback import read_back
from service.app import create_app
from service.settings import Settings
from tests.roundtrip import plans
from tests.roundtrip.odd_plugin import Plug

#: Writes our SVG or DXF, of a changed plan.
AS_OURS = """
extension = "{extension}"
def write(self, plan, settings):
    from adapters import {extension}
    changed = plan.with_vertices(lambda v: v._replace(x=v.x + {shift}))
    return Written({extension}.ADAPTER.write(changed, {{}}).data)
"""


@pytest.fixture
def client(tmp_path: Path) -> FlaskClient:
    return create_app(Settings(data=tmp_path / "data", compute_seconds=60)).test_client()


def kit(client: FlaskClient) -> Any:
    body = {
        "units": "mm",
        "documents": ["run_sheet"],
        "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": 20}, "quantity": 2}],
        "runs": [{"cut": "template", "cutter": "pen-sheet", "formats": ["odd"]}],
    }
    return client.post("/v1/kits", json=body)


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        (
            AS_OURS.format(extension="svg", shift=1.0),
            (
                r"stroke 1 of 2 \(cut, closed, piece A\) is off the plan by 1\.0000 mm, and "
                r"0\.1000 mm are allowed: expected \((\d+\.\d+), (\d+\.\d+)\), "
                r"found \((\d+\.\d+), \2\) mm\."
            ),
        ),
        ('extension = "svg"', r"the file cannot be read back: .+"),
    ],
)
def test_a_wrong_file_is_the_plugin_s_fault(
    plug: Plug, client: FlaskClient, body: str, fault: str
) -> None:
    """It has no reader of its own, so ours for its extension reads the file."""
    plug(body)
    answer = kit(client)
    assert answer.status_code == 500
    problem = answer.get_json()
    assert problem["type"].endswith("#plugin-failed")
    words = (
        r"Plug-in odd wrote a wrong file "
        r"\(Run 1, template, [^,]+, load 1, 1-template-other-1\.svg\): "
    )
    found = re.fullmatch(words + fault, problem["detail"])
    assert found, problem["detail"]
    if found.groups():
        assert float(found[3]) - float(found[1]) == pytest.approx(1.0, abs=2e-4)
    assert client.get("/v1/kits").get_json()["kits"] == []


@pytest.mark.parametrize("extension", ["svg", "dxf"])
def test_a_right_file_is_read_by_ours(plug: Plug, extension: str) -> None:
    plug(AS_OURS.format(extension=extension, shift=0.0))
    data = registry.write("odd", plans.plan(), {}).data
    found = read_back("odd", data, plans.plan(), {})
    assert found is not None
    assert found.worst_deviation <= 0.001


def test_a_wrong_reading_of_its_own_is_its_fault(plug: Plug, client: FlaskClient) -> None:
    plug("def read(self, data, plan, settings): return []")
    problem = kit(client).get_json()
    assert problem["type"].endswith("#plugin-failed")
    assert "the file has 0" in problem["detail"]


def test_what_no_reader_knows_is_marked(plug: Plug, client: FlaskClient) -> None:
    plug()
    answer = kit(client)
    assert answer.status_code == 201
    (file,) = answer.get_json()["runs"][0]["loads"][0]["files"]
    assert file["unproved"] is True
    assert "read_back" not in file
    assert any("not read back" in text for text in answer.get_json()["warnings"])
    sheet = pypdf.PdfReader(io.BytesIO(client.get(answer.get_json()["run_sheet"]).data))
    text = " ".join(" ".join(page.extract_text().split()) for page in sheet.pages)
    assert "not checked" in text
    picture = client.get(answer.get_json()["runs"][0]["loads"][0]["picture"]).text
    assert "odd not checked" in picture


@pytest.mark.parametrize(
    ("body", "word"),
    [
        ("resolution = 0.6", "resolution"),
        (
            "def write(self, plan, settings):\n    return Written(os.urandom(4))",
            "different files for the same plan",
        ),
    ],
)
def test_what_proves_nothing_is_refused(plug: Plug, body: str, word: str) -> None:
    plug(body)
    assert word in registry.faults()["odd"]
    with pytest.raises(BrokenPluginError):
        registry.get("odd")


def test_settings_are_listed_with_their_bounds(client: FlaskClient) -> None:
    formats = {each["name"]: each for each in client.get("/v1/formats").get_json()["formats"]}
    assert formats["svg"]["title"] == "SVG, true size in mm"
    settings = {each["name"]: each for each in formats["hpgl"]["settings"]}
    units = settings["units_per_mm"]
    assert (units["default"], units["minimum"], units["maximum"]) == (40, 1, 1000)
    assert "minimum" not in settings["arcs"]
    assert settings["arcs"]["default"] == "chords"
    assert "default" not in settings["speed_cm_s"]
    gcode = {each["name"]: each for each in formats["gcode"]["settings"]}
    assert gcode["power"]["only_with"] == {"setting": "head", "value": "laser"}
    assert "only_with" not in gcode["head"]
