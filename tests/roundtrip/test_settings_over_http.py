"""Each setting of a cutter's formats, stated in a request, seen in the file by an outside reader.

A reader does not know the settings; what they change is undone here by hand.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from ezdxf import filemanagement as ezdxf
from flask.testing import FlaskClient

from geometry.model.outline import Vertex
from geometry.model.plan import CutPlan, Stroke
from service.app import create_app
from service.settings import Settings
from tests.roundtrip import every, follow, outside, rs274

CARD = {"kind": "card"}

BED = (300.0, 200.0)
#: A seam line drawn and a removal hole cut, in a shape that no mirror image fits.
PIECE = {
    "id": "A",
    "shape": {
        "kind": "custom",
        "points": [
            [5, 0],
            [60, 0],
            [60, 24, 0.41421356237309503],
            [44, 40],
            [0, 40],
            [0, 5],
            [5, 5],
        ],
    },
    "quantity": 2,
    "seam_allowance": 4,
    "removal_hole": True,
    "seam_line": "score",
    "match_marks": True,
    "grain_arrow": True,
}


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> FlaskClient:
    return create_app(Settings(data=tmp_path_factory.mktemp("data"))).test_client()


def made(client: FlaskClient, name: str, settings: dict[str, Any]) -> tuple[CutPlan, bytes, Any]:
    """Return the plan of a kit's load, its file in a format, and the whole answer."""
    cutter = {
        "tool": {"kind": "laser", "kerf": 0.2},
        "bed": {"width": BED[0], "height": BED[1]},
        "formats": {name: settings},
    }
    run = {"cut": "patch", "cutter": cutter, "material": CARD, "formats": ["plan", name]}
    run["effort"] = "quick"  # how pieces lie is not what is looked at
    body = {"units": "mm", "title": "Settings", "pieces": [PIECE], "runs": [run]}
    answer = client.post("/v1/kits", json=body)
    assert answer.status_code == 201, answer.get_data(as_text=True)
    files = answer.get_json()["runs"][0]["loads"][0]["files"]
    plan, data = (client.get(file["href"]).data for file in files)
    return _plan(json.loads(plan)), data, answer.get_json()


def _plan(payload: dict[str, Any]) -> CutPlan:
    strokes = tuple(
        Stroke(
            row["operation"],
            tuple(Vertex(*point) for point in row["points"]),
            row["closed"],
            piece=row["piece"],
            part=row["part"],
        )
        for row in payload["strokes"]
    )
    return CutPlan(payload["title"], *BED, every.load("pen").work_area, strokes)


#: Where a machine says x, y of a place on the bed is, turned back to the bed by hand.
AXES: dict[str, tuple[dict[str, Any], Callable[[float, float], tuple[float, float]]]] = {
    "as the bed": ({}, lambda x, y: (x, y)),
    "lower right": ({"origin": "lower-right"}, lambda x, y: (x + 300, y)),
    "upper left": ({"origin": "upper-left"}, lambda x, y: (x, y + 200)),
    "upper right": ({"origin": "upper-right"}, lambda x, y: (x + 300, y + 200)),
    "centre": ({"origin": "centre"}, lambda x, y: (x + 150, y + 100)),
    "x up the bed": ({"turn_deg": 90}, lambda x, y: (-y, x)),
    "half turn": ({"turn_deg": 180, "origin": "upper-right"}, lambda x, y: (300 - x, 200 - y)),
    "x down the bed": ({"turn_deg": 270, "origin": "upper-left"}, lambda x, y: (y, 200 - x)),
    "x mirrored": ({"mirror": "x", "origin": "lower-right"}, lambda x, y: (300 - x, y)),
    "y down": ({"mirror": "y", "origin": "upper-left"}, lambda x, y: (x, 200 - y)),
    "turned and mirrored": ({"turn_deg": 90, "mirror": "y"}, lambda x, y: (y, x)),
}


