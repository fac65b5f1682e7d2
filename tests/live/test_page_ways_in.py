"""The page's ways in: drawings, blocks, cutters of other forms, G-code, questions, saved kits.

One server and one browser for the module. Expected numbers are worked by hand beside their checks.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import requests
from pypdf import PdfReader

from tests.live.chromium import chromium
from tests.live.conftest import Server
from tests.live.page_browser import PageBrowser

pytestmark = [pytest.mark.chromium, pytest.mark.timeout(1800)]
#: A square with both diagonals, one of which ends 0.2 mm short of the corner.
_BLOCK = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="120mm"
viewBox="0 0 120 120">
<path d="M0 0H120V120H0Z" fill="#f4e8cd"/><path d="M0 120H120L60 60Z" fill="#336699"/>
<path d="M0 0L119.8 119.8M120 0L0 120" fill="none" stroke="#000"/></svg>"""
#: A square of 40 mm, one of its sides drawn twice, a line that ends nowhere, and a text.
_SHAPES = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="120mm"
viewBox="0 0 120 120"><g fill="none" stroke="#000"><path d="M10 10H50V50H10Z"/>
<path d="M10 10H50"/><path d="M60 60L90 60L90 90"/></g><text x="3" y="9">pier</text></svg>"""


@pytest.fixture(scope="module")
def saved(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Give the folder in which the browser saves files."""
    return tmp_path_factory.mktemp("saved")


@pytest.fixture(scope="module")
def browser(server: Server, saved: Path) -> Iterator[PageBrowser]:
    logs = {"browser": "ALL", "performance": "ALL"}
    with chromium(logs=logs, downloads=saved) as driver:
        yield PageBrowser(driver, server.url)


@pytest.fixture
def page(browser: PageBrowser) -> Iterator[PageBrowser]:
    browser.forget()
    browser.complaints()
    yield browser
    assert browser.complaints() == []


def _make(server: Server, title: str, **more: Any) -> str:
    """Make a kit of two squares and return its id."""
    pieces = [{"id": "A", "shape": {"kind": "square", "side": "2"}, "quantity": 2}]
    runs = [{"cut": "template", "cutter": "drag-blade-sheet", "formats": ["svg"],
             "material": {"name": "card", "kind": "card"}}]  # fmt: skip
    body = {"title": title, "units": "in", "pieces": pieces, "runs": runs, **more}
    made = requests.post(f"{server.url}/v1/kits", json=body, timeout=600)
    return str(made.json()["id"])


def _downloaded(page: PageBrowser, saved: Path, name: str) -> bytes:
    page.until((saved / name).exists)
    return (saved / name).read_bytes()


def test_a_saved_zip_and_a_saved_file_are_the_apis(
    server: Server, page: PageBrowser, saved: Path
) -> None:
    kit_id = _make(server, "Slipway zip")
    page.open(f"kits/{kit_id}")
    page.click("#zip")
    number = page.text(".number")
    got = _downloaded(page, saved, f"{number}.zip")
    stated = requests.get(
        f"{server.url}/v1/kits/{kit_id}", headers={"Accept": "application/zip"}, timeout=600
    )
    assert got == stated.content
    with zipfile.ZipFile(io.BytesIO(got)) as archive:
        assert archive.testzip() is None
        assert any(name.endswith("run-sheet.pdf") for name in archive.namelist())
    kit = requests.get(f"{server.url}/v1/kits/{kit_id}", timeout=600).json()
    file = kit["runs"][0]["loads"][0]["files"][0]
    page.click(f"[data-href='{file['href']}']")
    answer = requests.get(server.url + file["href"], timeout=600)
    assert _downloaded(page, saved, file["name"]) == answer.content


