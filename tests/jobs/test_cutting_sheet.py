"""The sheet for cutting by hand, on paper or in a browser: amounts, sentences, drawings."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections import Counter
from typing import Any

import pytest

from tests.jobs import names
from tests.jobs.studio import Json, Studio
from tests.printed_words import printed_words, words_by_page

#: Quilts are computed in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

SVG = "{http://www.w3.org/2000/svg}"
TRIANGLES: Json = {
    "units": "in",
    "pieces": [
        {
            "id": "sail",
            "shape": {"kind": "triangle", "height": "1 3/4"},
            "seam_allowance": "1/4",
            names.QUANTITY: 104,
            "fabric": "tide",
        },
        {"id": "mast", "width": "3 1/2", "length": "3 1/2", names.QUANTITY: 20, "fabric": "sand"},
    ],
    "fabric": {"width": "24", "step": "1/8 yd"},
}
PLAN: Json = {
    "title": "Lamp room <star>",
    "units": "in",
    "tiling": "lone_star",
    "side": "2",
    "diamonds": 3,
    "quilt": {"width": "24", "length": "24"},
    "fabric": {"width": "42"},
}


ONE_STAR: Json = {**PLAN, "quilt": {"width": "20 1/2", "length": "20 1/2"}, "fit": "nearest"}


def _sheet(studio: Studio, path: str, body: Json, form: str) -> bytes:
    answer = studio.client.post(path, json=body, headers={"Accept": form})
    assert answer.status_code == 200, answer.get_data(as_text=True)[:500]
    assert answer.content_type.startswith(form)
    assert "Accept" in answer.headers["Vary"]
    return bytes(answer.data)


def _words(data: bytes) -> str:
    return printed_words(data)


def test_yardage_on_paper(studio: Studio) -> None:
    """15 triangles to a strip of 24 in: 7 strips of 2 1/2 in, 17 1/2 in: 1/2 yd, by 1/8 yd.

    Squares of 3 1/2 in: 6 to 24 in, 20 take 4 strips, 14 in: 1/2 yd (test_cutting_instructions
    works the triangles out).
    """
    words = _words(_sheet(studio, "/v1/yardage", TRIANGLES, "application/pdf"))
    page = _sheet(studio, "/v1/yardage", TRIANGLES, "text/html").decode()
    for sentence in (
        (
            "Cut 7 strips 2 1/2 in x width of fabric; from them 104 triangles, turned alternately, "
            "15 to a strip."
        ),
        "Cut 4 strips 3 1/2 in x width of fabric; from them 20 squares 3 1/2 in, 6 to a strip.",
        "17 1/2 in of fabric, 1/2 yd",
        "14 in of fabric, 1/2 yd",
        "guard",
        "local codes",
    ):
        assert sentence in words
        assert sentence in page
    # Cautions come before anything to be done.
    assert words.index("guard") < words.index("Cut 7 strips")


def test_each_fabric_has_its_drawing(studio: Studio) -> None:
    """15 triangles in one drawing, 6 squares in the other."""
    page = _sheet(studio, "/v1/yardage", TRIANGLES, "text/html").decode()
    drawings = []
    rest = page
    while "<svg" in rest:
        start, end = rest.index("<svg"), rest.index("</svg>") + 6
        root = ET.fromstring(rest[start:end])  # noqa: S314 - our own text
        drawings.append(sum(each.get("class") == "piece" for each in root.iter(f"{SVG}path")))
        rest = rest[end:]
    assert drawings == [15, 6]


def test_a_plan_on_paper(studio: Studio) -> None:
    """A star of 3 by 3 diamonds: rounds of 8, 16, 24, 16, 8 in order, with every sentence."""
    answer = studio.calculated("/v1/quilt-plans", PLAN)
    words = _words(_sheet(studio, "/v1/quilt-plans", PLAN, "application/pdf"))
    page = _sheet(studio, "/v1/quilt-plans", PLAN, "text/html").decode()
    assert "Lamp room &lt;star&gt;" in page
    for fabric in answer["materials"]["fabrics"]:
        for sentence in fabric["cutting"]["instructions"]:
            assert sentence in words
    assert answer["materials"]["backing"]["buy"] in words
    rounds = [page.index(f"<h2>round {number}</h2>") for number in range(1, 6)]
    assert rounds == sorted(rounds)


def test_the_same_plan_is_printed_the_same(studio: Studio) -> None:
    first = _sheet(studio, "/v1/quilt-plans", PLAN, "application/pdf")
    assert first == _sheet(studio, "/v1/quilt-plans", PLAN, "application/pdf")


@pytest.mark.parametrize(
    "piece",
    [
        pytest.param({"width": "2", "length": "300"}, marks=pytest.mark.long),
        {"width": "42", "length": "1/8"},
        pytest.param({"shape": {"kind": "triangle", "side": "40"}}, marks=pytest.mark.long),
    ],
)
def test_any_strip_fits_on_the_page(studio: Studio, piece: dict[str, Any]) -> None:
    """Strips far higher than a page, or as thin as a line, are drawn smaller, not refused."""
    many = [{**piece, "id": f"piece-{number}", names.QUANTITY: 3} for number in range(60)]
    body: Json = {"units": "in", "pieces": many, "fabric": {"width": "42"}}
    words = _words(_sheet(studio, "/v1/yardage", body, "application/pdf"))
    assert "piece-59" in words


def test_what_cannot_be_cut_is_a_problem_in_every_form(studio: Studio) -> None:
    body = {**TRIANGLES, "fabric": {"width": "1"}}
    for form in ("application/pdf", "text/html"):
        answer = studio.client.post("/v1/yardage", json=body, headers={"Accept": form})
        assert answer.status_code == 422
        assert answer.content_type == "application/problem+json"
    answer = studio.client.post("/v1/yardage", json=TRIANGLES, headers={"Accept": "image/png"})
    assert answer.status_code == 406


def test_a_plan_shows_the_quilt_and_its_letters(studio: Studio) -> None:
    """One star of 3 by 3 diamonds, drawn with a letter in each piece.

    Eight points of 3 x 3 diamonds are 72: the rounds have 8, 16, 24, 16 and 8. A point is 6 in
    long, the star 6 in x (2 + sqrt 2) = 20.49 in wide: 110 mm of room is 1 to 4.73, and a diamond
    of 50.8 mm is drawn 10.7 mm along its side: room for letters of 1.75 mm in all 72, and in the
    squares and triangles between the points.
    """
    page = _sheet(studio, "/v1/quilt-plans", ONE_STAR, "text/html").decode()
    words = _words(_sheet(studio, "/v1/quilt-plans", ONE_STAR, "application/pdf"))
    start = page.index("<svg")
    root = ET.fromstring(page[start : page.index("</svg>") + 6])  # noqa: S314 - our own text
    assert root.get("role") == "img"
    drawn = [each.text or "" for each in root.iter("text")]
    letters = Counter(each for each in drawn if each.isalpha() and len(each) == 1)
    pieces = studio.calculated("/v1/quilt-plans", ONE_STAR)["pieces"]
    assert letters == {each["id"]: each[names.QUANTITY] for each in pieces}
    in_rounds = sorted(letters[each["id"]] for each in pieces if each["colour"].startswith("round"))
    assert in_rounds == [8, 8, 16, 16, 24]
    # The legend names each fabric with its pieces, and the table each letter with its fabric.
    assert "round 3: 24" in drawn
    assert "round 3: 24" in words
    for each in pieces:
        assert f"{each['id']} " in words[words.index("Pieces of the quilt") :]
    assert "45-degree diamond side 2 in round 3 24" in words


BOARDS: Json = {
    "title": "Slipway class",
    "units": "in",
    "block": {
        "size": 4,
        "pieces": [
            {"points": [[0, 0], [4, 0], [4, 2], [0, 2]], "colour": "navy"},
            {"points": [[0, 2], [4, 2], [4, 4], [0, 4]], "colour": "cream"},
        ],
    },
    "quilt": {"width": 20, "length": 27},
    "kits": 6,
    "fabric": {"width": "42", "step": "1/8 yd"},
}


def test_a_fabric_s_list_is_on_one_page_and_a_size_is_warned_of_before_anything_is_cut(
    studio: Studio,
) -> None:
    """Six of 5 x 7 blocks of 4 in: 20 x 28 in, 3.7 % longer than 27, so there is a warning.

    210 of each rectangle of 2 1/2 x 4 1/2 in: 16 to a strip of 4 1/2 in, 9 to one of 2 1/2 in; 3 x
    16 + 18 x 9 = 210, 3 x 4 1/2 + 18 x 2 1/2 = 58 1/2 in, 13 eighths: 1 5/8 yd (24 strips of 2 1/2
    in are 60 in, 14 of 4 1/2 in 63 in).
    """
    data = _sheet(studio, "/v1/quilt-plans", BOARDS, "application/pdf")
    pages = words_by_page(data)
    whole = " ".join(pages)
    assert whole.index("27 in was requested") < whole.index("Pieces of the quilt")
    for page in pages:
        assert page.count("Straighten one end") == page.count("1 5/8 yd By ruler 58 1/2 in")
        assert page.count("Straighten one end") == page.count(
            "from them 162 rectangles 4 1/2 in by 2 1/2 in, 9 to a strip."
        )
    assert whole.count("Straighten one end") == 2
