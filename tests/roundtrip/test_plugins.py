"""Formats from outside: one is installed as a package, used as it is, and held to the contract.

What broken ones may do stands in ``test_plugins_broken``.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from adapters import registry
from adapters.conformance import conformance_tests
from adapters.readers import dxf, gcode, hpgl, pdf, plan, svg
from tests.roundtrip import plans

ROOT = Path(__file__).resolve().parents[2]

TestSvg = conformance_tests(registry.get("svg"), read=svg.read)
TestDxf = conformance_tests(registry.get("dxf"), read=dxf.read)
TestHpgl = conformance_tests(registry.get("hpgl"), read=lambda data: hpgl.read(data, 40.0))
TestGcode = conformance_tests(
    registry.get("gcode"), settings=plans.SETTINGS["gcode"], read=lambda data: gcode.read(data)[0]
)
TestPdf = conformance_tests(registry.get("pdf"), read=pdf.read)
TestPlan = conformance_tests(registry.get("plan"), read=lambda data: plan.read(data)[0])

SCRIPT = """
import json, sys
from adapters import registry
from adapters.conformance import conformance_tests
from service.app import create_app
from service.settings import Settings
from pathlib import Path
assert "points" in registry.names()
client = create_app(Settings(data=Path(sys.argv[1]))).test_client()
kit = client.post("/v1/kits", json={
    "units": "in",
    "pieces": [{"id": "A", "shape": {"kind": "clamshell", "width": "2"}, "quantity": 3}],
    "runs": [{"cut": "template", "cutter": "pen-sheet", "formats": ["points", "svg"]}],
}).get_json()
files = {f["format"]: f for f in kit["runs"][0]["loads"][0]["files"]}
formats = client.get("/v1/formats").get_json()
print(json.dumps({
    "file": files["points"],
    "head": client.get(files["points"]["href"]).data.decode().splitlines()[0],
    "listed": [f["name"] for f in formats["formats"]],
    "warnings": kit["warnings"],
    "imported": "quarterseam_points" in sys.modules,
}))
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the worked example with pip, as its users would, but from no network."""
    folder = tmp_path_factory.mktemp("plug-in")
    source, target = folder / "source", folder / "site"
    # Copied, for a build may leave files beside what it builds.
    shutil.copytree(ROOT / "tests" / "thirdparty_adapter", source)
    done = subprocess.run(
        [sys.executable, "-m", "pip", "install", "-q", "--no-index", "--no-deps",
         "--no-build-isolation", "--disable-pip-version-check", "--target", str(target),
         str(source)],
        capture_output=True, text=True, timeout=600, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    return target


def environment(target: Path) -> dict[str, str]:
    # Without the options of the run around it, such as the coverage it must reach.
    path = f"{target}{os.pathsep}{ROOT}"
    return {**os.environ, "PYTHONPATH": path, "PYTEST_ADDOPTS": ""}


def test_a_third_party_format_is_installed_and_used(installed: Path, tmp_path: Path) -> None:
    assert list(installed.glob("quarterseam_points-1.0.0.dist-info/RECORD"))
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(tmp_path / "data")],
        cwd=tmp_path, capture_output=True, text=True, timeout=600, check=False,
        env=environment(installed),
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    output = json.loads(done.stdout)
    assert output["head"] == "stroke,operation,x_mm,y_mm"
    assert output["file"]["read_back"]["reader"] == "points's own reader"
    assert output["file"]["read_back"]["worst_deviation_mm"] <= 0.02
    assert output["file"]["name"] == "1-template-other-1.csv"
    assert "points" in output["listed"]
    assert any("points holds no stops" in warning for warning in output["warnings"])
    # Its code ran in a process of its own only.
    assert output["imported"] is False


def test_its_own_test_is_one_line(installed: Path, tmp_path: Path) -> None:
    test = tmp_path / "test_points.py"
    test.write_text(
        "from adapters.conformance import conformance_tests\n"
        "from quarterseam_points import ADAPTER\n"
        "TestPoints = conformance_tests(ADAPTER)\n"
    )
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(test), "--rootdir",
         str(tmp_path), "-c", os.devnull],
        cwd=tmp_path, capture_output=True, text=True, timeout=600, check=False,
        env=environment(installed),
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-3000:]
    assert "skipped" not in done.stdout
