"""What a bench relies on: lasers refuse the unknown, times are plausible, advice is of use."""

from __future__ import annotations

from typing import Any

import orjson
import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import update

from service.storage.tables import CUTTERS, KITS

LASER = {"tool": {"kind": "laser"}, "bed": {"width": "300 mm", "height": "200 mm"}}
DRAG = {"tool": {"kind": "drag_blade"}, "bed": {"width": "300 mm", "height": "200 mm"}}
PEN = {"tool": {"kind": "pen"}, "bed": {"width": "300 mm", "height": "200 mm"}}


def asked(small_kit: dict[str, Any], **run: Any) -> dict[str, Any]:
    small_kit["documents"] = []
    small_kit["runs"][0] |= run
    return small_kit


def made(client: FlaskClient, body: dict[str, Any]) -> Any:
    answer = client.post("/v1/kits", json=body)
    assert answer.status_code == 201, answer.get_data(as_text=True)
    return answer.get_json()


@pytest.mark.parametrize("kind", ["vinyl", "other", None])
def test_a_laser_refuses_what_nobody_vouched_for(
    client: FlaskClient, small_kit: dict[str, Any], kind: str | None
) -> None:
    """University of Texas at Austin, "Prohibited laser cutter materials": no PVC, no unknown."""
    material: dict[str, Any] = {"name": "mystery"} | ({"kind": kind} if kind else {})
    body = asked(small_kit, cutter=LASER, material=material)
    for where in ("/v1/kits", "/v1/layouts"):
        answer = client.post(where, json=body)
        assert answer.status_code == 422
        payload = answer.get_json()
        assert payload["type"].endswith("#material-not-for-laser")
        assert "laser_safe" in payload["detail"]
        assert "safety data sheet" in payload["detail"]
        (fault,) = payload["errors"]
        assert fault["pointer"].startswith("#/runs/0/material")
    material["laser_safe"] = True
    first = made(client, body)["cautions"][0]
    assert "safety data sheet" in first
    # A blade cuts it without a word of lasers.
    del material["laser_safe"]
    made(client, asked(small_kit, cutter=DRAG))


