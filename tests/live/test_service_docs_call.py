"""A call tried on the page of the contract, with clicks, in a browser that reaches only us."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from typing import Any

import pytest

webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")

from selenium.webdriver.chrome.service import Service  # noqa: E402 - behind the check above
from selenium.webdriver.common.by import By  # noqa: E402
from selenium.webdriver.support import expected_conditions as seen  # noqa: E402
from selenium.webdriver.support.ui import WebDriverWait  # noqa: E402

pytestmark = pytest.mark.chromium
_OPTIONS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--window-size=1300,2400",
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
)


@pytest.fixture
def browser() -> Iterator[Any]:
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    driver = shutil.which("chromedriver")
    if program is None or driver is None:
        pytest.skip("chromium or its driver is not installed")
    options = webdriver.ChromeOptions()
    options.binary_location = program
    for each in _OPTIONS:
        options.add_argument(each)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    made = webdriver.Chrome(options=options, service=Service(driver))
    made.set_page_load_timeout(60)
    yield made
    made.quit()


def _click(browser: Any, within: Any, selector: str) -> None:
    found = WebDriverWait(browser, 30).until(
        lambda _: within.find_element(By.CSS_SELECTOR, selector)
    )
    # Scrolled to by hand: a fixed header must not catch the click.
    browser.execute_script("arguments[0].scrollIntoView({block: 'center'})", found)
    found.click()


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
