"""The page of a service that asks for keys: asked for, refused, kept in the tab, forgotten."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

import pytest
import requests

from tests.live.conftest import ROOT, Server
from tests.live.page_browser import PageBrowser, page_browser
from tests.short_form import short_form

pytestmark = [pytest.mark.chromium, pytest.mark.timeout(1800)]
#: Everything that a browser keeps beyond this tab, as text.
_KEPT_ELSEWHERE = """
const done = arguments[0];
const names = indexedDB.databases().then((found) => found.map((each) => each.name));
Promise.all([names, caches.keys()]).then(([databases, stores]) => done(
  JSON.stringify([localStorage, document.cookie, location.href, databases, stores])));
"""


@pytest.fixture(scope="module")
def keyed(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Server, str]]:
    """Give a server that asks for keys, and a key of it."""
    folder = tmp_path_factory.mktemp("keyed")
    server = Server(folder / "data", folder / "server.log", {"QUARTERSEAM_AUTH": "on"})
    made = subprocess.run(
        [sys.executable, "-m", "service", "keys", "add", "bench", "--scope", "write"],
        env={**os.environ, "PYTHONPATH": str(ROOT), "QUARTERSEAM_DATA": str(server.data)},
        capture_output=True, text=True, timeout=600, check=True, cwd=folder,
    )  # fmt: skip
    server.start()
    yield server, made.stdout.strip().splitlines()[-1]
    assert server.stop() == 0


@pytest.fixture
def page(keyed: tuple[Server, str]) -> Iterator[PageBrowser]:
    """Give a browser of its own to each test: a tab's storage ends with the tab."""
    with page_browser(keyed[0].url) as made:
        yield made


def _enter(page: PageBrowser, key: str) -> None:
    page.wait("#key[open]")
    page.type("#key-text", key)
    page.click("#key button")


def _kept_elsewhere(page: PageBrowser) -> str:
    return str(page.driver.execute_async_script(_KEPT_ELSEWHERE))


def _is_shut(page: PageBrowser) -> bool:
    return page.driver.execute_script("return !document.getElementById('key').open") is True


def test_a_key_is_asked_for_and_opens_the_service(
    keyed: tuple[Server, str], page: PageBrowser
) -> None:
    server, key = keyed
    page.open("shape")
    page.wait("#key[open]")
    assert page.violations() == []
    _enter(page, key)
    page.wait("#loads")
    page.click("#make")
    kit_id = page.kit_id()
    assert requests.get(f"{server.url}/v1/kits/{kit_id}", timeout=600).status_code == 401
    headers = {"Authorization": f"Bearer {key}"}
    kept = requests.get(f"{server.url}/v1/kits/{kit_id}", headers=headers, timeout=600).json()
    assert kept["pieces"][0]["shape"] == "hexagon"
    # The command that is shown tells where the key goes, and does not hold it.
    shown = page.driver.execute_script("return document.body.textContent")
    assert "Authorization: Bearer KEY" in shown
    assert key not in shown
    assert page.complaints() == []


def test_a_key_is_kept_in_the_tab_alone_and_forgotten(
    keyed: tuple[Server, str], page: PageBrowser
) -> None:
    _, key = keyed
    page.open("kits")
    _enter(page, key)
    page.until(lambda: _is_shut(page))
    assert key in page.driver.execute_script("return JSON.stringify(sessionStorage)")
    assert key not in _kept_elsewhere(page)
    # A second tab knows nothing of it.
    page.driver.switch_to.new_window("tab")
    page.open("kits")
    page.wait("#key[open]")
    page.driver.close()
    page.driver.switch_to.window(page.driver.window_handles[0])
    page.driver.refresh()
    page.wait("#forget-key")
    assert _is_shut(page)
    page.click("#forget-key")
    page.wait("#key[open]")
    assert key not in page.driver.execute_script("return JSON.stringify(sessionStorage)")


@pytest.mark.parametrize("wrong", short_form(["nonsense", "0123456789abcdef.secret"], ["nonsense"]))
def test_a_key_that_is_refused_is_asked_for_again_with_the_reason(
    keyed: tuple[Server, str], page: PageBrowser, wrong: str
) -> None:
    _, key = keyed
    page.open("kits")
    assert not _visible(page, "#key-refused")
    _enter(page, wrong)
    page.until(lambda: _visible(page, "#key-refused"))
    assert page.violations() == []
    _enter(page, key)
    page.until(lambda: "No kit has been made yet" in page.text("main") or _has_kits(page))
    assert _is_shut(page)


