"""What the README tells people to type works, and what it lists is what there is."""

from __future__ import annotations

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import requests

from adapters import registry

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_two_commands_do_all_set_up() -> None:
    commands = blocks("sh")
    assert len(commands) == 2
    assert all(len(command.strip().splitlines()) == 1 for command in commands)
    assert commands[0].strip().endswith("-m service demo")
    # Several processes, so that all cores are used.
    assert re.search(r"-m pytest( -n \d+)?$", commands[1].strip())


def test_the_job_comes_first() -> None:
    first = "\n".join(README.split("\n\n")[1:3])
    for word in ("template", "patch", "allowance", "run sheet"):
        assert word in first


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, Path]]:
    folder = tmp_path_factory.mktemp("readme")
    shutil.copytree(ROOT / "openapi", folder / "openapi")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "QUARTERSEAM_DATA": str(folder / "data"),
    }
    process = subprocess.Popen(
        [sys.executable, "-m", "service", "serve", "--port", str(port)],
        cwd=folder, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    url = f"http://127.0.0.1:{port}"
    try:
        until = time.monotonic() + 600
        while time.monotonic() < until:
            try:
                if requests.get(f"{url}/healthz", timeout=60).ok:
                    break
            except (requests.ConnectionError, requests.Timeout):
                time.sleep(0.1)
        yield url, folder
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(600)


def test_examples_work_in_order(server: tuple[str, Path]) -> None:
    url, folder = server
    if shutil.which("curl") is None:
        pytest.skip("curl is not installed: the README's examples were NOT run")
    examples = [block for block in blocks("bash") if "service serve" not in block]
    assert len(examples) >= 6
    for example in examples:
        command = example.replace("http://127.0.0.1:8080", url)
        command = command.replace(".venv/bin/python", sys.executable)
        done = subprocess.run(
            ["bash", "-euo", "pipefail", "-c", command],
            cwd=folder, capture_output=True, text=True, timeout=600, check=False,
            env={**os.environ, "PYTHONPATH": str(ROOT)},
        )  # fmt: skip
        assert done.returncode == 0, f"{example}\n{done.stdout[-500:]}\n{done.stderr[-500:]}"
    assert (folder / "kit.zip").read_bytes()[:2] == b"PK"
    assert (folder / "hexagon.svg").read_text(encoding="utf-8").startswith("<?xml")
    assert (folder / "harbour-kit").is_dir()


@pytest.mark.parametrize("name", registry.BUILT_IN)
def test_a_format_is_complete(name: str) -> None:
    """One file, one entry-point line, one round-trip test, one README row."""
    pyproject = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    assert f'{name} = "adapters.{name}:ADAPTER"' in pyproject
    assert re.search(rf"^\| `{name}` \|", README, re.MULTILINE)
    tests = "".join(
        file.read_text(encoding="utf-8")
        for file in (ROOT / "tests" / "roundtrip").glob("test_*.py")
    )
    assert f'written("{name}")' in tests or f"test_{name}" in tests


def test_packages_are_this_checkout_s() -> None:
    # Their names are common ones: another package must not stand in for them.
    import adapters
    import geometry
    import service

    for package in (adapters, geometry, service):
        assert Path(package.__file__ or "").is_relative_to(ROOT)


def test_nothing_tracked_names_a_machine_or_a_registry() -> None:
    if shutil.which("git") is None or not (ROOT / ".git").exists():
        pytest.skip("not a git checkout: tracked files were NOT looked through")
    output = subprocess.run(
        ["git", "grep", "-nIE", r"--(extra-)?index-url[ =]+http|--find-links[ =]+http", "--", "."],
        cwd=ROOT, capture_output=True, text=True, check=False, timeout=600,
    ).stdout  # fmt: skip
    assert output == ""
