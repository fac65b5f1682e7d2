"""What is printed for the bench speaks the units of the request and no falser precision."""

from __future__ import annotations

import re
from typing import Any

import pytest
from flask.testing import FlaskClient

BED = {"width": "254 mm", "height": "152.4 mm"}


def body(units: str, tool: str, **run: Any) -> dict[str, Any]:
    piece = {"id": "A", "shape": {"kind": "hexagon", "side": "1 in"}, "quantity": 9}
    cutter = {"tool": {"kind": tool}, "bed": BED}
    material = {"name": "felt", "kind": "fabric"}
    return {
        "units": units,
        "pieces": [piece | {"seam_allowance": "1/4 in"}],
        "runs": [{"cut": "patch", "cutter": cutter, "material": material, **run}],
    }


def drawn(client: FlaskClient, load: dict[str, Any]) -> str:
    """Return the text of a load's two pictures."""
    pages = [client.get(load[name]).get_data(as_text=True) for name in ("picture", "path_picture")]
    return " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", "".join(pages)))


@pytest.mark.parametrize("tool", ["drag_blade", "steel_rule_die", "pen"])
def test_an_inch_job_has_no_millimetres_in_its_pictures(client: FlaskClient, tool: str) -> None:
    """The bed is 10 by 6 in; a request in inches is read beside a ruler in inches."""
    kit = client.post("/v1/kits", json=body("in", tool)).get_json()
    load = kit["runs"][0]["loads"][0]
    text = drawn(client, load)
    assert not re.search(r"\d m?m\b", text), text
    assert "10 in x 6 in" in text
    assert "1 in" in text
    assert " ft" in text
    page = client.get(kit["run_sheet"].replace(".pdf", ".html")).get_data(as_text=True)
    assert "mm/s" not in page
    # Lengths of a tool's way are in feet, 12 x 25.4 mm. A die moves along none.
    length = kit["totals"]["cut_length_mm"] / 304.8
    is_stated = f"{length:.1f}".removesuffix(".0") + " ft" in page
    assert is_stated == (tool != "steel_rule_die")


def test_a_metric_job_has_no_inches_in_its_pictures(client: FlaskClient) -> None:
    kit = client.post("/v1/kits", json=body("mm", "laser")).get_json()
    text = drawn(client, kit["runs"][0]["loads"][0])
    assert not re.search(r"\d (in|ft)\b", text), text
    assert "254 mm x 152.4 mm" in text
    assert "20 mm" in text


def test_a_die_s_force_is_told_to_three_figures(client: FlaskClient) -> None:
    """500 lbf an inch of rule and 15 % more (die makers' public notes): a rule of thumb."""
    kit = client.post("/v1/kits", json=body("in", "steel_rule_die")).get_json()
    run = kit["runs"][0]
    die = run["loads"][0]["die"]
    payload = f"{float(format(die['force_lbf'], '.3g')):,.0f} lbf"
    assert any(payload in text for text in kit["warnings"]), (payload, kit["warnings"])
    assert payload in drawn(client, run["loads"][0])
    # Nothing moves along its rules: its times come from the presses alone.
    assert run["time_basis"] == {"stop_s": 20.0}
