"""Entity tags of what is created are those of what is fetched (RFC 9110, 8.8.3)."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.saved_documents import saved_as

SAVED = saved_as("quay-tags")
FORMS = ["application/json", "application/zip"]


@pytest.mark.parametrize("coding", ["identity", "gzip"])
@pytest.mark.parametrize("form", FORMS)
def test_a_new_kit_has_the_tag_that_it_is_fetched_with(
    client: FlaskClient, small_kit: dict[str, Any], form: str, coding: str
) -> None:
    headers = {"Accept": form, "Accept-Encoding": coding}
    made = client.post("/v1/kits", json=small_kit, headers=headers)
    assert made.status_code == 201
    link, tag = made.headers["Location"], made.headers["ETag"]
    fetched = client.get(link, headers={**headers, "If-Match": tag})
    assert fetched.status_code == 200
    assert (fetched.data, fetched.headers["ETag"]) == (made.data, tag)
    assert client.get(link, headers={**headers, "If-None-Match": tag}).status_code == 304


def test_a_recut_and_a_repeated_request_have_it_too(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    once = {"Idempotency-Key": "conditions-once"}
    kit = client.post("/v1/kits", json=small_kit, headers=once)
    again = client.post("/v1/kits", json=small_kit, headers=once)
    assert again.headers["ETag"] == kit.headers["ETag"]
    piece = small_kit["pieces"][0]["id"]
    body = {"run": 1, "pieces": {piece: 1}}
    recut = client.post(f"{kit.headers['Location']}/recuts", json=body)
    assert recut.status_code == 201
    for made in (kit, recut):
        assert client.get(made.headers["Location"]).headers["ETag"] == made.headers["ETag"]


@pytest.mark.parametrize("address", SAVED)
def test_what_is_saved_has_the_tag_that_it_is_fetched_with(
    client: FlaskClient, address: str
) -> None:
    tags = []
    for status in (201, 200):
        put = client.put(address, json=SAVED[address])
        assert put.status_code == status, put.get_data(as_text=True)
        tags.append(put.headers["ETag"])
        assert client.get(address).headers["ETag"] == tags[-1]
    assert client.delete(address, headers={"If-Match": tags[-1]}).status_code == 204
