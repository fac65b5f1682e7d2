"""The page in a browser: kits of four kinds, an error put right, a recut, a restart, every view.

One server and one browser for the module. What the page makes is compared with what the API
answers to the request that the kit holds.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import requests

from tests.live import live_jobs
from tests.live.conftest import Server
from tests.live.page_browser import PageBrowser, page_browser
from tests.short_form import short_form

pytestmark = [pytest.mark.chromium, pytest.mark.timeout(1800)]
#: A square with both diagonals: four pieces of one shape.
_BLOCK = """<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="120mm"
viewBox="0 0 120 120">
<path d="M0 0H120V120H0Z" fill="#f4e8cd"/><path d="M0 120H120L60 60Z" fill="#336699"/>
<path d="M0 0L119.8 119.8M120 0L0 120" fill="none" stroke="#000"/></svg>"""
_SHA = """
const [href, done] = arguments;
const hex = (each) => each.toString(16).padStart(2, "0");
fetch(href).then((answer) => answer.arrayBuffer())
  .then((data) => crypto.subtle.digest("SHA-256", data))
  .then((sum) => done([...new Uint8Array(sum)].map(hex).join("")));
"""


@pytest.fixture(scope="module")
def browser(server: Server) -> Iterator[PageBrowser]:
    with page_browser(server.url) as made:
        yield made


@pytest.fixture
def page(browser: PageBrowser) -> PageBrowser:
    browser.forget()
    return browser


def _two_loads(server: Server) -> str:
    """Make a kit and return its id: squares of 6 in do not lie side by side across 11 1/2 in."""
    pieces = [{"id": "A", "shape": {"kind": "square", "side": "6"}, "quantity": 2}]
    runs = [{"cut": "template", "cutter": "drag-blade-sheet", "formats": ["svg"],
             "material": {"name": "card", "kind": "card"}}]  # fmt: skip
    body: dict[str, Any] = {"units": "in", "pieces": pieces, "runs": runs}
    made = requests.post(f"{server.url}/v1/kits", json=body, timeout=600).json()
    return str(made["id"])


def _kit(server: Server, page: PageBrowser) -> dict[str, Any]:
    found: dict[str, Any] = requests.get(
        f"{server.url}/v1/kits/{page.kit_id()}", timeout=600
    ).json()
    return found


def _until(page: PageBrowser, condition: str) -> None:
    page.until(lambda: page.driver.execute_script(f"return {condition}"))


def _same_as_the_api(server: Server, page: PageBrowser) -> dict[str, Any]:
    """The page's files are those that the API makes of the same request."""
    kit = _kit(server, page)
    again = requests.post(f"{server.url}/v1/kits", json=kit["request"], timeout=600).json()
    stated = {
        file["name"]: file["sha256"]
        for run in again["runs"]
        for load in run["loads"]
        for file in load["files"]
    }
    shown = page.driver.execute_script(
        "return [...document.querySelectorAll('.file')].map((each) => each.dataset.href)"
    )
    assert {each.rsplit("/", 1)[1] for each in shown} == set(stated)
    first = shown[0]
    assert page.driver.execute_async_script(_SHA, first) == stated[first.rsplit("/", 1)[1]]
    return kit


def test_a_shape_that_is_too_large_is_cured_and_made_and_cut_again(
    server: Server, page: PageBrowser
) -> None:
    page.open("shape")
    page.wait("#loads")
    # 12 in hold no hexagon of 40 in sides, which is 80 in across: plain geometry.
    page.type("#kit-pieces-0-shape-side", "40")
    page.wait("#kit-pieces-0-shape-side")
    # A square holds a regular hexagon of (sqrt 6 - sqrt 2) / 2 of its side: 0.5176 of 11.48 in.
    assert "at most 5 15/16 in" in page.text(".piece .error")
    page.click(".problem li button")
    _until(page, "document.activeElement.id === 'kit-pieces-0-shape-side'")
    page.click(".problem .cure")
    page.wait("#loads")
    page.type("#kit-pieces-0-shape-side", "1 1/2")
    page.type("#kit-title", "Slipway hexagons")
    page.type("#kit-pieces-0-quantity", "5")
    page.until(lambda: "A: 5" in page.text(".result"))
    page.click("#make")
    kit = _same_as_the_api(server, page)
    assert kit["title"] == "Slipway hexagons"
    # A hexagon is twice its side across its corners: 3 in.
    assert kit["pieces"][0]["template"]["width_mm"] == pytest.approx(76.2)
    page.click("#recut")
    page.until(lambda: kit["id"] not in page.driver.current_url)
    assert _kit(server, page)["runs"][0]["totals"]["A"]["made"] == 1


