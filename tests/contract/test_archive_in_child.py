"""A kit, its zip and its hashes are made in the bounded child, however small the kit is."""

from __future__ import annotations

import hashlib
import io
import zipfile
from typing import Any

import pytest
from flask.testing import FlaskClient

from service import kits
from service.sandbox import run, tasks

pytestmark = pytest.mark.in_child


@pytest.mark.parametrize("quantity", [1, 300])
def test_no_kit_is_computed_packed_or_hashed_by_the_server(
    client: FlaskClient, small_kit: dict[str, Any], quantity: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The server's own process would fail if it did: the child has the unpatched functions."""

    def not_here(*_: Any, **__: Any) -> None:
        raise AssertionError("done by the server's process")

    monkeypatch.setattr(tasks, "with_archive", not_here)
    monkeypatch.setattr(kits, "kit", not_here)
    small_kit["pieces"][0]["quantity"] = quantity
    answer = client.post("/v1/kits", json=small_kit)
    assert answer.status_code == 201, answer.get_data(as_text=True)
    packed = client.get(answer.headers["Location"], headers={"Accept": "application/zip"})
    with zipfile.ZipFile(io.BytesIO(packed.data)) as inside:
        for made in answer.get_json()["runs"]:
            for file in (each for load in made["loads"] for each in load["files"]):
                data = inside.read(file["name"])
                assert (len(data), hashlib.sha256(data).hexdigest()) == (
                    file["bytes"],
                    file["sha256"],
                )
    recut = client.post(f"{answer.headers['Location']}/recuts", json={"run": 1, "pieces": {"A": 1}})
    assert recut.status_code == 201, recut.get_data(as_text=True)


def test_only_outlines_may_be_drawn_by_the_server(
    client: FlaskClient, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []

    def ended(task: str, *_: Any) -> None:
        done.append(task)
        raise ZeroDivisionError

    made = client.post("/v1/kits", json=small_kit)
    assert made.status_code == 201
    monkeypatch.setattr(run, "_run", ended)
    pieces = {"pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": "1 in"}}]}
    assert client.post("/v1/outlines", json=pieces).status_code == 200
    assert not done
    for path in ("kits", "layouts"):
        assert client.post(f"/v1/{path}", json=small_kit).status_code == 500
    # A recut is judged by what it asks for, not by its kit: it is never done here either.
    for count in (1, 30_000):
        recut = {"run": 1, "pieces": {"A": count}}
        asked = client.post(f"{made.headers['Location']}/recuts", json=recut)
        assert asked.status_code == 500
    assert done == ["kit", "layouts", "recut", "recut"]
