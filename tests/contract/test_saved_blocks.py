"""Blocks by name: the gallery, saved blocks, and requests that name them."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from geometry.blocks.gallery import GALLERY
from service.http.body import MAX_BYTES_CHECKED_HERE
from tests.short_form import short_form

EXAMPLE = json.loads(
    (Path(__file__).resolve().parents[2] / "openapi/examples/harbour-block.json").read_text()
)
LINK = "/v1/blocks/harbour-star"
QUILT = {"width": "36 in", "length": "36 in"}


@pytest.fixture(autouse=True)
def _here(monkeypatch: pytest.MonkeyPatch) -> None:
    """Compute in this process, so that the tests take little time."""
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)


@pytest.fixture
def saved(client: FlaskClient) -> str:
    client.delete(LINK)
    assert client.put(LINK, json=EXAMPLE).status_code == 201
    return LINK


def found(answer: Any, status: int = 200) -> dict[str, Any]:
    assert answer.status_code == status, answer.get_data(as_text=True)
    body: dict[str, Any] = answer.get_json()
    return body


def test_the_list_has_the_gallery_and_saved_blocks(client: FlaskClient, saved: str) -> None:
    listed = found(client.get("/v1/blocks"))["blocks"]
    assert len([each for each in listed if each["built_in"]]) >= 24
    (own,) = [each for each in listed if not each["built_in"]]
    assert own == {
        "name": "harbour-star",
        "title": EXAMPLE["title"],
        "built_in": False,
        "version": 1,
        "in_quilt_plans": True,
        "href": saved,
    }


def test_a_saved_block_comes_back_as_it_was_put(client: FlaskClient, saved: str) -> None:
    body = found(client.get(saved))
    assert body["drawing"] == EXAMPLE
    assert (body["built_in"], body["version"]) == (False, 1)
    assert found(client.put(saved, json=body["drawing"]))["version"] == 2


def test_a_block_is_replaced_only_as_its_owner_knows_it(client: FlaskClient, saved: str) -> None:
    tag = client.get(saved).headers["ETag"]
    assert client.get(saved, headers={"If-None-Match": tag}).status_code == 304
    assert client.put(saved, json=EXAMPLE, headers={"If-Match": tag}).status_code == 200
    answer = client.put(saved, json=EXAMPLE, headers={"If-Match": tag})
    assert answer.status_code == 412
    assert answer.get_json()["type"] == "/problems#precondition-failed"
    assert client.put(saved, json=EXAMPLE, headers={"If-None-Match": "*"}).status_code == 412
    assert client.delete(saved, headers={"If-Match": tag}).status_code == 412
    assert client.delete(saved, headers={"If-Match": "*"}).status_code == 204
    assert client.get(saved).status_code == client.delete(saved).status_code == 404


@pytest.mark.parametrize("name", short_form(GALLERY, {"pinwheel", "ohio-star", "fan"}))
def test_a_block_of_the_gallery_by_name(client: FlaskClient, name: str) -> None:
    """At 6 in, 152.4 mm: its pieces make its area, and two of 12 in make a quilt of 12 by 24 in."""
    own = found(client.get(f"/v1/blocks/{name}"))
    assert own["built_in"]
    named = found(client.post("/v1/blocks", json={"block": name, "finished_width": "6 in"}))
    assert named["width_mm"] == pytest.approx(152.4)
    assert named["title"] == own["title"]
    areas = math.fsum(each["area_mm2"] for each in named["pieces"])
    assert areas == pytest.approx(named["area_mm2"], rel=1e-6)
    assert named["repairs"] == named["mismatches"] == []
    drawn = own["drawing"] | {"finished_width": "6 in"}
    assert found(client.post("/v1/blocks", json=drawn)) == named
    body = {"units": "in", "block": {"name": name, "size": 12}}
    body["quilt"] = {"width": 12, "length": 24}
    plan = client.post("/v1/quilt-plans", json=body)
    if own["block"] is None:
        assert named["block"] is None
        error = found(plan, 422)["errors"][0]
        assert error["pointer"] == "#/block/name"
        assert "straight-sided" in error["detail"]
        return
    assert sum(each["quantity"] for each in found(plan)["pieces"]) == 2 * len(named["pieces"])


@pytest.mark.usefixtures("saved")
def test_a_saved_block_in_a_quilt_of_other_units(client: FlaskClient) -> None:
    """A star of 12 in made 30 cm: two of them make 30 by 60 cm."""
    body = {
        "units": "cm",
        "block": {"name": "harbour-star", "size": 30},
        "quilt": {"width": 30, "length": 60},
    }
    plan = found(client.post("/v1/quilt-plans", json=body))
    assert sum(each["quantity"] for each in plan["pieces"]) == 2 * 17
    del body["units"]
    body |= {"block": {"name": "harbour-star", "size": "30 cm"}}
    body |= {"quilt": {"width": "30 cm", "length": "60 cm"}}
    assert found(client.post("/v1/quilt-plans", json=body))["pieces"]


def test_what_a_request_states_counts_more_than_what_was_saved(client: FlaskClient) -> None:
    """Two triangles of 50 mm, saved with a bare width of 100 mm and read in inches."""
    paths = [{"points": [[0, 0], [50, 0], [50, 50], [0, 50]], "closed": True}]
    paths += [{"points": [[0, 0], [50, 50]]}]
    body = {"units": "mm", "paths": paths, "finished_width": 100, "blocks": 3}
    assert client.put(LINK, json=body).status_code in {200, 201}
    first = found(client.post("/v1/blocks", json={"block": "harbour-star"}))
    assert (first["width_mm"], first["kit"]["pieces"][0]["quantity"]) == (100, 6)
    second = found(client.post("/v1/blocks", json={"block": "harbour-star", "units": "in"}))
    assert second["width_mm"] == pytest.approx(100)
    assert second["kit"]["units"] == "in"
    other = {"block": "harbour-star", "units": "in", "finished_width": 2, "blocks": 1}
    third = found(client.post("/v1/blocks", json=other))
    assert third["width_mm"] == pytest.approx(50.8)
    assert third["kit"]["pieces"][0]["quantity"] == 2
    copy = found(client.put("/v1/blocks/copy", json=other), 201)
    assert copy["drawing"]["finished_width"] == 2
    assert "block" not in copy["drawing"]
    assert client.delete("/v1/blocks/copy").status_code == 204


@pytest.mark.usefixtures("saved")
def test_a_long_request_may_name_a_block(client: FlaskClient) -> None:
    spaces = " " * MAX_BYTES_CHECKED_HERE
    raw = f'{{"block": "harbour-star",{spaces} "blocks": 2}}'
    assert found(client.post("/v1/blocks", data=raw, content_type="application/json"))["pieces"]


@pytest.mark.parametrize(
    ("body", "pointer", "text"),
    [
        ({"block": "nobody"}, "#/block", "GET /v1/blocks"),
        ({"block": "No!"}, "#/block", "lower-case"),
        ({"block": "pinwheel", "paths": []}, "#/paths", ""),
        ({"block": "pinwheel", "units": "in", "paths": EXAMPLE["paths"]}, "#/block", "either"),
        ({"block": "pinwheel", "units": "yd"}, "#/units", ""),
        ({"block": "pinwheel", "finished_width": "1 m 2"}, "#/finished_width", ""),
        ({"block": 3}, "#/block", ""),
        ({}, "#", "is required"),
    ],
)
def test_names_that_cannot_be_used(client: FlaskClient, body: Any, pointer: str, text: str) -> None:
    for answer in (client.post("/v1/blocks", json=body), client.put(LINK, json=body)):
        errors = found(answer, 422)["errors"]
        assert any(each["pointer"] in {pointer, ""} for each in errors), errors
        assert any(text in each["detail"] for each in errors)


@pytest.mark.parametrize(
    ("block", "pointer"),
    [
        ({"name": "nobody", "size": 12}, "#/block/name"),
        ({"name": "fan", "size": 12}, "#/block/name"),
        ({"name": "pinwheel"}, "#/block"),
        ({"name": "pinwheel", "size": "twelve"}, "#/block/size"),
        ({"name": "pinwheel", "size": [12]}, "#/block/size"),
        ({"name": "pinwheel", "size": 12, "units": "ell"}, "#/block/units"),
        ({"name": "pinwheel", "size": "12 in", "units": "ell"}, "#/block/units"),
        ({"name": "pinwheel", "size": 12, "units": ["in"]}, "#/block/units"),
        ({"size": 12}, "#/block"),
        ("pinwheel", "#/block"),
    ],
)
def test_names_that_a_quilt_cannot_use(client: FlaskClient, block: Any, pointer: str) -> None:
    body = {"units": "in", "block": block, "quilt": QUILT}
    errors = found(client.post("/v1/quilt-plans", json=body), 422)["errors"]
    assert [each["pointer"] for each in errors] == [pointer], errors


@pytest.mark.parametrize(
    ("size", "text"),
    [
        # 3 mm and 3 m are the bounds of a block.
        (0.1, "at least 0.3 cm; it is 0.1 cm"),
        (500, "at most 300 cm; it is 500 cm"),
        ("5 m", "at most 300 cm; it is 500 cm"),
    ],
)
def test_a_size_is_wrong_in_the_units_of_the_request(
    client: FlaskClient, size: Any, text: str
) -> None:
    """The gallery is drawn in inches; a request in centimetres is answered in those."""
    quilt = {"width": 100, "length": 100}
    body = {"units": "cm", "block": {"name": "pinwheel", "size": size}, "quilt": quilt}
    (error,) = client.post("/v1/quilt-plans", json=body).get_json()["errors"]
    assert error["pointer"] == "#/block/size"
    assert text in error["detail"]


def test_what_cannot_be_read_is_not_saved(client: FlaskClient) -> None:
    client.delete(LINK)
    body = {"units": "mm", "paths": [{"points": [[0, 0], [50, 50]]}]}
    problem = found(client.put(LINK, json=body), 422)
    assert problem["type"].endswith("drawing-refused")
    assert client.get(LINK).status_code == 404


def test_the_gallery_cannot_be_changed(client: FlaskClient) -> None:
    for answer in (
        client.put("/v1/blocks/pinwheel", json=EXAMPLE), client.delete("/v1/blocks/pinwheel"),
    ):  # fmt: skip
        assert found(answer, 409)["type"] == "/problems#block-read-only"


@pytest.mark.parametrize("name", ["Star", "-star", "a" * 65, "st%20ar", "st%C3%B6r"])
def test_a_name_that_cannot_be_saved_is_refused(client: FlaskClient, name: str) -> None:
    assert client.put(f"/v1/blocks/{name}", json=EXAMPLE).status_code == 422


@pytest.mark.parametrize("large", [False, True])
def test_a_block_s_cutter_that_there_is_not(client: FlaskClient, large: bool) -> None:
    """Its kit would be refused at each of its runs; a large body is loaded in a child."""
    body = {**EXAMPLE, "cutter": "nobodys", "title": "Slipway"}
    data = json.dumps(body) + " " * (70_000 if large else 0)
    for answer in (
        client.post("/v1/blocks", data=data, content_type="application/json"),
        client.put("/v1/blocks/slipway", data=data, content_type="application/json"),
    ):
        assert answer.status_code == 422
        (fault,) = answer.get_json()["errors"]
        assert fault == {
            "pointer": "#/cutter",
            "detail": 'There is no cutter named "nobodys"; GET /v1/cutters lists them.',
        }
    assert client.get("/v1/blocks/slipway").status_code == 404
