"""schemathesis against the running server: every check, every phase, the whole document."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("schemathesis", reason="schemathesis is not installed")

ROOT = Path(__file__).resolve().parents[2]
FUZZ = Path(__file__).with_name("fuzz")


def _fuzz(server: Any, *options: str) -> None:
    ran = subprocess.run(
        [
            str(Path(sys.executable).with_name("st")), "--config-file", "schemathesis.toml", "run",
            str(ROOT / "openapi" / "openapi.json"), "--url", server.url, "-c", "all",
            # checks.py has it, but for what is cancelled by being deleted.
            "--exclude-checks", "use_after_free", *options,
        ],
        cwd=FUZZ, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stdout[-8000:] + ran.stderr[-2000:]
    log = Path(server.log).read_text()
    assert '"level":"ERROR"' not in log, log[-4000:]


@pytest.mark.timeout(900)
def test_a_short_fuzz_finds_nothing(make_server: Callable[..., Any]) -> None:
    server = make_server(QUARTERSEAM_COMPUTE_SECONDS="30")
    _fuzz(server, "-n", "8", "--seed", "20", "--max-time", "12")


@pytest.mark.long
@pytest.mark.timeout(900)
def test_ten_minutes_of_fuzz_find_nothing(make_server: Callable[..., Any]) -> None:
    server = make_server(QUARTERSEAM_COMPUTE_SECONDS="30")
    _fuzz(server, "-n", "200", "--seed", "21", "--max-time", "600")
