"""Saved price lists: a shop writes its prices once, and each kit keeps those it was quoted by."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal

import pytest

from tests.jobs.studio import Json, Studio

LIST: Json = {
    "title": "Quay prices",
    "units": "in",
    "currency": "EUR",
    "materials": [{"name": "card", "per_sheet": "0.50"}],
    "machine_per_hour": "12.00",
    "hand_cutting_per_hour": "30.00",
    "margin": {"percent_of_cost": "0"},
}
KIT: Json = {
    "title": "Gull squares",
    "units": "mm",
    "pieces": [{"id": "S", "shape": {"kind": "square", "side": 50}, "quantity": 4}],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "pen", "hand_speed": 10},
                "bed": {"width": 210, "height": 297},
                "speed": 50,
                "travel_speed": 100,
                "stop_s": 30,
            },
            "material": {"name": "card", "kind": "card"},
            "formats": ["svg"],
            "gap": 5,
        }
    ],
    "documents": [],
}


@pytest.fixture
def address(studio: Studio) -> Iterator[str]:
    """Return the address of a saved list, which is deleted afterwards."""
    link = "/v1/price-lists/quay"
    assert studio.client.put(link, json=LIST).status_code == 201
    yield link
    studio.client.delete(link)


def test_a_list_is_saved_listed_replaced_and_deleted(studio: Studio) -> None:
    link = "/v1/price-lists/slipway"
    made = studio.client.put(link, json=LIST)
    assert (made.status_code, made.get_json()["version"]) == (201, 1)
    assert studio.client.get(link).get_json()["price_list"] == LIST
    listed = studio.client.get("/v1/price-lists").get_json()["price_lists"]
    assert [each["name"] for each in listed if each["name"] == "slipway"] == ["slipway"]
    tag = studio.client.get(link).headers["ETag"]
    changed = {**LIST, "machine_per_hour": "13.00"}
    assert studio.client.put(link, json=changed, headers={"If-Match": tag}).status_code == 200
    assert studio.client.put(link, json=changed, headers={"If-Match": tag}).status_code == 412
    assert studio.client.delete(link).status_code == 204
    assert studio.client.get(link).status_code == 404
    assert studio.client.delete(link).status_code == 404


def test_a_kit_names_a_list_and_keeps_a_copy(studio: Studio, address: str) -> None:
    """4 squares of 50 mm: 800 mm at 10 mm/s take 80 s by hand, 1.3 min at 30.00 per hour: 0.65.

    A sheet of card 0.50. The machine: the rest of the estimated time, at 0.20 per minute.
    """
    body = {**KIT, "prices": "quay"}
    made = studio.client.post("/v1/kits", json=body)
    assert made.status_code == 201
    payload = made.get_json()
    quote = payload["quote"]
    assert (quote["price_list"], quote["price_list_version"]) == ("quay", 1)
    lines = {each["kind"]: each for each in quote["lines"]}
    assert (lines["hand_cutting"]["quantity"], lines["hand_cutting"]["amount"]) == ("1.3", "0.65")
    rest = Decimal(str(round((payload["totals"]["estimated_s"] - 80.0) / 60.0, 6)))
    minutes = rest.quantize(Decimal("0.1"), ROUND_HALF_UP)
    assert Decimal(lines["machine"]["quantity"]) == minutes
    # 830 mm of drawing and way at 50 to 100 mm/s and one stop of 30 s are less than a minute.
    assert minutes < 1
    assert lines["material"]["amount"] == "0.50"
    # The list changes; the kit that was quoted by it does not.
    assert studio.client.put(address, json={**LIST, "currency": "XTS"}).status_code == 200
    again = studio.client.get(f"/v1/kits/{payload['id']}").get_json()
    assert again["quote"] == quote
    assert again["request"]["prices"] == {"name": "quay", "version": 1, **LIST}
    # What it keeps can be sent again, and is quoted the same.
    repeated = studio.calculated("/v1/layouts", again["request"])
    assert repeated["quote"] == quote
    now = studio.calculated("/v1/layouts", body)["quote"]
    assert (now["currency"], now["price_list_version"]) == ("XTS", 2)


def test_cutting_by_hand_without_a_rate_is_not_priced(studio: Studio) -> None:
    prices = {name: each for name, each in LIST.items() if name != "hand_cutting_per_hour"}
    quote = studio.calculated("/v1/layouts", {**KIT, "prices": prices})["quote"]
    assert "cutting by hand" in quote["not_priced"]
    assert not any(each["kind"] == "hand_cutting" for each in quote["lines"])


def test_lengths_of_a_list_are_in_its_own_units(studio: Studio) -> None:
    """A list in inches priced by 36 of them, named by a kit in mm: 914.4 mm, not 36."""
    rope = {"name": "card", "per_length": "9.00", "length": 36}
    link = "/v1/price-lists/by-the-yard"
    studio.client.put(link, json={**LIST, "materials": [rope]})
    run = {
        **KIT["runs"][0],
        "cutter": {"tool": {"kind": "laser"}, "bed": {"shape": "roll", "width": 300}},
    }
    quote = studio.calculated("/v1/layouts", {**KIT, "runs": [run], "prices": "by-the-yard"})[
        "quote"
    ]
    (line,) = [each for each in quote["lines"] if each["kind"] == "material"]
    assert line["price_per"] == "914.4"
    own = {"currency": "EUR", "materials": [rope]}
    quote = studio.calculated("/v1/layouts", {**KIT, "runs": [run], "prices": own})["quote"]
    assert quote["lines"][0]["price_per"] == "36"
    studio.client.delete(link)


def test_a_batch_names_a_list(studio: Studio, address: str) -> None:
    """Both forms of a batch; the job's kit has a quote by the list."""
    assert address
    for body in ({"requests": [{**KIT, "prices": "quay"}]}, {"request": {**KIT, "prices": "quay"}}):
        made = studio.client.post("/v1/batches", json=body)
        assert made.status_code == 202, made.get_data(as_text=True)