def _visible(page: PageBrowser, selector: str) -> bool:
    return bool(page.driver.execute_script(
        "return document.querySelector(arguments[0])?.checkVisibility()", selector
    ))  # fmt: skip


def _has_kits(page: PageBrowser) -> Any:
    return page.driver.execute_script("return document.querySelector('.kits a') !== null")


def test_no_other_site_drives_it(keyed: tuple[Server, str]) -> None:
    """What a page of another site sends changes nothing, and it is shown nothing that it reads.

    Fetch standard: without `Access-Control-Allow-Origin` a browser keeps an answer from a page of
    another origin. `Sec-Fetch-Site` and `Origin` are set by browsers, never by pages.
    """
    server, key = keyed
    headers = {"Authorization": f"Bearer {key}"}
    other = {"Origin": "https://other.example", "Sec-Fetch-Site": "cross-site"}
    for sent, refusals in ((other, (401, 403)), ({**headers, **other}, (403,))):
        answer = requests.post(f"{server.url}/v1/kits", json={}, headers=sent, timeout=600)
        assert answer.status_code in refusals, (sent, answer.text)
    read = requests.get(f"{server.url}/v1/kits", headers={**headers, **other}, timeout=600)
    assert "Access-Control-Allow-Origin" not in read.headers


@pytest.mark.long
def test_a_run_sheet_opens_in_a_tab_of_its_own(
    keyed: tuple[Server, str], page: PageBrowser
) -> None:
    """A tab sends no key; the link that the page asked for opens the file all the same."""
    server, key = keyed
    kit = _made_kit(server, key)
    page.open(f"kits/{kit['id']}")
    _enter(page, key)
    for selector, name in (
        (f"[data-open='{kit['run_sheet']}']", "run-sheet.pdf"),
        (f"[data-open='{kit['labels']}']", "labels.pdf"),
        (f"[data-open='{kit['runs'][0]['loads'][0]['files'][0]['href']}']", "svg"),
    ):
        page.wait(selector).click()
        page.until(lambda: len(page.driver.window_handles) == 2)
        first, tab = page.driver.window_handles
        page.driver.switch_to.window(tab)
        page.until(lambda: "signature=" in str(page.driver.current_url))
        assert name in str(page.driver.current_url)
        assert key not in str(page.driver.current_url)
        page.until(lambda: page.driver.execute_script("return document.readyState") == "complete")
        # It is the file that is shown, and it knows nothing of the page that opened it.
        shown = {"run-sheet.pdf": "application/pdf", "labels.pdf": "application/pdf"}
        assert page.driver.execute_script("return document.contentType") == shown.get(
            name, "image/svg+xml"
        )
        assert page.driver.execute_script("return window.opener") is None
        page.driver.close()
        page.driver.switch_to.window(first)
    assert page.violations() == []
    assert page.complaints() == []
    # At the bench, too.
    page.open(f"bench/{kit['id']}")
    page.wait("#open-run-sheet").click()
    page.until(lambda: len(page.driver.window_handles) == 2)


def _made_kit(server: Server, key: str) -> dict[str, Any]:
    pieces = [{"id": "A", "shape": {"kind": "square", "side": "2"}, "quantity": 2}]
    runs = [{"cut": "template", "cutter": "drag-blade-sheet", "formats": ["svg"],
             "material": {"name": "card", "kind": "card"}}]  # fmt: skip
    body: dict[str, Any] = {"units": "in", "pieces": pieces, "runs": runs}
    headers = {"Authorization": f"Bearer {key}"}
    made = requests.post(f"{server.url}/v1/kits", json=body, headers=headers, timeout=600)
    assert made.status_code == 201, made.text
    return dict(made.json())


def test_the_page_shows_times_of_its_own_machine(
    keyed: tuple[Server, str], page: PageBrowser
) -> None:
    """The API states UTC; Kathmandu is 5 h 45 min ahead of it all year (IANA time zones)."""
    server, key = keyed
    _made_kit(server, key)
    page.driver.execute_cdp_cmd("Emulation.setTimezoneOverride", {"timezoneId": "Asia/Kathmandu"})
    page.driver.execute_cdp_cmd("Emulation.setLocaleOverride", {"locale": "en-GB"})
    page.open("kits")
    _enter(page, key)
    page.wait(".kits time")
    stated, shown = page.driver.execute_script(
        "const each = document.querySelector('.kits time');return [each.dateTime, each.textContent]"
    )
    utc = datetime.fromisoformat(stated)
    assert utc.utcoffset() == timedelta(0)
    local = utc + timedelta(hours=5, minutes=45)
    assert shown == f"{local:%d/%m/%Y, %H:%M:%S}"
