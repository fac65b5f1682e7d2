"""Multipart bodies whose parts have long headers are refused before they are parsed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient
from werkzeug.datastructures import MultiDict

from service.app import create_app
from service.settings import Settings

FORM = "multipart/form-data; boundary=q"
SVG = b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"/>'
LONG = b"a" * 5000


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[FlaskClient]:
    def parse(*_: object, **__: object) -> tuple[None, MultiDict[str, str], MultiDict[str, str]]:
        return None, MultiDict(), MultiDict()

    app = create_app(Settings(data=tmp_path))
    monkeypatch.setattr("service.http.body.FormDataParser.parse", parse)
    yield app.test_client()
    app.extensions["quarterseam-store"]().close()


@pytest.mark.parametrize("end", [b"\r\n", b"\n", b"\r"])
@pytest.mark.parametrize(
    "header",
    [
        b'Content-Disposition: form-data; name="%s"' % LONG,
        b'Content-Disposition: form-data; name="file"; filename="%s"' % LONG,
        b"Content-Disposition: form-data" + b'; a="b"' * 1000,
        b"X: " + LONG,
    ],
)
def test_long_headers_of_a_part_are_refused(client: FlaskClient, header: bytes, end: bytes) -> None:
    sent = b"--q" + end + header + end * 2 + SVG + end + b"--q--" + end
    answer = client.post("/v1/inspections", data=sent, content_type=FORM)
    assert answer.status_code == 422
    assert answer.get_json()["errors"] == [
        {"pointer": "#/file", "detail": "The headers of a part have at most 4096 bytes."}
    ]


@pytest.mark.parametrize(
    "content", [LONG, b"--qq" + LONG, b"\r\n--qq" + LONG, b"\r\n-- q" + LONG, b"\n--q" + LONG]
)
def test_long_files_are_no_long_headers(client: FlaskClient, content: bytes) -> None:
    head = b'--q\r\nContent-Disposition: form-data; name="file"; filename="a.svg"\r\n\r\n'
    sent = head + content + b"\r\n--q--\r\n"
    answer = client.post("/v1/inspections", data=sent, content_type=FORM)
    # The stand-in for the parser finds none.
    assert "the form has 0" in answer.get_json()["errors"][0]["detail"]
