"""Settings under a format's misspelt name are named in a warning; the file has its defaults."""

from __future__ import annotations

from flask.testing import FlaskClient


def test_a_misspelt_format_is_named(client: FlaskClient) -> None:
    bed = {"width": "300 mm", "height": "200 mm"}
    cutter = {"tool": {"kind": "laser"}, "bed": bed, "formats": {"gcod": {"power": 300}}}
    piece = {"id": "A", "shape": {"kind": "square", "side": "30 mm"}, "quantity": 2}
    run = {"cut": "template", "cutter": cutter, "formats": ["svg"],
           "material": {"name": "card", "kind": "card"}}  # fmt: skip
    answer = client.post("/v1/layouts", json={"pieces": [piece], "runs": [run]})
    assert answer.status_code == 200
    assert answer.json is not None
    warning = (
        'Run 1: The cutter\'s settings of format "gcod" are not used: no such format is installed. '
        'Did you mean "gcode"?'
    )
    assert warning in answer.json["warnings"]
    cutter["formats"] = {"gcode": {"power": 300}}
    again = client.post("/v1/layouts", json={"pieces": [piece], "runs": [run]})
    assert again.json is not None
    assert not [each for each in again.json["warnings"] if "settings of" in each]
