"""A page of another site, in a browser: neither by its own name nor by ours does it get in."""

from __future__ import annotations

import http.server
import shutil
import threading
from collections.abc import Iterator
from typing import Any

import pytest
import requests

webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")

from selenium.webdriver.chrome.service import Service  # noqa: E402 - behind the check above

pytestmark = pytest.mark.chromium
#: Names that an attacker's own name server leads to this machine.
_OPTIONS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--host-resolver-rules=MAP *.example 127.0.0.1, MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
)
_CUTTER = """{
  "tool": {"kind": "pen"}, "bed": {"width": "100 mm", "height": "100 mm"},
  "margins": {"left": "5 mm", "right": "5 mm", "top": "5 mm", "bottom": "5 mm"}
}"""
_FETCH = """
const [address, options, done] = arguments;
fetch(address, options).then(
  async (answer) => done([answer.status, answer.type, await answer.text()]),
  (error) => done([0, "error", String(error)]));
"""


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
    made = webdriver.Chrome(options=options, service=Service(driver))
    made.set_page_load_timeout(60)
    made.set_script_timeout(60)
    yield made
    made.quit()


class _Page(http.server.BaseHTTPRequestHandler):
    """Another site: one empty page."""

    def do_GET(self) -> None:
        self.send_response(200)
        self.send_header("Content-Type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>another site</title>")

    def log_message(self, *_: Any) -> None:
        pass


@pytest.fixture
def other_port() -> Iterator[int]:
    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), _Page) as other:
        threading.Thread(target=other.serve_forever, daemon=True).start()
        yield int(other.server_address[1])
        other.shutdown()


def _fetch(browser: Any, address: str, **options: Any) -> tuple[int, str, str]:
    status, kind, text = browser.execute_async_script(_FETCH, address, options)
    return int(status), str(kind), str(text)


def _cutters(url: str) -> set[str]:
    told = requests.get(f"{url}/v1/cutters", timeout=60).json()
    return {each["name"] for each in told["cutters"]}


@pytest.mark.timeout(240)
def test_a_rebound_name_reads_and_writes_nothing(server: Any, browser: Any) -> None:
    before = _cutters(server.url)
    # What a page finds after its name has been led here: it is of one origin with the service.
    browser.get(f"http://rebound.example:{server.port}/healthz")
    assert browser.execute_script("return location.host") == f"rebound.example:{server.port}"
    status, kind, text = _fetch(browser, "/v1/kits")
    assert (status, kind) == (421, "basic")
    assert "misdirected-request" in text
    assert _fetch(browser, "/openapi.json")[0] == 421
    headers = {"Content-Type": "application/json"}
    written = _fetch(browser, "/v1/cutters/rebound", method="PUT", headers=headers, body=_CUTTER)
    assert written[0] == 421
    assert _cutters(server.url) == before
    # The same from a page of the service's own does go through.
    browser.get(f"{server.url}/healthz")
    assert _fetch(browser, "/v1/kits")[0] == 200
    own = _fetch(browser, "/v1/cutters/own", method="PUT", headers=headers, body=_CUTTER)
    assert own[0] == 201, own
    assert _cutters(server.url) == before | {"own"}


@pytest.mark.timeout(240)
def test_another_site_sends_nothing_that_is_done(
    server: Any, browser: Any, other_port: int
) -> None:
    before = _cutters(server.url)
    browser.get(f"http://other.example:{other_port}/")
    kits = f"{server.url}/v1/kits"
    # Answers are not shown to it, and what needs no permission to be sent is refused.
    assert _fetch(browser, kits)[0] == 0
    opaque = _fetch(browser, kits, mode="no-cors", method="POST", body="{}")
    assert opaque[:2] == (0, "opaque")
    put = _fetch(browser, f"{server.url}/v1/cutters/other", method="PUT", body=_CUTTER)
    assert put[0] == 0
    assert _cutters(server.url) == before
    assert '"problem":"other-origin"' in server.log.read_text()
