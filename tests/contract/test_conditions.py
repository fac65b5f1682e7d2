"""Conditions of requests that delete (RFC 9110, 13)."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient

from tests.saved_documents import saved_as

SAVED = saved_as("quay-conditions")
FORMS = ["application/json", "application/zip"]
OTHER = '"another"'


def _failed(answer: Any) -> str:
    payload = answer.get_json()
    assert (answer.status_code, payload["type"]) == (412, "/problems#precondition-failed")
    return str(payload["detail"])


@pytest.mark.parametrize("address", SAVED)
def test_what_is_saved_is_deleted_only_as_it_is_known(client: FlaskClient, address: str) -> None:
    noun = address.split("/")[2].rstrip("s").replace("-", " ")
    tag = client.put(address, json=SAVED[address]).headers["ETag"]
    stated = f"If-None-Match states the saved {noun}; leave it out to delete it."
    for none in ("*", tag, f"W/{tag}", f"{OTHER}, W/{tag}"):
        assert _failed(client.delete(address, headers={"If-None-Match": none})) == stated
    for match in (OTHER, f"W/{tag}", '"7"'):
        assert "another version" in _failed(client.delete(address, headers={"If-Match": match}))
    # If-Match holds, If-None-Match does not.
    for match in ("*", tag):
        both = {"If-Match": match, "If-None-Match": tag}
        _failed(client.delete(address, headers=both))
        _failed(client.put(address, json=SAVED[address], headers=both))
        _failed(client.delete(address, headers={**both, "If-None-Match": "*"}))
    _failed(client.put(address, json=SAVED[address], headers={"If-None-Match": f"W/{tag}"}))
    both = {"If-Match": tag, "If-None-Match": '"7"'}
    assert client.delete(address, headers=both).status_code == 204
    # Without it the answer would be 404, so no condition is looked at: 13.2.1.
    for name in ("If-Match", "If-None-Match"):
        assert client.delete(address, headers={name: "*"}).status_code == 404
    # Both together: nothing can be there and not be there.
    both = {"If-Match": "*", "If-None-Match": "*"}
    _failed(client.put(address, json=SAVED[address], headers=both))


def test_what_comes_with_the_service_is_read_only_whatever_is_known(client: FlaskClient) -> None:
    answer = client.delete("/v1/cutters/drag-blade-sheet", headers={"If-Match": OTHER})
    assert answer.status_code == 409


@pytest.mark.parametrize("form", FORMS)
def test_a_kit_is_deleted_only_as_it_is_known(
    client: FlaskClient, small_kit: dict[str, Any], form: str
) -> None:
    """By the tag of either of its forms."""
    made = client.post("/v1/kits", json=small_kit, headers={"Accept": form})
    link, tag = made.headers["Location"], made.headers["ETag"]
    assert "fetch it again" in _failed(client.delete(link, headers={"If-Match": OTHER}))
    _failed(client.delete(link, headers={"If-Match": f"W/{tag}"}))
    for none in ("*", tag, f"W/{tag}"):
        assert "leave it out" in _failed(client.delete(link, headers={"If-None-Match": none}))
    assert client.get(link).status_code == 200
    known = {"If-Match": f"{OTHER}, {tag}", "If-None-Match": OTHER}
    assert client.delete(link, headers=known).status_code == 204
    assert client.delete(link, headers={"If-Match": tag}).status_code == 404


@pytest.mark.parametrize(("address", "whole"), [("/v1/kits", False), ("/v1/batches", True)])
def test_a_job_and_a_batch_are_cancelled_only_as_they_are_known(
    client: FlaskClient, small_kit: dict[str, Any], address: str, whole: bool
) -> None:
    """Their tags are weak: none in If-Match is equal to them."""
    body = {"requests": [small_kit]} if whole else small_kit
    asked = client.post(address, json=body, headers={"Prefer": "respond-async"})
    assert asked.status_code == 202
    link = asked.headers["Location"]
    tag = client.get(link).headers["ETag"]
    assert tag.startswith("W/")
    for condition in (
        {"If-Match": tag},
        {"If-Match": OTHER},
        {"If-None-Match": tag},
        {"If-None-Match": "*"},
    ):
        _failed(client.delete(link, headers=condition))
    assert client.get(link).headers["ETag"] == tag
    assert client.delete(link, headers={"If-Match": "*", "If-None-Match": OTHER}).status_code == 200