def _moves(data: bytes) -> list[list[tuple[float, float]]]:
    """Return what the tool draws, by the interpreter of other hands, arcs in two hundred chords."""
    paths: dict[int, list[tuple[float, float]]] = {}
    for move in rs274.interpret(data.decode("ascii")):
        if isinstance(move, rs274.Move) and move.contact:
            path = paths.setdefault(move.contact, [move.at(0.0)])
            steps = 1 if move.centre is None else 200
            path.extend(move.at(k / steps) for k in range(1, steps + 1))
    return [path for path in paths.values() if len({*path}) > 1]


GCODE = {"head": "laser", "power": 300, "score_power": 40, "feed_mm_min": 900}


@pytest.mark.parametrize("axes", AXES)
@pytest.mark.parametrize("name", ["dxf", "hpgl", "gcode"])
def test_axes(client: FlaskClient, name: str, axes: str, tmp_path: Path) -> None:
    settings, back = AXES[axes]
    result = {**settings, **(GCODE if name == "gcode" else {})}
    plan, data, _ = made(client, name, result)
    if name == "dxf":
        paths, strokes, off = outside.gdal_paths(data, plan, tmp_path), plan.strokes, 0.001
    elif name == "gcode":
        paths, strokes, off = _moves(data), plan.strokes, 0.001
    else:
        paths = outside.hpgl_by_ezdxf(data, plan, tmp_path)
        strokes, off = tuple(follow.chained(plan.strokes, 40.0)), 0.0237
    on_bed = [[back(x, y) for x, y in path] for path in paths]
    follow.follow(on_bed, strokes, off, circles_any_way=name == "dxf")
    if settings:
        with pytest.raises(follow.AstrayError):
            follow.follow(paths, strokes, off, circles_any_way=True)


@pytest.mark.parametrize("release", ["R12", "R2000"])
@pytest.mark.parametrize("entities", ["polylines", "exploded"])
@pytest.mark.parametrize("units", ["mm", "in"])
def test_dxf(client: FlaskClient, release: str, entities: str, units: str, tmp_path: Path) -> None:
    settings = {"release": release, "entities": entities, "units": units}
    plan, data, answer = made(client, "dxf", settings)
    document = ezdxf.read(io.StringIO(data.decode("ascii")))
    assert document.audit().errors == []
    assert document.dxfversion == {"R12": "AC1009", "R2000": "AC1015"}[release]
    scale = 25.4 if units == "in" else 1.0
    found = [
        [(x * scale, y * scale) for x, y in path]
        for path in outside.gdal_paths(data, plan, tmp_path)
    ]
    joined = list(outside.exploded(found, plan.strokes)) if entities == "exploded" else found
    follow.follow(joined, plan.strokes, 0.001, circles_any_way=True)
    losses = " ".join(answer["warnings"])
    assert ("does not state its units" in losses) == (release == "R12")
    assert ("not joined" in losses) == (entities == "exploded")
    kinds = {entity.dxf.layer for entity in document.modelspace()}
    assert kinds == {stroke.operation for stroke in plan.strokes}


def test_hpgl_pens_speed_and_scale(client: FlaskClient, tmp_path: Path) -> None:
    settings = {
        "pens": {"cut": 4, "score": 2, "mark": 7}, "units_per_mm": 20, "speed_cm_s": 12,
        "arcs": "AA",
    }  # fmt: skip
    plan, data, _ = made(client, "hpgl", settings)
    assert b"AA" in data
    pens = {"cut": "SP4;VS12;", "score": "SP2;VS12;", "mark": "SP7;VS12;"}
    text = data.decode("ascii").replace("\n", "")
    for operation in {stroke.operation for stroke in plan.strokes}:
        assert pens[operation] in text
    # Both readers take forty units for a millimetre.
    paths = outside.hpgl_by_ezdxf(data, plan, tmp_path)
    doubled = [[(2.0 * x, 2.0 * y) for x, y in path] for path in paths]
    strokes = follow.chained(plan.strokes, 20.0)
    follow.follow(doubled, strokes, 3 * 0.0354 + 0.006)
    with pytest.raises(follow.AstrayError):
        follow.follow(paths, strokes, 0.2)


