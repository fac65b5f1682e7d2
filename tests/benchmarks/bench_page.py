"""The page for the bench in a browser: bytes of its first load, time to a drawn answer, long tasks.

    python -m tests.benchmarks.bench_page
    python -m tests.benchmarks.bench_page --url http://127.0.0.1:8080 --times 30

Prints what a browser without a cache is sent before the first answer is drawn (goal: less than
150 kB), the time from the request for the demo kit's layout to its pictures on the screen (goal:
300 ms, on loopback) and to those of the answer that the kit will have, and the longest tasks while
somebody types in a kit of 500 pieces (goal: 50 ms). Tasks are stated by the clock and by the
processor time of the page's thread: on a busy machine the clock counts what other programs do as
well. Nothing fails when a goal is missed.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import statistics
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from selenium.webdriver.common.keys import Keys

from tests.live.chromium import chromium
from tests.live.conftest import Server
from tests.live.page_browser import PageBrowser

_TYPING = "quarterseam typing"
ROOT = Path(__file__).resolve().parents[2]
CLASS_SET = ROOT / "openapi" / "examples" / "harbour-class-set.json"
_SIZES = """
const [page] = performance.getEntriesByType("navigation");
return [page, ...performance.getEntriesByType("resource")]
  .map((each) => [each.name, each.transferSize]);