def test_a_dropped_block_is_repaired_saved_opened_again_and_deleted(
    server: Server, page: PageBrowser, tmp_path: Path
) -> None:
    drawing = tmp_path / "pier-block.svg"
    drawing.write_text(_BLOCK, encoding="utf-8")
    page.open("drawing")
    page.wait("#drawing-file").send_keys(str(drawing))
    assert page.text("#block-pieces") == "4"
    assert "end" in page.text(".repairs")
    assert page.driver.execute_script("return document.getElementById('block-name').value") == (
        "pier-block"
    )
    page.click("#save-block")
    page.until(lambda: page.text("#block-note").startswith("Saved"))
    entry = requests.get(f"{server.url}/v1/blocks/pier-block", timeout=600).json()
    assert len(entry["drawing"]["paths"]) == 4
    page.click("#open-gallery")
    page.click("[data-block=pier-block]")
    page.until(lambda: "Nothing had to be repaired" in page.text(".result"))
    assert page.text("#block-pieces") == "4"
    # 120 mm are 4.724 in.
    assert "≈ 4 3/4 in (4.724) × ≈ 4 3/4 in (4.724)" in page.text(".figures")
    page.click("#delete-block")
    page.until(lambda: "deleted" in page.text(".result"))
    assert requests.get(f"{server.url}/v1/blocks/pier-block", timeout=600).status_code == 404


@pytest.mark.long
def test_a_quilt_is_planned_of_a_dropped_block_that_was_saved(
    server: Server, page: PageBrowser, tmp_path: Path
) -> None:
    drawing = tmp_path / "quay-block.svg"
    drawing.write_text(_BLOCK, encoding="utf-8")
    page.open("drawing")
    page.wait("#drawing-file").send_keys(str(drawing))
    page.click("#save-block")
    page.click("#block-quilt")
    page.until(lambda: page.text("#quilt-block") == "quay-block")
    page.choose("#quilt-units", "inches")
    page.type("#quilt-block-size", "6")
    page.type("#quilt-quilt-width", "24")
    page.type("#quilt-quilt-length", "18")
    # Four blocks across and three down, of four triangles each.
    page.until(lambda: page.text("#quilt-pieces") == "48")
    assert "24 in × 18 in" in page.text(".figures")
    # A plain square in every other place leaves six blocks: 24 triangles and 6 squares.
    page.type("#quilt-setting-alternate_colour", "sailcloth")
    page.until(lambda: page.text("#quilt-pieces") == "30")
    assert "sailcloth" in page.text(".result table")
    assert page.violations() == []
    page.click("#plan-kit")
    page.wait("#loads")
    page.click("#make")
    kit = requests.get(f"{server.url}/v1/kits/{page.kit_id()}", timeout=600).json()
    # The longest side of a triangle and the side of a square are the block's: 6 in.
    widths = {round(max(each["template"][name] for name in ("width_mm", "height_mm")), 1)
              for each in kit["pieces"]}  # fmt: skip
    assert widths == {152.4}
    requests.delete(f"{server.url}/v1/blocks/quay-block", timeout=600).raise_for_status()


@pytest.mark.long  # the usual run makes a kit of a drawn block, in test_page_kits.py
def test_a_block_of_the_gallery_becomes_a_kit(server: Server, page: PageBrowser) -> None:
    page.open("drawing")
    page.click("#open-gallery")
    page.click("[data-block=hourglass]")
    page.type("#drawing-finished_width", "6")
    # An hourglass is four triangles of one kind; the page is in inches.
    page.until(lambda: "6 in × 6 in" in page.text(".result"))
    assert page.text("#block-pieces") == "4"
    page.click("#block-kit")
    page.wait("#loads")
    page.click("#make")
    kit = requests.get(f"{server.url}/v1/kits/{page.kit_id()}", timeout=600).json()
    # Across a finished block of 6 in: its side is the longest side of every triangle.
    assert kit["pieces"][0]["template"]["width_mm"] == pytest.approx(152.4)


def _remarks_on_shapes(page: PageBrowser, file: Path, drawing: str, found: str) -> str:
    """Drop a drawing of single shapes on the page; return what it says once so many are found."""
    file.write_text(drawing, encoding="utf-8")
    page.open("drawing")
    page.choose("#drawing-as", "single shapes")
    page.wait("#drawing-file").send_keys(str(file))
    page.until(lambda: page.text("#shapes-found") == found)
    return page.text(".remarks")


