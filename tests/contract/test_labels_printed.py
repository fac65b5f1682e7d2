"""Labels: on stated sheets, with a square code, and with nothing cut off.

The codes are read by ZXing, which did not make them; text by pdfium. Label sheets are stated by
their dimensions, as their makers print them on the pack (common practice, no source).
"""

from __future__ import annotations

import io
from typing import Any

import pypdf
import pypdfium2
import pytest
import zxingcpp
from flask.testing import FlaskClient

Json = dict[str, Any]
PIECE = {"id": "A", "shape": {"kind": "hexagon", "side": "25 mm"}, "quantity": 12}
RUN = {"cut": "template", "cutter": "pen-sheet", "material": {"name": "card"}}
#: 24 labels of 63.5 x 33.9 mm: 3 x 63.5 + 2 x 2.5 = 195.5, so 7.25 mm are left at each side of
#: 210; 8 x 33.9 = 271.2, so 12.9 mm at top and bottom of 297.
SHEET = {
    "paper": "a4",
    "width": "63.5 mm",
    "height": "33.9 mm",
    "columns": 3,
    "rows": 8,
    "column_gap": "2.5 mm",
}


def body(**more: Any) -> Json:
    return {"title": "Jetty lamps", "pieces": [PIECE], "runs": [RUN], **more}


def labels(client: FlaskClient, request: Json) -> tuple[Json, bytes]:
    made = client.post("/v1/kits", json=request)
    assert made.status_code == 201, made.text
    payload = made.get_json()
    return payload, client.get(payload["labels"]).data


def codes(paper: bytes) -> list[zxingcpp.Barcode]:
    page = pypdfium2.PdfDocument(paper)[0]
    return list(zxingcpp.read_barcodes(page.render(scale=300 / 72).to_pil()))


def test_the_code_on_a_label_is_the_number_of_its_kit(client: FlaskClient) -> None:
    payload, paper = labels(client, body())
    assert [each.text for each in codes(paper)] == [payload["number"]]


def test_a_link_leads_to_the_kit(client: FlaskClient) -> None:
    address = "https://studio.example/kits?number={number}"
    payload, paper = labels(client, body(labels={"link": address}, copies=3))
    found = [each.text for each in codes(paper)]
    assert found == [address.replace("{number}", payload["number"])] * 3
    # What the link says is how a kit is found.
    (kit,) = client.get(f"/v1/kits?number={found[0].rpartition('=')[2]}").get_json()["kits"]
    assert kit["id"] == payload["id"]


def test_labels_share_the_number_of_the_kit(client: FlaskClient) -> None:
    plain, _ = labels(client, body())
    other, _ = labels(client, body(labels={"sheet": SHEET}))
    assert plain["number"] == other["number"]


def test_labels_stand_on_the_stated_sheet(client: FlaskClient) -> None:
    _, paper = labels(client, body(copies=25, labels={"sheet": SHEET}))
    pages = pypdf.PdfReader(io.BytesIO(paper)).pages
    assert len(pages) == 2  # 24 and 1
    found = codes(paper)
    assert len(found) == 24
    per_mm = 300 / 25.4
    for each in found:
        x = (each.position.top_left.x + each.position.bottom_right.x) / 2 / per_mm
        y = (each.position.top_left.y + each.position.bottom_right.y) / 2 / per_mm
        # Each code lies on one label, wholly: its middle is 5 mm from every edge or more.
        column, row = (x - 7.25) % 66.0, (y - 12.9) % 33.9
        assert 5.0 < column < 58.5
        assert 5.0 < row < 28.9


def test_text_that_is_too_long_goes_on_to_a_second_label(client: FlaskClient) -> None:
    title = "Twenty lamps along the jetty, " * 4
    words = title.split()
    small = SHEET | {"width": "50 mm", "height": "20 mm", "rows": 12}
    _, paper = labels(
        client,
        body(
            title=title[:119],
            reference="Order for the Saturday class of the upper net loft",
            labels={"sheet": small},
        ),
    )
    text = pypdfium2.PdfDocument(paper)[0].get_textpage().get_text_range()
    flat = " ".join(text.split())
    for word in (*words[:-1], "Order", "upper", "loft", "label 1 of"):
        assert word in flat
    assert "..." not in flat
    assert flat.count("jetty,") == 4


@pytest.mark.parametrize(
    ("change", "pointer"),
    [
        ({"columns": 4}, "#/labels/sheet/columns"),
        ({"rows": 9}, "#/labels/sheet/rows"),
        ({"width": "10 mm"}, "#/labels/sheet/width"),
        ({"paper": "a5"}, "#/labels/sheet/paper"),
        ({"left": "-1 mm"}, "#/labels/sheet/left"),
    ],
)
def test_a_sheet_that_cannot_be_is_refused(client: FlaskClient, change: Json, pointer: str) -> None:
    refused = client.post("/v1/kits", json=body(labels={"sheet": SHEET | change}))
    assert refused.status_code == 422
    assert pointer in [each["pointer"] for each in refused.get_json()["errors"]]


@pytest.mark.parametrize(
    "link", ["studio.example", "ftp://studio.example", "https://caf\u00e9.example"]
)
def test_a_link_that_is_none_is_refused(client: FlaskClient, link: str) -> None:
    refused = client.post("/v1/kits", json=body(labels={"link": link}))
    assert refused.status_code == 422
    assert refused.get_json()["errors"][0]["pointer"] == "#/labels/link"


def test_a_recut_has_labels_of_the_same_kind(client: FlaskClient) -> None:
    payload, _ = labels(client, body(labels={"sheet": SHEET}))
    recut = client.post(f"/v1/kits/{payload['id']}/recuts", json={"run": 1, "pieces": {"A": 1}})
    assert recut.status_code == 201, recut.text
    paper = client.get(recut.get_json()["labels"]).data
    box = pypdf.PdfReader(io.BytesIO(paper)).pages[0].mediabox
    assert float(box.width) == pytest.approx(210 / 25.4 * 72, abs=0.5)
    assert [each.text for each in codes(paper)] == [recut.get_json()["number"]]
