"""A saved cutter knows what a test cut has shown for each material; the run's material chooses."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Json, Studio

LASER: Json = {
    "units": "mm",
    "title": "Boat shed beam",
    "tool": {"kind": "laser", "kerf": 0.2},
    "bed": {"width": 300, "height": 200},
    "speed": 40,
    "travel_speed": 200,
    "stop_s": 30,
    "materials": [
        {
            "material": "Grey card",
            "kerf": 0.3,
            "power": "35 %",
            "speed": 20,
            "passes": 2,
            "test_cut": "clean after 2 passes, 2027-02-11",
        },
        {"kind": "card", "kerf": 0.1},
    ],
}


@pytest.fixture
def shed(studio: Studio) -> Iterator[str]:
    """Return the name of the saved cutter."""
    assert studio.client.put("/v1/cutters/boat-shed", json=LASER).status_code == 201
    yield "boat-shed"
    studio.client.delete("/v1/cutters/boat-shed")


def _body(cutter: str | Json, material: Json) -> Json:
    return {
        "title": "Gull",
        "units": "mm",
        "pieces": [{"id": "S", "shape": {"kind": "square", "side": 50}, "quantity": 1}],
        "runs": [
            {
                "cut": "template",
                "cutter": cutter,
                "material": material,
                "formats": ["plan"],
                "ties": {"count": 0},
            }
        ],
        "documents": ["run_sheet"],
    }


@pytest.mark.parametrize(
    ("material", "kerf", "speed", "passes"),
    [
        ({"name": "grey card", "kind": "card"}, 0.3, 20, 2),
        ({"name": "white card", "kind": "card"}, 0.1, 40, 1),
        ({"name": "felt", "kind": "fabric"}, 0.2, 40, 1),
    ],
)
def test_the_material_chooses(
    studio: Studio, shed: str, material: Json, kerf: float, speed: float, passes: int
) -> None:
    """By name, small letters or not; else by its kind; else as the cutter is.

    The cut runs half the kerf outside a square of 50 mm: its sides are 50 + kerf. At 20 mm/s and
    two passes it takes twice the length over 20, and twice the way; each stop is one of 30 s.
    """
    kit = studio.kit(_body(shed, material))
    (load,) = kit.runs[0].loads
    payload = load.payload
    side = 50 + kerf
    assert 4 * side <= payload["cut_length_mm"] <= 4 * side + 10
    moving = passes * (payload["cut_length_mm"] / speed + payload["travel_mm"] / 200)
    assert payload["estimated_s"] == pytest.approx(moving + 30 * len(payload["stops"]))
    assert kit.runs[0].payload["time_basis"].get("passes", 1) == passes


def test_the_sheet_says_what_to_set(studio: Studio, shed: str) -> None:
    kit = studio.kit(_body(shed, {"name": "Grey card", "kind": "card"}))
    assert kit.runs[0].payload["material_settings"] == {
        "material": "Grey card",
        "kerf_mm": 0.3,
        "power": "35 %",
        "speed_mm_s": 20,
        "passes": 2,
        "test_cut": "clean after 2 passes, 2027-02-11",
    }
    page = studio.client.get(kit.payload["run_sheet_page"]).get_data(as_text=True)
    assert "power 35 %, speed 20 mm/s, 2 passes, kerf 0.3 mm" in page
    assert "clean after 2 passes, 2027-02-11" in page
    other = studio.kit(_body(shed, {"name": "felt", "kind": "fabric"}))
    assert "material_settings" not in other.runs[0].payload
    page = studio.client.get(other.payload["run_sheet_page"]).get_data(as_text=True)
    assert "no settings are saved for felt: make a test cut first" in page


def test_passes_are_never_silent(studio: Studio, shed: str) -> None:
    """The file holds each line once: answer, sheet and G-code say that the beam goes twice.

    Many machines repeat a file themselves; a file that repeats its lines too would cut them four
    times (common practice, no source).
    """
    body = _body(shed, {"name": "Grey card", "kind": "card"})
    gcode = {"head": "laser", "feed_mm_min": 1200, "power": 350}
    stated = {name: each for name, each in LASER.items() if name not in {"units", "title"}}
    body["runs"][0]["cutter"] = {**stated, "formats": {"gcode": gcode}}
    body["runs"][0]["formats"] = ["gcode"]
    kit = studio.kit(body)
    (load,) = kit.runs[0].loads
    text = load.file("gcode").decode()
    assert "(2 passes needed, this file makes 1)" in text
    # Once round a square of 50.3 mm with its way in: less than twice round it.
    assert foreign.drawn(foreign.gcode(load.file("gcode"))).length < 1.5 * 4 * 50.3
    assert "2 passes" in kit.warnings
    assert kit.sheet.says("Set 2 passes at the machine", "files hold each line once")
    plain = studio.kit(_body(shed, {"name": "felt", "kind": "fabric"}))
    assert "passes" not in plain.warnings


def test_a_recut_is_set_as_the_kit_was(studio: Studio, shed: str) -> None:
    """The kit keeps a copy of its cutter; what is saved later changes nothing."""
    kit = studio.kit(_body(shed, {"name": "Grey card", "kind": "card"}))
    studio.client.put(f"/v1/cutters/{shed}", json={**LASER, "materials": []})
    made = studio.client.post(
        f"/v1/kits/{kit.payload['id']}/recuts", json={"run": 1, "pieces": {"S": 1}}
    )
    assert made.status_code == 201
    assert made.get_json()["runs"][0]["material_settings"]["kerf_mm"] == 0.3


def test_an_offset_by_material(studio: Studio) -> None:
    """The axis leads by the offset for card; the plan's path grows with it."""
    blade: Json = {
        "tool": {"kind": "drag_blade", "offset": 0.25},
        "bed": {"width": 200, "height": 200},
        "materials": [{"kind": "card", "offset": 0.5, "force": "120 g"}],
    }
    lengths = {}
    for kind in ("paper", "card"):
        kit = studio.kit(_body(blade, {"name": kind, "kind": kind}))
        lengths[kind] = kit.runs[0].loads[0].payload["cut_length_mm"]
    assert lengths["card"] > lengths["paper"]