def test_single_shapes_of_a_drawing_and_what_is_none(page: PageBrowser, tmp_path: Path) -> None:
    remarks = _remarks_on_shapes(page, tmp_path / "pier.svg", _SHAPES, "1 closed shape")
    # 40 mm are 1.575 in; lines from 60, 60 to 90, 90 mm: 2.362 in and 3.543 in.
    assert "≈ 1 9/16 in (1.575) of line are drawn twice" in remarks
    assert "≈ 2 3/8 in (2.362)" in remarks
    assert "Not read: text, 1 in all" in remarks
    assert "This is: square, side ≈ 1 9/16 in (1.575)" in page.text(".loads")
    assert page.violations() == []


#: A patch of 52.7 mm about a template of 40 mm, and squares of 30 and 28 mm that overlap.
_PAIRS = """<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="120mm"
viewBox="0 0 200 120"><g fill="none" stroke="#000"><path d="M3.65 3.65H56.35V56.35H3.65Z"/>
<path d="M10 10H50V50H10Z"/><path d="M100 10H130V40H100Z"/><path d="M120 20H148V48H120Z"/></g>
</svg>"""


def test_shapes_that_overlap_and_a_patch_with_its_template_are_named(
    page: PageBrowser, tmp_path: Path
) -> None:
    remarks = _remarks_on_shapes(page, tmp_path / "pairs.svg", _PAIRS, "4 closed shapes")
    # Largest first: the patch, its template, and the two squares. 6.35 mm are 1/4 in.
    assert "Shapes 3 and 4 overlap." in remarks
    assert "Shape 1 is shape 2 with 1/4 in about it" in remarks
    # The squares differ by 1 mm on each side, and neither lies in the other.
    assert "Shape 3 is shape 4" not in remarks
    assert "-F 'file=@pairs.svg'" in page.text("details code")


def _inside(page: PageBrowser, selector: str, *points: tuple[float, float]) -> list[bool]:
    """Return for points in mm, y up, whether they lie in a path of the bed's drawing."""
    return list(page.driver.execute_script(
        "const path = document.querySelector(arguments[0]), svg = path.ownerSVGElement;"
        "return arguments[1].map(([x, y]) => {"
        "const at = svg.createSVGPoint(); at.x = x; at.y = y; return path.isPointInFill(at); });",
        selector, points,
    ))  # fmt: skip


def test_an_oval_bed_is_described_drawn_with_its_margins_saved_and_changed(
    server: Server, page: PageBrowser
) -> None:
    page.open("shape")
    page.wait("#loads")
    page.click(".cutter-buttons button")
    page.type("#cutter-name", "oval-hoop")
    page.type("#cutter-cutter-title", "Oval hoop")
    page.choose("#bed-shape", "oval or circle")
    page.type("#cutter-cutter-bed-width", "200")
    page.type("#cutter-cutter-bed-height", "140")
    page.type("#cutter-cutter-margins-bottom", "30")
    page.until(lambda: page.driver.execute_script(
        "return document.querySelector('#describe .dark')?.getBBox().width > 200"
    ))  # fmt: skip
    # Above the lowest point, 100 mm from the left, the head's 30 mm below the tool decide: the
    # edge is flat there, a radius of 100^2 / 70 = 143 mm. At the left end the head, 10 mm wide and
    # 30 mm deep below the tool, meets the edge 26 mm below the middle: the oval begins
    # 100 - 100 sqrt(1 - 26^2 / 70^2) = 7.15 mm from the left, and there the head reaches
    # 10 sqrt(1 - 26^2 / 30^2) = 4.99 mm beside the tool: 12.14 mm, more than anywhere else.
    dark = _inside(page, "#describe .dark", (100, 29), (100, 31), (12, 70), (12.4, 70), (100, 70))
    assert dark == [True, False, True, False, False]
    page.click("#save-cutter")
    page.until(
        lambda: page.driver.execute_script("return !document.getElementById('describe').open")
    )
    kept = requests.get(f"{server.url}/v1/cutters/oval-hoop", timeout=600).json()["cutter"]
    assert kept["bed"] == {"shape": "ellipse", "width": "200", "height": "140"}
    assert kept["margins"]["bottom"] == "30"
    page.wait("#loads")
    page.click(".change-cutter")
    page.wait("#delete-cutter")
    page.type("#cutter-cutter-margins-bottom", "25")
    page.click("#save-cutter")
    page.until(lambda: requests.get(
        f"{server.url}/v1/cutters/oval-hoop", timeout=600
    ).json()["version"] == 2)  # fmt: skip
    page.wait("#loads")
    page.click(".change-cutter")
    page.wait("#describe[open]")
    page.click("#delete-cutter")
    page.until(lambda: requests.get(
        f"{server.url}/v1/cutters/oval-hoop", timeout=600
    ).status_code == 404)  # fmt: skip


