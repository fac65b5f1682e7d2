"""Every seeded fault of a reader is caught by a test: the tests of that reader fail with it.

The short form tries two; ``pytest -m long tests/foreign`` tries all.
"""

from __future__ import annotations

import os
import subprocess
import sys

import pytest

from tests.foreign.reader_faults import FAULTS, ROOT, VARIABLE, Fault

SHORT = ("view box offset added", "arcs of the other hand")


def outcome(name: str, fault: Fault) -> subprocess.CompletedProcess[str]:
    """Return the run of the reader's tests with a fault."""
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-p", "no:cacheprovider",
               "-p", "tests.foreign.reader_faults", f"tests/contract/{fault.tests}.py"]  # fmt: skip
    plain = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST")}
    return subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, timeout=600, check=False,
        env={**plain, VARIABLE: name, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip


def check(name: str) -> None:
    found = outcome(name, FAULTS[name])
    # 1: tests ran and one failed; other codes are errors of the run itself.
    assert found.returncode == 1, found.stdout[-2000:] + found.stderr[-2000:]
    assert "1 failed" in found.stdout, found.stdout[-2000:]


@pytest.mark.parametrize("name", SHORT)
def test_a_fault_is_caught(name: str) -> None:
    check(name)


@pytest.mark.long
@pytest.mark.parametrize("name", [name for name in FAULTS if name not in SHORT])
def test_every_fault_is_caught(name: str) -> None:
    check(name)


def test_every_fault_changes_its_module() -> None:
    assert len(FAULTS) >= 15
    for fault in FAULTS.values():
        assert fault.source() != fault.file.read_text()
