"""Plug-ins whose files are wrong, or cannot be proved, are found out and named."""

from __future__ import annotations

import io
import re
import sys
from pathlib import Path
from typing import Any

import pypdf
import pytest
from flask.testing import FlaskClient

from adapters import plugins, registry
from adapters.conformance import conformance_tests
from adapters.errors import BrokenPluginError, ReadBackError
from adapters.readback import read_back
from adapters.sample import sample_plan
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

HEXAGON = {"kind": "hexagon", "side": 20}


@pytest.fixture
def client(tmp_path: Path) -> FlaskClient:
    return create_app(Settings(data=tmp_path / "data", compute_seconds=60)).test_client()


def kit(client: FlaskClient, shape: dict[str, Any] = HEXAGON) -> Any:
    body = {
        "units": "mm",
        "documents": ["run_sheet"],
        "pieces": [{"id": "A", "shape": shape, "quantity": 2}],
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


#: Writes our G-code, with something changed, and reads it by our reader for the extension.
AS_GCODE = """
extension, supports = "ngc", frozenset({"arcs", "operations", "order", "stops"})
def write(self, plan, settings):
    from adapters import gcode
    stated = {"head": "laser", "power": 9, "score_power": 3, "feed_mm_min": 600}
    return Whole(gcode.ADAPTER.write(plan, stated).data%s)
"""
#: Its file holds the bed, and what it finds there are the strokes of the plan that it is given.
FROM_PLAN = """
def read(self, data, plan, settings):
    from adapters.split import chords
    return [
        straight(chords(each, 0.01), closed=each.closed, group=each.operation)
        for each in plan.strokes
    ]
"""


def _chorded(losses: str) -> str:
    """Return the body of a plug-in that claims arcs, writes chords, and has these losses."""
    return f"""
extension = "svg"
def write(self, plan, settings):
    from dataclasses import replace
    from adapters import svg
    from adapters.split import chords
    from geometry.model.outline import Vertex
    strokes = []
    for each in plan.strokes:
        points = chords(each, 0.01)[: -1 if each.closed else None]
        strokes.append(replace(each, vertices=tuple(Vertex(*point) for point in points)))
    plan = replace(plan, strokes=tuple(strokes))
    return Whole(svg.ADAPTER.write(plan, {{}}).data, {losses})
"""


def kit_refuses() -> set[str]:
    """Return the tests of the conformance kit that the plug-in odd fails."""
    (point,) = plugins.found()["odd"]
    # Modules of other tests have the same name.
    sys.modules.pop(point.module, None)
    made = conformance_tests(point.load())
    refused = set()
    for test in ("it_lists_what_it_loses", "stops_that_it_keeps_are_in_the_file"):
        try:
            getattr(made(), f"test_{test}")()
        except AssertionError:
            refused.add(test)
    return refused


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("def write(self, plan, settings): return Whole(b'odd')", 'sentence with "stop"'),
        (
            "supports = frozenset()\ndef write(self, plan, settings): return Written(b'odd')",
            'holds no arcs, and none of its losses is a sentence with "arc"',
        ),
        (
            (
                "supports = frozenset({'arcs', 'stops'})\n"
                "def write(self, plan, settings): return Whole(b'odd')"
            ),
            "says that it holds stops, and writes the same file without them",
        ),
    ],
)
def test_what_is_lost_in_silence_is_refused_by_service_and_kit(
    plug: Plug, body: str, words: str
) -> None:
    plug(body)
    assert words in registry.faults()["odd"]
    assert kit_refuses()


def test_an_empty_file_is_refused(plug: Plug) -> None:
    plug("def write(self, plan, settings): return Written(b'')")
    assert "wrote an empty file" in registry.faults()["odd"]


@pytest.mark.parametrize("silent", [True, False])
def test_arcs_that_become_chords_in_silence_are_refused_by_service_and_kit(
    plug: Plug, client: FlaskClient, *, silent: bool
) -> None:
    """It says that it holds arcs: only a reader finds that it does not."""
    plug(_chorded('("No stops.",)' if silent else '("No stops, and arcs as chords.",)'))
    assert not registry.faults()
    answer = kit(client, {"kind": "clamshell", "width": 40})
    assert answer.status_code == (500 if silent else 201)
    assert kit_refuses() == ({"it_lists_what_it_loses"} if silent else set())
    if silent:
        problem = answer.get_json()
        assert problem["type"].endswith("#plugin-failed")
        assert (
            "has chords for the arcs of stroke 1 of 2 (cut, closed, piece A)" in problem["detail"]
        )
        assert client.get("/v1/kits").get_json()["kits"] == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("", ""),
        (".replace(b'M0\\n', b'', 1)", "the plan has 2 stops, the file has 1"),
        (
            ".replace(b'M0\\n(cut-45deg)', b'').replace(b'(lens', b'M0\\n(lens')",
            r"stop 2 of 2 \(turn-blade\) comes after 5 strokes in the plan and after 4 in the file",
        ),
    ],
)
def test_stops_that_our_reader_reads_are_compared(plug: Plug, change: str, words: str) -> None:
    plug(AS_GCODE % change)
    assert not registry.faults()
    plan = sample_plan()
    data = registry.write("odd", plan, {}).data
    if words:
        with pytest.raises(ReadBackError, match=words):
            read_back("odd", data, plan, {})
        assert kit_refuses() == {"stops_that_it_keeps_are_in_the_file"}
    else:
        assert read_back("odd", data, plan, {}) is not None
        assert kit_refuses() == set()


def test_a_reader_that_reads_the_plan_is_found_out(plug: Plug, client: FlaskClient) -> None:
    """Its strokes are always right, whatever the file holds."""
    plug(FROM_PLAN)
    problem = kit(client).get_json()
    assert problem["type"].endswith("#plugin-failed")
    assert "reads the plan that it is given instead of the file" in problem["detail"]


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
