"""The page in a browser: a stock, cures, prices, a hoop at the bench, what is kept, questions.

One server and one browser for the module.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
import requests

from tests.live.conftest import Server
from tests.live.page_browser import PageBrowser, page_browser

pytestmark = [pytest.mark.chromium, pytest.mark.timeout(1800)]


@pytest.fixture(scope="module")
def browser(server: Server) -> Iterator[PageBrowser]:
    with page_browser(server.url) as made:
        yield made


@pytest.fixture
def page(browser: PageBrowser) -> PageBrowser:
    browser.forget()
    return browser


def _draft(page: PageBrowser) -> dict[str, Any]:
    """Return the request as the page keeps it."""
    kept = page.driver.execute_script("return localStorage['quarterseam.settings']")
    found: dict[str, Any] = json.loads(kept)["draft"]
    return found


def _start_over(page: PageBrowser) -> None:
    page.open("shape")
    page.click("#start-over")
    page.click("#start-over-yes")
    page.wait("#loads")


def _squares(page: PageBrowser, side: str, quantity: str) -> None:
    """Prepare templates of squares, in inches."""
    _start_over(page)
    page.click("[aria-current]")
    page.click(".piece .wide")
    page.click("[data-kind=square]")
    page.type("#kit-pieces-0-shape-side", side)
    page.type("#kit-pieces-0-quantity", quantity)


@pytest.mark.long
def test_a_stock_says_what_it_lacks_and_what_is_used(page: PageBrowser) -> None:
    # A 12 in sheet on the mat leaves 11 1/2 in between its margins: two squares of 5 in across
    # and two up, four in all. Six need two sheets; at 2.50 each these are 5.00.
    _squares(page, "5", "6")
    page.until(lambda: "A: 6" in page.text(".takes"))
    page.click(".use-stock")
    # It starts with what the answer takes, so nothing is missing.
    page.until(lambda: "2 used, 0 left" in page.text(".result"))
    assert _draft(page)["runs"][0]["material"]["stock"][0] == {
        "name": "sheets", "width": "12", "height": "12", "count": 2
    }  # fmt: skip
    page.type("#kit-runs-0-material-stock-0-count", "1")
    page.type("#kit-runs-0-material-stock-0-price", "2.50")
    # The answer without the price may come first.
    page.until(lambda: "1 more of “sheets”: 2.50" in page.text(".shortfall"))
    assert "Missing: A × 2" in page.text(".result")
    page.type("#kit-runs-0-material-stock-0-count", "2")
    page.until(lambda: "2 used, 0 left" in page.text(".result"))
    assert "5.00" in page.text(".stock-use tr:last-child td")
    # A leftover of 4 in by 3 in at its corner holds none of them.
    page.click(".add-stock")
    page.choose("#kit-stock-kind-0-1", "a leftover")
    page.type("#kit-runs-0-material-stock-1-outline", "0, 0; 4 1/2, 0; 0, 3")
    page.until(lambda: "not used" in page.text(".result"))
    assert _draft(page)["runs"][0]["material"]["stock"][1]["outline"] == [[0, 0], [4.5, 0], [0, 3]]
    assert page.violations() == []


def test_one_tap_cures_a_warning(page: PageBrowser) -> None:
    _squares(page, "2", "6")
    page.choose("#kit-runs-0-material-kind", "fabric")
    page.type("#kit-runs-0-layers", "3")
    page.until(lambda: "out of place" in page.text(".run-answer"))
    assert page.text(".warnings .cure") == "Cut one layer at a time"
    page.click(".warnings .cure")
    page.until(lambda: "out of place" not in page.text(".result"))
    page.wait("#loads")
    assert _draft(page)["runs"][0]["layers"] == 1


def test_prices_are_stated_with_the_kit(page: PageBrowser) -> None:
    _squares(page, "5", "6")
    page.choose("#kit-price-choice", "state them here")
    page.type("#kit-prices-materials-0-per_sheet", "2.50")
    # Four squares of 5 in lie on 11 1/2 in, so six take two sheets: 5.00. With a tenth more, 5.50.
    page.until(lambda: page.text("#price") == "5.00 EUR")
    page.type("#kit-prices-margin-percent_of_cost", "10")
    page.until(lambda: page.text("#price") == "5.50 EUR")
    assert "machine" in page.text("#not-priced")
    # A material that is renamed keeps its price.
    page.type("#kit-runs-0-material-name", "board")
    page.until(lambda: _draft(page)["prices"]["materials"] == [
        {"per_sheet": "2.50", "name": "board"}
    ])  # fmt: skip
    page.until(lambda: page.text("#price") == "5.50 EUR")
    assert page.violations() == []


#: Patches cut with a blade that is turned by hand, in a hoop whose opening is 260 by 160 mm.
_HOOP: dict[str, Any] = {
    "units": "in", "title": "Hexagons of the quay",
    "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": "1 1/4"}, "quantity": 48,
                "seam_allowance": "1/4"}],
    "runs": [{"cut": "patch", "cutter": "indexed-blade-hoop", "formats": ["svg"],
              "material": {"name": "cotton", "kind": "fabric"}}],
}  # fmt: skip
#: A frame takes 1 in of the cloth on each side (common practice, no source): 260 / 25.4 + 2 is
#: 12.24 in, and 160 / 25.4 + 2 is 8.30 in; the next eighths of an inch are these.
_CLOTH = "12 1/4 in × 8 3/8 in or larger"
_RUNS_ON = "ile does not stop the machine"


def _until_gone(page: PageBrowser, selector: str) -> None:
    gone = "return document.querySelector(arguments[0]) === null"
    page.until(lambda: page.driver.execute_script(gone, selector))


def _begin_with(page: PageBrowser, request: dict[str, Any]) -> None:
    # A view that is loaded afresh keeps nothing of the request before.
    page.driver.get("about:blank")
    page.open("kits")
    page.wait("#search-number")
    settings = json.dumps({"units": "in", "theme": "", "draft": request})
    page.driver.execute_script("localStorage['quarterseam.settings'] = arguments[0]", settings)
    page.driver.get("about:blank")
    page.open("shape")


@pytest.mark.long
def test_cloth_and_stops_of_a_hoop_are_stated_before_the_kit_is_made(page: PageBrowser) -> None:
    _begin_with(page, _HOOP)
    page.until(lambda: _CLOTH in page.text(".takes"))
    # 12 1/4 in by 8 3/8 in: 3 lie side by side on 40 in, so up to 12 pieces take 4 rows, 33 1/2 in
    # or 0.93 yd; turned, 4 lie side by side, and 3 rows take 36 3/4 in. One is for the test;
    # a thirteenth needs a fifth row, 41 7/8 in or 1.16 yd.
    loads = int(page.text("#loads"))
    assert 10 <= loads <= 12
    buy = "1 yd" if loads < 12 else "1 1/4 yd"
    assert f"To buy: {buy} of cloth 40 in wide; 3 pieces lie side by side" in page.text(".cloth")
    assert "1 of them is for the test." in page.text(".cloth")
    # Each blade angle has a file of its own, so nobody counts strokes, unless that is asked for.
    assert page.driver.execute_script("return document.querySelector('.watch')") is None
    assert "after stroke" not in page.text(".stops")
    _begin_with(page, _HOOP | {"runs": [_HOOP["runs"][0] | {"one_file_per": "load"}]})
    page.until(lambda: _RUNS_ON in page.text(".run-answer .watch"))
    assert "Pause the machine after stroke" in page.text(".stops")
    # A blade that is not turned needs nobody to stop it.
    _begin_with(page, _HOOP | {"runs": [_HOOP["runs"][0] | {"cutter": "drag-blade-sheet"}]})
    page.wait("#loads")
    assert page.driver.execute_script("return document.querySelector('.watch')") is None


@pytest.mark.long  # the usual run goes through the bench in test_page_kits.py
def test_the_bench_goes_through_loads_in_turn_and_says_when_to_stop(
    server: Server, page: PageBrowser
) -> None:
    run = _HOOP["runs"][0] | {"one_file_per": "load"}
    kit = requests.post(f"{server.url}/v1/kits", json=_HOOP | {"runs": [run]}, timeout=600).json()
    first, second = kit["runs"][0]["loads"]
    turns = [[each for each in load["stops"] if "angle_deg" in each] for load in (first, second)]
    # Each begins at the angle that the other leaves, so the blade is turned between none of them.
    assert turns[0][-1]["angle_deg"] == turns[1][0]["angle_deg"]
    assert turns[1][-1]["angle_deg"] == turns[0][0]["angle_deg"]
    page.open(f"bench/{kit['id']}")
    assert _CLOTH in page.text("#bench-facts")
    assert _RUNS_ON in page.text("#watch")
    for number in range(4):
        load, found = (first, second)[number % 2], turns[number % 2]
        page.until(lambda at=number: page.text("h1").startswith(f"Load {at + 1} of"))
        assert f"{load['files'][0]['name']}" in page.text(".bench")
        assert found[0]["message"] in page.text(".bench label")
        assert [each for each in load["steps"] if each not in page.text(".bench")] == []
        assert len([each for each in load["steps"] if "after stroke" in each]) == len(found) - 1
        assert f"counted: A × {load['pieces']['A']}" in page.text(".bench")
        page.click("#next")


@pytest.mark.long
def test_the_bench_names_the_file_that_each_step_begins_with(
    server: Server, page: PageBrowser
) -> None:
    """A hexagon's edges lie at three angles: three files, and nobody counts strokes."""
    kit = requests.post(f"{server.url}/v1/kits", json=_HOOP, timeout=600).json()
    load = kit["runs"][0]["loads"][0]
    names = [each["name"] for each in load["files"]]
    assert names == [f"1-patch-cotton-1-station-{number}.svg" for number in (1, 2, 3)]
    page.open(f"bench/{kit['id']}")
    page.until(lambda: page.text("h1").startswith("Load 1 of"))
    # As on the run sheet, a step names the end of its file's name: the number of the load, then of
    # the blade angle.
    begins = [each for each in load["steps"] if "hen start" in each]
    assert len(begins) == len(names)
    for each, name in zip(begins, names, strict=True):
        assert f'"...{name.removeprefix("1-patch-cotton")}"' in each
        assert each in page.text(".bench")


