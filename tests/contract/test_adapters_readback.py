"""Read-back over HTTP: every file, a sample, and a file that does not say what its plan says."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from adapters import registry
from adapters.contract import Written
from service.app import create_app
from service.settings import Settings

#: Six large squares on a small sheet: several loads that are not alike, in a blade set by hand.
BODY: dict[str, Any] = {
    "units": "mm",
    "pieces": [{"id": "A", "shape": {"kind": "square", "side": 80}, "quantity": 7}],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "indexed_blade", "positions_deg": [0, 90]},
                "bed": {"width": 190, "height": 100},
            },
            "formats": ["svg", "dxf"],
        }
    ],
}


def loads_of(answer: Any) -> list[dict[str, Any]]:
    assert answer.status_code == 201, answer.get_data(as_text=True)
    return list(answer.get_json()["runs"][0]["loads"])


def test_every_file_is_read_back(client: FlaskClient) -> None:
    answer = client.post("/v1/kits", json=BODY)
    loads = loads_of(answer)
    assert len(loads) > 2
    for load in loads:
        for file in load["files"]:
            assert file["read_back"]["reader"]
            assert file["read_back"]["worst_deviation_mm"] <= 0.001


@pytest.mark.parametrize("isolation", ["heavy", "always"])
def test_a_setting_makes_it_sampled(tmp_path: Path, isolation: str) -> None:
    app = create_app(
        Settings(data=tmp_path, read_back="sampled", isolation=isolation, compute_seconds=600)
    )
    answer = app.test_client().post("/v1/kits", json=BODY)
    loads = loads_of(answer)
    assert all("read_back" in file for file in loads[0]["files"])
    assert not any("read_back" in file for load in loads[1:] for file in load["files"])
    others = len(loads) - 1
    found = [text for text in answer.get_json()["warnings"] if "read back a sample" in text]
    assert len(found) == 1
    assert found[0].startswith("Run 1: the files of its first load were read back; those of the")
    assert f"other {others} were not" in found[0]


@pytest.mark.parametrize("name", registry.BUILT_IN)
def test_a_file_that_is_not_its_plan_is_withheld(
    client: FlaskClient, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """A writer that moves one stroke by a tenth of a millimetre: no kit and no file."""
    real = registry.write

    def write(asked: str, plan: Any, settings: Any) -> Written:
        plan = plan.with_vertices(lambda v: v._replace(x=v.x + 0.1)) if asked == name else plan
        return real(asked, plan, settings)

    monkeypatch.setattr(registry, "write", write)
    # In this process, where the writer is changed.
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)
    laser = {"head": "laser", "power": 300, "feed_mm_min": 1200}
    cutter = {**BODY["runs"][0]["cutter"], "formats": {"gcode": laser}}
    body = {**BODY, "runs": [{**BODY["runs"][0], "formats": ["plan", name], "cutter": cutter}]}
    body["runs"][0]["formats"] = sorted({"plan", name})
    before = client.get("/v1/kits").get_json()["kits"]
    answer = client.post("/v1/kits", json=body)
    assert answer.status_code == 500
    assert answer.get_json()["type"].endswith("#internal-error")
    assert client.get("/v1/kits").get_json()["kits"] == before
