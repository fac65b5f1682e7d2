"""A class set is ordered twice, and found next month by what stands on the paper."""

from __future__ import annotations

import hashlib
import io
import json

import pypdf
import pytest

from service import __version__
from tests.jobs.studio import Json, Studio

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
REQUEST: Json = {
    "title": "Buoy papers",
    "units": "in",
    "pieces": [
        {
            "id": "H",
            "shape": {"kind": "hexagon", "side": "1"},
            "quantity": 6,
            "seam_allowance": "1/4",
        }
    ],
    "runs": [
        {
            "cut": "template",
            "cutter": {
                "tool": {"kind": "laser", "kerf": "0.2 mm"},
                "bed": {"width": "12 in", "height": "12 in"},
            },
            "material": {"name": "card", "kind": "card"},
            "formats": ["svg"],
            "effort": "quick",
        }
    ],
}


def number_of(request: Json) -> str:
    """Return a kit's number by the rule of the README, in other words than the service's.

    The text that is hashed is the request in the form of RFC 8785 (members sorted, no white
    space); it has no number that RFC 8785 would write otherwise than Python does.
    """
    whole = {"cutters": {}, "request": request, "version": __version__}
    text = json.dumps(whole, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    bits = f"{int.from_bytes(hashlib.sha256(text.encode()).digest()):0256b}"[:40]
    plain = "".join(ALPHABET[int(bits[at : at + 5], 2)] for at in range(0, 40, 5))
    return f"{plain[:4]}-{plain[4:]}"


def test_two_orders_of_one_kit_share_its_number(studio: Studio) -> None:
    """The number comes from what is cut, not from who ordered it: hashed by hand above.

    Both orders are found by the number, each by its reference. It stands on the sheet, the labels,
    in the heading of the picture and in the name of the zip.
    """
    number = number_of(REQUEST)
    first = studio.kit({**REQUEST, "reference": "ORDER 1041", "date": "2026-12-24"})
    second = studio.kit({**REQUEST, "reference": "ORDER 1077"})
    assert (first.payload["number"], first.payload["reference"]) == (number, "ORDER 1041")
    assert (second.payload["number"], second.payload["reference"]) == (number, "ORDER 1077")
    priced = studio.calculated("/v1/layouts", {**REQUEST, "prices": {"currency": "EUR"}})
    assert priced["number"] == number
    assert first.payload["date"] == "2026-12-24"
    assert "date" not in second.payload
    client = studio.client
    for query, orders in {
        f"number={number}": [second, first],
        # As somebody types it from a sheet.
        f"number={number.lower().replace('-', '').replace('0', 'o').replace('1', 'l')}": [
            second,
            first,
        ],
        "reference=ORDER%201041": [first],
        "title=BUOY%20PAPERS&shape=hexagon": [second, first],
        "date=2026-12-24": [first],
        # Other jobs keep squares in the same store.
        "shape=square&title=BUOY%20PAPERS": [],
    }.items():
        found = client.get(f"/v1/kits?{query}").get_json()["kits"]
        assert [each["id"] for each in found] == [kit.payload["id"] for kit in orders], query
    assert first.sheet.says(number, "ORDER 1041", "2026-12-24", __version__)
    labels = pypdf.PdfReader(io.BytesIO(client.get(first.payload["labels"]).data))
    text = " ".join(labels.pages[0].extract_text().split())
    assert number in text
    assert "ORDER 1041" in text
    assert f"({number})" in first.run().loads[0].picture
    zipped = client.get(f"/v1/kits/{first.payload['id']}", headers={"Accept": "application/zip"})
    assert f"kit-{number}-" in zipped.headers["Content-Disposition"]


def test_a_recut_has_a_number_of_its_own(studio: Studio) -> None:
    """Its request is another: one of six papers. The order's reference stays unless it is new."""
    request = {**REQUEST, "title": "Lost papers", "reference": "ORDER 12"}
    kit = studio.kit(request)
    recut = studio.recut(kit, 1, {"H": 1})
    assert recut.payload["number"] != kit.payload["number"]
    assert recut.payload["number"] == number_of(
        {
            **REQUEST,
            "title": "Recut, 1 of H: Lost papers",
            "pieces": [{**REQUEST["pieces"][0], "quantity": 1}],
            "runs": [{**REQUEST["runs"][0], "pieces": [{"id": "H", "quantity": 1}]}],
        }
    )
    assert recut.payload["reference"] == "ORDER 12"
    both = studio.client.get("/v1/kits?reference=ORDER%2012").get_json()["kits"]
    assert [each["id"] for each in both] == [recut.payload["id"], kit.payload["id"]]


@pytest.mark.parametrize(
    ("query", "parameter"),
    [
        ("number=12345", "number"),
        ("number=UUUU-UUUU", "number"),
        ("date=24.12.2026", "date"),
        ("created_from=2026-12-02&created_until=2026-12-01", "created_until"),
        ("colour=blue", "colour"),
    ],
)
def test_a_search_that_cannot_be_used_is_refused(
    studio: Studio, query: str, parameter: str
) -> None:
    answer = studio.client.get(f"/v1/kits?{query}")
    assert answer.status_code == 422
    assert [each["parameter"] for each in answer.get_json()["errors"]] == [parameter]


def test_a_search_goes_on_page_by_page(studio: Studio) -> None:
    """Three kits of hexagons and one of squares, two on a page: two pages of hexagons."""
    made = [studio.kit({**REQUEST, "title": f"Anchor set {number}"}) for number in range(3)]
    square: Json = {**REQUEST["pieces"][0], "shape": {"kind": "square", "side": "1"}}
    studio.kit({**REQUEST, "title": "Anchor set 3", "pieces": [square]})
    page = studio.client.get("/v1/kits?shape=hexagon&title=anchor%20set&limit=2").get_json()
    rest = studio.client.get(page["next"]).get_json()
    assert "next" not in rest
    found = [each["id"] for each in (*page["kits"], *rest["kits"])]
    assert found == [kit.payload["id"] for kit in reversed(made)]
