"""Titles and names in any script reach the printed sheet, or a warning says which letters did not.

Read back by pypdf and pdfium, which did not write them.
"""

from __future__ import annotations

import io
from typing import Any

import pypdf
import pypdfium2
import pytest
from flask.testing import FlaskClient
from PIL import Image

from service.documents.pictures.png import png
from service.tools import recent_answers

TITLES = ["Żółta łódź", "Přístavní světla", "Ευθεία θάλασσα", "Ночная гавань", "Größe ⅞ × ½"]


def body(title: str, **more: Any) -> dict[str, Any]:
    return {
        "title": title,
        "pieces": [{"id": "A", "shape": {"kind": "square", "side": "30 mm"}, "quantity": 4}],
        "runs": [{"cut": "template", "cutter": "pen-sheet", "material": {"name": "карта"}}],
        **more,
    }


def printed(
    client: FlaskClient, request: dict[str, Any]
) -> tuple[dict[str, Any], dict[str, bytes]]:
    kit = client.post("/v1/kits", json=request)
    assert kit.status_code == 201, kit.text
    payload = kit.get_json()
    return payload, {name: client.get(payload[name]).data for name in ("run_sheet", "labels")}


@pytest.mark.parametrize("title", TITLES)
def test_letters_of_latin_greek_and_cyrillic_are_printed(client: FlaskClient, title: str) -> None:
    payload, papers = printed(client, body(title))
    assert not any("letters" in each for each in payload["warnings"])
    for paper in papers.values():
        text = pypdf.PdfReader(io.BytesIO(paper)).pages[0].extract_text()
        other = pypdfium2.PdfDocument(paper)[0].get_textpage().get_text_range()
        for read in (text, other):
            assert title in read
            assert "карта" in read
            assert "?" not in read


def test_every_font_is_embedded_and_the_language_is_told(client: FlaskClient) -> None:
    _, papers = printed(client, body("Harbour"))
    for paper in papers.values():
        reader: Any = pypdf.PdfReader(io.BytesIO(paper))
        assert reader.trailer["/Root"]["/Lang"] == "en"
        assert "Harbour" in reader.metadata.title
        fonts = [
            font.get_object()
            for page in reader.pages
            for font in page["/Resources"]["/Font"].values()
        ]
        assert fonts
        assert all("/FontFile2" in font["/FontDescriptor"] for font in fonts)


def test_a_letter_that_the_font_lacks_is_a_warning_and_a_box(client: FlaskClient) -> None:
    payload, papers = printed(client, body("港 harbour"))
    (warning,) = [each for each in payload["warnings"] if "U+6E2F" in each]
    assert "港" in warning
    for paper in papers.values():
        text = pypdf.PdfReader(io.BytesIO(paper)).pages[0].extract_text()
        assert "□ harbour" in text
        assert "?" not in text
    assert "港 harbour" in client.get(payload["run_sheet_page"]).get_data(as_text=True)


def test_a_quote_printed_alone_warns_of_letters_too(client: FlaskClient) -> None:
    prices = {"currency": "EUR", "machine_per_hour": "10"}
    response = client.post(
        "/v1/kits", json=body("港 harbour", prices=prices, documents=["quote"])
    ).get_json()
    (warning,) = [each for each in response["warnings"] if "U+6E2F" in each]
    assert "quote.html" in warning
    paper = client.get(response["quote_sheet"]).data
    assert "□ harbour" in pypdf.PdfReader(io.BytesIO(paper)).pages[0].extract_text()
    # With the sheet printed too, one warning is enough.
    response = client.post("/v1/kits", json=body("港 harbour", prices=prices)).get_json()
    assert sum("U+6E2F" in each for each in response["warnings"]) == 1


def test_accents_that_are_sent_apart_are_printed_together(client: FlaskClient) -> None:
    payload, papers = printed(client, body("Cafe\u0301"))
    assert not any("letters" in each for each in payload["warnings"])
    assert "Café" in pypdf.PdfReader(io.BytesIO(papers["run_sheet"])).pages[0].extract_text()


def test_the_same_request_has_the_same_bytes(client: FlaskClient) -> None:
    first = printed(client, body("Ночь"))[1]
    # Another process would not know the layout.
    recent_answers.clear_all()
    assert printed(client, body("Ночь"))[1] == first
    assert printed(client, body("День"))[1] != first


def test_pictures_show_their_letters_without_fonts_of_the_system() -> None:
    picture = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 160 40">'
        '<text x="10" y="30" font-size="24" font-family="sans-serif"{}>Жα½ A</text></svg>'
    )
    for weight in ("", ' font-weight="bold"'):
        image = Image.open(io.BytesIO(png(picture.format(weight)))).convert("L")
        ink = sum(image.histogram()[:128]) / (image.width * image.height)
        # Four letters of 24 units in a picture of 160 x 40: between 2 and 20 % of it is ink.
        assert 0.02 < ink < 0.2
