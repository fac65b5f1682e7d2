"""What an inspection says of real drawings: nothing that is not so, and where it stops.

Sizes are worked by hand: a CSS pixel is 1/96 in (W3C, CSS Values and Units Level 3, 6.2).
"""

from __future__ import annotations

import io
from typing import Any

import pytest
from flask.testing import FlaskClient

INCH = 25.4


def svg(body: str, size: str = 'width="200mm" height="200mm" viewBox="0 0 200 200"') -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" {size}>{body}</svg>'


def sent(client: FlaskClient, drawing: str, **form: str) -> Any:
    file = (io.BytesIO(drawing.encode()), "drawing")
    return client.post("/v1/inspections", data={**form, "file": file})


def found(client: FlaskClient, drawing: str, **form: str) -> dict[str, Any]:
    answer = sent(client, drawing, **form)
    assert answer.status_code == 200, answer.get_data(as_text=True)
    payload: dict[str, Any] = answer.get_json()
    return payload


def refused(client: FlaskClient, drawing: str, **form: str) -> str:
    answer = sent(client, drawing, **form)
    assert answer.status_code == 422
    return str(answer.get_json()["detail"])


BLOCK = (
    '<path d="M40 40H80V80H40Z"/><path d="M40 40L60 0L80 40Z"/><path d="M40 80L60 120L80 80Z"/>'
    '<path d="M40 40L0 60L40 80Z"/><path d="M80 40L120 60L80 80Z"/>'
    '<path d="M0 0H60L40 40L0 60Z"/><path d="M120 0H60L80 40L120 60Z"/>'
    '<path d="M0 120H60L40 80L0 60Z"/><path d="M120 120H60L80 80L120 60Z"/>'
)


def test_pieces_side_by_side_are_not_inside_each_other(client: FlaskClient) -> None:
    payload = found(client, svg(BLOCK))
    assert [each["inside"] for each in payload["outlines"]] == [None] * 9
    assert payload["allowances"] == []
    assert sorted(map(len, payload["groups"])) == [1, 4, 4]


def test_a_hole_in_a_piece_is_no_template(client: FlaskClient) -> None:
    payload = found(client, svg('<rect width="60" height="60"/><circle cx="30" cy="30" r="5"/>'))
    assert [each["inside"] for each in payload["outlines"]] == [None, 0]
    assert payload["allowances"] == []


def test_one_line_drawn_twice_is_no_allowance(client: FlaskClient) -> None:
    payload = found(client, svg('<rect width="60" height="60"/>' * 2))
    assert payload["allowances"] == []
    assert payload["duplicate_lines"]


def test_an_orange_peel_is_a_petal(client: FlaskClient) -> None:
    # Two quarter circles of 2 in about opposite corners of a 2 in square.
    size = 2 * INCH
    arc = f"A{size} {size} 0 0 1"
    peel = f'<path d="M10 10 {arc} {10 + size} {10 + size} {arc} 10 10Z"/>'
    (each,) = found(client, svg(peel))["outlines"]
    assert each["nearest"]["kind"] == "petal"
    assert each["nearest"]["parameter"] == "square"
    assert each["nearest"]["size_mm"] == pytest.approx(size)


def test_a_peel_of_split_arcs_is_one_too(client: FlaskClient) -> None:
    # Each quarter circle of radius 50 as two eighths: the middle lies at 45 degrees.
    r, m = 50.0, 50.0 * 0.5**0.5
    peel = (
        f'<path d="M0 0 A{r} {r} 0 0 1 {m} {r - m} A{r} {r} 0 0 1 {r} {r} '
        f'A{r} {r} 0 0 1 {r - m} {m} A{r} {r} 0 0 1 0 0Z"/>'
    )
    (each,) = found(client, svg(peel))["outlines"]
    assert each["nearest"]["kind"] == "petal"


def test_pixels_may_be_stated(client: FlaskClient) -> None:
    size = 'width="816" height="1056" viewBox="0 0 816 1056"'
    square = svg('<rect width="96" height="96"/>', size)
    assert '"px"' in refused(client, square)
    (each,) = found(client, square, units="px")["outlines"]
    assert each["width_mm"] == pytest.approx(INCH)
    assert each["nearest"]["size_mm"] == pytest.approx(INCH)


@pytest.mark.parametrize("size", [29.3294, 37.6, 41.23, 58.73, 152.4, 203.27, 301.61])
def test_one_odd_size_is_no_mistake_of_units(client: FlaskClient, size: float) -> None:
    payload = found(client, svg(f'<rect width="{size}" height="{size}"/>'))
    assert payload["warnings"] == []


def test_sizes_across_count_as_plain(client: FlaskClient) -> None:
    # Hexagons 2 in and 1 1/2 in across flats: their sides are no plain sizes.
    bodies = []
    for across, x in ((2.0, 50), (1.5, 130)):
        side, flat = across * INCH / 3**0.5, across * INCH / 2
        corners = [(side, 0), (side / 2, flat), (-side / 2, flat), (-side, 0)]
        corners += [(-side / 2, -flat), (side / 2, -flat)]
        bodies.append("".join(f"{x + a:.6f},{60 + b:.6f} " for a, b in corners))
    payload = found(client, svg("".join(f'<polygon points="{body}"/>' for body in bodies)))
    assert payload["warnings"] == []


