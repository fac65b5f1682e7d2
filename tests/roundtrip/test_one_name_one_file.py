"""A link serves the file that its answer states: formats of one extension, and hashes."""

from __future__ import annotations

import hashlib
import io
import zipfile
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.app import create_app
from service.kits import files
from service.settings import Settings
from tests.roundtrip.odd_plugin import Plug

SAME_EXTENSION = """
name = "ext_svg"
extension = "svg"
media_type = "image/svg+xml"
def write(self, plan, settings):
    from adapters import svg
    return Written(svg.ADAPTER.write(plan, {}).data + b"<!-- by another -->")
"""


def posted(client: FlaskClient, *formats: str) -> Any:
    body = {
        "units": "mm",
        "documents": [],
        "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": 20}, "quantity": 2}],
        "runs": [{"cut": "template", "cutter": "pen-sheet", "formats": list(formats)}],
    }
    return client.post("/v1/kits", json=body)


def test_two_formats_of_one_extension_keep_their_own_files(plug: Plug, tmp_path: Path) -> None:
    plug(SAME_EXTENSION, name="ext_svg")
    client = create_app(Settings(data=tmp_path / "data", compute_seconds=600)).test_client()
    made = posted(client, "svg", "ext_svg")
    assert made.status_code == 201, made.get_data(as_text=True)
    stated = made.get_json()["runs"][0]["loads"][0]["files"]
    assert [each["name"] for each in stated] == [
        "1-template-other-1-svg.svg",
        "1-template-other-1-ext-svg.svg",
    ]
    served = [client.get(each["href"]).data for each in stated]
    assert served[1] == served[0] + b"<!-- by another -->"
    kit = client.get(f"/v1/kits/{made.get_json()['id']}", headers={"Accept": "application/zip"})
    with zipfile.ZipFile(io.BytesIO(kit.data)) as archive:
        for each, data in zip(stated, served, strict=True):
            assert hashlib.sha256(data).hexdigest() == each["sha256"]
            assert archive.read(each["name"]) == data


def test_a_file_under_another_s_name_is_never_stored(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where names did clash, the kit is withheld, instead of serving one format for another."""
    client = create_app(Settings(data=tmp_path / "data", compute_seconds=600)).test_client()
    monkeypatch.setattr(files, "file_name", lambda *_: "1-template-other-1.svg")
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)
    answer = posted(client, "svg", "dxf")
    assert answer.status_code == 500
    assert answer.get_json()["type"].endswith("#internal-error")
    assert client.get("/v1/kits").get_json()["kits"] == []
