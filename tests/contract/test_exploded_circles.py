"""DXF in separate lines and arcs, where two arcs share both of their ends."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

CIRCLE = {"kind": "circle", "diameter": 30}
PETAL = {"kind": "petal", "length": 40}
#: As it was asked for when this failed.
ROSETTE = {"kind": "rosette_petal", "length": 40}


@pytest.mark.parametrize("shape", [CIRCLE, PETAL, ROSETTE], ids=lambda shape: shape["kind"])
@pytest.mark.parametrize("turn_deg", [0, 90])
@pytest.mark.parametrize("cut", ["template", "patch"])
def test_rings_of_two_arcs_are_read_back(
    client: FlaskClient, shape: dict[str, Any], turn_deg: int, cut: str
) -> None:
    formats = {"dxf": {"entities": "exploded", "turn_deg": turn_deg}}
    bed = {"width": 120, "height": 100}
    cutter = {"tool": {"kind": "pen"}, "bed": bed, "formats": formats}
    piece = {"id": "c", "shape": shape, "quantity": 1, "seam_allowance": "1/4 in"}
    body = {
        "units": "mm",
        "documents": [],
        "pieces": [piece],
        "runs": [{"cut": cut, "cutter": cutter, "formats": ["dxf"], "effort": "quick"}],
    }
    answer = client.post("/v1/kits", json=body)
    assert answer.status_code == 201, answer.get_data(as_text=True)[:500]
    (file,) = answer.get_json()["runs"][0]["loads"][0]["files"]
    assert file["read_back"]["worst_deviation_mm"] <= 0.001