def test_another_shape_keeps_the_sizes_that_it_has(page: PageBrowser) -> None:
    _begin_with(page, _HOOP)
    for kind, shape in (
        ("triangle", {"kind": "triangle", "side": "1 1/4"}),
        ("square", {"kind": "square", "side": "1 1/4"}),
    ):
        page.click(".piece .wide")
        page.click(f"[data-kind={kind}]")
        page.until(lambda wanted=shape: _draft(page)["pieces"][0]["shape"] == wanted)
    page.click(".piece .wide")
    page.click("[data-kind=rectangle]")
    assert "side 1 1/4" in page.text(".not-kept")


@pytest.mark.long
def test_a_form_is_not_replaced_without_asking(page: PageBrowser) -> None:
    _begin_with(page, _HOOP)
    page.wait("#loads")
    page.open("quilt")
    page.click("#plan-kit")
    page.click("#plan-kit-no")
    page.wait("#plan-kit")
    assert _draft(page)["title"] == _HOOP["title"]
    page.open("drawing")
    page.click("#open-gallery")
    page.click("[data-block=hourglass]")
    page.click("#block-kit")
    page.click("#block-kit-no")
    page.wait("#block-kit")
    assert _draft(page)["title"] == _HOOP["title"]
    page.open("quilt")
    page.click("#plan-kit")
    page.click("#plan-kit-yes")
    page.until(lambda: _draft(page).get("title") != _HOOP["title"])
    # What was begun just now and not changed is not asked about.
    page.wait("#loads")
    page.open("quilt")
    page.click("#plan-kit")
    page.wait("#make")


