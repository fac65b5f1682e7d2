"""The real effects of tools, requested and reported over HTTP."""

from __future__ import annotations

import io
import json
import math
import xml.etree.ElementTree as ET
import zipfile
from itertools import pairwise
from typing import Any

import pytest
from flask.testing import FlaskClient

INLINE: dict[str, Any] = {"bed": {"width": "210 mm", "height": "210 mm"}}
MARGINS = dict.fromkeys(("left", "right", "top", "bottom"), "10 mm")


def asked(tool: dict[str, Any], **run: Any) -> dict[str, Any]:
    bed = run.pop("bed", INLINE["bed"])
    return {
        "title": "Slipway sampler",
        "units": "in",
        "pieces": [
            {
                "id": "A",
                "shape": run.pop("shape", {"kind": "hexagon", "side": "1"}),
                "quantity": run.pop("quantity", 12),
                "seam_allowance": "1/4",
            }
        ],
        "runs": [
            {
                "cut": "template",
                "cutter": {"tool": tool, "bed": bed, "margins": run.pop("margins", MARGINS)},
                "formats": ["plan"],
                "material": {"name": "card", "kind": "card"},
                **run,
            }
        ],
    }


def made(client: FlaskClient, body: dict[str, Any]) -> tuple[dict[str, Any], dict[str, bytes]]:
    answer = client.post("/v1/kits", json=body, headers={"Accept": "application/zip"})
    assert answer.status_code == 201, answer.get_data(as_text=True)
    with zipfile.ZipFile(io.BytesIO(answer.data)) as archive:
        files = {name: archive.read(name) for name in archive.namelist()}
    return json.loads(files["kit.json"]), files


def plan_of(files: dict[str, bytes], name: str) -> dict[str, Any]:
    plan: dict[str, Any] = json.loads(files[name])
    return plan


def refused(client: FlaskClient, body: dict[str, Any]) -> dict[str, str]:
    answer = client.post("/v1/kits", json=body)
    assert answer.status_code == 422, answer.get_data(as_text=True)
    return {each["pointer"]: each["detail"] for each in answer.get_json()["errors"]}


def test_ties_on_request_in_any_cut(client: FlaskClient) -> None:
    ties = {"count": 3, "width": "1.5 mm"}
    kit, files = made(client, asked({"kind": "pen"}, ties=ties))
    load = kit["runs"][0]["loads"][0]
    # Three bridges of 1.5 mm are left of each hexagon's six inches.
    assert load["cut_length_mm"] == pytest.approx(12 * (6 * 25.4 - 3 * 1.5))
    assert load["stops"][-1]["reason"] == "snip-ties"
    strokes = plan_of(files, "1-template-card-1.plan.json")["strokes"]
    assert len(strokes) == 36
    assert not any(stroke["closed"] for stroke in strokes)


@pytest.mark.parametrize(
    ("tool", "material", "usual"),
    [
        ({"kind": "indexed_blade"}, "stiffened_fabric", True),
        ({"kind": "laser"}, "fabric", True),
        ({"kind": "laser"}, "card", False),
        ({"kind": "drag_blade"}, "card", False),
    ],
)
def test_ties_are_usual_where_the_material_is_held(
    client: FlaskClient, tool: dict[str, Any], material: str, usual: bool
) -> None:
    body = asked(tool, material={"kind": material})
    for ties, expected in ((None, usual), ({"count": 0}, False), ({"count": 2}, True)):
        if ties is not None:
            body["runs"][0]["ties"] = ties
        load = client.post("/v1/layouts", json=body).get_json()["runs"][0]["loads"][0]
        assert any(stop["reason"] == "snip-ties" for stop in load["stops"]) is expected


@pytest.mark.parametrize(
    ("ties", "pointer", "message"),
    [
        ({"count": 2, "width": "1 in"}, "#/runs/0/ties/width", "between 0.004 and 0.3937 in"),
        ({"count": 99}, "#/runs/0/ties/count", "48"),
        ({"width": "1 mm"}, "#/runs/0/ties", "`count`"),
    ],
)
def test_ties_that_cannot_be(
    client: FlaskClient, ties: dict[str, Any], pointer: str, message: str
) -> None:
    assert message in refused(client, asked({"kind": "pen"}, ties=ties))[pointer]