def test_an_old_kit_of_an_unstated_material_is_recut_once_somebody_vouches(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    """A kit stored before lasers asked has no ``laser_safe`` in its request."""
    kit = made(client, asked(small_kit, cutter=DRAG, material={"name": "felt"}))
    store = client.application.extensions["quarterseam-store"]()
    payload = orjson.loads(store.kits.answer(kit["id"]).data)
    payload["request"]["runs"][0]["cutter"] = LASER
    with store.engine.begin() as connection:
        change = update(KITS).where(KITS.c.id == kit["id"]).values(answer=orjson.dumps(payload))
        connection.execute(change)
    link = f"/v1/kits/{kit['id']}/recuts"
    refused = client.post(link, json={"run": 1, "pieces": {"A": 1}})
    assert refused.status_code == 422
    assert [each["pointer"] for each in refused.get_json()["errors"]] == ["#/run"]
    again = client.post(link, json={"run": 1, "pieces": {"A": 1}, "laser_safe": True})
    assert again.status_code == 201, again.get_data(as_text=True)


def test_a_saved_cutter_that_no_longer_validates_is_a_problem(
    app: Flask, client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    for fault in ({"margins": {"left": "200 mm", "right": "200 mm"}}, {"bed": {"width": 3}}):
        client.put("/v1/cutters/old-hoop", json=DRAG)
        kit = made(client, asked(small_kit, cutter="old-hoop"))
        store = app.extensions["quarterseam-store"]()
        with store.engine.begin() as connection:
            connection.execute(
                update(CUTTERS)
                .where(CUTTERS.c.name == "old-hoop")
                .values(body=orjson.dumps(DRAG | fault))
            )
        answer = client.post("/v1/kits", json=small_kit)
        assert answer.status_code == 422, answer.get_data(as_text=True)
        (payload,) = answer.get_json()["errors"]
        assert payload["pointer"] == "#/runs/0/cutter"
        assert "old-hoop" in payload["detail"]
        # The kit keeps a copy of the cutter as it was; if that copy is no good, likewise.
        assert _recut_with(app, client, kit["id"], DRAG) == 201
        assert _recut_with(app, client, kit["id"], DRAG | fault) == 422


def _recut_with(app: Flask, client: FlaskClient, kit_id: str, cutter: dict[str, Any]) -> int:
    store = app.extensions["quarterseam-store"]()
    payload = orjson.loads(store.kits.answer(kit_id).data)
    payload["cutters"]["old-hoop"] = cutter
    with store.engine.begin() as connection:
        connection.execute(
            update(KITS).where(KITS.c.id == kit_id).values(answer=orjson.dumps(payload))
        )
    return client.post(f"/v1/kits/{kit_id}/recuts", json={"run": 1, "pieces": {"A": 1}}).status_code


@pytest.mark.parametrize(
    ("material", "layers", "warned"),
    [
        ({"kind": "fabric"}, 3, True),
        ({"kind": "fabric", "name": "stiffened cotton"}, 3, True),
        ({"kind": "fabric"}, 1, False),
        ({"kind": "stiffened_fabric"}, 3, False),
        ({"kind": "stiffened_fabric", "name": "loose cotton"}, 3, False),
        # The kind is not stated: it may be cloth.
        ({"name": "blue cotton"}, 3, True),
        ({"name": "blue cotton"}, 1, False),
        ({"kind": "card"}, 3, False),
    ],
)
def test_a_drag_blade_through_loose_cloth_is_warned_of(
    client: FlaskClient,
    small_kit: dict[str, Any],
    material: dict[str, str],
    layers: int,
    warned: bool,
) -> None:
    """HANDBOOK 4, "Layers, drag blade": one, stiffened or bonded (common practice, no source)."""
    body = asked(small_kit, cutter=DRAG, material=material, layers=layers)
    warnings = made(client, body)["warnings"]
    assert any("unstiffened" in text for text in warnings) is warned


def test_cutting_by_hand_takes_as_long_as_hands_take(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    """Five metres by hand: eight minutes at 10 mm/s (common practice, no source), not two."""
    small_kit["pieces"][0]["quantity"] = 33  # 33 hexagons of 6 x 25.4 mm: 5.03 m
    kit = made(client, asked(small_kit, cutter=PEN, material={"kind": "card"}))
    length = kit["totals"]["cut_length_mm"]
    assert length == pytest.approx(33 * 6 * 25.4)
    assert kit["totals"]["estimated_s"] > length / 10
    assert kit["runs"][0]["time_basis"] == {
        "speed_mm_s": 50.0, "travel_speed_mm_s": 150.0, "stop_s": 20.0, "hand_speed_mm_s": 10.0,
    }  # fmt: skip
    quick = {**PEN, "tool": {"kind": "pen", "hand_speed": 20}}
    faster = made(client, asked(small_kit, cutter=quick))
    saved = kit["totals"]["estimated_s"] - faster["totals"]["estimated_s"]
    assert saved == pytest.approx(length / 10 - length / 20)
    basis = made(client, asked(small_kit, cutter=DRAG))["runs"][0]["time_basis"]
    assert basis == {"speed_mm_s": 50.0, "travel_speed_mm_s": 150.0, "stop_s": 20.0}


def test_the_document_states_usual_speeds_and_stops(client: FlaskClient) -> None:
    schemas = client.get("/openapi.json").get_json()["components"]["schemas"]
    cutter, pen = schemas["InlineCutter"]["properties"], schemas["PenTool"]["properties"]
    usual = {name: cutter[name]["default"] for name in ("speed", "travel_speed", "stop_s")}
    assert usual == {"speed": 50, "travel_speed": 150, "stop_s": 20}
    assert pen["hand_speed"]["default"] == 10


def test_nobody_is_advised_to_do_what_the_request_did(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    blade = {**DRAG, "tool": {"kind": "indexed_blade"}}
    body = asked(small_kit, cutter=blade, formats=["hpgl", "dxf"], one_file_per="load")
    assert any("one_file_per" in text for text in made(client, body)["warnings"])
    body = asked(small_kit, one_file_per="station")
    assert not any("one_file_per" in text for text in made(client, body)["warnings"])


def test_a_laser_hears_nothing_of_blade_angles(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    body = asked(
        small_kit, cutter=LASER, material={"kind": "fabric"}, ties={"count": 3},
        formats=["svg", "dxf", "hpgl", "pdf", "plan"],
    )  # fmt: skip
    kit = made(client, body)
    found = " ".join(kit["warnings"]).lower()
    assert "angle" not in found
    assert "blade" not in found


def test_a_recut_from_a_stack_says_what_comes_out_and_takes_layers(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    body = asked(small_kit, material={"kind": "stiffened_fabric"}, layers=3)
    kit = made(client, body)
    link = f"/v1/kits/{kit['id']}/recuts"
    whole = client.post(link, json={"run": 1, "pieces": {"A": 1}}).get_json()
    assert whole["runs"][0]["totals"]["A"] == {"requested": 1, "made": 3, "spare": 2}
    assert any("1 asked for, 3 come out" in text for text in whole["warnings"])
    assert whole["title"] == "Recut, 1 of A: Slipway sampler"
    single = client.post(link, json={"run": 1, "pieces": {"A": 1}, "layers": 1}).get_json()
    assert single["runs"][0]["totals"]["A"] == {"requested": 1, "made": 1, "spare": 0}
    assert not any("come out" in text for text in single["warnings"])
    again = client.post(f"/v1/kits/{single['id']}/recuts", json={"run": 1, "pieces": {"A": 2}})
    # Of a recut too the first kit is named, once.
    assert again.get_json()["title"] == "Recut, 2 of A: Slipway sampler"