@pytest.mark.long
def test_patches_of_another_shape_are_added(server: Server, page: PageBrowser) -> None:
    page.open("shape")
    page.click("#start-over")
    page.click("#start-over-yes")
    page.wait("#loads")
    page.click("#add-patches")
    page.click("#add-piece")
    page.click("[data-kind=clamshell]")
    page.until(lambda: "B: 24" in page.text(".result"))
    page.click("#make")
    kit = _same_as_the_api(server, page)
    assert [run["cut"] for run in kit["runs"]] == ["template", "patch"]
    assert [run["cutter"] for run in kit["runs"]] == ["drag-blade-sheet"] * 2
    assert [piece["shape"] for piece in kit["pieces"]] == ["hexagon", "clamshell"]


def test_other_units_keep_the_pieces_size(page: PageBrowser) -> None:
    page.open("shape")
    page.click("#start-over")
    page.click("#start-over-yes")
    page.wait("#loads")
    page.choose("#kit-units", "inches")
    page.type("#kit-pieces-0-shape-side", "1 1/2")
    page.type("#kit-pieces-0-seam_allowance", "1/8")
    side = "document.querySelector('#kit-pieces-0-shape-side').value"
    seam = "document.querySelector('#kit-pieces-0-seam_allowance').value"
    # An inch is 25.4 mm (international yard and pound agreement, 1959): 1/8 in is 3.175 mm.
    for units, expected in (
        ("millimetres", "38.1; 3.18"),
        ("inches", "1 1/2; 1/8"),
        ("centimetres", "3.81; 0.318"),
        ("inches", "1 1/2; 1/8"),
    ):
        page.choose("#kit-units", units)
        _until(page, f"[{side}, {seam}].join('; ') === '{expected}'")


def test_a_drawn_block_becomes_a_kit(server: Server, page: PageBrowser, tmp_path: Path) -> None:
    drawing = tmp_path / "block.svg"
    drawing.write_text(_BLOCK, encoding="utf-8")
    page.open("drawing")
    page.wait("#drawing-file").send_keys(str(drawing))
    assert page.text("#block-pieces") == "4"
    assert "gap" in page.text(".repairs")
    page.click("#block-kit")
    page.wait("#loads")
    page.click("#make")
    assert len(_same_as_the_api(server, page)["runs"]) == 3


def _squares(page: PageBrowser, width: str, length: str) -> None:
    """Plan a quilt of squares of 2 in, whatever units the kit before it had."""
    page.open("quilt")
    page.choose("#tiling", "squares")
    page.choose("#quilt-units", "inches")
    page.type("#quilt-side", "2")
    page.type("#quilt-quilt-width", width)
    page.type("#quilt-quilt-length", length)
    page.type("#quilt-seam_allowance", "1/4")


def test_a_quilt_plan_becomes_a_kit(server: Server, page: PageBrowser) -> None:
    _squares(page, "12", "8")
    # 12 in by 8 in of squares of 2 in: six columns, four rows.
    page.until(lambda: page.text("#quilt-pieces") == "24")
    # Round 12 in by 8 in a binding is 40 in and 10 in for corners and joins, two strips of 2 1/2 in
    # across 40 in: 5 in, 1/4 yd. Batting has 4 in more on each side (handbook S75, S60).
    page.until(lambda: "binding 1/4 yd" in " ".join(page.text("#to-buy").split()))
    assert "20 in × 16 in" in page.text("#to-buy")
    page.click("#plan-kit")
    page.wait("#loads")
    page.click("#make")
    assert _same_as_the_api(server, page)["pieces"][0]["shape"] == "square"


