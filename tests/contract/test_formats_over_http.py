"""Formats over HTTP: settings that are missing or wrong, plans that do not fit, broken plug-ins."""

from __future__ import annotations

import copy
from typing import Any

import pytest
from flask.testing import FlaskClient

from adapters import registry
from adapters.errors import BrokenPluginError

CARD = {"kind": "card"}

CUTTER: dict[str, Any] = {
    "tool": {"kind": "laser", "kerf": "0.2 mm"},
    "bed": {"width": "300 mm", "height": "200 mm"},
}
BODY: dict[str, Any] = {
    "units": "mm",
    "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": 20}, "quantity": 2}],
    "runs": [{"cut": "template", "cutter": CUTTER, "material": CARD, "formats": ["gcode"]}],
}


def posted(client: FlaskClient, formats: list[str], settings: dict[str, Any]) -> Any:
    body = copy.deepcopy(BODY)
    body["runs"][0]["formats"] = formats
    body["runs"][0]["cutter"]["formats"] = settings
    return client.post("/v1/kits", json=body)


def test_power_and_feed_must_be_stated(client: FlaskClient) -> None:
    answer = posted(client, ["gcode"], {"gcode": {"head": "laser", "feed_mm_min": 900}})
    assert answer.status_code == 422
    payload = answer.get_json()
    assert payload["type"].endswith("#format-settings")
    assert payload["errors"][0]["pointer"] == "#/runs/0/cutter/formats/gcode"
    assert "never guessed" in payload["detail"]
    settings = {"gcode": {"head": "laser", "feed_mm_min": 900, "power": 250}}
    made = posted(client, ["gcode", "pdf"], settings)
    assert made.status_code == 201, made.get_data(as_text=True)
    for file in made.get_json()["runs"][0]["loads"][0]["files"]:
        assert file["read_back"]["worst_deviation_mm"] <= 0.002


@pytest.mark.parametrize(
    ("name", "settings"),
    [
        ("hpgl", {"units_per_mm": "forty"}),
        ("hpgl", {"units_per_mm": 0}),
        ("hpgl", {"pens": {"cut": 99}}),
        ("hpgl", {"pens": {"burn": 1}}),
        ("svg", {"colour": "red"}),
        ("pdf", {"paper": "napkin"}),
    ],
)
def test_wrong_settings_are_named(client: FlaskClient, name: str, settings: Any) -> None:
    answer = posted(client, [name], {name: settings})
    assert answer.status_code == 422
    pointer = answer.get_json()["errors"][0]["pointer"]
    assert pointer.startswith(f"#/runs/0/cutter/formats/{name}")


def test_a_plan_beyond_a_format_s_numbers(client: FlaskClient) -> None:
    body = copy.deepcopy(BODY)
    body["runs"][0] |= {
        "formats": ["hpgl"],
        "cutter": {**CUTTER, "bed": {"width": "900 mm", "height": "900 mm"}},
    }
    body["pieces"][0] |= {"shape": {"kind": "rectangle", "width": 850, "height": 100}}
    answer = client.post("/v1/kits", json=body)
    assert answer.status_code == 422
    assert answer.get_json()["type"].endswith("#format-cannot-hold")


def test_a_broken_plugin_is_named_and_harms_no_other(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = registry.write

    def write(name: str, plan: Any, settings: Any) -> Any:
        if name == "plan":
            raise BrokenPluginError("Plug-in plan failed while writing.", format_name="plan")
        return real(name, plan, settings)

    monkeypatch.setattr(registry, "write", write)
    # In this process, where the writer is changed.
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)
    answer = posted(client, ["plan"], {})
    assert answer.status_code == 500
    assert answer.get_json()["type"].endswith("#plugin-failed")
    assert "Plug-in plan" in answer.get_json()["detail"]
    assert posted(client, ["svg"], {}).status_code == 201


def test_formats_are_listed_with_their_settings(client: FlaskClient) -> None:
    response = client.get("/v1/formats").get_json()
    names = [each["name"] for each in response["formats"]]
    assert names == sorted(registry.names())
    gcode = next(each for each in response["formats"] if each["name"] == "gcode")
    assert {s["name"] for s in gcode["settings"] if s["required"]} == {"head", "feed_mm_min"}
    assert response["faults"] == []


def test_each_setting_is_listed_with_all_that_bounds_it(client: FlaskClient) -> None:
    """By type, default, minimum, maximum, choices and title: what a form needs."""
    listed = {each["name"]: each for each in client.get("/v1/formats").get_json()["formats"]}
    assert set(listed) >= set(registry.BUILT_IN)
    for name in registry.BUILT_IN:
        declared = {each.name: each for each in registry.get(name).settings}
        shown = {each["name"]: each for each in listed[name]["settings"]}
        assert list(shown) == list(declared)
        for key, each in shown.items():
            spec = declared[key]
            assert each["type"] == spec.type
            assert each["choices"] == list(spec.choices)
            assert each["title"].strip()
            assert each["description"]
            assert each.get("default") == spec.default
            # A number has choices or both bounds, so that a form needs no others.
            if spec.type == "number" and not spec.choices:
                assert (each["minimum"], each["maximum"]) == (spec.minimum, spec.maximum)
            if spec.type in {"pens", "colour numbers", "widths"}:
                assert each["minimum"] < each["maximum"]


def test_titles_of_settings_are_words_with_a_unit(client: FlaskClient) -> None:
    """Written out by hand: what stands above a field of a form."""
    listed = {each["name"]: each for each in client.get("/v1/formats").get_json()["formats"]}
    titles = {
        (name, each["name"]): each["title"] for name in listed for each in listed[name]["settings"]
    }
    assert titles["gcode", "feed_mm_min"] == "feed (mm/min)"
    assert titles["gcode", "depth_mm"] == "depth (mm)"
    assert titles["hpgl", "units_per_mm"] == "units per mm"
    assert titles["hpgl", "speed_cm_s"] == "speed (cm/s)"
    assert titles["dxf", "turn_deg"] == "turn (degrees)"