@pytest.mark.long
def test_an_error_names_the_cutter_that_a_piece_is_too_large_for(page: PageBrowser) -> None:
    mat = {
        "cut": "template",
        "cutter": "drag-blade-sheet",
        "material": {"name": "card", "kind": "card"},
    }
    piece = _HOOP["pieces"][0] | {"shape": {"kind": "hexagon", "side": "4"}}
    # A hexagon of 4 in is 8 in by 6.93 in: on the mat of 12 in, but not in 4.72 in of the hoop.
    _begin_with(page, _HOOP | {"pieces": [piece], "runs": [mat, *_HOOP["runs"]]})
    assert "Too large for Blade set by hand to four angles, in a hoop" in page.text(".piece .error")
    # The mat, which the kit has already, is another way out, and can be taken back.
    page.click(".other-cutter")
    page.wait("#loads")
    assert [run["cutter"] for run in _draft(page)["runs"]] == ["drag-blade-sheet"] * 2
    page.click("#undo")
    page.wait(".piece .error")
    assert _draft(page)["runs"][1]["cutter"] == "indexed-blade-hoop"


@pytest.mark.long
def test_a_sheet_is_chosen_by_its_usual_size(page: PageBrowser) -> None:
    _squares(page, "5", "6")
    page.choose("#kit-sheet-0", "letter, 8 1/2 × 11 in")
    page.until(lambda: "8 1/2 in × 11 in" in page.text(".takes"))
    page.choose("#kit-units", "millimetres")
    # An inch is 25.4 mm: the same sheet.
    page.until(lambda: "215.9 mm × 279.4 mm" in page.text(".takes"))
    page.choose("#kit-sheet-0", "A4, 210 × 297 mm")
    page.until(lambda: "210 mm × 297 mm" in page.text(".takes"))
    material = _draft(page)["runs"][0]["material"]
    assert (material["width"], material["height"]) == ("210", "297")


