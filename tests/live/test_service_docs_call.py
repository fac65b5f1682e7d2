"""A call tried on the page of the contract, with clicks, in a browser that reaches only us."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest

pytest.importorskip("selenium.webdriver", reason="selenium is not installed")

from selenium.webdriver.common.by import By
from selenium.webdriver.support import expected_conditions as seen
from selenium.webdriver.support.ui import WebDriverWait

from tests.live.chromium import chromium

pytestmark = pytest.mark.chromium


@pytest.fixture
def browser() -> Iterator[Any]:
    with chromium(logs={"browser": "ALL"}, width=1300, height=2400) as driver:
        yield driver


def _click(browser: Any, within: Any, selector: str) -> None:
    found = WebDriverWait(browser, 30).until(
        lambda _: within.find_element(By.CSS_SELECTOR, selector)
    )
    # Scrolled to by hand: a fixed header must not catch the click.
    browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", found)
    found.click()


@pytest.mark.long
@pytest.mark.timeout(900)
def test_outlines_are_computed_by_clicking(server: Any, browser: Any) -> None:
    browser.get(f"{server.url}/docs")
    block = WebDriverWait(browser, 60).until(
        seen.presence_of_element_located((By.ID, "operations-outlines-computeOutlines"))
    )
    _click(browser, block, ".opblock-summary-control")
    _click(browser, block, ".try-out__btn")
    body = WebDriverWait(browser, 30).until(
        lambda _: block.find_element(By.CSS_SELECTOR, "textarea.body-param__text")
    )
    asked = json.loads(body.get_attribute("value") or "")
    _click(browser, block, "button.execute")
    answered = WebDriverWait(browser, 30).until(
        lambda _: block.find_element(By.CSS_SELECTOR, ".live-responses-table .response")
    )
    assert answered.find_element(By.CSS_SELECTOR, ".response-col_status").text.startswith("200")
    output = answered.find_element(By.CSS_SELECTOR, ".response-col_description .microlight").text
    # The example that the page fills in is one of ours: it is answered piece for piece.
    for piece in asked["pieces"]:
        assert f'"id": "{piece["id"]}"' in output
    wrong = [each["message"] for each in browser.get_log("browser") if each["level"] == "SEVERE"]
    assert not wrong
