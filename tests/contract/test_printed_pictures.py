"""Pictures as pixels on request: true size, 300 dpi, read by a library that drew none."""

from __future__ import annotations

import io
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from PIL import Image

from service.documents.pictures.png import MAX_PIXELS, printed_png

KIT: dict[str, Any] = {
    "title": "Slipway",
    "units": "mm",
    "documents": [],
    "pieces": [{"id": "A", "shape": {"kind": "square", "side": 30}, "quantity": 4}],
    "runs": [
        {
            "cut": "template",
            "cutter": {"tool": {"kind": "pen"}, "bed": {"width": 100, "height": 80}},
            "formats": ["svg"],
            "effort": "quick",
        }
    ],
}
PNG = {"Accept": "image/png"}


@pytest.fixture(scope="module")
def load(app: Flask) -> dict[str, Any]:
    made = app.test_client().post("/v1/kits", json=KIT)
    assert made.status_code == 201, made.text
    found: dict[str, Any] = made.get_json()["runs"][0]["loads"][0]
    return found


def _picture(data: bytes) -> Image.Image:
    picture = Image.open(io.BytesIO(data))
    picture.load()
    return picture


@pytest.mark.parametrize("member", ["picture", "path_picture"])
def test_a_picture_comes_as_pixels_at_true_size(
    client: FlaskClient, load: dict[str, Any], member: str
) -> None:
    """300 dpi are 11,811 pixels per metre (PNG 3, 11.3.4.3: whole numbers)."""
    drawing = client.get(load[member])
    assert drawing.mimetype == "image/svg+xml"
    answer = client.get(load[member], headers=PNG)
    assert answer.status_code == 200
    assert answer.mimetype == "image/png"
    assert "Accept" in answer.headers["Vary"]
    assert answer.headers["Content-Disposition"].endswith('picture.png"')
    picture = _picture(answer.data)
    assert picture.info["dpi"] == pytest.approx((300.0, 300.0), abs=0.01)
    width = float(drawing.text.partition('width="')[2].partition("mm")[0])
    assert picture.width == pytest.approx(width / 25.4 * 300.0, abs=1.0)
    # The same each time, and not the drawing's entity tag.
    again = client.get(load[member], headers=PNG)
    assert again.data == answer.data
    assert answer.headers["ETag"] != drawing.headers["ETag"]
    unchanged = client.get(load[member], headers={**PNG, "If-None-Match": answer.headers["ETag"]})
    assert unchanged.status_code == 304


def test_a_shape_comes_as_pixels_too(client: FlaskClient) -> None:
    picture = _picture(client.get("/v1/shapes/hexagon/picture.svg", headers=PNG).data)
    assert picture.info["dpi"] == pytest.approx((300.0, 300.0), abs=0.01)


def test_a_cut_file_is_no_picture(client: FlaskClient, load: dict[str, Any]) -> None:
    assert client.get(load["files"][0]["href"], headers=PNG).status_code == 406


def test_a_browser_sees_the_drawing(client: FlaskClient, load: dict[str, Any]) -> None:
    """What browsers send for an image: https://developer.mozilla.org, default Accept values."""
    accept = "image/avif,image/webp,image/png,image/svg+xml,image/*;q=0.8,*/*;q=0.5"
    assert client.get(load["picture"], headers={"Accept": "*/*"}).mimetype == "image/svg+xml"
    assert client.get(load["picture"], headers={"Accept": accept}).mimetype == "image/svg+xml"


@pytest.mark.long
def test_a_large_picture_has_fewer_pixels_and_says_so() -> None:
    """2 x 2 m at 300 dpi were 558 million pixels; 40 million are 6,324 each way, 80.3 dpi."""
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="2000mm" height="2000mm" '
        'viewBox="0 0 2000 2000"><circle cx="1000" cy="1000" r="900"/></svg>'
    )
    picture = _picture(printed_png(svg))
    assert picture.width * picture.height <= MAX_PIXELS * 1.001
    assert picture.info["dpi"][0] == pytest.approx(80.3, abs=0.1)
