"""Every kind of rubbish gets a problem document that says where and what."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from flask.testing import FlaskClient

JSON = "application/json"
Change = Callable[[dict[str, Any]], Any]


def _put(*path: str | int, value: Any) -> Change:
    def change(body: dict[str, Any]) -> None:
        at: Any = body
        for step in path[:-1]:
            at = at[step]
        at[path[-1]] = value

    return change


def _drop(*path: str | int) -> Change:
    def change(body: dict[str, Any]) -> None:
        at: Any = body
        for step in path[:-1]:
            at = at[step]
        del at[path[-1]]

    return change


SHAPE = ("pieces", 0, "shape")
# what is changed in a good kit, the problem's type, the pointer, a word of the detail
CHANGED: list[tuple[str, Change, str, str, str]] = [
    (
        "text for a count",
        _put("pieces", 0, "quantity", value="4"),
        "schema-mismatch",
        "#/pieces/0/quantity",
        "whole number",
    ),
    (
        "true for a count",
        _put("pieces", 0, "quantity", value=True),
        "schema-mismatch",
        "#/pieces/0/quantity",
        "whole number",
    ),
    (
        "fraction for a count",
        _put("pieces", 0, "quantity", value=1.5),
        "schema-mismatch",
        "#/pieces/0/quantity",
        "whole number",
    ),
    (
        "text for a switch",
        _put("pieces", 0, "mirror", value="true"),
        "schema-mismatch",
        "#/pieces/0/mirror",
        "true or false",
    ),
    (
        "one for a switch",
        _put("pieces", 0, "mirror", value=1),
        "schema-mismatch",
        "#/pieces/0/mirror",
        "true or false",
    ),
    ("number for text", _put("title", value=7), "schema-mismatch", "#/title", "text"),
    ("null", _put("pieces", 0, "shape", value=None), "schema-mismatch", "#/pieces/0/shape", "null"),
    ("list for an object", _put("pieces", 0, value=[]), "schema-mismatch", "#/pieces/0", ""),
    ("object for a list", _put("pieces", value={}), "schema-mismatch", "#/pieces", "list"),
    (
        "unknown member on top",
        _put("colour", value="red"),
        "schema-mismatch",
        "#/colour",
        "Unknown",
    ),
    (
        "unknown member inside",
        _put(*SHAPE, "radius", value="1"),
        "schema-mismatch",
        "#/pieces/0/shape/radius",
        "Unknown",
    ),
    (
        "unknown kind",
        _put(*SHAPE, "kind", value="heptadecagon"),
        "schema-mismatch",
        "#/pieces/0/shape/kind",
        "hexagon",
    ),
    ("no kind", _drop(*SHAPE, "kind"), "schema-mismatch", "#/pieces/0/shape", "`kind` is required"),
    (
        "a kind that is a list",
        _put(*SHAPE, "kind", value=["hexagon"]),
        "schema-mismatch",
        "#/pieces/0/shape/kind",
        "Must be one of",
    ),
    (
        "list for a length",
        _put(*SHAPE, "side", value=["1"]),
        "schema-mismatch",
        "#/pieces/0/shape/side",
        "length",
    ),
    (
        "true for a length",
        _put(*SHAPE, "side", value=True),
        "schema-mismatch",
        "#/pieces/0/shape/side",
        "length",
    ),
    (
        "empty length",
        _put(*SHAPE, "side", value=""),
        "schema-mismatch",
        "#/pieces/0/shape/side",
        "characters",
    ),
    (
        "length of 41 characters",
        _put(*SHAPE, "side", value="1" * 41),
        "schema-mismatch",
        "#/pieces/0/shape/side",
        "characters",
    ),
    (
        "length that is no length",
        _put(*SHAPE, "side", value="wide"),
        "invalid-request",
        "#/pieces/0/shape/side",
        "wide",
    ),
    ("missing units", _drop("units"), "invalid-request", "#/pieces/0/shape/side", "unit"),
    ("unknown units", _put("units", value="furlong"), "schema-mismatch", "#/units", "in, mm, cm"),
    (
        "negative size",
        _put(*SHAPE, "side", value="-1"),
        "invalid-request",
        "#/pieces/0/shape/side",
        "at least 0.004 in",
    ),
    ("no size at all", _drop(*SHAPE, "side"), "invalid-request", "#/pieces/0/shape", "size"),
    (
        "size of nothing",
        _put(*SHAPE, "side", value=0),
        "invalid-request",
        "#/pieces/0/shape/side",
        "at least 0.004 in",
    ),
    (
        "negative allowance",
        _put("pieces", 0, "seam_allowance", value="-1/4"),
        "invalid-request",
        "#/pieces/0/seam_allowance",
        "",
    ),
    (
        "two sizes at once",
        _put(*SHAPE, "across_flats", value="2"),
        "invalid-request",
        "#/pieces/0/shape/across_flats",
        "exactly one",
    ),
    ("no pieces", _put("pieces", value=[]), "schema-mismatch", "#/pieces", ""),
    (
        "nothing to cut",
        _put("pieces", 0, "quantity", value=0),
        "schema-mismatch",
        "#/pieces/0/quantity",
        "1",
    ),
    (
        "a run of nothing",
        _put("runs", 0, "pieces", value=[]),
        "schema-mismatch",
        "#/runs/0/pieces",
        "",
    ),
    ("no runs", _put("runs", value=[]), "schema-mismatch", "#/runs", ""),
    (
        "a million million pieces",
        _put("pieces", 0, "quantity", value=10**12),
        "schema-mismatch",
        "#/pieces/0/quantity",
        "1000000",
    ),
    (
        "201 kinds of pieces",
        lambda body: body.update(pieces=body["pieces"] * 201),
        "schema-mismatch",
        "#/pieces",
        "200",
    ),
    (
        "the same piece twice",
        lambda body: body.update(pieces=body["pieces"] * 2),
        "invalid-request",
        "#/pieces/1/id",
        "unique",
    ),
    (
        "an id with a path",
        _put("pieces", 0, "id", value="../../etc/passwd"),
        "schema-mismatch",
        "#/pieces/0/id",
        "letters",
    ),
    (
        "a title with control characters",
        _put("title", value="a\u0000b"),
        "schema-mismatch",
        "#/title",
        "Control",
    ),
    (
        "an unknown piece in a run",
        _put("runs", 0, "pieces", value=[{"id": "Z"}]),
        "invalid-request",
        "#/runs/0/pieces/0/id",
        "Z",
    ),
    (
        "an unknown cutter",
        _put("runs", 0, "cutter", value="drag-blade-shet"),
        "invalid-request",
        "#/runs/0/cutter",
        "drag-blade-shet",
    ),
    (
        "a number for a cutter",
        _put("runs", 0, "cutter", value=3),
        "schema-mismatch",
        "#/runs/0/cutter",
        "Name",
    ),
    (
        "an unknown format",
        _put("runs", 0, "formats", value=["svgg"]),
        "invalid-request",
        "#/runs/0/formats/0",
        'Did you mean "svg"',
    ),
    (
        "an unknown material",
        _put("runs", 0, "material", "kind", value="steel"),
        "schema-mismatch",
        "#/runs/0/material/kind",
        "paper",
    ),
    (
        "a piece larger than the work area",
        _put(*SHAPE, "side", value="30"),
        "does-not-fit",
        "#/runs/0",
        "work area",
    ),
    (
        "two points",
        _put("pieces", 0, "shape", value={"kind": "custom", "points": [[0, 0]]}),
        "schema-mismatch",
        "#/pieces/0/shape/points",
        "points",
    ),
    (
        "points that are text",
        _put("pieces", 0, "shape", value={"kind": "custom", "points": [["0", 0], [1, 0], [1, 1]]}),
        "schema-mismatch",
        "#/pieces/0/shape/points/0",
        "[x, y]",
    ),
    (
        "points and path",
        _put(
            "pieces",
            0,
            "shape",
            value={"kind": "custom", "points": [[0, 0], [1, 0], [1, 1]], "path": "M0 0"},
        ),
        "schema-mismatch",
        "#/pieces/0/shape",
        "either",
    ),
    (
        "edges by name",
        _put("pieces", 0, "seam_allowance", value={"edges": {"left": "1"}}),
        "schema-mismatch",
        "#/pieces/0/seam_allowance/edges/left",
        "number",
    ),
    (
        "an edge that is not there",
        _put("pieces", 0, "seam_allowance", value={"default": "1/4", "edges": {"9": "1"}}),
        "invalid-request",
        "#/pieces/0/seam_allowance/edges/9",
        "0 to 5",
    ),
    ("a key with a slash", _put("a/b~c", value=1), "schema-mismatch", "#/a~1b~0c", "Unknown"),
]


@pytest.mark.parametrize(
    ("change", "slug", "pointer", "word"),
    [pytest.param(*row[1:], id=row[0]) for row in CHANGED],
)
@pytest.mark.parametrize("path", ["/v1/kits", "/v1/layouts"])
def test_a_wrong_value_is_named_at_its_place(
    client: FlaskClient,
    small_kit: dict[str, Any],
    fits: Callable[[Any, str], None],
    change: Change,
    slug: str,
    pointer: str,
    word: str,
    path: str,
) -> None:
    change(small_kit)
    answer = client.post(path, json=small_kit)
    assert answer.status_code == 422, answer.get_data(as_text=True)
    assert answer.content_type == "application/problem+json"
    payload = answer.get_json()
    fits(payload, "Problem")
    assert payload["type"] == f"/problems#{slug}"
    found = {fault["pointer"]: fault["detail"] for fault in payload["errors"]}
    assert pointer in found
    assert word.lower() in found[pointer].lower()
    assert client.get("/v1/kits").get_json()["kits"] == []


@pytest.mark.parametrize(
    ("points", "word"),
    [
        ([[0, 0], [1, 1], [1, 0], [0, 1]], "cross"),
        ([[0, 0, 2], [1, 0], [1, 1]], "bulge"),
        ([[0, 0], [0, 0], [1, 1]], ""),
        ([[0, 0], [1, 0], [2, 0]], ""),
    ],
    ids=["crossing", "more than half a circle", "an edge of no length", "no area"],
)
def test_an_outline_that_is_none_is_refused_at_that_shape(
    client: FlaskClient, small_kit: dict[str, Any], points: list[list[float]], word: str
) -> None:
    small_kit["pieces"][0]["shape"] = {"kind": "custom", "points": points}
    answer = client.post("/v1/kits", json=small_kit)
    assert answer.status_code == 422
    assert answer.get_json()["type"] == "/problems#invalid-request"
    for fault in answer.get_json()["errors"]:
        assert fault["pointer"].startswith("#/pieces/0/shape")
        assert word in fault["detail"].lower()


def test_every_fault_is_told_at_once(client: FlaskClient, small_kit: dict[str, Any]) -> None:
    small_kit["pieces"][0]["quantity"] = "4"
    small_kit["pieces"][0]["mirror"] = 1
    small_kit["runs"][0]["layers"] = 0
    small_kit["colour"] = "red"
    response = client.post("/v1/kits", json=small_kit).get_json()
    assert {fault["pointer"] for fault in response["errors"]} == {
        "#/pieces/0/quantity", "#/pieces/0/mirror", "#/runs/0/layers", "#/colour",
    }  # fmt: skip


RAW: list[tuple[str, bytes, int, str]] = [
    ("nothing", b"", 400, "malformed-body"),
    ("broken", b'{"pieces": [', 400, "malformed-body"),
    ("a trailing comma", b'{"pieces": [],}', 400, "malformed-body"),
    ("a comment", b'{"pieces": [] /* none */}', 400, "malformed-body"),
    ("single quotes", b"{'pieces': []}", 400, "malformed-body"),
    ("two values", b"{} {}", 400, "malformed-body"),
    ("not UTF-8", b'{"title": "\xff\xfe"}', 400, "malformed-body"),
    ("half a surrogate pair", b'{"title": "\\ud800"}', 400, "malformed-body"),
    ("a byte order mark", b"\xef\xbb\xbf{}", 400, "malformed-body"),
    ("NaN", b'{"pieces": [NaN]}', 400, "malformed-body"),
    ("infinity", b'{"pieces": [-Infinity]}', 400, "malformed-body"),
    ("a number past all bounds", b'{"pieces": [1e999]}', 400, "malformed-body"),
    ("a number of 5,000 digits", b'{"pieces": [' + b"9" * 5000 + b"]}", 400, "malformed-body"),
    ("a member stated twice", b'{"units": "in", "units": "mm"}', 400, "malformed-body"),
    ("a member stated twice inside", b'{"pieces": [{"id": "A", "id": "B"}]}', 400,
     "malformed-body"),
    ("40 levels", b"[" * 40 + b"]" * 40, 400, "too-deep"),
    ("100,000 levels", b"[" * 90_000 + b"]" * 90_000, 400, "too-deep"),
    ("100,000 levels of objects", b'{"a":' * 15_000 + b"1" + b"}" * 15_000, 400, "too-deep"),
    ("a list", b"[]", 422, "schema-mismatch"),
    ("a number", b"7", 422, "schema-mismatch"),
    ("null", b"null", 422, "schema-mismatch"),
    ("an empty object", b"{}", 422, "schema-mismatch"),
    ("a body past the limit", b'{"title": "' + b"x" * 200_000 + b'"}', 413, "body-too-large"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("raw", "status", "slug"), [pytest.param(*row[1:], id=row[0]) for row in RAW]
)
@pytest.mark.parametrize("path", ["/v1/kits", "/v1/outlines"])
def test_a_body_that_is_no_request_is_refused(
    client: FlaskClient,
    fits: Callable[[Any, str], None],
    raw: bytes,
    status: int,
    slug: str,
    path: str,
) -> None:
    answer = client.post(path, data=raw, content_type=JSON)
    assert answer.status_code == status, answer.get_data(as_text=True)[:300]
    payload = answer.get_json()
    fits(payload, "Problem")
    assert payload["type"] == f"/problems#{slug}"


def test_a_number_of_5000_digits_in_a_length_is_refused(
    client: FlaskClient, small_kit: dict[str, Any]
) -> None:
    raw = json.dumps(small_kit).replace('"side": "1"', '"side": ' + "9" * 5000)
    assert client.post("/v1/kits", data=raw, content_type=JSON).status_code == 400


@pytest.mark.parametrize(
    ("kind", "coding", "status"),
    [
        ("text/plain", None, 415),
        ("application/x-www-form-urlencoded", None, 415),
        ("multipart/form-data; boundary=x", None, 415),
        (None, None, 415),
        ("application/jsonp", None, 415),
        (JSON, "gzip", 415),
        (JSON, "identity", 200),
        ("application/json; charset=utf-8", None, 200),
        ("application/vnd.harbour+json", None, 200),
    ],
)
def test_the_kind_of_body_is_checked(
    client: FlaskClient,
    small_kit: dict[str, Any],
    kind: str | None,
    coding: str | None,
    status: int,
) -> None:
    headers = {"Content-Encoding": coding} if coding else {}
    raw = json.dumps(small_kit).encode()
    answer = client.post("/v1/layouts", data=raw, content_type=kind, headers=headers)
    assert answer.status_code == status
    if status == 415:
        assert answer.get_json()["type"] == "/problems#unsupported-media-type"


@pytest.mark.parametrize(
    ("method", "path", "status", "allow"),
    [
        ("DELETE", "/", 405, {"GET", "HEAD", "OPTIONS"}),
        ("GET", "/page", 404, None),
        ("GET", "/page/nothing.js", 404, None),
        ("GET", "/v1", 404, None),
        ("GET", "/v1/nothing", 404, None),
        ("GET", "/v1/shapes/", 404, None),
        # The client of the tests reads what follows two slashes as a host, which is not ours.
        ("GET", "//v1/shapes", 421, None),
        ("GET", "/v1/shapes/nonagon", 404, None),
        ("GET", "/v1/shapes/hexagon/picture.png", 404, None),
        ("GET", "/v1/cutters/nobody", 404, None),
        ("GET", "/v1/kits/not-an-id", 404, None),
        ("GET", "/v1/kits/11111111-1111-4111-8111-111111111111", 404, None),
        ("GET", "/v1/kits/11111111-1111-4111-8111-111111111111/files/x.svg", 404, None),
        ("DELETE", "/v1/kits/11111111-1111-4111-8111-111111111111", 404, None),
        ("DELETE", "/v1/cutters/nobody", 404, None),
        ("DELETE", "/v1/cutters/laser-bed", 409, None),
        ("GET", "/v1/outlines", 405, {"POST", "OPTIONS"}),
        ("PATCH", "/v1/kits", 405, {"GET", "HEAD", "POST", "OPTIONS"}),
        ("DELETE", "/v1/shapes", 405, {"GET", "HEAD", "OPTIONS"}),
        ("POST", "/healthz", 405, {"GET", "HEAD", "OPTIONS"}),
        ("TRACE", "/v1/kits", 405, {"GET", "HEAD", "POST", "OPTIONS"}),
        ("BREW", "/v1/kits", 405, {"GET", "HEAD", "POST", "OPTIONS"}),
    ],
)
def test_unknown_paths_and_methods(
    client: FlaskClient,
    fits: Callable[[Any, str], None],
    method: str,
    path: str,
    status: int,
    allow: set[str] | None,
) -> None:
    answer = client.open(path, method=method)
    assert answer.status_code == status
    assert answer.content_type == "application/problem+json"
    fits(answer.get_json(), "Problem")
    if allow is not None:
        assert {part.strip() for part in answer.headers["Allow"].split(",")} == allow


@pytest.mark.parametrize(
    ("path", "accept"),
    [
        ("/v1/shapes", "text/html"),
        ("/v1/shapes/hexagon/picture.svg", "image/jpeg"),
        ("/v1/kits", "application/xml"),
        ("/healthz", "application/json;q=0"),
    ],
)
def test_an_answer_that_is_not_acceptable_is_refused(
    client: FlaskClient, path: str, accept: str
) -> None:
    answer = client.get(path, headers={"Accept": accept})
    assert answer.status_code == 406
    assert answer.get_json()["type"] == "/problems#not-acceptable"


@pytest.mark.parametrize(
    ("path", "parameter"),
    [
        ("/v1/kits?limit=many", "limit"),
        ("/v1/kits?limit=0", "limit"),
        ("/v1/kits?limit=1_0", "limit"),
        ("/v1/kits?limit=%205", "limit"),
        ("/v1/kits?limit=%D9%A3", "limit"),
        ("/v1/kits?limit=5.0", "limit"),
        ("/v1/kits?limit=1&limit=2", "limit"),
        ("/v1/kits?colour=red", "colour"),
        ("/v1/kits?after=made-up", "after"),
        ("/v1/shapes?limit=1", "limit"),
        ("/v1/shapes/hexagon/picture.svg?side=1", "side"),
        ("/v1/shapes/hexagon/picture.svg?width=1%20in", "width"),
        ("/v1/shapes/regular_polygon/picture.svg?sides=many&side=1%20in", "sides"),
        ("/v1/shapes/regular_polygon/picture.svg?sides=nan&side=1%20in", "sides"),
    ],
)
def test_a_wrong_query_is_named_by_its_parameter(
    client: FlaskClient, path: str, parameter: str
) -> None:
    answer = client.get(path)
    assert answer.status_code == 422
    assert parameter in {fault.get("parameter") for fault in answer.get_json()["errors"]}


@pytest.mark.parametrize("limit", ["many", "-1", "1.5", ""])
def test_a_wrong_number_in_a_query_is_told_what_would_be_right(
    client: FlaskClient, limit: str
) -> None:
    (error,) = client.get(f"/v1/cutters?limit={limit}").get_json()["errors"]
    assert error["detail"] == "This is a whole number, written in digits alone, such as 20."


def test_what_breaks_inside_says_nothing_of_it(
    client: FlaskClient, small_kit: dict[str, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("secret of the house")

    monkeypatch.setattr("service.kits.outlines", broken)
    del small_kit["runs"], small_kit["title"]
    answer = client.post("/v1/outlines", json=small_kit)
    assert answer.status_code == 500
    assert answer.get_json()["type"] == "/problems#internal-error"
    assert "secret" not in answer.get_data(as_text=True)


@pytest.mark.parametrize(
    ("raw", "wanted"),
    [
        (b'{"title": "Sl\xffpway"}', "The body is not in UTF-8, as JSON is: byte 13 is 0xff."),
        ('{"title": "Slipway"}'.encode("utf-16"), "byte 0 is 0xff."),
    ],
)
def test_bytes_that_are_no_text_are_found(client: FlaskClient, raw: bytes, wanted: str) -> None:
    answer = client.post("/v1/layouts", data=raw, content_type=JSON)
    assert answer.status_code == 400
    assert wanted in answer.get_json()["detail"]


@pytest.mark.parametrize("kind", ["application/json-patch+json", "application/merge-patch+json"])
def test_a_patch_is_not_taken_for_the_whole(client: FlaskClient, kind: str) -> None:
    answer = client.put("/v1/cutters/slipway", data=b'{"speed": 20}', content_type=kind)
    assert answer.status_code == 415
    assert answer.get_json()["detail"] == f"Send application/json, not {kind}."


@pytest.mark.parametrize(
    ("date", "wanted"),
    [
        ("2026-02-29", "The calendar has no such day; check month and day."),
        ("2026-2-9", 'Write year, month and day: "2026-12-24".'),
        ("20260209", 'Write year, month and day: "2026-12-24".'),
    ],
)
def test_a_day_that_there_is_not(
    client: FlaskClient, small_kit: dict[str, Any], date: str, wanted: str
) -> None:
    small_kit["date"] = date
    (fault,) = client.post("/v1/layouts", json=small_kit).get_json()["errors"]
    assert (fault["pointer"], fault["detail"]) == ("#/date", wanted)


def _form(*parts: tuple[str, str]) -> bytes:
    written = "".join(
        f"--B\r\nContent-Disposition: form-data; {head}\r\n\r\n{body}\r\n" for head, body in parts
    )
    return f"{written}--B--\r\n".encode()


@pytest.mark.parametrize(
    ("parts", "status", "wanted"),
    [
        ([('name="file"', "IN;")], 422, 'is text; give it a name: filename="drawing.svg".'),
        ([('name="f"; filename="a.plt"', "IN;")], 422, 'the form has 1, in a part named "f".'),
        ([], 422, "the form has 0."),
        ([(f'name="u{n}"', "1") for n in range(21)], 413, "A form has at most 20 parts."),
    ],
)
def test_a_form_without_a_file_in_its_place(
    client: FlaskClient, parts: list[tuple[str, str]], status: int, wanted: str
) -> None:
    answer = client.post(
        "/v1/inspections", data=_form(*parts), content_type="multipart/form-data; boundary=B"
    )
    assert answer.status_code == status
    assert answer.get_json()["detail"].endswith(wanted)


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("/v1/kits/", "leave out the slash at its end."),
        ("/v1/shapes/hexagon/", "leave out the slash at its end."),
        ("/v1/kits/slipway", "GET /openapi.json lists all."),
        ("/v1/kit/", "GET /openapi.json lists all."),
    ],
)
def test_an_address_that_is_none(client: FlaskClient, path: str, words: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 404
    assert answer.get_json()["detail"] == f"No resource has this address; {words}"
