"""The pages of a drawn block: read by pdfium, against a block that is worked by hand."""

from __future__ import annotations

import re
from typing import Any

import pypdfium2
import pytest
from pypdfium2 import raw

from tests.jobs.studio import Json, Studio
from tests.roundtrip.pdfium_paths import ring

#: Drawings are read in children; here their code is measured.
pytestmark = pytest.mark.usefixtures("in_process")

PDF = {"Accept": "application/pdf"}
#: 120 x 120 mm: a rectangle of 80 x 120 on the left, two of 40 x 60 on the right.
BLOCK: Json = {
    "title": "Lifeboat shed",
    "units": "mm",
    "seam_allowance": 6,
    "outer_allowance": 10,
    "paths": [
        {"points": [[0, 0], [80, 0], [80, 120], [0, 120]], "closed": True, "fabric": "sand"},
        {"points": [[80, 60], [120, 60], [120, 120], [80, 120]], "closed": True, "fabric": "tide"},
        {"points": [[80, 0], [120, 0], [120, 60], [80, 60]], "closed": True, "fabric": "foam"},
    ],
}


def _pages(studio: Studio, body: Json) -> Any:
    answer = studio.client.post("/v1/blocks", json=body, headers=PDF)
    assert answer.status_code == 200, answer.get_data(as_text=True)[:500]
    assert answer.content_type == "application/pdf"
    assert "Accept" in answer.headers["Vary"]
    return pypdfium2.PdfDocument(answer.data)


@pytest.fixture(scope="module")
def pages(studio: Studio) -> Any:
    """Return the pages of the block."""
    return _pages(studio, BLOCK)


def _text(page: Any) -> str:
    return " ".join(page.get_textpage().get_text_range().split())


def _page(pages: Any, heading: str) -> Any:
    (found,) = [page for page in pages if heading in _text(page)]
    return found


def _boxes(page: Any) -> list[tuple[float, float, float, float]]:
    """Return left, bottom, width and height of each path on a page, mm of the paper."""
    found = []
    for thing in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH]):
        a, b, c, d, e, f = thing.get_matrix().get()
        shift = (e * 25.4 / 72, f * 25.4 / 72)
        points = [(a * x + c * y + shift[0], b * x + d * y + shift[1]) for x, y in ring(thing)]
        xs, ys = zip(*points, strict=True)
        found.append((min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)))
    return found


def _sized(page: Any, width: float, height: float) -> list[tuple[float, float]]:
    """Return the lower left corners of the paths of a size, mm."""
    return [
        (left, bottom)
        for left, bottom, wide, high in _boxes(page)
        if (wide, high) == pytest.approx((width, height), abs=0.02)
    ]


def _places(page: Any, texts: list[str]) -> dict[str, tuple[float, float]]:
    """Return where texts stand, points."""
    found = {}
    words = page.get_textpage()
    for text in texts:
        index, _ = words.search(text, match_case=True).get_next()
        left, bottom, right, top = words.get_charbox(index)
        found[text] = ((left + right) / 2, (bottom + top) / 2)
    return found


def test_the_foundation_is_mirrored_and_at_true_size(pages: Any) -> None:
    """One section of three pieces. Round it all edges are the block's: 120 + 2 x 10 = 140 mm.

    Mirrored, the rectangle of 80 mm lies on the right: its left edge is 40 mm right of the others'.
    """
    page = _page(pages, "Foundation of section 1, mirrored")
    assert "Sew in this order" in _text(page)
    ((around_x, around_y),) = _sized(page, 140.0, 140.0)
    ((large, _),) = _sized(page, 80.0, 120.0)
    small = _sized(page, 40.0, 60.0)
    assert [x for x, _ in small] == pytest.approx([around_x + 10.0] * 2, abs=0.02)
    assert large == pytest.approx(around_x + 50.0, abs=0.02)
    assert sorted(y for _, y in small) == pytest.approx(
        [around_y + 10.0, around_y + 70.0], abs=0.02
    )
    places = _places(page, ["A1 sand", "B1 tide", "B2 foam"])
    assert places["A1 sand"][0] > places["B1 tide"][0]
    assert places["B1 tide"][1] > places["B2 foam"][1]


def test_templates_lie_as_in_the_block(pages: Any) -> None:
    """At finished size, not mirrored: 80 x 120 and twice 40 x 60, each with name and fabric."""
    page = _page(pages, "Templates at finished size")
    assert len(_sized(page, 80.0, 120.0)) == 1
    assert len(_sized(page, 40.0, 60.0)) == 2
    for name in ("A1", "B1", "B2", "sand", "tide", "foam"):
        assert name in _text(page)


def test_pieces_with_their_allowances(pages: Any) -> None:
    """A: 80 + 10 + 6 by 120 + 2 x 10: 96 x 140 mm. B: 40 + 6 + 10 by 60 + 10 + 6: 56 x 76 mm.

    All are drawn by one factor, so the sizes keep their ratio.
    """
    boxes = [(w, h) for _, _, w, h in _boxes(_page(pages, "Pieces with their allowances"))]
    scale = max(h for _, h in boxes) / 140.0
    assert scale <= 1.0 + 1e-6
    sizes = [(w / scale, h / scale) for w, h in boxes]
    for size, count in (((96, 140), 1), ((56, 76), 2), ((80, 120), 1), ((40, 60), 2)):
        assert sum(each == pytest.approx(size, abs=0.05) for each in sizes) == count, size


