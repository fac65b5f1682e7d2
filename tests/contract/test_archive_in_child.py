"""The zip of a kit and its hashes are made where the kit is computed, in the bounded child."""

from __future__ import annotations

import hashlib
import io
import zipfile
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.kits import archive
from service.requests.kits import kit_request
from service.sandbox import tasks
from service.sandbox.admission import kit_is_small
from service.tools.built_in import BUILT_IN


def test_a_large_kit_is_packed_and_hashed_in_the_child(
    client: FlaskClient, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The server's own process would fail if it packed: the child has the unpatched function."""

    def not_here(*_: Any) -> None:
        raise AssertionError("packed by the server's process")

    monkeypatch.setattr(tasks, "with_archive", not_here)
    small_kit["pieces"][0]["quantity"] = 300
    assert not kit_is_small(kit_request(small_kit, BUILT_IN.get))
    answer = client.post("/v1/kits", json=small_kit)
    assert answer.status_code == 201
    packed = client.get(answer.headers["Location"], headers={"Accept": "application/zip"})
    with zipfile.ZipFile(io.BytesIO(packed.data)) as inside:
        for run in answer.get_json()["runs"]:
            for file in (each for load in run["loads"] for each in load["files"]):
                data = inside.read(file["name"])
                assert (len(data), hashlib.sha256(data).hexdigest()) == (
                    file["bytes"],
                    file["sha256"],
                )


def test_a_kit_judged_small_is_packed_in_the_child_beyond_a_number_of_bytes(
    client: FlaskClient, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Should the judgement err, no zip of any size is made in a server's thread all the same."""
    assert kit_is_small(kit_request(small_kit, BUILT_IN.get))
    first = client.post("/v1/kits", json=small_kit)

    def not_here(*_: Any) -> None:
        raise AssertionError("packed by the server's process")

    monkeypatch.setattr(archive, "packed", not_here)
    monkeypatch.setattr(tasks, "MAX_BYTES_HERE", 100)
    second = client.post("/v1/kits", json=small_kit)
    assert (first.status_code, second.status_code) == (201, 201)
    one, other = (
        [file["sha256"] for run in each.get_json()["runs"] for file in run["loads"][0]["files"]]
        for each in (first, second)
    )
    assert one == other
    recut = client.post(f"{second.headers['Location']}/recuts", json={"run": 1, "pieces": {"A": 1}})
    assert recut.status_code == 201