def test_one_file_a_station(client: FlaskClient) -> None:
    body = asked({"kind": "indexed_blade"}, one_file_per="station", formats=["plan", "dxf", "hpgl"])
    kit, files = made(client, body)
    load = kit["runs"][0]["loads"][0]
    stations = [1, 2, 3]
    names = {file["name"] for file in load["files"]}
    assert names == {
        f"1-template-card-1-station-{station}.{extension}"
        for extension in ("plan.json", "dxf", "plt")
        for station in stations
    }
    assert all("read_back" in file for file in load["files"])
    plans = [plan_of(files, f"1-template-card-1-station-{n}.plan.json") for n in stations]
    for plan in plans:
        assert len({stroke["angle_deg"] for stroke in plan["strokes"]}) == 1
        # A machine that cannot stop inside a file: its stops come first, or at the very end.
        assert {stop["before_stroke"] for stop in plan["stops"]} <= {0, len(plan["strokes"])}
    assert [plan["stops"][0]["reason"] for plan in plans] == [
        "load-material",
        "turn-blade",
        "turn-blade",
    ]
    assert plans[-1]["stops"][-1]["reason"] == "snip-ties"
    assert sum(_length(stroke) for plan in plans for stroke in plan["strokes"]) == pytest.approx(
        load["cut_length_mm"]
    )


def _length(stroke: dict[str, Any]) -> float:
    return sum(math.dist(a[:2], b[:2]) for a, b in pairwise(stroke["points"]))


def test_edges_of_a_set_blade_are_told_one_by_one(client: FlaskClient) -> None:
    kit, _ = made(client, asked({"kind": "indexed_blade"}))
    edges = kit["runs"][0]["loads"][0]["edges"]
    # Derived: a hexagon lies with one pair of edges on a blade angle and two 15 degrees off.
    assert sorted({edge["mismatch_deg"] for edge in edges}) == pytest.approx([0.0, 15.0])
    for edge in edges:
        rough = 0.4 * math.sin(math.radians(edge["mismatch_deg"]))
        assert edge["edge_roughness_mm"] == pytest.approx(rough)


def test_a_stated_mismatch_is_kept_or_refused(client: FlaskClient) -> None:
    body = asked({"kind": "indexed_blade"}, max_mismatch_deg=20)
    load = client.post("/v1/layouts", json=body).get_json()["runs"][0]["loads"][0]
    assert max(edge["mismatch_deg"] for edge in load["edges"]) <= 20.0
    body["runs"][0]["max_mismatch_deg"] = 10
    message = refused(client, body)["#/runs/0/max_mismatch_deg"]
    assert "15 degrees can be kept" in message
    body = asked({"kind": "laser"}, max_mismatch_deg=10)
    assert "#/runs/0/max_mismatch_deg" in refused(client, body)


def test_a_die_is_laid_out_again_where_rules_stand_too_near(client: FlaskClient) -> None:
    kit, _ = made(client, asked({"kind": "steel_rule_die"}, gap="1 mm"))
    run = kit["runs"][0]
    # Die makers' public notes: 3/32 in between rules, room for ejection rubber. Half of each rule
    # of 0.71 mm stands between the cut lines as well.
    assert run["gap_mm"] == pytest.approx(3 / 32 * 25.4 + 0.71)
    die = run["loads"][0]["die"]
    assert die["min_rule_distance_mm"] >= 3 / 32 * 25.4 - 1e-3
    # 1 mm is 0.0394 in: warnings speak the request's units, to a thousandth of an inch, and of what
    # a ruler in inches does not show also mm.
    assert any("0.039 in (1 mm) was asked for" in warning for warning in kit["warnings"])
    wide, _ = made(client, asked({"kind": "steel_rule_die"}, gap="3.2 mm"))
    assert wide["runs"][0]["gap_mm"] == 3.2
    assert not any("was asked for" in warning for warning in wide["warnings"])


def test_a_die_says_what_its_maker_must_know(client: FlaskClient) -> None:
    kit, files = made(client, asked({"kind": "steel_rule_die"}, quantity=1))
    load = kit["runs"][0]["loads"][0]
    die = load["die"]
    assert die["rule_length_mm"] == pytest.approx(6 * 25.4)
    # C58: 6 in of rule at 500 lbf an inch and 15 % for ejection (die makers' public notes).
    assert die["force_lbf"] == pytest.approx(3450, rel=0.01)
    assert die["force_kn"] == pytest.approx(15.35, rel=0.01)
    assert die["side"] == "cutting side"
    assert die["inside_offset_mm"] == die["outside_offset_mm"] == die["rule_mm"] == 0.71
    assert len(die["nicks"]) == 2
    assert len(die["bridges"]) == 6
    assert load["cut_length_mm"] == pytest.approx(6 * 25.4)
    parts = [stroke["part"] for stroke in plan_of(files, "1-template-card-1.plan.json")["strokes"]]
    assert (parts.count("nick"), parts.count("bridge")) == (2, 6)