@pytest.mark.long
def test_a_plan_says_which_way_its_backing_takes_less(page: PageBrowser) -> None:
    # Round 48 in by 60 in 4 in more on each side are 56 in by 68 in (handbook S75). On 40 in: two
    # lengths of 68 in are 136 in, 3.78 yd; across two of 56 in are 112 in, 3.11 yd.
    _squares(page, "48", "60")
    row = "backing 3 7/8 yd; 3 1/8 yd with its seams crosswise"
    page.until(lambda: row in " ".join(page.text("#to-buy").split()))


@pytest.mark.long
def test_a_plan_hands_its_reference_to_its_kit(server: Server, page: PageBrowser) -> None:
    _squares(page, "12", "8")
    page.type("#quilt-reference", "order 4711")
    page.until(lambda: page.text("#quilt-pieces") == "24")
    _until(page, "document.querySelector('.result').ariaBusy === 'false'")
    page.click("#plan-kit")
    page.wait("#loads")
    page.click("#make")
    assert _kit(server, page)["request"]["reference"] == "order 4711"


def _batch(server: Server) -> dict[str, Any]:
    """Make a batch of two kits, and return it as it has ended."""
    kit = requests.get(f"{server.url}/v1/kits/{_two_loads(server)}", timeout=600).json()
    body = {"title": "Two tides", "reference": "order 12", "requests": [kit["request"]] * 2}
    batch = requests.post(f"{server.url}/v1/batches", json=body, timeout=600).json()
    return live_jobs.wait_for_batch(server.url, batch["href"], 600)


def test_a_batch_is_found_by_its_number(server: Server, page: PageBrowser) -> None:
    batch = _batch(server)
    page.open("kits")
    page.type("#search-number", batch["number"])
    # No kit has this number; without a search, kits stand above.
    _until(page, "document.querySelectorAll('.kits:not(.batches) a').length === 0")
    assert batch["number"] in page.text(".batches a")
    page.click(".batches a")
    assert page.text("#batch-number") == batch["number"]
    assert page.text("h1") == "Two tides"
    assert page.wait("#batch-zip")
    assert page.violations() == []
    page.click(".kits a")
    assert page.kit_id() in batch["kits"][0]["kit"]


@pytest.mark.long
def test_a_plan_states_the_strips_of_its_borders(page: PageBrowser) -> None:
    _squares(page, "13", "8")
    page.choose("#quilt-fit", "fill with borders")
    # Five columns of 2 in leave 3 in, two strips of 1 1/2 in; four rows leave nothing at the ends.
    # With 1/4 in of allowance all round, a strip is cut 2 in by 8 1/2 in.
    page.until(lambda: "2 × 2 in × 8 1/2 in" in page.text("#borders + table"))
    assert "top and bottom" not in page.text("#borders + table")
    page.click("#plan-kit")
    assert "not in this kit" in page.text("#note")


@pytest.mark.long
def test_a_kit_is_made_although_the_server_stops(server: Server, page: PageBrowser) -> None:
    page.open("shape")
    page.click("#start-over")
    page.click("#start-over-yes")
    page.wait("#loads")
    page.type("#kit-title", "After the restart")
    # What is typed is asked about before the kit can be made.
    _until(page, "document.querySelector('.result').ariaBusy === 'false'")
    page.click("#make")
    _until(page, "sessionStorage.getItem('quarterseam.job') || location.hash.startsWith('#/kits/')")
    server.kill()
    server.start()
    assert _kit(server, page)["title"] == "After the restart"