"""
#: Types one change into a field and gives the milliseconds from the request for its layout until
#: the pictures of an answer to it are decoded and a frame with them was drawn, the same for the
#: last answer, and those that the service took for the first and for the last.
_DRAWN = """
const [selector, value, done] = arguments;
const field = document.querySelector(selector), result = document.querySelector(".result");
performance.clearResourceTimings();
field.value = value;
field.dispatchEvent(new Event("input", {bubbles: true}));
const frame = () => new Promise(requestAnimationFrame);
const sent = () => performance.getEntriesByType("resource").filter((each) => each.name.endsWith("/v1/layouts"));
const drawn = async () => {
  await Promise.all([...result.querySelectorAll("img")].map((each) => each.decode().catch(() => {})));
  await frame();
  await frame();
  return performance.now();
};
const ended = () => result.ariaBusy === "false";
const until = async (met) => { while (!sent().length || !met()) await frame(); };
(async () => {
  await until(() => ended() || result.classList.contains("first"));
  const first = await drawn();
  await until(ended);
  const last = await drawn(), all = sent(), start = Math.min(...all.map((each) => each.startTime));
  const took = all.map((each) => each.duration);
  done([first - start, last - start, Math.min(...took), Math.max(...took)]);
})();
"""  # noqa: E501 - a script


@contextlib.contextmanager
def served(url: str) -> Iterator[str]:
    """Give the address of a server: of the stated one, or of one with an empty data folder."""
    if url:
        yield url
        return
    with tempfile.TemporaryDirectory() as folder:
        server = Server(Path(folder) / "data", Path(folder) / "server.log")
        server.start()
        try:
            yield server.url
        finally:
            server.stop()


def keep_draft(page: PageBrowser, request: dict[str, Any]) -> None:
    """Open the page with a request in its form."""
    page.open("kits")
    page.wait("h1")
    kept = json.dumps({"units": request["units"], "theme": "", "draft": request})
    page.driver.execute_script("localStorage['quarterseam.settings'] = arguments[0]", kept)
    page.driver.get("about:blank")
    page.open("shape")
    page.wait("#loads")


def bytes_of_first_load(page: PageBrowser) -> list[tuple[str, int]]:
    """Return what was sent before the first answer was drawn, by address."""
    page.driver.execute_cdp_cmd("Network.setCacheDisabled", {"cacheDisabled": True})
    page.driver.get("about:blank")
    page.open("shape")
    page.wait("#loads")
    found = page.driver.execute_script(_SIZES)
    page.driver.execute_cdp_cmd("Network.setCacheDisabled", {"cacheDisabled": False})
    return [(name, size) for name, size in found]


def drawn_ms(page: PageBrowser, times: int, *, fresh: bool) -> list[tuple[float, ...]]:
    """Return, for so many changes, the milliseconds to the first and to the last drawn answer.

    After them stand the service's, in the same order.

    With ``fresh`` each change asks for another quantity, which has to be laid out; otherwise for
    another title of the same pieces.
    """
    name = "#kit-pieces-0-quantity" if fresh else "#kit-title"
    found = []
    for number in range(times):
        value = str(40 + number) if fresh else f"Slipway {number}"
        found.append(tuple(page.driver.execute_async_script(_DRAWN, name, value)))
    return found


def tasks_while_typing(page: PageBrowser) -> list[tuple[float, float]]:
    """Type in a kit; return the page's tasks in ms, by the clock and of its thread.

    The browser gives its trace once: a mark in it tells what came before the typing.
    """
    page.driver.execute_script("performance.mark(arguments[0])", _TYPING)
    for selector, text in (
        ("#kit-title", "Slipway sampler for the class"),
        ("#kit-pieces-0-shape-side", "1 1/8"),
        ("#kit-pieces-1-quantity", "251"),
    ):
        field = page.wait(selector)
        field.send_keys(Keys.CONTROL, "a")
        for letter in text:
            field.send_keys(letter)
    page.until(
        lambda: page.driver.execute_script(
            "return document.querySelector('.result').ariaBusy === 'false'"
        )
    )
    events = [json.loads(each["message"])["message"] for each in page.driver.get_log("performance")]
    traced = [each["params"] for each in events if each["method"] == "Tracing.dataCollected"]
    mains = {
        (each["pid"], each["tid"]) for each in traced
        if each.get("name") == "thread_name" and each["args"]["name"] == "CrRendererMain"
    }  # fmt: skip
    [begun] = {each["ts"] for each in traced if each.get("name") == _TYPING}
    return [
        (each["dur"] / 1000, each.get("tdur", 0) / 1000) for each in traced if "dur" in each
        if str(each.get("name", "")).endswith("RunTask") and (each["pid"], each["tid"]) in mains
        and each["ts"] >= begun
    ]  # fmt: skip


def kit_of_500() -> dict[str, Any]:
    """Return a kit of two kinds, 250 pieces each."""
    side = {"A": {"kind": "hexagon", "side": "1"}, "B": {"kind": "square", "side": "1 1/2"}}
    pieces = [
        {"id": name, "shape": shape, "quantity": 250, "seam_allowance": "1/4"}
        for name, shape in side.items()
    ]
    run = {"cut": "template", "cutter": "drag-blade-sheet", "formats": ["svg"],
           "material": {"name": "card", "kind": "card"}}  # fmt: skip
    return {"title": "", "units": "in", "pieces": pieces, "runs": [run]}


def report_drawn(label: str, found: list[tuple[float, ...]]) -> None:
    """Print the times to a drawn answer."""
    for index, which in enumerate(("an answer", "the kit's answer")):
        whole, server = ([each[at] for each in found] for at in (index, index + 2))
        print(f"{label}: {which} drawn {statistics.median(whole):.0f} ms after its request at the "
              f"median, {max(whole):.0f} at most; of these the server "
              f"{statistics.median(server):.0f} and {max(server):.0f} (goal 300)")  # fmt: skip


def report_answers(page: PageBrowser, times: int) -> None:
    """Measure and print the first load, and the times to drawn answers."""
    sent = bytes_of_first_load(page)
    own = sum(size for name, size in sent if "/v1/" not in name)
    print(f"first load: {sum(size for _, size in sent) / 1000:.1f} kB in {len(sent)} answers, "
          f"of these the page itself {own / 1000:.1f} kB (goal 150)")  # fmt: skip
    keep_draft(page, json.loads(CLASS_SET.read_text(encoding="utf-8")))
    report_drawn("demo kit, another quantity", drawn_ms(page, times, fresh=True))
    report_drawn("demo kit, another title", drawn_ms(page, times, fresh=False))


def report_typing(page: PageBrowser) -> None:
    """Measure and print the tasks while somebody types."""
    keep_draft(page, kit_of_500())
    tasks = tasks_while_typing(page)
    for label, index in (("by the clock", 0), ("of the page's thread", 1)):
        longest = sorted((each[index] for each in tasks), reverse=True)
        over = sum(each > 50 for each in longest)
        first = ", ".join(f"{each:.0f}" for each in longest[:3])
        print(f"typing in a kit of 500 pieces, tasks {label}: longest {first} ms, "
              f"{over} of {len(longest)} over 50 ms (goal none)")  # fmt: skip


def main() -> None:
    """Measure, and print what was found."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--url", default="", help="a running server; one of its own without it")
    parser.add_argument("--times", type=int, default=15, help="answers to measure of each kind")
    stated = parser.parse_args()
    logs = {"browser": "ALL", "performance": "ALL"}
    with served(stated.url) as url:
        with chromium(logs=logs) as driver:
            report_answers(PageBrowser(driver, url), stated.times)
        with chromium(logs=logs, trace="toplevel,blink.user_timing") as driver:
            report_typing(PageBrowser(driver, url))
    print(f"load of the machine: {os.getloadavg()[0]:.1f}")


if __name__ == "__main__":
    main()