def test_a_list_that_is_not_there(studio: Studio) -> None:
    problem = studio.refused({**KIT, "prices": "nowhere"}, "/v1/layouts")
    assert [each["pointer"] for each in problem["errors"]] == ["#/prices"]
    assert "/v1/price-lists" in problem["errors"][0]["detail"]
    problem = studio.refused({**KIT, "prices": 7}, "/v1/layouts")
    assert [each["pointer"] for each in problem["errors"]] == ["#/prices"]


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"currency": 1}, "#/currency"),
        ({"machine_per_hour": 12}, "#/machine_per_hour"),
        ({"units": "ell"}, "#/units"),
        ({"colour": "red"}, "#/colour"),
    ],
)
def test_rubbish_is_not_saved(studio: Studio, change: Json, pointer: str) -> None:
    answer = studio.client.put("/v1/price-lists/rubbish", json={**LIST, **change})
    assert answer.status_code == 422
    assert [each["pointer"] for each in answer.get_json()["errors"]] == [pointer]
    assert studio.client.get("/v1/price-lists/rubbish").status_code == 404


def test_bare_lengths_of_a_list_need_units(studio: Studio) -> None:
    rope = {"name": "card", "per_length": "9.00", "length": 36}
    body = {name: each for name, each in LIST.items() if name != "units"}
    answer = studio.client.put("/v1/price-lists/rubbish", json={**body, "materials": [rope]})
    assert [each["pointer"] for each in answer.get_json()["errors"]] == ["#/materials/0/length"]


@pytest.mark.parametrize("name", ["Quay", "-quay", "a" * 65, "qu%20ay"])
def test_names_that_cannot_be_saved(studio: Studio, name: str) -> None:
    assert studio.client.put(f"/v1/price-lists/{name}", json=LIST).status_code == 422


def test_of_two_that_save_at_once_both_are_counted(studio: Studio) -> None:
    app, barrier, statuses = studio.client.application, threading.Barrier(2), []

    def put() -> None:
        barrier.wait()
        statuses.append(app.test_client().put("/v1/price-lists/both", json=LIST).status_code)

    threads = [threading.Thread(target=put) for _ in range(2)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert sorted(statuses) == [200, 201]
    assert studio.client.get("/v1/price-lists/both").get_json()["version"] == 2
    studio.client.delete("/v1/price-lists/both")