@pytest.mark.parametrize(
    ("rows", "pointers"),
    [
        ([{"kerf": 0.1}], ["#/materials/0"]),
        ([{"material": "a", "kind": "card"}], ["#/materials/0"]),
        ([{"material": "a", "offset": 0.2}], ["#/materials/0/offset"]),
        ([{"material": "a", "kerf": 30}], ["#/materials/0/kerf"]),
        ([{"material": "a"}, {"material": "A"}], ["#/materials/1"]),
        ([{"material": "a", "passes": 0}], ["#/materials/0/passes"]),
        ([{"material": "a", "passes": "2"}], ["#/materials/0/passes"]),
        ([{"material": "a", "power": 35}], ["#/materials/0/power"]),
        (["card"], ["#/materials/0"]),
        ({}, ["#/materials"]),
    ],
)
def test_settings_that_cannot_be_are_refused(
    studio: Studio, rows: object, pointers: list[str]
) -> None:
    answer = studio.client.put("/v1/cutters/boat-shed", json={**LASER, "materials": rows})
    assert answer.status_code == 422
    assert [each["pointer"] for each in answer.get_json()["errors"]] == pointers


def test_a_die_has_no_speed(studio: Studio) -> None:
    die: Json = {
        "units": "mm",
        "tool": {"kind": "steel_rule_die"},
        "bed": {"width": 200, "height": 200},
        "materials": [{"kind": "felt", "speed": 3}],
    }
    answer = studio.client.put("/v1/cutters/press", json=die)
    assert answer.status_code == 422
    die["materials"] = [{"kind": "fabric", "speed": 3, "passes": 2, "force": "12 kN"}]
    answer = studio.client.put("/v1/cutters/press", json=die)
    pointers = [each["pointer"] for each in answer.get_json()["errors"]]
    assert pointers == ["#/materials/0/speed", "#/materials/0/passes"]
