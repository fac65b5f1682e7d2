"""Clients that general-purpose generators make of the document work against the server."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
CLIENTS = ROOT / "openapi" / "clients"
DOCUMENT = ROOT / "openapi" / "openapi.json"


def _run(*command: str, folder: Path, **environment: str) -> str:
    # The Python generator calls ruff from the path.
    path = os.pathsep.join((str(Path(sys.executable).parent), os.environ["PATH"]))
    ran = subprocess.run(
        command, cwd=folder, capture_output=True, text=True, check=False, timeout=600,
        env={**os.environ, "PATH": path, **environment},
    )  # fmt: skip
    assert ran.returncode == 0, ran.stdout[-4000:] + ran.stderr[-4000:]
    return ran.stdout


def test_a_generated_python_client_makes_a_kit(server: Any, tmp_path: Path) -> None:
    generator = Path(sys.executable).with_name("openapi-python-client")
    if not generator.exists():
        pytest.skip("openapi-python-client is not installed")
    made = tmp_path / "client"
    _run(
        str(generator), "generate", "--path", str(DOCUMENT), "--config",
        str(CLIENTS / "python.yml"), "--output-path", str(made), "--fail-on-warning",
        folder=tmp_path,
    )  # fmt: skip
    _run(sys.executable, "-m", "compileall", "-q", str(made), folder=tmp_path)
    payload = _run(
        sys.executable, str(CLIENTS / "smoke.py"), server.url, folder=tmp_path, PYTHONPATH=str(made)
    )
    assert payload.startswith("made ")


@pytest.mark.long
def test_a_generated_typescript_client_makes_a_kit(server: Any, tmp_path: Path) -> None:
    if not (shutil.which("npm") and shutil.which("node")):
        pytest.skip("node and npm are not installed")
    folder = tmp_path / "clients"
    shutil.copytree(CLIENTS, folder)
    shutil.copy(DOCUMENT, tmp_path)
    fetched = subprocess.run(
        ["npm", "install", "--no-audit", "--no-fund", "--ignore-scripts"],
        cwd=folder, capture_output=True, text=True, check=False, timeout=600,
    )  # fmt: skip
    if fetched.returncode:
        pytest.skip("npm could not fetch the generator: " + fetched.stderr[-200:])
    _run("npm", "run", "-s", "generate", folder=folder)
    _run("npm", "run", "-s", "check", folder=folder)
    payload = _run("node", "out/smoke.js", server.url, folder=folder)
    assert payload.startswith("made ")
