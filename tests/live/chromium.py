"""Chromium for tests: without a window, and able to reach nothing but this machine."""

from __future__ import annotations

import contextlib
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")

from selenium.webdriver.chrome.service import Service  # noqa: E402 - behind the check above

WAIT_S = 600
_OPTIONS = ("--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage")


@contextlib.contextmanager
def chromium(
    *,
    logs: Mapping[str, str],
    width: int = 1366,
    height: int = 1000,
    to_here: str = "",
    trace: str = "",
    downloads: Path | None = None,
) -> Iterator[Any]:
    """Give a browser's driver; skip the test where it is not installed.

    Args:
        logs: what the driver keeps, by kind.
        width: of the window.
        height: of the window.
        to_here: names that lead to this machine, as a pattern; none for "".
        trace: categories of trace events in the log ``performance``; none for "".
        downloads: the folder in which files are saved; none without it.
    """
    program = shutil.which("chromium") or shutil.which("chromium-browser")
    driver = shutil.which("chromedriver")
    if program is None or driver is None:
        pytest.skip("chromium or its driver is not installed")
    rules = [f"MAP {to_here} 127.0.0.1"] if to_here else []
    rules += ["MAP * ~NOTFOUND", "EXCLUDE 127.0.0.1"]
    options = webdriver.ChromeOptions()
    options.binary_location = program
    for each in (
        *_OPTIONS,
        f"--window-size={width},{height}",
        f"--host-resolver-rules={', '.join(rules)}",
    ):
        options.add_argument(each)
    options.set_capability("goog:loggingPrefs", dict(logs))
    if trace:
        options.add_experimental_option("perfLoggingPrefs", {"traceCategories": trace})
    if downloads is not None:
        preferences = {
            "download.default_directory": str(downloads),
            "download.prompt_for_download": False,
            # A second file, too, is saved without a question.
            "profile.default_content_setting_values.automatic_downloads": 1,
        }
        options.add_experimental_option("prefs", preferences)
    made = webdriver.Chrome(options=options, service=Service(driver))
    made.set_page_load_timeout(WAIT_S)
    made.set_script_timeout(WAIT_S)
    try:
        yield made
    finally:
        made.quit()
