"""A batch's short number, by which a person finds it, as a kit's."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient


def _batch(client: FlaskClient, body: dict[str, Any]) -> dict[str, Any]:
    made = client.post("/v1/batches", json=body)
    assert made.status_code == 202, made.text
    return dict(made.get_json())


def test_equal_batches_share_a_number(client: FlaskClient, small_kit: dict[str, Any]) -> None:
    """Members in another order, and another order's reference, make no other batch."""
    body = {"title": "Numbered", "requests": [small_kit, {**small_kit, "title": "Second"}]}
    first = _batch(client, {**body, "reference": "ORDER 1"})
    turned = [dict(reversed(each.items())) for each in body["requests"]]  # type: ignore[attr-defined]
    second = _batch(client, {"reference": "ORDER 2", "requests": turned, "title": "Numbered"})
    assert first["number"] == second["number"]
    assert first["id"] != second["id"]
    other = _batch(client, {**body, "requests": [small_kit, small_kit]})
    assert other["number"] != first["number"]
    titled = _batch(client, {**body, "title": "Numbered again"})
    assert titled["number"] != first["number"]
    # As a person may write it.
    written = first["number"].lower().replace("-", " ")
    found = client.get("/v1/batches", query_string={"number": written, "limit": 1}).get_json()
    assert [each["id"] for each in found["batches"]] == [second["id"]]
    page = client.get(found["next"]).get_json()
    assert [each["id"] for each in page["batches"]] == [first["id"]]
    assert page.get("next") is None
    query = {"number": first["number"], "reference": "ORDER 1"}
    both = client.get("/v1/batches", query_string=query).get_json()
    assert [each["id"] for each in both["batches"]] == [first["id"]]


@pytest.mark.parametrize("number", ["", "7K3F", "7K3F-Q2MU", "7K3F-Q2M9-7", "ಠ_ಠ"])
def test_what_is_no_number_is_refused(client: FlaskClient, number: str) -> None:
    answer = client.get("/v1/batches", query_string={"number": number})
    assert answer.status_code == 422
    (error,) = answer.get_json()["errors"]
    assert error["parameter"] == "number"
