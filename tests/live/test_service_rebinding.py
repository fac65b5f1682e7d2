"""A page of another site, in a browser: neither by its own name nor by ours does it get in."""

from __future__ import annotations

import contextlib
import http.server
import socket
import socketserver
import threading
from collections.abc import Iterator
from typing import Any

import pytest
import requests

pytest.importorskip("selenium.webdriver", reason="selenium is not installed")

from selenium.webdriver.support.ui import WebDriverWait

from tests.live.chromium import chromium

pytestmark = pytest.mark.chromium
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
_FORM = """
const form = document.body.appendChild(document.createElement("form"));
form.action = arguments[0]; form.method = "POST"; form.enctype = "text/plain";
form.submit();
"""


@pytest.fixture
def browser() -> Iterator[Any]:
    # As an attacker's own name server would lead them.
    with chromium(logs={}, to_here="*.example") as driver:
        yield driver


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


class _Forwarder(socketserver.ThreadingTCPServer):
    """What a name leads to: first one server, later another, as an attacker's name server says."""

    daemon_threads = True

    def __init__(self, target: int) -> None:
        super().__init__(("127.0.0.1", 0), _Forwarded)
        self.target = target


class _Forwarded(socketserver.BaseRequestHandler):
    def handle(self) -> None:
        # A browser opens connections ahead of need: where one leads is decided when it is used.
        first = self.request.recv(65536)
        server: Any = self.server
        with socket.create_connection(("127.0.0.1", server.target)) as onward:
            onward.sendall(first)
            back = threading.Thread(target=_pump, args=(onward, self.request), daemon=True)
            back.start()
            _pump(self.request, onward)
            back.join()


def _pump(source: socket.socket, sink: socket.socket) -> None:
    with contextlib.suppress(OSError):
        while data := source.recv(65536):
            sink.sendall(data)
        sink.shutdown(socket.SHUT_WR)


@pytest.fixture
def forwarder(other_port: int) -> Iterator[_Forwarder]:
    with _Forwarder(other_port) as made:
        threading.Thread(target=made.serve_forever, daemon=True).start()
        yield made
        made.shutdown()


def _fetch(browser: Any, address: str, **options: Any) -> tuple[int, str, str]:
    status, kind, text = browser.execute_async_script(_FETCH, address, options)
    return int(status), str(kind), str(text)


def _cutters(url: str) -> set[str]:
    response = requests.get(f"{url}/v1/cutters", timeout=600).json()
    return {each["name"] for each in response["cutters"]}


@pytest.mark.timeout(900)
def test_a_rebound_name_reads_and_writes_nothing(
    server: Any, browser: Any, forwarder: _Forwarder
) -> None:
    before = _cutters(server.url)
    port = forwarder.server_address[1]
    browser.get(f"http://rebound.example:{port}/")
    assert browser.title == "another site"
    # From now on the name leads to the service: the page is of one origin with it.
    forwarder.target = server.port
    status, kind, text = _fetch(browser, "/v1/kits")
    assert (status, kind) == (421, "basic")
    assert "misdirected-request" in text
    assert _fetch(browser, "/openapi.json")[0] == 421
    headers = {"Content-Type": "application/json"}
    written = _fetch(browser, "/v1/cutters/rebound", method="PUT", headers=headers, body=_CUTTER)
    assert written[0] == 421
    assert _cutters(server.url) == before


@pytest.mark.timeout(900)
def test_a_page_under_a_name_of_this_machine_goes_through(
    server: Any, browser: Any, forwarder: _Forwarder
) -> None:
    # The same way as above, so that it is the name alone that was refused there.
    browser.get(f"http://127.0.0.1:{forwarder.server_address[1]}/")
    forwarder.target = server.port
    assert _fetch(browser, "/v1/kits")[0] == 200
    headers = {"Content-Type": "application/json"}
    own = _fetch(browser, "/v1/cutters/own", method="PUT", headers=headers, body=_CUTTER)
    assert own[0] in {200, 201}, own
    assert "own" in _cutters(server.url)


@pytest.mark.timeout(900)
def test_another_site_sends_nothing_that_is_done(
    server: Any, browser: Any, other_port: int
) -> None:
    before = _cutters(server.url)
    browser.get(f"http://other.example:{other_port}/")
    kits = f"{server.url}/v1/kits"
    # Answers are not shown to it, and what needs no permission to be sent is refused.
    assert _fetch(browser, kits)[0] == 0
    assert _fetch(browser, kits, mode="no-cors", method="POST", body="{}")[0] == 0
    put = _fetch(browser, f"{server.url}/v1/cutters/other", method="PUT", body=_CUTTER)
    assert put[0] == 0
    refused = server.log.read_text().count('"problem":"other-origin"')
    assert refused >= 1
    browser.execute_script(_FORM, f"{server.url}/v1/outlines")
    WebDriverWait(browser, 60).until(lambda it: it.current_url.startswith(server.url))
    WebDriverWait(browser, 60).until(lambda it: "other-origin" in it.page_source)
    assert _cutters(server.url) == before
