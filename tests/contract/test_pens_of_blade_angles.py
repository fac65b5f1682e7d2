"""HP-GL pens by the user's own mapping: each blade angle may have a pen."""

from __future__ import annotations

import re
from typing import Any

import pytest
from flask.testing import FlaskClient

SQUARES: dict[str, Any] = {
    "title": "Shutters",
    "units": "mm",
    "documents": [],
    "pieces": [
        {"id": "S", "shape": {"kind": "square", "side": 30}, "quantity": 4, "grain": "fixed"}
    ],
    "runs": [
        {
            "cut": "template",
            "effort": "quick",
            "formats": ["hpgl"],
            # A machine that stops between pens needs no file for each blade angle.
            "one_file_per": "load",
            "cutter": {
                "tool": {"kind": "indexed_blade", "positions_deg": [0, 90], "blade_width": 0.8},
                "bed": {"width": 120, "height": 120},
            },
            "material": {"name": "card", "kind": "card"},
        }
    ],
}


def posted(client: FlaskClient, pens: dict[str, int] | None) -> Any:
    run = SQUARES["runs"][0]
    cutter = run["cutter"] | ({"formats": {"hpgl": {"pens": pens}}} if pens else {})
    return client.post("/v1/kits", json=SQUARES | {"runs": [run | {"cutter": cutter}]})


def ways_by_pen(data: str) -> dict[int, set[str]]:
    """Return, for each pen, whether its lines are level or upright; read by the words alone."""
    found: dict[int, set[str]] = {}
    pen, at = 0, (0, 0)
    for word, rest in re.findall(r"([A-Z]{2})([^;]*);", data.replace("\n", "")):
        if word == "SP":
            pen = int(rest)
            continue
        numbers = [int(each) for each in rest.split(",")] if rest else []
        for x, y in zip(numbers[::2], numbers[1::2], strict=True):
            if word == "PD" and (x, y) != at:
                found.setdefault(pen, set()).add("level" if y == at[1] else "upright")
                assert x == at[0] or y == at[1]
            at = (x, y)
    return found


def drawn(client: FlaskClient, answer: Any) -> str:
    assert answer.status_code == 201, answer.get_data(as_text=True)[:800]
    (load,) = answer.get_json()["runs"][0]["loads"]
    (file,) = load["files"]
    assert file["read_back"]["reader"]
    return client.get(file["href"]).get_data(as_text=True)


def test_each_blade_angle_has_its_pen(client: FlaskClient) -> None:
    answer = posted(client, {"cut-0deg": 3, "cut-90deg": 5})
    assert ways_by_pen(drawn(client, answer)) == {3: {"level"}, 5: {"upright"}}
    warnings = " ".join(answer.get_json()["warnings"])
    assert "stop between pens" in warnings
    assert "one_file_per" not in warnings


def test_an_angle_left_out_has_the_pen_of_its_operation(client: FlaskClient) -> None:
    found = ways_by_pen(drawn(client, posted(client, {"cut": 2, "cut-90deg": 5})))
    assert found == {2: {"level"}, 5: {"upright"}}


def test_one_pen_for_all_angles_is_a_warning(client: FlaskClient) -> None:
    answer = posted(client, None)
    assert ways_by_pen(drawn(client, answer)) == {1: {"level", "upright"}}
    assert "one_file_per" in " ".join(answer.get_json()["warnings"])


@pytest.mark.parametrize("name", ["burn", "cut-45", "blade-45deg"])
def test_a_pen_for_no_layer_is_refused(client: FlaskClient, name: str) -> None:
    answer = posted(client, {name: 1})
    assert answer.status_code == 422
    (error,) = answer.get_json()["errors"]
    assert error["pointer"] == "#/runs/0/cutter/formats/hpgl/pens"
    assert "cut-45deg" in error["detail"]
