"""A length that is too small is refused with the bound that holds, whatever its sign."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

_TOOLS = {
    "indexed_blade": {"kind": "indexed_blade", "blade_width": "0.8 mm", "step": "0.3 mm"},
    "steel_rule_die": {"kind": "steel_rule_die", "rule": "0.71 mm"},
    "drag_blade": {"kind": "drag_blade", "offset": "0.25 mm"},
    "laser": {"kind": "laser", "kerf": "0.2 mm"},
}


def _kit(tool: str) -> dict[str, Any]:
    cutter = {"tool": dict(_TOOLS[tool]), "bed": {"width": 200, "height": 200}}
    square = {"id": "A", "shape": {"kind": "square", "side": 20}, "seam_allowance": 6}
    run = {"cut": "patch", "cutter": cutter, "material": {"kind": "card"}, "formats": ["svg"]}
    return {"units": "mm", "pieces": [square], "runs": [run]}


def _detail(client: FlaskClient, body: dict[str, Any], pointer: str) -> str:
    answer = client.post("/v1/layouts", json=body)
    assert answer.status_code == 422, answer.get_data(as_text=True)
    (error,) = answer.get_json()["errors"]
    assert error["pointer"] == pointer
    return str(error["detail"])


@pytest.mark.parametrize("given", [-1, 0])
@pytest.mark.parametrize(
    ("tool", "member", "bounds"),
    [
        ("indexed_blade", "blade_width", "between 0.1 and 20 mm"),
        ("indexed_blade", "step", "between 0.02 and 20 mm"),
        ("steel_rule_die", "rule", "between 0.3 and 3 mm"),
    ],
)
def test_of_a_tool(client: FlaskClient, tool: str, member: str, bounds: str, given: float) -> None:
    body = _kit(tool)
    body["runs"][0]["cutter"]["tool"][member] = given
    detail = _detail(client, body, f"#/runs/0/cutter/tool/{member}")
    assert detail.endswith(f" lies {bounds}; it is {given} mm.")


@pytest.mark.parametrize(("tool", "member"), [("drag_blade", "offset"), ("laser", "kerf")])
def test_that_may_be_0(client: FlaskClient, tool: str, member: str) -> None:
    body = _kit(tool)
    body["runs"][0]["cutter"]["tool"][member] = -1
    detail = _detail(client, body, f"#/runs/0/cutter/tool/{member}")
    assert detail.endswith(" lies between 0 and 3 mm; it is -1 mm.")
    body["runs"][0]["cutter"]["tool"][member] = 0
    assert client.post("/v1/layouts", json=body).status_code == 200


@pytest.mark.parametrize("given", [-1, 0])
def test_of_a_tie(client: FlaskClient, given: float) -> None:
    body = _kit("indexed_blade")
    body["runs"][0]["ties"] = {"count": 2, "width": given}
    detail = _detail(client, body, "#/runs/0/ties/width")
    assert detail == f"A tie's width lies between 0.1 and 10 mm; it is {given} mm."


@pytest.mark.parametrize("given", [-1, 0])
def test_of_a_shape(client: FlaskClient, given: float) -> None:
    """A tenth of a millimetre is 0.00394 in, so 0.004 in are enough."""
    body = _kit("laser")
    body["pieces"][0]["shape"]["side"] = given
    pointer = "#/pieces/0/shape/side"
    wanted = f"This length must be at least 0.1 mm; it is {given} mm."
    assert _detail(client, body, pointer) == wanted
    body["pieces"][0]["shape"]["side"] = f"{given} in"
    body["units"] = "in"
    assert _detail(client, body, pointer).startswith("This length must be at least 0.004 in;")


def test_a_tiny_bed_is_stated_whole(client: FlaskClient) -> None:
    """0.00001 mm are 0.00000039 in; an exponent before ``by`` was cut in two: ``1e-0.1969``."""
    body = _kit("laser")
    body["units"] = "in"
    cutter = body["runs"][0]["cutter"]
    cutter["bed"] = {"width": "0.00001 mm", "height": 6}
    cutter["margins"] = {"left": 1}
    body["pieces"][0]["shape"]["side"], body["pieces"][0]["seam_allowance"] = 1, "1/4"
    detail = _detail(client, body, "#/runs/0/cutter/margins")
    assert detail == "The margins leave no work area on a bed of 0.00000039 by 6 in."