def test_what_draws_no_outline_is_skipped_and_listed(client: FlaskClient) -> None:
    body = (
        '<metadata><x/></metadata><text x="1">Hi</text><text>you</text>'
        '<image href="file:///etc/passwd"/><rect width="60" height="60"/>'
    )
    payload = found(client, svg(body))
    assert len(payload["outlines"]) == 1
    assert payload["skipped"] == [
        {"element": "metadata", "count": 1},
        {"element": "text", "count": 2},
        {"element": "image", "count": 1},
    ]


DXF = (
    "0\nSECTION\n2\nENTITIES\n0\nTEXT\n8\nwords\n10\n0\n20\n0\n40\n5\n1\nhello\n"
    "0\nCIRCLE\n8\nholes\n10\n8\n20\n1\n40\n0.5\n{more}0\nENDSEC\n0\nEOF\n"
)


def test_dxf_text_is_skipped_and_missing_blocks_refused_with_their_place(
    client: FlaskClient,
) -> None:
    payload = found(client, DXF.format(more=""), units="in")
    assert payload["skipped"] == [{"element": "TEXT", "count": 1}]
    assert payload["outlines"][0]["nearest"]["size_mm"] == pytest.approx(INCH)
    block = "0\nINSERT\n5\nAB\n8\nkites\n2\nK\n10\n0\n20\n0\n"
    detail = refused(client, DXF.format(more=block), units="in")
    assert "INSERT" in detail
    assert "kites" in detail


@pytest.mark.parametrize(
    ("body", "place"),
    [
        ('<path id="sail" d="M0 0 L1 abc Z"/>', '<path id="sail">'),
        ('<path d="M0 0h9v9z"/><path d="M0 0 L1 abc Z"/>', "<path> number 2"),
        ('<g><rect width="5q5" height="3"/></g>', "<rect> number 1"),
        ('<g><rect width="5em" height="3"/></g>', "<rect> number 1"),
        ('<rect width="-5" height="3"/>', "<rect> number 1"),
        ('<polygon points="0,0 10,0 10"/>', "<polygon> number 1"),
        ('<polygon points="0,0 10,o 10,10"/>', "<polygon> number 1"),
        ('<polyline id="p" points="0,0 10,0;10,10"/>', '<polyline id="p">'),
        ('<circle id="c" r="3" transform="rotate(3x)"/>', '<circle id="c">'),
        ('<circle id="c" r="3" transform="rotate(30, 5)"/>', '<circle id="c">'),
        ('<circle id="c" r="3" transform="scale(2"/>', '<circle id="c">'),
        ('<circle id="c" r="3" style="transform: translate(3, 4)"/>', '<circle id="c">'),
        ('<circle id="c" r="3" style="transform: rotate3d(1,1,1,45deg)"/>', '<circle id="c">'),
        ('<circle id="c" r="3" transform="wobble(3)"/>', '<circle id="c">'),
        ('<use href="other.svg#a"/>', "<use> number 1"),
        ('<use id="u" href="#u"/>', "<use"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(
    client: FlaskClient, body: str, place: str
) -> None:
    assert place in refused(client, svg(body))


def test_copies_and_round_corners_are_read(client: FlaskClient) -> None:
    body = '<rect id="a" x="5" y="5" width="40" height="30" rx="10"/><use href="#a" x="60" y="7"/>'
    payload = found(client, svg(body))
    assert len(payload["outlines"]) == 2
    for each in payload["outlines"]:
        # 40 by 30 less four corners: (4 - pi) r2.
        assert each["area_mm2"] == pytest.approx(1200 - (4 - 3.14159265) * 100, abs=1e-3)
        assert each["width_mm"] == pytest.approx(40)
    lefts = sorted(min(x for x, _, _ in each["points"]) for each in payload["outlines"])
    assert lefts == pytest.approx([5, 65])


def test_lines_that_cross_give_a_hint(client: FlaskClient) -> None:
    frame = '<rect width="60" height="60"/>'
    lines = '<line x1="0" y1="0" x2="60" y2="60"/><line x1="60" y1="0" x2="0" y2="60"/>'
    payload = found(client, svg(frame + lines))
    assert any("Lines cross or meet" in text for text in payload["warnings"])
    assert found(client, svg(frame + '<line x1="80" y1="0" x2="90" y2="5"/>'))["warnings"] == []


def test_a_path_that_all_but_closes_is_named(client: FlaskClient) -> None:
    payload = found(client, svg('<path id="sail" d="M0 0H40V40H0V0.2"/>'))
    (warning,) = payload["warnings"]
    assert "sail" in warning
    assert "0.200 mm" in warning


def test_a_circle_of_curves_is_a_circle(client: FlaskClient) -> None:
    k = 48 * 0.5522847
    curve = (
        f'<path d="M148 100C148 {100 + k} {100 + k} 148 100 148S52 {100 + k} 52 100'
        f'S{100 - k} 52 100 52S148 {100 - k} 148 100Z"/>'
    )
    (each,) = found(client, svg(curve))["outlines"]
    assert each["nearest"]["kind"] == "circle"
    assert each["nearest"]["size_mm"] == pytest.approx(96, rel=1e-3)
