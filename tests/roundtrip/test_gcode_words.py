"""G-code's words for machines: feeds, powers, comments, chords; read as written, not by our reader.

Source:
    NISTIR 6556 (RS274NGC, version 3), 2000: G0 to G3, F, S and M words, comments in parentheses.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from adapters import registry
from adapters.errors import SettingError
from adapters.readback import read_back
from geometry.model.plan import Stop
from service.app import create_app
from service.settings import Settings
from tests.roundtrip import plans

GCODE = registry.get("gcode")
LASER = plans.SETTINGS["gcode"]
KNIFE = {"head": "knife", "depth_mm": -0.5, "score_depth_mm": -0.2, "feed_mm_min": 1200}


@pytest.fixture
def client(tmp_path: Path) -> FlaskClient:
    return create_app(Settings(data=tmp_path / "data", compute_seconds=60)).test_client()


def written(settings: dict[str, Any], **changes: Any) -> str:
    return GCODE.write(replace(plans.plan(), **changes), settings).data.decode("ascii")


def test_the_blade_goes_down_at_its_own_feed() -> None:
    lines = written({**KNIFE, "plunge_feed_mm_min": 200}).splitlines()
    plunges = [at for at, line in enumerate(lines) if line.startswith("G1 Z")]
    assert len(plunges) == len(plans.plan().strokes)
    for at in plunges:
        assert lines[at].endswith(" F200.0")
        # The cut has its own feed again.
        assert lines[at + 1].endswith(" F1200.0")
    assert "F200" not in written(KNIFE)


@pytest.mark.parametrize(
    ("settings", "stray"),
    [
        ({**KNIFE, "power": 300}, "power"),
        ({**KNIFE, "score_power": 300}, "score_power"),
        ({**KNIFE, "power_word": "M3"}, "power_word"),
        ({**LASER, "depth_mm": -1}, "depth_mm"),
        ({**LASER, "clear_mm": 5}, "clear_mm"),
        ({**LASER, "plunge_feed_mm_min": 100}, "plunge_feed_mm_min"),
    ],
)
def test_what_belongs_to_the_other_head_is_refused(settings: dict[str, Any], stray: str) -> None:
    with pytest.raises(SettingError, match="leave it out") as caught:
        written(settings)
    assert caught.value.setting == stray


@pytest.mark.parametrize("power", [0.001, 0.0014, 0.25, 255, 1000])
def test_no_power_is_rounded_to_nothing(power: float) -> None:
    words = {float(word) for word in re.findall(r"S([\d.]+)", written({**LASER, "power": power}))}
    assert words == {power, 60.0}


def test_a_power_that_would_be_nothing_is_refused_and_a_rounded_one_is_stated() -> None:
    for power in (0, 0.0004):
        with pytest.raises(SettingError, match=r"0\.001"):
            written({**LASER, "power": power})
    payload = GCODE.write(plans.plan(), {**LASER, "power": 0.12345}).losses
    assert "G-code states power 0.12345 as 0.1235." in payload or any(
        "0.1234" in t for t in payload
    )


def test_the_first_comments_say_what_is_cut() -> None:
    changes = {"tool_kind": "drag_blade", "material": "Leinen grün", "kit_number": "A1B2C3D4"}
    lines = written({**KNIFE, "clear_mm": 4}, title="Run 1", **changes).splitlines()
    assert lines[:5] == [
        "(Run 1)",
        "(tool drag blade)",
        "(material Leinen grun)",
        "(kit A1B2C3D4)",
        "(safe height 4.0 mm)",
    ]
    inch = written({**KNIFE, "clear_mm": 25.4, "units": "in"})
    assert "(safe height 1.0 in)" in inch
    assert "(laser off while it travels)" in written(LASER)


@pytest.mark.parametrize(("settings", "up"), [(LASER, "M5"), (KNIFE, "G0 Z5.0")])
def test_the_tool_is_raised_once(settings: dict[str, Any], up: str) -> None:
    """Before the first stop, because a machine may stand anywhere, and after each stroke."""
    stops = tuple(Stop(at, "check", "Look.") for at in (0, 0, 3, len(plans.plan().strokes)))
    lines = written(settings, stops=stops).splitlines()
    assert lines.count(up) == 1 + len(plans.plan().strokes)
    assert lines.index(up) < lines.index("M0")
    assert lines.count("M0") == 4


def test_long_words_of_a_stop_are_broken() -> None:
    """No line is longer than a small controller's buffer, and no comment is empty."""
    message = f"Load {'x' * 150} and sail-cloth, {'word ' * 30}"
    stops = (Stop(0, "load-material", message), Stop(1, "check", "海 \u2028"))
    text = written(LASER, stops=stops)
    assert max(map(len, text.splitlines())) <= 62
    assert "()" not in text
    assert read_back("gcode", text.encode(), replace(plans.plan(), stops=stops), LASER)


def test_arcs_can_be_left_out() -> None:
    settings = {**LASER, "arcs": "chords"}
    found = GCODE.write(plans.plan(), settings)
    assert not re.search(r"^G[23] ", found.data.decode("ascii"), re.MULTILINE)
    assert any("chords within 0.005 mm" in loss for loss in found.losses)
    compared = read_back("gcode", found.data, plans.plan(), settings)
    assert compared is not None
    assert 0.001 < compared.worst_deviation <= 0.006
    assert re.search(r"^G[23] ", written(LASER), re.MULTILINE)


def test_over_http(client: FlaskClient) -> None:
    """The title in another script is transliterated with a warning; the number is the kit's."""
    body: dict[str, Any] = {
        "title": "Сумка для рынка",
        "units": "mm",
        "documents": ["run_sheet"],
        "pieces": [{"id": "A", "shape": {"kind": "circle", "diameter": 30}, "quantity": 1}],
        "runs": [
            {
                "cut": "template",
                "material": {"name": "card", "kind": "card"},
                "cutter": {
                    "tool": {"kind": "drag_blade"},
                    "bed": {"width": 120, "height": 100},
                    "formats": {"gcode": {**KNIFE, "plunge_feed_mm_min": 90, "clear_mm": 3}},
                },
                "formats": ["gcode", "svg", "dxf"],
            }
        ],
    }
    made = client.post("/v1/kits", json=body)
    assert made.status_code == 201, made.get_data(as_text=True)
    kit = made.get_json()
    files = {each["format"]: each["href"] for each in kit["runs"][0]["loads"][0]["files"]}
    lines = client.get(files["gcode"]).data.decode("ascii").splitlines()
    assert lines[0] == "(Run 1, template, card, load 1, Sumka dlya rynka)"
    assert lines[1:5] == [
        "(tool drag blade)",
        "(material card)",
        f"(kit {kit['number']})",
        "(safe height 3.0 mm)",
    ]
    assert re.fullmatch("[0-9A-Z]{4}-[0-9A-Z]{4}", kit["number"])
    assert any("Sumka dlya rynka" in text for text in kit["warnings"])
    assert "Сумка для рынка</title>" in client.get(files["svg"]).get_data(as_text=True)
    # Cyrillic Es is U+0421.
    assert client.get(files["dxf"]).data.startswith(
        b"999\ntitle: Run 1, template, card, load 1, \\U+0421"
    )
    again = client.post("/v1/kits", json=body).get_json()
    assert again["number"] == kit["number"]
    body["runs"][0]["cutter"]["formats"]["gcode"]["power"] = 300
    problem = client.post("/v1/kits", json=body)
    assert problem.status_code == 422
    pointer = "#/runs/0/cutter/formats/gcode/power"
    assert [each["pointer"] for each in problem.get_json()["errors"]] == [pointer]
