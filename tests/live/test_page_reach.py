"""The page for hands, eyes and ears: keyboard, axe-core, announcements, paper, at both widths.

axe-core 4.10.3 (tests/fixtures/axe): WCAG 2.2, levels A and AA, and best practices.
"""

from __future__ import annotations

import base64
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import requests

from tests.live.conftest import Server
from tests.live.page_browser import PageBrowser, page_browser
from tests.short_form import short_form

pytestmark = [pytest.mark.chromium, pytest.mark.timeout(1800)]
#: What can be used in the view as it is; of radio buttons of one name the chosen one, as by Tab.
_USABLE = """
const chosen = (each) => each.type !== "radio" || each.checked;
return [...document.querySelectorAll("a[href], button, input, select, summary, [tabindex='0']")]
  .filter((each) => !each.disabled && each.checkVisibility() && !each.closest("dialog"))
  .filter(chosen)
  .map((each) => { each.dataset.usable ??= String(Math.random()); return each.dataset.usable; });
"""
_FOCUSED = """
const each = document.activeElement, {outlineStyle, outlineWidth} = getComputedStyle(each);
return [each.dataset.usable ?? "", outlineStyle !== "none" && parseFloat(outlineWidth) >= 2,
  each.outerHTML.slice(0, 120)];
"""
VIEWS = {
    "shape": "#loads", "drawing": "#drawing-file", "quilt": "#quilt-pieces", "kits": ".kits a",
    "ask": "#scrap-fits", "kits/ID": "#zip", "bench/ID": "#next",
}  # fmt: skip
WIDTHS = {1366: 900, 360: 740}
#: What opens a dialog: the view, what is ready before, what is clicked, and what stands in it.
DIALOGS = {
    "catalogue": ("shape", "#loads", ".piece .wide", "[data-kind=clamshell]"),
    "describe": ("shape", "#loads", ".cutter-buttons button", "#bed-shape"),
    "enlarged": ("shape", "#loads", ".load .picture", ".zoomed img"),
    "player": ("shape", "#loads", ".load > .quiet", ".played svg"),
    "gallery": ("drawing", "#open-gallery", "#open-gallery", "[data-block=compass] svg"),
}


@pytest.fixture(scope="module")
def page(server: Server) -> Iterator[PageBrowser]:
    with page_browser(server.url) as made:
        yield made


@pytest.fixture(scope="module")
def kit(server: Server) -> str:
    """Give the id of a kit of three loads."""
    pieces = [{"id": "A", "shape": {"kind": "square", "side": "6"}, "quantity": 3}]
    runs = [{"cut": "template", "cutter": "drag-blade-sheet", "formats": ["svg"],
             "material": {"name": "card", "kind": "card"}}]  # fmt: skip
    body: dict[str, Any] = {"title": "Slipway", "units": "in", "pieces": pieces, "runs": runs}
    return str(requests.post(f"{server.url}/v1/kits", json=body, timeout=600).json()["id"])


def _set_width(page: PageBrowser, width: int) -> None:
    size = {"width": width, "height": WIDTHS[width], "deviceScaleFactor": 1, "mobile": width < 400}
    page.driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", size)


def _overflow(page: PageBrowser) -> int:
    return int(page.driver.execute_script(
        "return document.documentElement.scrollWidth - innerWidth"
    ))  # fmt: skip


#: The usual run has all views at the narrow width in the dark. Other tests of the page look at some
#: of them at the other in the light.
LOOKS = [(360, ("dark",)), *((width, ("light", "dark")) for width in WIDTHS)]


@pytest.mark.parametrize(("width", "themes"), short_form(LOOKS, LOOKS[:1]))
def test_every_view_and_dialog_passes_axe_at_both_widths_and_themes(
    page: PageBrowser, kit: str, width: int, themes: tuple[str, ...]
) -> None:
    _set_width(page, width)
    page.forget()
    for view, ready in VIEWS.items():
        page.open(view.replace("ID", kit))
        page.wait(ready)
        for theme in themes:
            page.theme(theme)
            assert page.violations() == [], (view, theme)
        assert _overflow(page) <= 0, view
    for dialog, (view, ready, opener, content) in DIALOGS.items():
        page.driver.get("about:blank")
        page.open(view)
        page.wait(ready)
        page.click(opener)
        page.wait(f"#{dialog}[open]")
        page.wait(f"#{dialog} {content}")
        for theme in themes:
            page.theme(theme)
            assert page.violations() == [], (dialog, theme)
    assert page.complaints() == []


