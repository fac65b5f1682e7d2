"""Saved and built-in cutters."""

from __future__ import annotations

import io
from typing import Any

import pytest
from flask.testing import FlaskClient
from pypdf import PdfReader

from service.tools.built_in import BUILT_IN

HOOP: dict[str, Any] = {
    "title": "Quayside hoop",
    "units": "mm",
    "tool": {"kind": "indexed_blade", "positions_deg": [0, 90]},
    "bed": {"width": 200, "height": 150},
    "margins": {"left": 5, "right": 5, "top": 5, "bottom": 25},
}


@pytest.fixture
def saved(client: FlaskClient) -> str:
    link = "/v1/cutters/quayside-hoop"
    client.delete(link)
    assert client.put(link, json=HOOP).status_code == 201
    return link


def test_there_is_a_built_in_cutter_of_each_tool(client: FlaskClient) -> None:
    payload = client.get("/v1/cutters").get_json()["cutters"]
    kinds = {each["cutter"]["tool"]["kind"] for each in payload if each["built_in"]}
    assert kinds == {"drag_blade", "indexed_blade", "laser", "steel_rule_die", "pen"}


@pytest.mark.parametrize("name", BUILT_IN)
def test_a_built_in_cutter_cuts_and_can_be_copied(
    client: FlaskClient, small_kit: dict[str, Any], name: str
) -> None:
    small_kit["runs"][0]["cutter"] = name
    answer = client.post("/v1/layouts", json=small_kit)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    body = client.get(f"/v1/cutters/{name}").get_json()["cutter"]
    assert client.put("/v1/cutters/copy", json=body).status_code in {200, 201}
    assert client.put(f"/v1/cutters/{name}", json=body).status_code == 409
    client.delete("/v1/cutters/copy")


def test_a_saved_cutter_comes_back_as_it_was_put(client: FlaskClient, saved: str) -> None:
    response = client.get(saved).get_json()
    assert response["cutter"] == HOOP
    assert (response["built_in"], response["version"]) == (False, 1)
    assert client.put(saved, json=response["cutter"]).get_json()["version"] == 2


def test_a_cutter_is_replaced_only_as_its_owner_knows_it(client: FlaskClient, saved: str) -> None:
    tag = client.get(saved).headers["ETag"]
    assert client.put(saved, json=HOOP, headers={"If-Match": tag}).status_code == 200
    answer = client.put(saved, json=HOOP, headers={"If-Match": tag})
    assert answer.status_code == 412
    assert answer.get_json()["type"] == "/problems#precondition-failed"
    assert client.put(saved, json=HOOP, headers={"If-None-Match": "*"}).status_code == 412
    assert client.delete(saved, headers={"If-Match": tag}).status_code == 412
    assert client.delete(saved, headers={"If-Match": "*"}).status_code == 204
    assert client.put(saved, json=HOOP, headers={"If-Match": "*"}).status_code == 412
    assert client.put(saved, json=HOOP, headers={"If-None-Match": "*"}).status_code == 201


def test_a_condition_that_fails_says_what_is_there(client: FlaskClient, saved: str) -> None:
    def put(**condition: str) -> tuple[int, str]:
        headers = {name.replace("_", "-"): value for name, value in condition.items()}
        answer = client.put(saved, json=HOOP, headers=headers)
        return answer.status_code, answer.get_json().get("detail", "")

    assert put(If_None_Match='"1"') == (
        412,
        "The saved cutter has the version that If-None-Match states.",
    )
    assert put(If_None_Match='"7"')[0] == 200
    status, detail = put(If_None_Match="*")
    assert (status, "already" in detail) == (412, True)
    assert put(If_Match='"1"') == (
        412,
        "The saved cutter has another version than If-Match states; fetch it again.",
    )
    client.delete(saved)
    assert put(If_Match="*") == (
        412,
        "No cutter is saved under this name; leave out If-Match to save a new one.",
    )
    assert put(If_None_Match='"1"')[0] == 201


def test_a_known_cutter_is_not_sent_twice(client: FlaskClient, saved: str) -> None:
    tag = client.get(saved).headers["ETag"]
    assert client.get(saved, headers={"If-None-Match": tag}).status_code == 304


