"""The conformance kit tries wrong settings, a hang, files and the network."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from adapters import confined_write, registry
from adapters.confined_write import write_confined
from adapters.sample import sample_plan
from adapters.sandbox.confinement import landlock_version

ROOT = Path(__file__).resolve().parents[2]

MODULE = """
import os, socket
from adapters.conformance import conformance_tests
from adapters.plugin_api import SettingError, Setting, Written, resolved
from quarterseam_points import PointsAdapter

OWN = (
    *PointsAdapter.settings,
    Setting("decimals", "number", "decimals", 3, minimum=2, maximum=6),
)


class Checked(PointsAdapter):
    settings = OWN

    def write(self, plan, settings):
        values = resolved(OWN, settings, "points")
        if values["decimals"] != int(values["decimals"]):
            self.refuse()
        del values["decimals"]
        return super().write(plan, values)

    def refuse(self):
        raise SettingError("decimals must be a whole number.", setting="decimals")


class Misraised(Checked):
    def refuse(self):
        raise SettingError("decimals must be a whole number.")


class Unchecked(Checked):
    def write(self, plan, settings):
        others = {name: settings[name] for name in settings if name != "decimals"}
        return PointsAdapter.write(self, plan, others)


class Opening(PointsAdapter):
    def write(self, plan, settings):
        open("secret.txt").read()
        return super().write(plan, settings)


class Calling(PointsAdapter):
    def write(self, plan, settings):
        try:
            socket.create_connection(("127.0.0.1", 9)).close()
        except ConnectionRefusedError:
            pass
        return super().write(plan, settings)


class Ending(PointsAdapter):
    def write(self, plan, settings):
        os._exit(3)


class Empty(PointsAdapter):
    resolution = 0.7


TestChecked = conformance_tests(Checked())
TestMisraised = conformance_tests(Misraised())
TestUnchecked = conformance_tests(Unchecked())
TestOpening = conformance_tests(Opening())
TestCalling = conformance_tests(Calling())
TestEnding = conformance_tests(Ending())
TestEmpty = conformance_tests(Empty())
"""


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Run the kit on all of them, as an author does; return what pytest prints."""
    folder = tmp_path_factory.mktemp("kit")
    (folder / "secret.txt").write_text("key")
    (folder / "test_kit.py").write_text(MODULE)
    path = os.pathsep.join([str(ROOT / "tests" / "thirdparty_adapter"), str(ROOT)])
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-rA", "-p", "no:cacheprovider",
         "-k", "confined or settings or says_what", "test_kit.py", "-c", os.devnull],
        cwd=folder, capture_output=True, text=True, timeout=600, check=False,
        env={**os.environ, "PYTHONPATH": path, "PYTEST_ADDOPTS": "", "COLUMNS": "300"},
    )  # fmt: skip
    return done.stdout


def outcome(report: str, name: str, test: str) -> str:
    """Return the line of the summary about a test."""
    (line,) = re.findall(rf"^\w+ \S*::Test{name}::test_{test}.*$", report, re.MULTILINE)
    return str(line)


def test_settings_that_are_checked_pass(report: str) -> None:
    assert outcome(report, "Checked", "it_refuses_wrong").startswith("PASSED")


def test_an_error_raised_wrongly_is_said(report: str) -> None:
    """Without ``setting``, the constructor raises TypeError: the service would answer 500."""
    line = outcome(report, "Misraised", "it_refuses_wrong")
    assert line.startswith("FAILED")
    assert "write(plan, {'decimals': 2.5}) raised TypeError" in report


def test_values_that_are_not_checked_are_said(report: str) -> None:
    """As a warning: the service itself refuses what the setting does not allow."""
    assert outcome(report, "Unchecked", "it_refuses_wrong").startswith("PASSED")
    assert "write(plan, {'decimals': 7}) raised nothing; SettingError was expected" in report


def test_failed_assertions_state_numbers(report: str) -> None:
    """pytest rewrites only the modules that it knows of ("Assertion Rewriting", its manual)."""
    assert outcome(report, "Empty", "it_says_what_it_is").startswith("FAILED")
    assert re.search(r"assert 0\.7 <= 0\.5", report)


@pytest.mark.parametrize("name", ["Opening", "Calling"])
def test_files_and_network_are_closed(report: str, name: str) -> None:
    if not landlock_version():
        pytest.skip("this kernel has no Landlock: plug-ins are NOT confined")
    line = outcome(report, name, "it_writes_when_confined")
    assert line.startswith("FAILED")
    assert re.search(r"write\(\) raised (PermissionError|OSError)", report)


def test_a_writer_that_ends_its_process_ends_no_other(report: str) -> None:
    assert outcome(report, "Ending", "it_says_what_it_is").startswith("ERROR")
    assert "points: ended its process" in report


@pytest.mark.parametrize("line", ["while True: pass", "time.sleep(1e6)"])
def test_a_writer_that_hangs_is_stopped(monkeypatch: pytest.MonkeyPatch, line: str) -> None:
    monkeypatch.setattr(confined_write, "MAX_SECONDS", 1)
    scope: dict[str, Any] = {}
    exec(f"import time\ndef write(plan, settings):\n    {line}", scope)  # noqa: S102 - above

    class Hanging:
        write = staticmethod(scope["write"])

    found = write_confined(Hanging(), sample_plan(), {})  # type: ignore[arg-type]
    assert found.hangs
    assert found.fault == "gave no file in 1 second and was stopped"


@pytest.mark.parametrize("name", ["svg", "pdf"])
def test_ours_write_when_confined(name: str) -> None:
    found = write_confined(registry.get(name), sample_plan(), {})
    assert found.fault == ""
    assert found.is_confined == bool(landlock_version())
