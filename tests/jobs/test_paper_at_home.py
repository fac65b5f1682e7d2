"""Templates printed at home: the paper is the cutter, pieces lie whole, one of them is joined."""

from __future__ import annotations

from typing import Any

import pytest

from tests.jobs import foreign
from tests.jobs.studio import Studio

PIECES: list[dict[str, Any]] = [
    {"id": "SAIL", "shape": {"kind": "rectangle", "width": 120, "height": 400}, "quantity": 1},
    {"id": "SQ", "shape": {"kind": "square", "side": 80}, "quantity": 12},
]


def request(pieces: list[dict[str, Any]], **cutter: Any) -> dict[str, Any]:
    return {
        "title": "Sails on the kitchen table",
        "units": "mm",
        "pieces": pieces,
        "runs": [
            {
                "cut": "template",
                "cutter": {"tool": {"kind": "pen"}, "paper": "a4", **cutter},
                "formats": ["pdf"],
                "material": {"name": "paper", "kind": "paper"},
                "gap": 0,
                "effort": "quick",
            }
        ],
    }


def test_squares_on_pages_of_their_own(studio: Studio) -> None:
    """A4 less 6.35 mm all round is 197.3 x 284.3: 2 x 3 squares of 80, so twelve are 2 pages.

    A load is a page, and both are alike: one load cut twice, its file a check page and a page. The
    check page is printed once: three sheets.
    """
    kit = studio.kit(request([PIECES[1]]))
    (load,) = kit.run().loads
    assert (load.outlines, load.repeats) == ({"SQ": 6}, 2)
    data = load.file("pdf")
    assert len(foreign.pdf_pages_mm(data)) == 2
    assert all(
        sorted(each) == pytest.approx([210.0, 297.0], abs=0.1)
        for each in foreign.pdf_pages_mm(data)
    )
    squares = [each for each in foreign.cells(foreign.pdf(data, 1)) if each.area > 100.0]
    assert [each.area for each in squares] == pytest.approx([6400.0] * 6, abs=1.0)
    assert kit.sheet.says("3 sheets of paper", "100 %")


def test_a_piece_too_large_says_how_it_is_joined(studio: Studio) -> None:
    problem = studio.refused(request(PIECES))
    assert problem["type"] == "/problems#does-not-fit"
    assert problem["piece"] == "SAIL"
    assert "pages_down" in problem["detail"] + str(problem["errors"])


def test_a_sail_of_two_pages_and_squares_that_lie_whole(studio: Studio) -> None:
    """Two pages down with 10 mm shared: 284.3 + 274.3 = 558.6 mm, the sail of 400 has room.

    It takes 2 of the pages; whatever lies whole beside it is on them. On every page each square
    is whole: 320 mm of line and 6400 mm2, never a part.
    """
    kit = studio.kit(request(PIECES, pages_across=2, pages_down=2))
    run = kit.run()
    assert run.total("SAIL") == (1, 1, 0)
    assert run.total("SQ") == (12, 12, 0)
    squares = 0
    for load in run.loads:
        data = load.file("pdf")
        text = foreign.pdf_text(data)
        if "SAIL" in load.outlines:
            assert "larger than a page: SAIL" in text
            assert kit.sheet.says("join pages 1 and 2 for SAIL", "larger than a page")
        for page in range(1, len(foreign.pdf_pages_mm(data))):
            for cell in foreign.cells(foreign.pdf(data, page)):
                if cell.area == pytest.approx(6400.0, abs=1.0):
                    squares += load.repeats
    assert squares >= 12


@pytest.mark.parametrize(
    ("cutter", "pointer"),
    [
        ({"bed": {"width": 100, "height": 100}}, "#/runs/0/cutter/paper"),
        ({"paper": "a5"}, "#/runs/0/cutter/paper"),
        ({"tool": {"kind": "laser"}}, "#/runs/0/cutter/paper"),
        ({"pages_across": 0}, "#/runs/0/cutter/pages_across"),
    ],
)
def test_rubbish_is_refused(studio: Studio, cutter: dict[str, Any], pointer: str) -> None:
    problem = studio.refused(request([PIECES[1]], **cutter))
    assert pointer in [each["pointer"] for each in problem["errors"]]


def test_pages_need_paper(studio: Studio) -> None:
    body = request([PIECES[1]])
    body["runs"][0]["cutter"] = {
        "tool": {"kind": "pen"},
        "bed": {"width": 200, "height": 200},
        "pages_down": 2,
    }
    problem = studio.refused(body)
    assert [each["pointer"] for each in problem["errors"]] == ["#/runs/0/cutter/pages_down"]
    del body["runs"][0]["cutter"]["bed"], body["runs"][0]["cutter"]["pages_down"]
    problem = studio.refused(body)
    assert [each["pointer"] for each in problem["errors"]] == ["#/runs/0/cutter"]


@pytest.mark.parametrize(("count", "sheets"), [(3, 3), (5, 4)])
def test_wedges_that_have_room_on_a_page_are_not_joined(
    studio: Studio, count: int, sheets: int
) -> None:
    """A wedge of 30 degrees and 240 mm is 480 sin 15 = 124.2 mm wide: it has room on 197.3 x 284.3.

    Head to tail the second takes 240 sin 15 = 62.1 mm more and a little for its round end: two to a
    page at most. Three are two pages, five three, and a check page; nothing is joined.
    """
    wedge = {"kind": "wedge", "wedges": 12, "radius": 240}
    body = request([{"id": "W", "shape": wedge, "quantity": count}], pages_across=2)
    kit = studio.kit(body)
    assert kit.run().total("W") == (count, count, 0)
    assert kit.sheet.says(f"{sheets} sheets of paper")
    assert kit.sheet.is_silent_about("join pages", "larger than a page")
    assert "join" not in kit.warnings