def test_what_the_pages_say(studio: Studio, pages: Any) -> None:
    """Cautions first; the check square of 30 mm; the order as in the JSON answer."""
    first = _text(pages[0])
    assert first.index("Cautions") < first.index("Check this print first")
    assert _sized(pages[0], 30.0, 30.0)
    assert "Seam allowance 6 mm, 10 mm at the block's edge" in first
    answer = studio.calculated("/v1/blocks", BLOCK)
    (section,) = answer["sewing"]["sections"]
    words = _text(_page(pages, "How the block is sewn"))
    assert f"Section 1, on a foundation: {', '.join(section['pieces'])}, in this order." in words
    assert "local codes" in first


def test_a_large_block_goes_over_several_pages(studio: Studio) -> None:
    """24 in and two allowances of 1/4 are 622.3 mm; pages overlap by 12 mm.

    A letter page has 185.7 x 216.7 mm for it: (622.3 - 12) / (185.7 - 12) = 3.51, 4 columns, and
    (622.3 - 12) / (216.7 - 12) = 2.98, 3 rows.
    """
    body = {
        **BLOCK, "units": "in", "seam_allowance": "1/4", "outer_allowance": "1/4",
        "finished_width": "24",
        "paths": [{**path, "fabric": "sand"} for path in BLOCK["paths"]],
    }  # fmt: skip
    pages = _pages(studio, body)
    parts = [page for page in pages if "Foundation of section 1" in _text(page)]
    assert len(parts) == 12
    assert "Column 1 of 4, row 1 of 3" in _text(parts[0])
    assert {(round(p.get_width()), round(p.get_height())) for p in pages} == {(612, 792)}


def test_numbers_stand_clear_of_overlaps(studio: Studio) -> None:
    """Three squares of 100 mm and two allowances of 10 make 320 x 120 mm.

    A4 has 179.9 x 237.4 mm for it. As drawn 320 mm take two columns; turned by a quarter they take
    two rows, no fewer, so it stays. Each page shows (320 + 12) / 2 = 166 mm, and the overlap of 12
    mm lies in the middle square, which shows (100 - 12) / 2 = 44 mm of itself alone on both pages:
    its number stands there on both, those of the others on one. On each page the middle square's
    part begins 10 + 100 mm from the outer edge, so its number stands 110 + 22 = 132 mm from it and
    34 mm from the page's cut edge.
    """
    squares = [
        {"points": [[x, 0], [x + 100, 0], [x + 100, 100], [x, 100]], "closed": True, "fabric": name}
        for x, name in ((0, "sand"), (100, "tide"), (200, "foam"))
    ]
    pages = _pages(studio, {**BLOCK, "paths": squares})
    one, two = (page for page in pages if "Foundation of section 1" in _text(page))
    assert "Turned" not in _text(one)
    # Mirrored: the third square lies on the left.
    for page, shown, hidden in ((one, "A3 foam", "A1 sand"), (two, "A1 sand", "A3 foam")):
        assert shown in _text(page)
        assert hidden not in _text(page)
        assert "A2 tide" in _text(page)
        apart = abs(_middle(page, "A2 tide") - _middle(page, shown))
        assert apart == pytest.approx(72.0, abs=1.0)


def test_a_page_that_shows_nothing_of_its_own_is_left_out(studio: Studio) -> None:
    """Half of a square of 600 mm, in two triangles, without allowances.

    On A4 there are ceil(588 / 167.9) = 4 columns and ceil(588 / 225.4) = 3 rows of 159 x 208 mm,
    147 x 196 mm from each to the next; turned by a quarter as many. The right angle is at the lower
    left, mirrored at the lower right. Counted from the right, the page at column c and row r begins
    147 (c - 1) mm from the right and ends 196 (r - 1) + 208 mm from the top: it lies outside where
    147 (c - 1) > 196 (r - 1) + 208. So in row 1 for c of 3 and 4 (294, 441 > 208), in row 2 for
    4 (441 > 404), in row 3 never: 12 - 3 = 9 pages. From the left, those are columns 2, 1, and 1.
    """
    rows = [[[0, 0], [600, 0], [300, 300]], [[0, 0], [300, 300], [0, 600]]]
    paths = [{"points": row, "closed": True} for row in rows]
    body = {**BLOCK, "seam_allowance": 0, "outer_allowance": 0, "paths": paths}
    pages = [_text(page) for page in _pages(studio, body)]
    found = [text for text in pages if "Foundation of section 1" in text]
    missing = {f"Column {c} of 4, row {r} of 3" for c, r in ((2, 1), (1, 1), (1, 2))}
    assert len(found) == 9
    assert not [each for each in missing for text in found if each in text]


