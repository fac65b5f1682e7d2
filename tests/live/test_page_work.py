"""The page in a browser: a stock, cures, cutters of other forms, saved blocks, questions.

One server and one browser for the module.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

from tests.live.conftest import Server
from tests.live.page_browser import PageBrowser, page_browser

pytestmark = [pytest.mark.chromium, pytest.mark.timeout(1800)]


@pytest.fixture(scope="module")
def page(server: Server) -> Iterator[PageBrowser]:
    with page_browser(server.url) as made:
        yield made


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


def test_a_stock_says_what_it_lacks_and_what_is_used(page: PageBrowser) -> None:
    # A 12 in sheet on the mat leaves 11 1/2 in between its margins: two squares of 5 in across
    # and two up, four in all. Six need two sheets; at 2.50 each these are 5.00.
    _squares(page, "5", "6")
    page.click(".use-stock")
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
