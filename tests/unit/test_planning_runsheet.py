"""The printed sheets, read back by programs that did not write them."""

from __future__ import annotations

import functools
import html
import io
import re
from collections.abc import Mapping
from typing import Any

import pypdf
import pypdfium2
import pytest

from service.documents.cautions import GENERAL, cautions
from service.documents.preparation import preparation, remedies
from service.tools import BY_NAME
from service.tools.built_in import BUILT_IN
from tests import requested
from tests.printed_words import printed_words
from tests.short_form import short_form

#: What is looked at here does not depend on how full loads are.
pytestmark = pytest.mark.without_nester

HEXAGON = {
    "id": "A",
    "shape": {"kind": "hexagon", "side": "1"},
    "quantity": 84,
    "seam_allowance": "1/4",
}
CLAM = {"id": "B", "shape": {"kind": "clamshell", "width": "2"}, "quantity": 12}


def run(cut: str, cutter: str, kind: str = "card", **more: Any) -> dict[str, Any]:
    material = {"name": f"some {kind}", "kind": kind}
    return {"cut": cut, "cutter": cutter, "formats": ["plan"], "material": material, **more}


def request(units: str = "in", *runs: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {
        "title": "Slipway sampler",
        "units": units,
        "pieces": [HEXAGON, CLAM],
        "runs": list(runs) or [run("template", "drag-blade-sheet")],
        **more,
    }


def printed(body: dict[str, Any]) -> Mapping[str, bytes]:
    return requested.kit(body, BUILT_IN.get, read_back=False).files


KITS: dict[str, dict[str, Any]] = {
    "letter": request("in"),
    "a4": request("cm"),
    "hoop": request(
        "in",
        run("patch", "indexed-blade-hoop", "stiffened_fabric", pieces=[{"id": "A"}], layers=6),
    ),
    "laser": request("in", run("template", "laser-bed", "coated_paper", reuse=3)),
    "vinyl": request("in", run("template", "drag-blade-sheet", "vinyl")),
    "pen": request(
        "mm",
        run("template", "pen-sheet", "paper"),
        pieces=[
            {
                "id": "kite-of-a-rather-long-name",
                "shape": {"kind": "kite", "side": "40"},
                "quantity": 40,
                "seam_allowance": "6",
                "grain": "fixed",
            }
        ],
    ),
    "die": request("in", run("patch", "die-board", "fabric", layers=4)),
    "long title": request("in", title="A set for the harbour wall, " * 4),
    "odd letters": request("in", title='Größe <b>& "Ännchen" 青い'),
    "small": request(
        "mm", pieces=[{"id": "A", "shape": {"kind": "square", "side": "4"}, "quantity": 900}]
    ),
}


@functools.cache
def printed_kit(name: str) -> Mapping[str, bytes]:
    """Return the files of one of the kits, made once for all tests."""
    return printed(KITS[name])


#: Either paper's units, a tool that stops, one that does not, letters and sizes out of the usual.
SHORT = {"a4", "hoop", "die", "odd letters", "small"}


@pytest.fixture(scope="module", params=short_form(KITS, SHORT))
def files(request: pytest.FixtureRequest) -> Mapping[str, bytes]:
    return printed_kit(request.param)


def test_the_same_kit_gives_the_same_bytes() -> None:
    first, second = printed(KITS["letter"]), printed(KITS["letter"])
    for name in ("run-sheet.pdf", "run-sheet.html", "labels.pdf"):
        assert first[name] == second[name]
    assert not re.search(rb"D:20(?!00)\d\d", first["run-sheet.pdf"])


def test_the_paper_follows_the_units() -> None:
    sizes = {
        name: pypdf.PdfReader(io.BytesIO(printed_kit(name)["run-sheet.pdf"])).pages[0].mediabox
        for name in ("letter", "a4")
    }
    assert (sizes["letter"].width, sizes["letter"].height) == (612, 792)
    # ISO 216 in points: 210 / 25.4 x 72 and 297 / 25.4 x 72
    assert (float(sizes["a4"].width), float(sizes["a4"].height)) == pytest.approx(
        (595.276, 841.890), abs=1e-3
    )


def test_viewers_are_asked_not_to_scale(files: dict[str, bytes]) -> None:
    for name in ("run-sheet.pdf", "labels.pdf"):
        reader = pypdf.PdfReader(io.BytesIO(files[name]))
        assert reader.pdf_header == "%PDF-1.6"
        root: Any = reader.trailer["/Root"]
        assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_the_check_square_measures_what_is_said_beside_it(files: dict[str, bytes]) -> None:
    page = pypdf.PdfReader(io.BytesIO(files["run-sheet.pdf"])).pages[0]
    content = page.get_contents()
    assert content is not None
    # PDF: a user unit is 1/72 in; the square is a rectangle under an unscaled matrix.
    said = re.search(
        r"must measure (1 in|30 mm|3 cm) each way", " ".join(page.extract_text().split())
    )
    assert said is not None
    side = 72.0 if said[1] == "1 in" else 30.0 * 72.0 / 25.4
    # A page may be drawn smaller as a whole: the square is as large as all matrices make it.
    found, scales = [], [1.0]
    for args, op in content.operations:
        if op == b"q":
            scales.append(scales[-1])
        elif op == b"Q":
            scales.pop()
        elif op == b"cm":
            across, *skew, up = (float(each) for each in args[:4])
            assert across != up or skew == [0.0, 0.0]
            scales[-1] *= across
        elif op == b"re":
            found.append([scales[-1] * float(each) for each in args[2:]])
    squares = [each for each in found if each == pytest.approx([side] * 2, abs=1e-3)]
    assert len(squares) == 1


def letters(data: bytes) -> list[list[tuple[str, float, tuple[float, float, float, float]]]]:
    """Return each page's runs of text with their size and box, as another reader sees them."""
    pages = []
    document = pypdfium2.PdfDocument(data)
    for page in document:
        text = page.get_textpage()
        found = []
        for index in range(text.count_rects()):
            left, bottom, right, top = text.get_rect(index)
            words = text.get_text_bounded(left, bottom, right, top).strip()
            if words:
                found.append((words, top - bottom, (left, bottom, right, top)))
        pages.append(found)
    document.close()
    return pages


def test_nothing_is_printed_over_anything_else(files: dict[str, bytes]) -> None:
    for name in ("run-sheet.pdf", "labels.pdf"):
        for page in letters(files[name]):
            # Names inside the pieces of a load's picture are smaller and never wider than these.
            for index, (words, _, a) in enumerate(page):
                for others, _, b in page[index + 1 :]:
                    across = min(a[2], b[2]) - max(a[0], b[0])
                    along = min(a[3], b[3]) - max(a[1], b[1])
                    assert across < 1.0 or along < 1.0, (name, words, others)


def test_everything_is_inside_the_margins(files: dict[str, bytes]) -> None:
    for name in ("run-sheet.pdf", "labels.pdf"):
        size = pypdf.PdfReader(io.BytesIO(files[name])).pages[0].mediabox
        for page in letters(files[name]):
            for words, _, (left, bottom, right, top) in page:
                assert left >= 30, words
                assert bottom >= 20, words
                assert right <= float(size.width) - 30, words
                assert top <= float(size.height) - 20, words


def sizes_used(data: bytes) -> list[tuple[str, float]]:
    """Return pieces of text with the size they are set in; those of drawings are scaled."""
    found: list[tuple[str, float]] = []

    def visit(text: str, cm: list[float], tm: list[float], _font: Any, size: float) -> None:
        if text.strip():
            found.append((text.strip(), size * abs(tm[3]) * abs(cm[3])))

    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        page.extract_text(visitor_text=visit)
    return found


def test_letters_are_large_enough_to_read_at_a_bench(files: dict[str, bytes]) -> None:
    for text, size in sizes_used(files["run-sheet.pdf"]):
        if re.fullmatch(r"\d+ of .*", text) or "blade to " in text:
            # Nine tenths of 15 points where that saves a page.
            assert size >= 13.4, text
    small = {text for text, size in sizes_used(files["run-sheet.pdf"]) if size < 8.99}
    # Only a piece's id inside the picture of a load may be smaller, or the letter for a long one,
    # and the size of what is left of a sheet.
    names = {"A", "B", "a", "kite-of-a-rather-long-name"}
    others = {text for text in small if re.fullmatch(r"[\d ./x]+ (in|mm|cm)", text) is None}
    assert {word for text in others for word in text.split()} <= names
    assert all(size >= 10.0 for _, size in sizes_used(files["labels.pdf"]))


def test_what_is_said(files: dict[str, bytes]) -> None:
    flat = printed_words(files["run-sheet.pdf"])
    sides = [side for side in ("1 in", "30 mm", "3 cm") if f"must measure {side} each" in flat]
    assert len(sides) == 1
    assert "Make a test cut" in flat
    assert "If the test cut is wrong" in flat
    assert "The machine's own manual" in flat
    assert "page 1" in flat
    page = html.unescape(files["run-sheet.html"].decode())
    for caution in GENERAL:
        assert caution in page


def test_counts_and_sizes_are_told_in_fractions_and_exactly() -> None:
    both = request(
        "in",
        run("template", "drag-blade-sheet", effort="quick"),
        run("patch", "drag-blade-sheet", "stiffened_fabric", effort="quick"),
    )
    flat = printed_words(printed(both)["run-sheet.pdf"])
    # derived: 1 in hexagon with 1/4 in: 2.57735 across corners, 2.232051 across flats
    assert "about 2 9/16 x 2 7/32 in, exactly 2.5774 x 2.2321 in" in flat
    assert "Template 2 x 2 in" in flat
    assert "A 84" in flat


def test_a_blade_angle_is_words_degrees_and_a_dial() -> None:
    made = printed_kit("hoop")
    page = made["run-sheet.html"].decode()
    stops = re.findall(r"<li>.*?</li>", page)
    turned = [stop for stop in stops if "blade to " in stop]
    assert turned
    assert all("<svg" in stop and 'aria-label="dial' in stop for stop in turned)
    assert all(re.search(r"\((level|upright|rising)", stop) for stop in turned)


def test_text_of_a_request_is_never_markup() -> None:
    made = printed_kit("odd letters")
    page = made["run-sheet.html"].decode()
    assert "<title>Größe &lt;b&gt;&amp; &#34;Ännchen&#34; 青い</title>" in page
    first = pypdf.PdfReader(io.BytesIO(made["run-sheet.pdf"])).pages[0].extract_text()
    assert 'Größe <b>& "Ännchen"' in first


def test_every_piece_of_every_run_has_a_label() -> None:
    body = request(
        "in",
        run("template", "drag-blade-sheet", effort="quick"),
        run("patch", "laser-bed", "fabric", effort="quick"),
    )
    flat = printed_words(printed(body)["labels.pdf"])
    for said in ("84 templates", "12 templates", "84 patches", "12 patches"):
        assert said in flat
    one = run("template", "drag-blade-sheet", effort="quick")
    many = request("in", one, pieces=[{**CLAM, "id": f"P{number}"} for number in range(11)])
    assert len(pypdf.PdfReader(io.BytesIO(printed(many)["labels.pdf"])).pages) == 2


@pytest.mark.parametrize("material", ["paper", "card", "vinyl", "fabric", "other", "unheard of"])
@pytest.mark.parametrize("tool", [*("drag_blade", "indexed_blade", "laser"), "unheard of"])
def test_cautions_start_with_the_general_ones(tool: str, material: str) -> None:
    found = cautions(BY_NAME.get(tool), material)
    # What a laser should not cut unasked comes before everything else.
    doubtful = tool == "laser" and material in {"vinyl", "other", "unheard of"}
    at = found.index(GENERAL[0])
    assert at == (1 if doubtful else 0)
    assert tuple(found[at : at + len(GENERAL)]) == GENERAL
    assert len(set(found)) == len(found)
    if tool == "laser":
        assert any("Never leave a running laser" in line for line in found)
        assert any("vinyl" in line.lower() for line in found)
        assert any("interlock" in line for line in found)


def test_coated_paper_under_a_laser_tells_both_sides() -> None:
    # published, conflicting: one university lists it with settings, another forbids polyethylene
    (line,) = [
        line for line in cautions(BY_NAME["laser"], "coated_paper") if "polyethylene" in line
    ]
    assert "owner allows" in line
    assert "forbid" in line
    assert "safe" not in line


def test_vinyl_under_a_laser_starts_with_its_data_sheet() -> None:
    first = preparation(BY_NAME["laser"], "vinyl")[0]
    assert "safety data sheet" in first
    assert "DO NOT CUT" in first
    assert len(preparation(BY_NAME["drag_blade"], "vinyl")) > 1


def test_preparation_follows_layers_grain_and_reuse() -> None:
    found = " ".join(
        preparation(
            BY_NAME["drag_blade"],
            "fabric",
            layers=3,
            stack="face_to_face",
            kept_straight=["A", "B"],
            reuse=4,
        )
    )
    assert "Stack 3 layers, in pairs, right sides together" in found
    assert "A, B may not be turned freely" in found
    assert "used 4 times" in found
    assert remedies(None)
    assert preparation(None, "unheard of") == ()


def test_places_to_keep_clear_of_are_drawn_on_both_sheets() -> None:
    bed = {"width": 160, "height": 120, "keep_out": [[[60, 40], [100, 40], [100, 80], [60, 80]]]}
    cutter = {"tool": {"kind": "pen"}, "bed": bed}
    kept = request("mm", {"cut": "template", "cutter": cutter, "formats": ["plan"]})
    bare = cutter | {"bed": bed | {"keep_out": []}}
    free = request("mm", {"cut": "template", "cutter": bare, "formats": ["plan"]})
    for body in (kept, free):
        body["pieces"] = [{"id": "A", "shape": {"kind": "hexagon", "side": 12}, "quantity": 4}]
    with_it, without = printed(kept), printed(free)
    obstacle = re.compile(r'<path d="M60 40[^"]*" fill="#b9b3a4"')
    assert obstacle.search(with_it["run-sheet.html"].decode())
    assert not obstacle.search(without["run-sheet.html"].decode())
    # The obstacle is a 40 mm square; so is what a pen without margins keeps clear of round it.
    assert squares_of(without["run-sheet.pdf"], 40.0) == 0
    assert squares_of(with_it["run-sheet.pdf"], 40.0) == 2


def squares_of(pdf: bytes, side: float) -> int:
    """Count closed paths of four right-angled lines of one length, in the drawing's own mm."""
    contents = [page.get_contents() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages]
    text = b"\n".join(each.get_data() for each in contents if each is not None).decode("latin-1")
    number = r"(-?[\d.]+)"
    found = re.findall(
        rf"{number} {number} m {number} {number} l {number} {number} l {number} {number} l", text
    )
    boxes = [
        (max(xs) - min(xs), max(ys) - min(ys))
        for xs, ys in (([*map(float, row[0::2])], [*map(float, row[1::2])]) for row in found)
    ]
    return sum(box == (side, side) for box in boxes)
