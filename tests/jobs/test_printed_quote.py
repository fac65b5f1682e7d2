"""The quote for a shop's customer: what they get and its price, without the shop's costs."""

from __future__ import annotations

import zipfile
from io import BytesIO

import pytest

from tests.jobs.studio import Json, Kit, Studio
from tests.jobs.test_beacon_class import REQUEST as CLASS
from tests.jobs.test_beacon_class_price import PRICES
from tests.printed_words import printed_words


@pytest.fixture(scope="module")
def kit(studio: Studio) -> Kit:
    return studio.kit({**CLASS, "reference": "Order 1138", "date": "2027-03-02", "prices": PRICES})


def _text(studio: Studio, address: str) -> str:
    """Return the words of a PDF, read by a library that did not write it."""
    return printed_words(studio.client.get(address).data)


def test_a_customer_sees_what_they_get_and_its_price(studio: Studio, kit: Kit) -> None:
    """24 bags of 29 templates and 14 + 9 + 6 patches: the price of all and of one, and no cost.

    Card of 200 g/m2 and cotton of 140: 30.1 g a bag, 722.6 g in all (test_beacon_class_price).
    """
    quote = kit.payload["quote"]
    page = studio.client.get(kit.payload["quote_page"]).get_data(as_text=True)
    text = _text(studio, kit.payload["quote_sheet"])
    for words in (
        "Beacon block class",
        kit.payload["number"],
        "Order 1138",
        "2027-03-02",
        "Each of 24 kits holds",
        "12 + 2 spare patches A, blue cotton: square, finished side 50 mm, 6 mm allowance",
        f"{quote['price']['per_batch']} EUR",
        f"{quote['price']['per_copy']} EUR",
        "Tax is not included.",
        "30.1 g each, 722.6 g in all",
    ):
        assert words in page
        assert words in text
    for secret in (
        quote["cost"]["per_batch"],
        quote["margin"]["per_batch"],
        "margin",
        "machine",
        "34.73",
    ):
        assert secret not in page.partition("</style>")[2]
        assert secret not in text
    assert "Not included" not in page


def test_the_quote_is_in_the_zip_and_the_same_each_time(studio: Studio) -> None:
    body: Json = {**CLASS, "copies": 2, "runs": CLASS["runs"][:1], "prices": PRICES}
    kit = studio.kit(body)
    zipped = studio.client.get(
        f"/v1/kits/{kit.payload['id']}", headers={"Accept": "application/zip"}
    ).data
    with zipfile.ZipFile(BytesIO(zipped)) as archive:
        names = [each for each in archive.namelist() if each.endswith(("quote.pdf", "quote.html"))]
        assert len(names) == 2
        first = {each: archive.read(each) for each in names}
    again = studio.kit(body)
    for name, data in first.items():
        member = "quote_sheet" if name.endswith(".pdf") else "quote_page"
        assert studio.client.get(again.payload[member]).data == data


def test_what_is_not_priced_is_not_promised(studio: Studio) -> None:
    """Only the tape has a price: the page says what the price leaves out, by its plain name."""
    body: Json = {
        **CLASS,
        "copies": 1,
        "title": "Gulls <&> terns",
        "runs": CLASS["runs"][:2],
        "prices": {"currency": "EUR", "consumables": PRICES["consumables"]},
    }
    page = studio.client.get(studio.kit(body).payload["quote_page"]).get_data(as_text=True)
    assert "Gulls &lt;&amp;&gt; terns" in page
    assert (
        "Not included in the price: card 200 g, blue cotton, machine time, cutting by hand, "
        "bench time, packaging." in page
    )
    assert "1 kit" in page
    assert "rounded" not in page


def test_no_prices_no_quote(studio: Studio) -> None:
    body: Json = {**CLASS, "copies": 1, "runs": CLASS["runs"][:1]}
    assert "quote_sheet" not in studio.kit(body).payload
    priced: Json = {**body, "prices": PRICES, "documents": ["labels"]}
    assert "quote_sheet" not in studio.kit(priced).payload
    assert "quote_sheet" in studio.kit({**priced, "documents": ["quote"]}).payload
