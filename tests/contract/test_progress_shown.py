"""How far a command is: a bar on a terminal, lines in a log, and no cost where nobody looks."""

from __future__ import annotations

import io
import os
import pty
import subprocess
import sys
import termios
from pathlib import Path

import pytest
from flask import Flask

from service.cli import progress
from service.cli.demo import make

ROOT = Path(__file__).resolve().parents[2]
EXAMPLE = ROOT / "openapi" / "examples" / "harbour-class-set.json"


def _cut(out: Path, stderr: int, *options: str) -> subprocess.CompletedProcess[bytes]:
    command = [sys.executable, *options, "-m", "service", "cut", str(EXAMPLE), "--out", str(out)]
    return subprocess.run(command, stdout=subprocess.PIPE, stderr=stderr, check=True, cwd=ROOT)


def test_a_terminal_shows_a_bar_that_is_gone_at_the_end(tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    termios.tcsetwinsize(theirs, (24, 100))
    try:
        ran = _cut(tmp_path, theirs)
        os.set_blocking(ours, False)
        seen = os.read(ours, 1 << 20).decode()
    finally:
        os.close(ours)
        os.close(theirs)
    assert " % |" in seen
    assert "Run 1" in seen
    # The last thing written is an empty line over the bar.
    assert seen.rstrip("\r").rpartition("\r")[2].strip() == ""
    assert b"%" not in ran.stdout


@pytest.mark.long
def test_without_a_terminal_the_bar_is_not_even_imported(tmp_path: Path) -> None:
    ran = _cut(tmp_path, subprocess.PIPE, "-X", "importtime")
    assert b"service.cli.progress" in ran.stderr
    assert b"tqdm" not in ran.stderr


def test_lines_come_now_and_then(monkeypatch: pytest.MonkeyPatch) -> None:
    now = [0.0]
    monkeypatch.setattr("service.cli.progress.time.monotonic", lambda: now[0])
    log = io.StringIO()
    with progress.shown(log) as show:
        for second in range(10):
            now[0] = second / 2
            show(second / 10, f"step {second}")
    assert log.getvalue().splitlines() == [" 40 % step 4", " 80 % step 8"]


def test_the_demo_tells_its_steps(app: Flask) -> None:
    found: list[tuple[float, str]] = []
    make(app.test_client(), lambda done, doing: found.append((done, doing)))
    shares = [done for done, _ in found]
    assert shares == sorted(shares)
    assert found[0] == (0.0, "making the kit")
    assert found[-1][0] < 1.0
    assert any(doing == "fetching run-sheet.pdf" for _, doing in found)
