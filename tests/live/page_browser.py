"""A browser for the tests of the page: it can reach nothing but this machine."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("selenium.webdriver", reason="selenium is not installed")

from selenium.webdriver.support.ui import WebDriverWait

from tests.live.chromium import WAIT_S, chromium

#: axe-core 4.10.3 (tests/fixtures/axe): WCAG 2.2, levels A and AA, and best practices.
AXE = Path(__file__).resolve().parents[1] / "fixtures" / "axe" / "axe.min.js"
_RUN_AXE = """
const done = arguments[0];
axe.run().then((found) => done({passes: found.passes.length, violations: found.violations.map(
  (each) => [each.id, each.nodes.map((node) => node.html)])}));
"""
_TEXT = """
const found = document.querySelector(arguments[0]);
return found && [found.textContent];
"""


class PageBrowser:
    """Chromium on the page of a server."""

    def __init__(self, driver: Any, url: str) -> None:
        self.driver = driver
        self.url = url

    def open(self, view: str) -> None:
        self.driver.get(f"{self.url}/#/{view}")

    def forget(self) -> None:
        """Empty what the page keeps in the browser: no test meets the request of another."""
        self.driver.get(f"{self.url}/#/kits")
        self.driver.execute_script("localStorage.clear(); sessionStorage.clear()")
        self.driver.get("about:blank")

    def wait(self, selector: str) -> Any:
        """Return the first element of a selector as soon as there is one."""
        return self.until(
            lambda: self.driver.execute_script(
                "return document.querySelector(arguments[0])", selector
            )
        )

    def until(self, found: Any) -> Any:
        return WebDriverWait(self.driver, WAIT_S).until(lambda _: found())

    def click(self, selector: str) -> None:
        """Click an element as soon as it is there and can be used."""
        element = self.wait(f"{selector}:not([disabled])")
        self.driver.execute_script("arguments[0].click()", element)

    def type(self, selector: str, text: str) -> None:
        element = self.wait(selector)
        element.clear()
        element.send_keys(text)

    def choose(self, selector: str, label: str) -> None:
        """Choose an option by its text, as soon as it is there."""
        self.until(
            lambda: self.driver.execute_script(
                "const [selector, label] = arguments, list = document.querySelector(selector);"
                "const index = [...(list?.options || [])].findIndex((each) => each.text === label);"
                "if (index < 0) return false;"
                "list.selectedIndex = index;"
                "return list.dispatchEvent(new Event('change', {bubbles: true}));",
                selector,
                label,
            )
        )

    def text(self, selector: str) -> str:
        """Return the text of the first element, in one step: a redraw may replace the element."""
        found = self.until(lambda: self.driver.execute_script(_TEXT, selector))
        return str(found[0]).strip()

    def kit_id(self) -> str:
        """Return the id of the kit whose view is open, as soon as it is."""
        self.wait("#zip")
        return str(self.driver.current_url).rsplit("/", 1)[1]

    def violations(self) -> list[Any]:
        """Return what axe-core objects to in the view as it is."""
        self.driver.execute_script(AXE.read_text(encoding="utf-8"))
        found = self.driver.execute_async_script(_RUN_AXE)
        assert found["passes"] > 5
        return list(found["violations"])

    def theme(self, name: str) -> None:
        media = {"features": [{"name": "prefers-color-scheme", "value": name}]}
        self.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", media)

    def requested(self) -> list[str]:
        """Return the addresses that the browser asked for since the last call."""
        messages = [
            json.loads(each["message"])["message"] for each in self.driver.get_log("performance")
        ]
        return [
            each["params"]["request"]["url"]
            for each in messages
            if each["method"] == "Network.requestWillBeSent"
        ]

    def complaints(self) -> list[str]:
        """Return what stands in the console, but for refused requests, which it lists as well."""
        return [
            each["message"]
            for each in self.driver.get_log("browser")
            if "Failed to load resource" not in each["message"]
        ]


@contextlib.contextmanager
def page_browser(url: str) -> Iterator[PageBrowser]:
    with chromium(logs={"browser": "ALL", "performance": "ALL"}) as driver:
        yield PageBrowser(driver, url)