HEADS: list[dict[str, Any]] = [
    {"head": "laser", "power": 300, "score_power": 40, "feed_mm_min": 900, "power_word": "M4"},
    {"head": "knife", "depth_mm": -0.8, "score_depth_mm": -0.2, "feed_mm_min": 600, "clear_mm": 3},
]


@pytest.mark.parametrize("units", ["mm", "in"])
@pytest.mark.parametrize("head", HEADS, ids=lambda head: head["head"])
def test_gcode_words(client: FlaskClient, head: dict[str, Any], units: str) -> None:
    settings = {**head, "units": units, "arc_centres": "G91.1"}
    plan, data, _ = made(client, "gcode", settings)
    follow.follow(_moves(data), plan.strokes, 0.001)
    events = rs274.interpret(data.decode("ascii"))
    moves = [event for event in events if isinstance(event, rs274.Move)]
    assert {round(move.feed, 2) for move in moves if move.contact} == {head["feed_mm_min"]}
    text = data.decode("ascii")
    if head["head"] == "laser":
        assert {line for line in text.splitlines() if line.startswith("M4")} == {
            "M4 S300",
            "M4 S40",
        }
    else:
        heights = {round(move.end[2], 3) for move in moves}
        assert heights == {-0.8, -0.2, 3.0}


def stated(client: FlaskClient, **settings: Any) -> Any:
    cutter = {
        "tool": {"kind": "laser"}, "bed": {"width": 300, "height": 200},
        "formats": {"gcode": settings},
    }  # fmt: skip
    run = {"cut": "patch", "cutter": cutter, "material": {"kind": "card"}, "formats": ["gcode"]}
    run["effort"] = "quick"
    return client.post("/v1/kits", json={"units": "mm", "pieces": [PIECE], "runs": [run]})


@pytest.mark.parametrize("missing", ["head", "power", "score_power", "feed_mm_min"])
def test_a_laser_s_words_are_never_guessed(client: FlaskClient, missing: str) -> None:
    answer = stated(client, **{k: v for k, v in GCODE.items() if k != missing})
    assert answer.status_code == 422
    (error,) = answer.get_json()["errors"]
    # What is missing stands nowhere: the object that lacks it is pointed at, the text names it.
    assert error["pointer"] == "#/runs/0/cutter/formats/gcode"
    assert f"needs {missing}:" in error["detail"]


@pytest.mark.parametrize("missing", ["depth_mm", "score_depth_mm"])
def test_a_knife_s_words_are_never_guessed(client: FlaskClient, missing: str) -> None:
    knife = {k: v for k, v in HEADS[1].items() if k != missing}
    answer = stated(client, **knife)
    assert answer.status_code == 422
    error = answer.get_json()["errors"][0]
    assert error["pointer"] == "#/runs/0/cutter/formats/gcode"
    assert f"needs {missing}:" in error["detail"]


def test_a_saved_cutter_keeps_its_settings(client: FlaskClient, tmp_path: Path) -> None:
    cutter = {
        "units": "mm", "tool": {"kind": "pen"}, "bed": {"width": BED[0], "height": BED[1]},
        "formats": {"hpgl": {"mirror": "y", "origin": "upper-left"}},
    }  # fmt: skip
    assert client.put("/v1/cutters/bench-plotter", json=cutter).status_code in {200, 201}
    run = {"cut": "patch", "cutter": "bench-plotter", "formats": ["plan", "hpgl"]}
    run["effort"] = "quick"
    answer = client.post("/v1/kits", json={"units": "mm", "pieces": [PIECE], "runs": [run]})
    files = answer.get_json()["runs"][0]["loads"][0]["files"]
    plan = _plan(json.loads(client.get(files[0]["href"]).data))
    paths = outside.hpgl_by_ezdxf(client.get(files[1]["href"]).data, plan, tmp_path)
    on_bed = [[(x, 200 - y) for x, y in path] for path in paths]
    follow.follow(on_bed, follow.chained(plan.strokes, 40.0), 0.0237)
