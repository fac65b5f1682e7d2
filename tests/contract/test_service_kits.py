"""Kits: kept whole, handed out byte for byte, cut again to the last digit, gone when deleted."""

from __future__ import annotations

import hashlib
import io
import json
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient

import service.kits.kits
from service.storage.archives import write_whole

ZIP = {"Accept": "application/zip"}


def _made(client: FlaskClient, body: dict[str, Any]) -> dict[str, Any]:
    answer = client.post("/v1/kits", json=body)
    assert answer.status_code == 201, answer.get_data(as_text=True)
    payload: dict[str, Any] = answer.get_json()
    assert answer.headers["Location"] == f"/v1/kits/{payload['id']}"
    return payload


def _links(kit: dict[str, Any]) -> list[str]:
    loads = [load for run in kit["runs"] for load in run["loads"]]
    files = [file["href"] for load in loads for file in load["files"]]
    printed = [kit[name] for name in ("run_sheet", "run_sheet_page", "labels", "cutting_list")]
    pictures = [load[name] for load in loads for name in ("picture", "path_picture")]
    return [*printed, *pictures, *files]


def test_a_kit_is_handed_out_again_as_it_was_made(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    made = client.post("/v1/kits", json=small_kit)
    again = client.get(made.headers["Location"])
    assert again.data == made.data
    assert again.headers["ETag"].strip('"') == hashlib.sha256(again.data).hexdigest()


def test_every_link_of_a_kit_leads_to_a_file(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    kit = _made(client, small_kit)
    links = _links(kit)
    assert len(links) >= 3
    for link in links:
        answer = client.get(link)
        assert answer.status_code == 200
        assert answer.headers["Content-Disposition"].startswith("attachment")
        assert answer.headers["ETag"].strip('"') == hashlib.sha256(answer.data).hexdigest()
    assert client.get(kit["run_sheet"]).data.startswith(b"%PDF-")


def test_a_files_size_and_hash_are_as_stated(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    kit = _made(client, small_kit)
    for load in kit["runs"][0]["loads"]:
        for file in load["files"]:
            data = client.get(file["href"]).data
            assert (len(data), hashlib.sha256(data).hexdigest()) == (file["bytes"], file["sha256"])


def test_the_zip_holds_every_file(client: FlaskClient, small_kit: dict[str, Any]) -> None:
    kit = _made(client, small_kit)
    archive = client.get(f"/v1/kits/{kit['id']}", headers=ZIP)
    assert archive.content_type == "application/zip"
    with zipfile.ZipFile(io.BytesIO(archive.data)) as inside:
        assert inside.testzip() is None
        names = {link.rsplit("/", 1)[-1] for link in _links(kit)}
        assert set(inside.namelist()) == names | {"kit.json"}
        for link in _links(kit):
            assert inside.read(link.rsplit("/", 1)[-1]) == client.get(link).data
        payload = json.loads(inside.read("kit.json"))
    assert "id" not in payload
    assert payload["run_sheet"] == "files/run-sheet.pdf"


@pytest.mark.parametrize("wanted", [[], ["labels"], ["run_sheet"]])
def test_only_what_is_wanted_is_printed(
    client: FlaskClient, small_kit: dict[str, Any], wanted: list[str]
) -> None:
    whole = _made(client, small_kit)
    kit = _made(client, small_kit | {"documents": wanted})
    printed = {name for name in ("run_sheet", "labels") if name in kit}
    assert printed == set(wanted)
    assert ("run_sheet_page" in kit) == ("run_sheet" in wanted)
    if "labels" in printed:
        assert client.get(kit["labels"]).data == client.get(whole["labels"]).data
    if "run_sheet" in printed:
        # Only a sheet with labels says what their square codes are for.
        pages = [client.get(each["run_sheet_page"]).get_data(as_text=True) for each in (kit, whole)]
        about_labels = re.compile(
            r"<section><ul><li>The square code on each label .*?</li></ul></section>\n"
        )
        assert about_labels.search(pages[1])
        assert pages[0] == about_labels.sub("", pages[1])
    archive = client.get(f"/v1/kits/{kit['id']}", headers=ZIP)
    with zipfile.ZipFile(io.BytesIO(archive.data)) as inside:
        names = set(inside.namelist())
    assert ("run-sheet.pdf" in names, "labels.pdf" in names) == (
        "run_sheet" in wanted,
        "labels" in wanted,
    )
    # Cautions are stated even if nothing is printed.
    assert kit["cautions"] == whole["cautions"] != []
    recut = client.post(f"/v1/kits/{kit['id']}/recuts", json={"run": 1, "pieces": {"A": 1}})
    assert ("labels" in recut.get_json()) == ("labels" in wanted)


def test_unknown_printed_matter_is_refused(client: FlaskClient, small_kit: dict[str, Any]) -> None:
    refused = client.post("/v1/kits", json=small_kit | {"documents": ["poster"]})
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == "#/documents/0"


def test_the_same_request_gives_the_same_zip(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    first = client.post("/v1/kits", json=small_kit, headers=ZIP)
    second = client.post("/v1/kits", json=small_kit, headers=ZIP)
    assert first.status_code == second.status_code == 201
    assert first.headers["Location"] != second.headers["Location"]
    assert first.data == second.data
    assert client.get(first.headers["Location"], headers=ZIP).data == first.data


def test_a_known_form_is_not_sent_twice(client: FlaskClient, small_kit: dict[str, Any]) -> None:
    made = client.post("/v1/kits", json=small_kit)
    link = made.headers["Location"]
    for headers in ({}, ZIP):
        first = client.get(link, headers=headers)
        assert "Accept" in first.headers["Vary"]
        again = client.get(link, headers={**headers, "If-None-Match": first.headers["ETag"]})
        assert again.status_code == 304
        assert again.data == b""
    assert client.get(link).headers["ETag"] != client.get(link, headers=ZIP).headers["ETag"]


def test_a_deleted_kit_is_gone_with_its_files(
    app: Flask, client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    kit = _made(client, small_kit)
    store = app.extensions["quarterseam-store"]()
    stored = store.folder / store.kits.name(kit["id"])
    assert stored.exists()
    assert client.delete(f"/v1/kits/{kit['id']}").status_code == 204
    assert not stored.exists()
    for link in (f"/v1/kits/{kit['id']}", *_links(kit)):
        assert client.get(link).status_code == 404
    assert client.delete(f"/v1/kits/{kit['id']}").status_code == 404
    assert kit["id"] not in {each["id"] for each in client.get("/v1/kits").get_json()["kits"]}


def test_pages_go_through_every_kit_once_newest_first(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    made = [_made(client, small_kit)["id"] for _ in range(5)]
    found: list[str] = []
    link = "/v1/kits?limit=2"
    while link:
        answer = client.get(link)
        page = answer.get_json()
        found += [each["id"] for each in page["kits"]]
        link = page.get("next", "")
        assert answer.headers.get("Link") == (f'<{link}>; rel="next"' if link else None)
    assert found[:5] == made[::-1]
    assert len(found) == len(set(found))


def test_a_recut_has_the_stored_outline_to_the_last_digit(
    client: FlaskClient, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    cutter = client.get("/v1/cutters/drag-blade-sheet").get_json()["cutter"]
    client.put("/v1/cutters/harbour-mat", json=cutter)
    small_kit["runs"][0]["cutter"] = "harbour-mat"
    kit = _made(client, small_kit)
    # The saved cutter changes, and so does the version of the service.
    changed = {**cutter, "bed": {"width": "4 in", "height": "4 in"}}
    assert client.put("/v1/cutters/harbour-mat", json=changed).get_json()["version"] == 2
    monkeypatch.setattr(service.kits.kits, "__version__", "99.0.0")
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)
    answer = client.post(f"/v1/kits/{kit['id']}/recuts", json={"run": 1, "pieces": {"A": 1}})
    assert answer.status_code == 201, answer.get_data(as_text=True)
    recut = answer.get_json()
    assert recut["recut_of"] == kit["id"]
    assert recut["version"] == "99.0.0"
    for part in ("template", "patch"):
        assert recut["pieces"][0][part] == kit["pieces"][0][part]
    assert recut["runs"][0]["work_area"] == kit["runs"][0]["work_area"]
    assert recut["runs"][0]["totals"]["A"]["made"] == 1
    assert client.delete("/v1/cutters/harbour-mat").status_code == 204
    assert (
        client.post(
            f"/v1/kits/{recut['id']}/recuts", json={"run": 1, "pieces": {"A": 2}}
        ).status_code
        == 201
    )


@pytest.mark.parametrize(
    ("body", "pointer"),
    [
        ({"run": 2, "pieces": {"A": 1}}, "#/run"),
        ({"run": 0, "pieces": {"A": 1}}, "#/run"),
        ({"run": 1, "pieces": {"B": 1}}, "#/pieces/B"),
        ({"run": 1, "pieces": {"A": 0}}, "#/pieces/A"),
        ({"run": 1, "pieces": {}}, "#/pieces"),
        ({"run": 1}, "#"),
        ({"run": "0", "pieces": {"A": 1}}, "#/run"),
    ],
)
def test_a_recut_of_what_is_not_there_is_refused(
    client: FlaskClient, small_kit: dict[str, Any], body: dict[str, Any], pointer: str
) -> None:
    kit = _made(client, small_kit)
    answer = client.post(f"/v1/kits/{kit['id']}/recuts", json=body)
    assert answer.status_code == 422
    assert pointer in {fault["pointer"] for fault in answer.get_json()["errors"]}


def test_a_recut_of_no_kit_is_not_found(client: FlaskClient) -> None:
    link = "/v1/kits/11111111-1111-4111-8111-111111111111/recuts"
    assert client.post(link, json={"run": 1, "pieces": {"A": 1}}).status_code == 404


def test_85_pieces_in_3_layers(client: FlaskClient, small_kit: dict[str, Any]) -> None:
    # derived: 85 / 3 rounded up is 29 outlines, 29 x 3 = 87 pieces, 87 - 85 = 2 spare
    small_kit["pieces"][0]["quantity"] = 85
    small_kit["runs"][0] |= {"cut": "patch", "layers": 3}
    run = client.post("/v1/layouts", json=small_kit).get_json()["runs"][0]
    placed = sum(load["outlines"]["A"] * load["repeats"] for load in run["loads"])
    assert placed == 29
    assert run["totals"]["A"] == {"requested": 85, "made": 87, "spare": 2}


def test_ties_leave_bridges_for_the_operator_to_snip(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    reasons = {}
    for count in (0, 3):
        small_kit["runs"][0] |= {"cutter": "laser-bed", "ties": {"count": count}}
        (load,) = client.post("/v1/layouts", json=small_kit).get_json()["runs"][0]["loads"]
        reasons[count] = [stop["reason"] for stop in load["stops"]]
    assert "snip-ties" not in reasons[0]
    assert reasons[3][-1] == "snip-ties"


def test_a_preview_stores_nothing_and_carries_its_pictures(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    before = client.get("/v1/kits").data
    answer = client.post("/v1/layouts", json=small_kit).get_json()
    assert client.get("/v1/kits").data == before
    picture = answer["runs"][0]["loads"][0]["picture"]
    assert picture.startswith("data:image/svg+xml;base64,")
    assert "files" not in answer["runs"][0]["loads"][0]


def test_a_file_changed_on_disk_is_never_handed_out(
    app: Flask, client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    kit = _made(client, small_kit)
    store = app.extensions["quarterseam-store"]()
    path: Path = store.folder / store.kits.name(kit["id"])
    whole = path.read_bytes()
    for damaged in (whole[: len(whole) // 2], whole[:60] + b"\0" + whole[61:], b""):
        path.write_bytes(damaged)
        answer = client.get(f"/v1/kits/{kit['id']}", headers=ZIP)
        assert answer.status_code == 500
        assert client.get(kit["run_sheet"]).status_code in {200, 500}
    path.unlink()
    assert client.get(kit["run_sheet"]).status_code == 500
    client.delete(f"/v1/kits/{kit['id']}")


def test_nothing_is_left_of_a_write_that_fails(tmp_path: Path) -> None:
    target = tmp_path / "taken"
    target.mkdir()
    with pytest.raises(OSError, match="taken"):
        write_whole(target, b"data")
    assert [path.name for path in tmp_path.iterdir()] == ["taken"]


@pytest.mark.parametrize("name", ["..%2f..%2fquarterseam.sqlite", "%2e%2e", "kit.json", ".", "%00"])
def test_file_names_are_those_of_the_kit_only(
    client: FlaskClient, small_kit: dict[str, Any], name: str
) -> None:
    kit = _made(client, small_kit)
    assert client.get(f"/v1/kits/{kit['id']}/files/{name}").status_code == 404