@pytest.mark.parametrize("name", ["Hoop", "-hoop", "a" * 65, "ho%20op", "h%C3%B6op"])
def test_a_name_that_cannot_be_saved_is_refused(client: FlaskClient, name: str) -> None:
    answer = client.put(f"/v1/cutters/{name}", json=HOOP)
    assert answer.status_code == 422


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"bed": {"width": 200}}, "#/bed"),
        ({"bed": {"width": 0, "height": 150}}, "#/bed/width"),
        ({"margins": {"left": 150, "right": 60}}, "#/margins"),
        ({"tool": {"kind": "scissors"}}, "#/tool/kind"),
        ({"tool": {"kind": "indexed_blade", "step": 2}}, "#/tool/step"),
        ({"tool": {"kind": "indexed_blade", "positions_deg": [0, 180]}}, "#/tool/positions_deg"),
        ({"tool": {"kind": "laser", "kerf": "thin"}}, "#/tool/kerf"),
        ({"units": "ell"}, "#/units"),
        ({"speed": 0}, "#/speed"),
        ({"formats": {"svg": {"deep": {"er": 1}}}}, "#/formats/svg/deep"),
    ],
)
def test_a_cutter_that_cannot_cut_is_refused(
    client: FlaskClient, change: dict[str, Any], pointer: str
) -> None:
    answer = client.put("/v1/cutters/quayside-wrong", json=HOOP | change)
    assert answer.status_code == 422
    assert pointer in {fault["pointer"] for fault in answer.get_json()["errors"]}
    assert client.get("/v1/cutters/quayside-wrong").status_code == 404


def test_a_cutter_of_nothing_to_lie_on_is_refused_as_one_that_fits_its_schema(
    client: FlaskClient,
) -> None:
    # The document requires neither the bed nor the paper, since there is one of the two.
    answer = client.put("/v1/cutters/quayside-wrong", json={"tool": {"kind": "drag_blade"}})
    assert answer.status_code == 422
    payload = answer.get_json()
    assert payload["type"] != "/problems#schema-mismatch"
    assert [fault["pointer"] for fault in payload["errors"]] == ["#"]
    assert "`bed`" in payload["errors"][0]["detail"]


def test_a_kit_keeps_its_cutter_as_it_was(
    client: FlaskClient, small_kit: dict[str, Any], saved: str
) -> None:
    small_kit["runs"][0]["cutter"] = "quayside-hoop"
    kit = client.post("/v1/kits", json=small_kit).get_json()
    assert kit["cutters"]["quayside-hoop"] == {**HOOP, "version": 1}
    client.delete(saved)
    again = client.get(f"/v1/kits/{kit['id']}").get_json()
    assert again["cutters"] == kit["cutters"]


@pytest.mark.parametrize("name", BUILT_IN)
def test_an_answered_cutter_can_be_pasted_into_a_run(
    client: FlaskClient, small_kit: dict[str, Any], name: str
) -> None:
    small_kit["runs"][0]["cutter"] = client.get(f"/v1/cutters/{name}").get_json()["cutter"]
    answer = client.post("/v1/layouts", json=small_kit)
    assert answer.status_code == 200, answer.get_data(as_text=True)


def test_a_pasted_cutter_keeps_its_units_and_its_title(
    client: FlaskClient, saved: str, small_kit: dict[str, Any]
) -> None:
    # 200 mm and not 200 in, though the kit is in inches: no hoop is 5 m wide.
    pasted = client.get(saved).get_json()["cutter"]
    small_kit["runs"][0] |= {"cutter": pasted, "material": {"name": "cotton", "kind": "fabric"}}
    made = client.post("/v1/kits", json=small_kit)
    assert made.status_code == 201, made.get_data(as_text=True)
    area = made.get_json()["runs"][0]["work_area"]
    assert area["width_mm"] <= 200.0 - 5.0 - 5.0
    sheet = PdfReader(io.BytesIO(client.get(made.get_json()["run_sheet"]).data))
    assert any("Quayside hoop" in page.extract_text() for page in sheet.pages)
    # Without units of its own it is read in the kit's.
    small_kit["runs"][0]["cutter"] = {**pasted, "bed": {"width": 8, "height": 6}, "margins": {}}
    del small_kit["runs"][0]["cutter"]["units"]
    answer = client.post("/v1/layouts", json=small_kit).get_json()
    inches = answer["runs"][0]["work_area"]["width_mm"]
    assert 200.0 < inches <= 8 * 25.4


def test_a_title_of_a_cutter_is_text(client: FlaskClient, small_kit: dict[str, Any]) -> None:
    small_kit["runs"][0]["cutter"] = {**HOOP, "title": 7}
    answer = client.post("/v1/layouts", json=small_kit)
    assert answer.status_code == 422
    assert [each["pointer"] for each in answer.get_json()["errors"]] == ["#/runs/0/cutter/title"]