def _middle(page: Any, text: str) -> float:
    """Return the middle of a text from the left edge of the paper, mm."""
    words = page.get_textpage()
    index, count = words.search(text, match_case=True).get_next()
    left, right = words.get_charbox(index)[0], words.get_charbox(index + count - 1)[2]
    return float(left + right) / 2 * 25.4 / 72


def test_a_foundation_is_turned_where_it_takes_fewer_pages(studio: Studio) -> None:
    """Two squares of 100 mm and two allowances of 10: 220 x 120 mm, one page of A4 if turned.

    Mirrored, the second square lies on the left; turned counter-clockwise by a quarter, below.
    """
    squares = [
        {"points": [[x, 0], [x + 100, 0], [x + 100, 100], [x, 100]], "closed": True, "fabric": name}
        for x, name in ((0, "sand"), (100, "tide"))
    ]
    page = _page(_pages(studio, {**BLOCK, "paths": squares}), "Foundation of section 1, mirrored")
    assert "Turned by a quarter" in _text(page)
    assert len(_sized(page, 120.0, 220.0)) == 1
    places = _places(page, ["A1 sand", "A2 tide"])
    assert places["A1 sand"][1] - places["A2 tide"][1] == pytest.approx(100 * 72 / 25.4, abs=1.0)


def test_the_same_block_is_printed_the_same(studio: Studio) -> None:
    one, two = (studio.client.post("/v1/blocks", json=BLOCK, headers=PDF).data for _ in range(2))
    assert one == two
    other = pypdfium2.PdfDocument(
        studio.client.post("/v1/blocks", json={**BLOCK, "paper": "letter"}, headers=PDF).data
    )
    assert (round(other[0].get_width()), round(other[0].get_height())) == (612, 792)


def test_a_block_with_an_island_has_templates_and_no_foundation(studio: Studio) -> None:
    island = {"points": [[20, 20], [50, 20], [50, 50], [20, 50]], "closed": True, "fabric": "foam"}
    pages = _pages(studio, {**BLOCK, "paths": [*BLOCK["paths"], island]})
    words = " ".join(_text(page) for page in pages)
    assert "Foundation of section" not in words
    assert "no order of sewing" in words
    assert "Templates at finished size" in words


def test_too_much_to_print_is_refused(studio: Studio) -> None:
    """15 x 15 squares are 225 pieces; 3 m on letter takes more than 300 pages."""
    grid = [
        {"points": [[x, y], [x + 10, y], [x + 10, y + 10], [x, y + 10]], "closed": True}
        for x in range(0, 150, 10)
        for y in range(0, 150, 10)
    ]
    for body, pointer in (
        ({"units": "mm", "paths": grid}, "#/paths"),
        ({**BLOCK, "finished_width": 3000}, "#/finished_width"),
    ):
        answer = studio.client.post("/v1/blocks", json=body, headers=PDF)
        assert answer.status_code == 422
        assert [each["pointer"] for each in answer.get_json()["errors"]] == [pointer]
    assert studio.client.post("/v1/blocks", json={"units": "mm", "paths": grid}).status_code == 200


def test_rubbish_is_a_problem_in_this_form_too(studio: Studio) -> None:
    changes: list[Json] = [
        {"paper": "foolscap"},
        {"paths": []},
        {"paths": [{"points": [[0, 0], [9, 9]]}]},
    ]
    for change in changes:
        answer = studio.client.post("/v1/blocks", json={**BLOCK, **change}, headers=PDF)
        assert answer.status_code == 422
        assert answer.content_type == "application/problem+json"


def test_small_foundations_share_pages(studio: Studio) -> None:
    """A double nine patch of 9 in has 15 sections of several pieces; on letter, by hand:

    With 1/4 in all round, four have a large square: three are 4 1/2 x 3 1/2 in (L), one 3 1/2 x
    4 1/2 (T); nine are columns of three squares, 1 1/2 x 3 1/2 (V), two are rows, 3 1/2 x 1 1/2
    (H). A page has 7.31 x 8.53 in; between them, and for the line above each, 5 mm, 0.2 in. T V V
    is 6.9 in wide and 4.7 high, L V 6.2 and 3.7 (three times), V V V V 6.6 and 3.7, H H 7.2 and
    1.7. Pages: 4.7 + 0.2 + 1.7 = 6.6 in; 3.7 + 0.2 + 3.7 = 7.6 in, twice: 3 pages, not 15.
    """
    body = {"block": "double-nine-patch", "finished_width": "9 in", "units": "in"}
    texts = [_text(page) for page in _pages(studio, body)]
    assert not any("Foundation of section" in text for text in texts)
    found = [text for text in texts if "Foundations of sections" in text]
    assert len(found) == 3
    heads = [text.split("Foundations of sections")[1].split("mirrored")[0] for text in found]
    listed = [int(number) for head in heads for number in re.findall(r"[0-9]+", head)]
    assert sorted(listed) == list(range(1, 16))
    # Each section has its label and every piece its name once.
    labels = [int(number) for text in found for number in re.findall(r"Section ([0-9]+)", text)]
    assert sorted(labels) == list(range(1, 16))
    names = re.findall(r"\b[AB][0-9]+ (?:dark|light)", " ".join(found))
    assert len(names) == 49
    assert len(set(names)) == 49