@pytest.mark.long
def test_what_fits_on_a_scrap_names_its_machine_and_outlasts_a_reload(page: PageBrowser) -> None:
    page.open("ask")
    fits = int(page.text("#scrap-fits"))
    # A laser's lines stay 1 mm inside the scrap of 12 in by 9 in: 302.8 by 226.6 mm.
    assert "(11.921) × ≈ 8 15/16 in (8.921)" in page.text("#scrap-margin")
    page.choose("#scrap-machine", "Blade set by hand to four angles, in a hoop")
    # The hoop reaches 240 by 120 mm of it.
    page.until(lambda: int(page.text("#scrap-fits")) < fits)
    # By hand, squares that are cut 2 in lie 4 by 7 on 9 in by 14 in.
    page.click("#scrap-shape")
    page.click("[data-kind=square]")
    page.type("#scrap-pieces-0-shape-side", "2")
    page.type("#scrap-pieces-0-seam_allowance", "0")
    page.type("#scrap-runs-0-material-width", "9")
    page.type("#scrap-runs-0-material-height", "14")
    page.until(lambda: page.text("#scrap-by-hand") == "28")
    page.driver.refresh()
    page.until(
        lambda: (
            page.driver.execute_script("return document.querySelector('#scrap-machine')?.value")
            == "indexed-blade-hoop"
        )
    )


#: Sixty hexagons on a laser's bed: cotton of 23 1/4 in by 15 3/8 in, of which a strip is left.
_LASER: dict[str, Any] = {
    "units": "in",
    "title": "Buoy strip",
    "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": "1"}, "quantity": 60,
                "seam_allowance": "1/4"}],
    "runs": [{"cut": "patch", "cutter": "laser-bed", "effort": "quick",
              "material": {"name": "cotton", "kind": "fabric"}}],
}  # fmt: skip


def test_a_lost_piece_is_cut_from_the_rest_that_was_kept(server: Server, page: PageBrowser) -> None:
    kit = requests.post(f"{server.url}/v1/kits", json=_LASER, timeout=600).json()
    page.open(f"kits/{kit['id']}")
    page.until(lambda: "To buy: 1/2 yd of cloth" in page.text("#recut-outlook"))
    page.click("#use-rest")
    page.until(lambda: "Nothing to buy." in page.text("#recut-outlook"))
    page.click("#recut")
    page.until(lambda: kit["id"] not in page.driver.current_url)
    again = requests.get(f"{server.url}/v1/kits/{page.kit_id()}", timeout=600).json()
    assert again["title"] == page.text("h1") == "Recut, 1 of A: Buoy strip"
    # It lies on no more than what was left, rounded down to a ruler's mark.
    (rest,) = {
        (each["width_mm"], each["height_mm"])
        for each in kit["runs"][0]["loads"][0]["offcuts"]
        if each["width_mm"] > 2.577 * 25.4 and each["height_mm"] > 2.577 * 25.4
    }
    sheet = again["runs"][0]["sheet"]
    for side, left in zip((sheet["width_mm"], sheet["height_mm"]), rest, strict=True):
        assert 0 <= left - side < 25.4 / 16
    assert "cloth" not in again["runs"][0]


@pytest.mark.long
def test_a_longer_search_is_asked_for_and_given_up(page: PageBrowser) -> None:
    # Of two hexagons the search is over as soon as it has begun.
    run = _LASER["runs"][0] | {"effort": "best"}
    few = [_LASER["pieces"][0] | {"quantity": 2}]
    _begin_with(page, _LASER | {"pieces": few, "runs": [run]})
    assert "searched longer than usual" in page.text("#longer")
    page.click("#longer button")
    _until_gone(page, "#longer")
    page.wait("#loads")
    assert "effort" not in _draft(page)["runs"][0]


@pytest.mark.long  # the usual run looks at narrow views in test_page_reach.py
def test_the_bar_of_a_narrow_page_starts_over_and_makes_the_kit(page: PageBrowser) -> None:
    narrow = {"width": 360, "height": 740, "deviceScaleFactor": 1, "mobile": True}
    page.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", narrow)
    try:
        _begin_with(page, _LASER)
        page.wait("#loads")
        place = "return document.querySelector(arguments[0]).getBoundingClientRect().top"
        for each in ("#strip-make", "#strip-start-over"):
            assert 0 < page.driver.execute_script(place, each) < 740
        page.click("#strip-start-over")
        page.click("#strip-start-over-yes")
        page.until(lambda: _draft(page)["pieces"][0]["quantity"] == 24)
        page.click("#strip-make")
        page.wait("#zip")
    finally:
        page.driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