@pytest.mark.long
def test_a_kit_that_is_asked_for_while_the_server_is_away_is_made_once(
    server: Server, page: PageBrowser
) -> None:
    page.open("shape")
    page.wait("#loads")
    page.type("#kit-title", "While it was away")
    _until(page, "document.querySelector('.result').ariaBusy === 'false'")
    server.kill()
    page.click("#make")
    page.until(lambda: "does not answer" in page.text(".progress"))
    server.start()
    assert _kit(server, page)["title"] == "While it was away"
    found = requests.get(
        f"{server.url}/v1/kits", params={"title": "While it was away"}, timeout=600
    ).json()["kits"]
    assert len(found) == 1


def test_ticks_at_the_bench_outlast_a_reload(server: Server, page: PageBrowser) -> None:
    page.open(f"bench/{_two_loads(server)}")
    page.click(".bench input[type=checkbox]")
    page.driver.refresh()
    page.wait(".bench input[type=checkbox]")
    assert page.driver.execute_script(
        "return document.querySelector('.bench input[type=checkbox]').checked"
    )


def test_the_page_counts_steps_as_the_run_sheet_does(server: Server, page: PageBrowser) -> None:
    kit = _two_loads(server)
    page.open(f"kits/{kit}")
    made = requests.get(f"{server.url}/v1/kits/{kit}", timeout=600).json()
    sheet = requests.get(f"{server.url}{made['run_sheet_page']}", timeout=600).text
    flat = " ".join(re.sub("<[^>]*>", " ", sheet).split())
    counted = re.search(r"Steps at the machine (\d+)", flat)
    assert counted
    assert page.text("#steps") == counted.group(1)


def test_the_bench_ends_with_what_has_no_tick(server: Server, page: PageBrowser) -> None:
    page.open(f"bench/{_two_loads(server)}")
    assert page.text("#copy") == "Copy 1 of 2 of this load"
    # As on the run sheet, the last step says when hands may reach in.
    assert "lift the pieces out" in page.text(".bench-columns")
    page.click("#next")
    page.until(lambda: page.text("#copy") == "Copy 2 of 2 of this load")
    page.click(".bench label:last-child input")
    page.click("#next")
    assert "no tick" in page.text("#bench-end")
    page.click(".bench li button")
    page.click(".bench label:last-child input")
    page.click("#next")
    page.click("#next")
    page.until(lambda: page.text("#bench-end") == "All loads are done")
    page.click("#back")
    page.wait("#next")


VIEWS = {
    "shape": "#loads", "drawing": "#drawing-file", "quilt": "#quilt-pieces", "kits": ".kits a",
    "ask": "#scrap-fits", "kits/ID": "#zip", "bench/ID": "#next",
}  # fmt: skip


@pytest.mark.parametrize("themes", short_form([[], ["light", "dark"]], [[]]))
def test_every_view_passes_axe_in_both_themes_and_asks_no_other_site(
    server: Server, page: PageBrowser, themes: list[str]
) -> None:
    page.requested()
    page.complaints()
    kit = _two_loads(server)
    for view, ready in VIEWS.items():
        page.open(view.replace("ID", kit))
        page.wait(ready)
        for theme in themes:
            page.theme(theme)
            assert page.violations() == [], (view, theme)
    asked = [each for each in page.requested() if not each.startswith(("data:", "blob:"))]
    assert len(asked) > 10
    assert {each for each in asked if not each.startswith(f"{server.url}/")} == set()
    assert page.complaints() == []


def test_what_the_first_view_loads_is_small(page: PageBrowser) -> None:
    page.driver.execute_cdp_cmd("Network.setCacheDisabled", {"cacheDisabled": True})
    page.open("kits")
    page.open("shape")
    page.driver.refresh()
    page.wait("#loads")
    # Scripts, styles and texts, as they were sent; answers of the API depend on what is asked.
    sizes = page.driver.execute_script(
        "return performance.getEntriesByType('resource')"
        ".map((each) => [each.name, each.transferSize])"
    )
    own = [size for name, size in sizes if "/page/" in name]
    assert len(own) > 10
    assert sum(size for _, size in sizes) < 150_000