@pytest.mark.parametrize("tool", ["laser", "indexed_blade", "drag_blade", "steel_rule_die"])
def test_what_is_kept_for_the_tool_is_told_before_cutting(client: FlaskClient, tool: str) -> None:
    bed = {"width": "55 mm", "height": "55 mm"}
    body = asked({"kind": tool}, bed=bed, margins={}, quantity=1)
    body["pieces"][0]["shape"] = {"kind": "square", "side": "2"}
    response = client.post("/v1/layouts", json=body).get_json()
    within = response["runs"][0]["usable_area"]
    assert within["width_mm"] < 55.0
    assert any("nothing leaves the bed" in warning for warning in response["warnings"])
    body["pieces"][0]["shape"] = {"kind": "square", "side": "55 mm"}
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 422
    assert answer.get_json()["type"].endswith("#does-not-fit")
    assert "nothing leaves the bed" in answer.get_json()["detail"]
    # The same bed for a pen, which needs nothing beside its line.
    body["runs"][0]["cutter"]["tool"] = {"kind": "pen"}
    response = client.post("/v1/layouts", json=body).get_json()
    assert response["runs"][0]["usable_area"] == response["runs"][0]["work_area"]


def test_room_to_bring_a_drag_blade_into_line_is_laid_out(client: FlaskClient) -> None:
    # Four squares fill the sheet to its edges; the gaps between are narrower than a stroke.
    bed = {"width": "101.5 mm", "height": "101.5 mm"}
    body = asked({"kind": "drag_blade"}, bed=bed, margins={}, quantity=8, gap="1 mm")
    body["pieces"][0]["shape"] = {"kind": "square", "side": "50 mm"}
    kit, files = made(client, body)
    loads = kit["runs"][0]["loads"]
    for load in loads:
        first = plan_of(files, f"1-template-card-{load['number']}.plan.json")["strokes"][0]
        assert first["part"] == "line-up"
        assert _length(first) >= 6 * 0.25 - 1e-9
    assert any("loads instead of" in warning for warning in kit["warnings"])
    # A single square that takes the whole sheet leaves no room at all: that is said.
    body["runs"][0]["cutter"]["bed"] = {"width": "51 mm", "height": "51 mm"}
    response = client.post("/v1/layouts", json=body).get_json()
    assert any("No waste of the load has room" in warning for warning in response["warnings"])


@pytest.mark.parametrize(
    ("change", "pointer", "message"),
    [
        ({"tool": {"kind": "laser", "kerf": "5 in"}}, "tool/kerf", "between 0 and 0.1181 in"),
        (
            {"tool": {"kind": "drag_blade", "offset": "300 mm"}},
            "tool/offset",
            "between 0 and 0.1181",
        ),
        (
            {"tool": {"kind": "steel_rule_die", "rule": "2"}},
            "tool/rule",
            "between 0.0119 and 0.1181",
        ),
        (
            {"tool": {"kind": "indexed_blade", "blade_width": "3 ft"}},
            "tool/blade_width",
            "between 0.004 and 0.7874 in",
        ),
        (
            {"tool": {"kind": "indexed_blade", "step": "0.001 mm"}},
            "tool/step",
            "between 0.00079 and 0.7874 in",
        ),
        ({"speed": 1e-300}, "speed", "0.1"),
        ({"travel_speed": 1e-300}, "travel_speed", "0.1"),
    ],
)
def test_tools_that_cannot_be_are_refused(
    client: FlaskClient, change: dict[str, Any], pointer: str, message: str
) -> None:
    body = asked({"kind": "pen"})
    body["runs"][0]["cutter"] |= change
    faults = refused(client, body)
    assert message in faults[f"#/runs/0/cutter/{pointer}"]
    saved = {"units": "in", "tool": {"kind": "pen"}, **INLINE, **change}
    answer = client.put("/v1/cutters/quayside-odd", json=saved)
    assert answer.status_code == 422
    assert f"#/{pointer}" in {fault["pointer"] for fault in answer.get_json()["errors"]}