def test_paper_of_a_printer_is_a_cutter(server: Server, page: PageBrowser) -> None:
    page.open("shape")
    page.wait("#loads")
    page.click(".cutter-buttons button")
    page.type("#cutter-name", "home-paper")
    page.choose("#bed-shape", "A4 paper, printed at home")
    page.until(lambda: page.text("#tool-kind") == "pen, then cut by hand")
    page.click("#save-cutter")
    page.until(lambda: "A4 paper" in page.text(".cutter:has(:checked)"))
    kept = requests.get(f"{server.url}/v1/cutters/home-paper", timeout=600).json()["cutter"]
    assert (kept["paper"], kept["tool"], kept["margins"]["left"]) == ("a4", {"kind": "pen"}, "6.35")
    page.until(lambda: page.driver.execute_script(
        "return document.querySelector('.result').ariaBusy === 'false'"
    ))  # fmt: skip
    page.click("#make")
    kit = requests.get(f"{server.url}/v1/kits/{page.kit_id()}", timeout=600).json()
    [printed] = [
        each["href"] for each in kit["runs"][0]["loads"][0]["files"] if each["name"].endswith("pdf")
    ]
    read = PdfReader(io.BytesIO(requests.get(server.url + printed, timeout=600).content))
    # ISO 216: A4 is 210 mm by 297 mm; a point is 25.4 / 72 mm.
    size = read.pages[0].mediabox
    assert float(size.width) == pytest.approx(210 / 25.4 * 72, abs=0.1)
    assert float(size.height) == pytest.approx(297 / 25.4 * 72, abs=0.1)


@pytest.mark.long
def test_gcode_is_chosen_and_what_it_needs_is_asked_for(server: Server, page: PageBrowser) -> None:
    page.open("shape")
    page.wait("#loads")
    page.driver.execute_script(
        "[...document.querySelectorAll('.formats label')]"
        ".find((each) => each.textContent.includes('G-code')).querySelector('input').click()"
    )
    page.until(lambda: "needs a value for “head”" in page.text(".problem"))
    page.choose(".format-settings select", "knife")
    page.type("#kit-runs-0-cutter-formats-gcode-feed_mm_min", "1200")
    page.until(lambda: "“depth (mm)”" in page.text(".problem"))
    page.type("#kit-runs-0-cutter-formats-gcode-depth_mm", "-1.5")
    page.wait("#loads")
    page.until(lambda: page.driver.execute_script("return !document.querySelector('.problem')"))
    page.click("#make")
    kit = requests.get(f"{server.url}/v1/kits/{page.kit_id()}", timeout=600).json()
    names = [each["name"] for each in kit["runs"][0]["loads"][0]["files"]]
    [program] = [each for each in names if each.endswith(".ngc")]
    text = requests.get(f"{server.url}/v1/kits/{kit['id']}/files/{program}", timeout=600).text
    # RS-274/NGC: F is the feed per minute, Z the depth.
    assert "F1200" in text
    assert "Z-1.5" in text


