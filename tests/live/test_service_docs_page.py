"""The page of the contract, drawn by a browser that can reach nothing but this server."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.chromium
def test_the_page_lists_every_operation_without_the_internet(server: Any, tmp_path: Path) -> None:
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None:
        pytest.skip("chromium is not installed")
    ran = subprocess.run(
        [
            browser, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={tmp_path}",
            "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1", "--enable-logging=stderr",
            "--virtual-time-budget=20000", "--dump-dom", f"{server.url}/docs",
        ],
        capture_output=True, text=True, check=False, timeout=600,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr[-2000:]
    document = json.loads((ROOT / "openapi" / "openapi.json").read_text(encoding="utf-8"))
    # What is sent to a callback's receiver is listed among them.
    listed = [*document["paths"].values(), *document["webhooks"].values()]
    operations = sum(len(each) for each in listed)
    assert len(re.findall(r'class="opblock-summary-path"', ran.stdout)) == operations
    assert "Content Security Policy" not in ran.stderr