def test_times_say_what_they_leave_out(client: FlaskClient) -> None:
    response = client.post("/v1/layouts", json=asked({"kind": "laser"})).get_json()
    assert "accelerations are ignored" in response["totals"]["estimate_basis"]
    load = response["runs"][0]["loads"][0]
    # 50 mm/s cutting and 150 mm/s between when a cutter states none, 20 s a stop.
    expected = load["cut_length_mm"] / 50 + load["travel_mm"] / 150 + 20 * len(load["stops"])
    assert load["estimated_s"] == pytest.approx(expected)


def test_common_lines_over_http(client: FlaskClient) -> None:
    errors = refused(client, asked({"kind": "drag_blade"}, common_line=True))
    assert "swings into" in errors["#/runs/0/common_line"]
    body = asked({"kind": "laser", "kerf": "0.2 mm"}, common_line=True, quantity=20)
    kit, _ = made(client, body)
    run = kit["runs"][0]
    assert run["gap_mm"] == pytest.approx(0.2)
    # Each hexagon's six sides, those in common once: less than all, more than half.
    side = (25.4 + 0.2 / math.sqrt(3)) * 6
    for load in run["loads"]:
        placed = load["outlines"]["A"]
        assert placed * side / 2 < load["cut_length_mm"] < placed * side


SVG = "{http://www.w3.org/2000/svg}"


def path_picture(files: dict[str, bytes]) -> tuple[ET.Element, list[str]]:
    root = ET.fromstring(files["1-template-card-1-path-picture.svg"])  # noqa: S314 - our own text
    return root, ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]


def test_the_path_is_pictured_with_order_ways_and_stops(client: FlaskClient) -> None:
    body = asked({"kind": "drag_blade"}, ties={"count": 2}, material={"name": "card"})
    kit, files = made(client, body)
    load = kit["runs"][0]["loads"][0]
    assert load["path_picture"] == "files/1-template-card-1-path-picture.svg"
    root, texts = path_picture(files)
    strokes = plan_of(files, "1-template-card-1.plan.json")["strokes"]
    # The first is the short cut that brings the blade into line; the others by their numbers.
    assert "line-up" in texts
    assert {str(number) for number in range(2, len(strokes) + 1)} <= set(texts)
    for at, stop in enumerate(load["stops"], start=1):
        assert f"Stop {at}: {stop['message']}" in texts
    assert any("accelerations ignored" in text for text in texts)
    ways = [path for path in root.iter(f"{SVG}path") if path.get("stroke-dasharray")]
    assert any(way.get("d", "").count("M") == len(strokes) for way in ways)


def test_a_set_blade_has_a_panel_a_station(client: FlaskClient) -> None:
    _, files = made(client, asked({"kind": "indexed_blade"}, quantity=4))
    root, texts = path_picture(files)
    for station, words in enumerate(("0 degrees", "45 degrees", "135 degrees"), start=1):
        assert any(text.startswith(f"Station {station}: blade at {words}") for text in texts)
    # Each piece is drawn faintly in every panel.
    assert len(list(root.iter(f"{SVG}use"))) == 3 * 4


def test_a_die_is_pictured_with_its_notches(client: FlaskClient) -> None:
    _, files = made(client, asked({"kind": "steel_rule_die"}, quantity=2))
    _, texts = path_picture(files)
    assert {
        "nick in the edge: a tie to snip",
        "bridge in the back: no tie",
        "rule, from the cutting side",
    } <= set(texts)
    assert not any(text.startswith("Stop") for text in texts)


def test_a_stored_kit_and_a_preview_hold_the_picture_of_the_path(client: FlaskClient) -> None:
    body = asked({"kind": "laser"})
    kit = client.post("/v1/kits", json=body).get_json()
    answer = client.get(kit["runs"][0]["loads"][0]["path_picture"])
    assert answer.status_code == 200
    assert answer.content_type.startswith("image/svg+xml")
    preview = client.post("/v1/layouts", json=body).get_json()["runs"][0]["loads"][0]
    assert preview["path_picture"].startswith("data:image/svg+xml;base64,")


def test_a_large_load_is_numbered_in_steps(client: FlaskClient) -> None:
    bed = {"width": "800 mm", "height": "600 mm"}
    body = asked({"kind": "pen"}, bed=bed, quantity=260)
    _, files = made(client, body)
    _, texts = path_picture(files)
    numbers = sorted(int(text) for text in texts if text.isdigit())
    # At most 120 of the strokes, and the one stop.
    assert 40 <= len(numbers) <= 121