@pytest.mark.long
def test_cloth_for_a_shape_of_the_catalogue(page: PageBrowser) -> None:
    page.open("ask")
    page.click(".cloth-shape")
    page.click("[data-kind=hexagon]")
    # A hexagon of 1 in with 1/4 in about it is sqrt 3 + 1/2 = 2.232 in across its flats, cut in
    # strips of 2 1/4 in, and 2 + 2 * 2 / sqrt 3 * 1/4 = 2.577 in across its corners: 15 side by
    # side on 40 in, 7 strips for 100, 15 3/4 in of cloth, half a yard.
    page.until(lambda: "7 strips 2 1/4 in" in page.text(".cloth-answer"))
    assert page.text(".buy") == "1/2 yd"
    assert "15 to a strip" in page.text(".cloth-answer")
    page.click("#add-cloth")
    page.type("#cloth-pieces-1-fabric", "tide blue")
    page.until(lambda: "tide blue" in page.text(".cloth-answer"))
    assert page.violations() == []


@pytest.mark.long
def test_what_fits_on_a_scrap_of_another_outline(page: PageBrowser) -> None:
    page.open("ask")
    page.wait("#scrap-fits")
    page.click("#scrap-shape")
    page.click("[data-kind=square]")
    page.type("#scrap-pieces-0-seam_allowance", "0")
    page.type("#scrap-pieces-0-shape-side", "2")
    page.choose("#scrap-outline", "of another outline")
    # A triangle whose sides of 5 in meet at a right angle holds a square of 2 in at that corner;
    # the next would end at 4 in along, where its height of 2 in no longer has room.
    page.type("#scrap-runs-0-material-stock-0-outline", "0, 0; 5, 0; 0, 5")
    page.until(lambda: page.text("#scrap-fits") == "1")


def test_saved_kits_are_searched_and_deleted(server: Server, page: PageBrowser) -> None:
    kit_id = _make(server, "Breakwater trial", reference="order 7")
    _make(server, "Slipway other")
    page.open("kits")
    page.type("#search-title", "breakwater")
    page.until(lambda: page.text(".kits").startswith("Breakwater trial"))
    page.until(lambda: len(page.driver.find_elements("css selector", ".kits a")) == 1)
    page.type("#search-title", " ")
    page.type("#search-reference", "order 7")
    page.until(lambda: page.text("#status") == "1 kit is found.")
    page.click(".kits a")
    page.click("#delete")
    page.until(
        lambda: page.driver.execute_script("return document.activeElement.id") == "delete-no"
    )
    page.click("#delete-no")
    page.click("#delete")
    page.click("#delete-yes")
    page.until(lambda: page.driver.current_url.endswith("#/kits"))
    assert requests.get(f"{server.url}/v1/kits/{kit_id}", timeout=600).status_code == 404


@pytest.mark.long
def test_a_plan_is_brought_to_its_size_by_one_tap(page: PageBrowser) -> None:
    page.open("quilt")
    page.choose("#tiling", "squares")
    page.choose("#quilt-units", "inches")
    page.type("#quilt-side", "2")
    page.type("#quilt-quilt-width", "13")
    page.type("#quilt-quilt-length", "8")
    # Seven columns of 2 in are 14 in; cut off straight, the quilt has its 13 in.
    page.until(lambda: page.text("#quilt-pieces") == "28")
    page.click("#trim")
    page.until(lambda: "13 in × 8 in" in page.text(".figures"))
    assert page.driver.execute_script("return document.getElementById('trim')") is None


@pytest.mark.long
def test_a_plan_that_is_asked_for_no_more_makes_no_kit(page: PageBrowser) -> None:
    page.open("quilt")
    page.wait("#quilt-pieces")
    page.choose("#tiling", "squares")
    # Until the new plan has come, the old one is in sight, and its kit would be a wrong one.
    state = page.driver.execute_script(
        "const list = document.getElementById('tiling');"
        "list.selectedIndex = 0; list.dispatchEvent(new Event('change', {bubbles: true}));"
        "return Promise.resolve()"
        ".then(() => document.getElementById('plan-kit')?.disabled ?? true);"
    )
    assert state is True
    page.click("#plan-kit")
    page.wait("#loads")
