"""The document states what a search of kits takes; ten minutes of fuzz found that it did not."""

from __future__ import annotations

import re

import pytest
from flask.testing import FlaskClient

from service.requests.kit_number import written_number

# Digits and letters without U; I, L and O are read as the digits that they look like, after Douglas
# Crockford's base 32.
NUMBERS = ["7K3F-Q2M9", "7k3fq2m9", " 7K3F Q2M9 ", "-7-K-3-F-Q-2-M-9", "ilo0-ilo0"]
NONE = ["", " ", "7K3F-Q2M", "7K3F-Q2M90", "7K3F-Q2MU", "7K3F_Q2M9", "7K3F-Q2M9\n", "\u017f2345678"]


@pytest.mark.parametrize("number", NUMBERS + NONE)
def test_the_document_says_what_a_number_is(client: FlaskClient, number: str) -> None:
    listed = client.get("/openapi.json").get_json()["paths"]["/v1/kits"]["get"]["parameters"]
    [schema] = [each["schema"] for each in listed if each["name"] == "number"]
    assert (re.fullmatch(schema["pattern"], number) is not None) == (number in NUMBERS)
    answer = client.get("/v1/kits", query_string={"number": number})
    assert answer.status_code == (200 if number in NUMBERS else 422)


def test_what_is_misread_is_understood() -> None:
    assert written_number("ilo0 ilo0") == "1100-1100"


def test_days_in_the_wrong_order_are_values_and_no_mismatch(client: FlaskClient) -> None:
    days = {"created_from": "2026-05-02", "created_until": "2026-05-01"}
    answer = client.get("/v1/kits", query_string=days)
    assert answer.status_code == 422
    assert answer.get_json()["type"] != "/problems#schema-mismatch"
    assert [each["parameter"] for each in answer.get_json()["errors"]] == ["created_until"]