def _press(page: PageBrowser, key: str, code: int) -> None:
    for kind in ("rawKeyDown", "keyUp"):
        event = {"type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code}
        page.driver.execute_cdp_cmd("Input.dispatchKeyEvent", event)


@pytest.mark.parametrize("view", short_form(VIEWS, {"shape", "kits/ID", "bench/ID"}))
def test_tab_reaches_all_that_can_be_used_and_shows_where_it_is(
    page: PageBrowser, kit: str, view: str
) -> None:
    _set_width(page, 1366)
    page.forget()
    page.open(view.replace("ID", kit))
    page.wait(VIEWS[view])
    usable = set(page.driver.execute_script(_USABLE))
    assert len(usable) > 4
    reached: set[str] = set()
    for _ in range(3 * len(usable) + 20):
        _press(page, "Tab", 9)
        name, visible, markup = page.driver.execute_script(_FOCUSED)
        if name:
            assert visible, markup
            reached.add(name)
        if usable <= reached:
            break
    assert usable - reached == set()


def test_a_view_that_is_gone_to_has_the_focus_and_a_title(page: PageBrowser) -> None:
    page.forget()
    page.open("shape")
    page.wait("#loads")
    page.click("nav a[href='#/quilt']")
    page.wait("#quilt-pieces")
    assert page.driver.execute_script("return document.activeElement.id") == "main"
    page.until(lambda: page.driver.title == "A quilt · quarterseam")


def test_an_answer_and_an_error_are_announced(page: PageBrowser) -> None:
    page.forget()
    page.open("shape")
    page.until(lambda: page.text("#status").startswith("Fits: yes, 1 load, 1 sheet"))
    # What changes without a place of its own on the screen stands in one live region.
    region = "return document.getElementById('status').getAttribute('role')"
    assert page.driver.execute_script(region) == "status"
    page.type("#kit-pieces-0-shape-side", "40")
    page.until(lambda: "at most 5 15/16 in" in page.text("#status"))


def test_the_tools_path_is_played_paused_and_played_again(page: PageBrowser) -> None:
    page.forget()
    page.open("shape")
    page.wait("#loads")
    page.click(".load > .quiet")
    page.until(lambda: page.text("#play") == "Play it again")
    hidden = "return document.querySelectorAll('.played .unplayed').length"
    assert page.driver.execute_script(hidden) == 0
    page.click("#play")
    page.click("#play")
    page.driver.execute_script(
        "const field = document.querySelector('.scrubber input'); field.value = 1;"
        "field.dispatchEvent(new Event('input'));"
    )
    page.until(lambda: page.driver.execute_script(hidden) > 0)
    assert page.text("#play") == "Go on"


def test_paper_shows_the_answer_in_ink_and_no_buttons(
    page: PageBrowser, kit: str, tmp_path: Path
) -> None:
    _set_width(page, 1366)
    page.open(f"kits/{kit}")
    page.wait("#zip")
    page.theme("dark")
    made = page.driver.execute_cdp_cmd("Page.printToPDF", {"printBackground": True})
    path = tmp_path / "kit.pdf"
    path.write_bytes(base64.b64decode(made["data"]))
    read = subprocess.run(
        ["pdftotext", str(path), "-"], capture_output=True, text=True, timeout=600, check=True
    ).stdout
    assert "Run 1, load 1" in read
    assert "Everything in one zip" not in read
    page.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print"})
    ink = page.driver.execute_script("return getComputedStyle(document.body).color")
    page.driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": ""})
    assert ink == "rgb(0, 0, 0)"
