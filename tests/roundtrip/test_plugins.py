"""Formats from outside: one is installed and used as it is; broken ones are shut in."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import plans
import pytest

from adapters import registry
from adapters.conformance import conformance_tests
from adapters.contract import CONTRACT, Written
from adapters.errors import BrokenPluginError
from adapters.readers import dxf, gcode, hpgl, pdf, plan, svg

ROOT = Path(__file__).resolve().parents[2]

TestSvg = conformance_tests(registry.get("svg"), read=svg.read)
TestDxf = conformance_tests(registry.get("dxf"), read=dxf.read)
TestHpgl = conformance_tests(registry.get("hpgl"), read=lambda data: hpgl.read(data, 40.0))
TestGcode = conformance_tests(
    registry.get("gcode"), settings=plans.SETTINGS["gcode"], read=gcode.read
)
TestPdf = conformance_tests(registry.get("pdf"), read=pdf.read)
TestPlan = conformance_tests(registry.get("plan"), read=plan.read)

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
}))
"""


def test_a_third_party_format_is_installed_and_used(tmp_path: Path) -> None:
    source, target = tmp_path / "source", tmp_path / "site"
    shutil.copytree(ROOT / "tests" / "thirdparty_adapter", source)
    # Laid out as an installer would, so that no network is needed: the package and its metadata.
    shutil.copytree(source / "quarterseam_points", target / "quarterseam_points")
    info = target / "quarterseam_points-1.0.0.dist-info"
    info.mkdir()
    (info / "METADATA").write_text(
        "Metadata-Version: 2.1\nName: quarterseam-points\nVersion: 1.0.0\n"
    )
    (info / "entry_points.txt").write_text(
        "[quarterseam.adapters]\npoints = quarterseam_points:ADAPTER\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", SCRIPT, str(tmp_path / "data")],
        cwd=ROOT, capture_output=True, text=True, timeout=120, check=False,
        env={**os.environ, "PYTHONPATH": f"{target}{os.pathsep}{ROOT}"},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr[-2000:]
    told = json.loads(done.stdout)
    assert told["head"] == "stroke,operation,x_mm,y_mm"
    assert told["file"]["read_back"]["worst_deviation_mm"] <= 0.02
    assert told["file"]["name"] == "template-1.csv"
    assert "points" in told["listed"]
    assert any("points holds no stops" in warning for warning in told["warnings"])


def test_its_own_test_is_one_line(tmp_path: Path) -> None:
    target = tmp_path / "site"
    shutil.copytree(
        ROOT / "tests" / "thirdparty_adapter" / "quarterseam_points", target / "quarterseam_points"
    )
    test = tmp_path / "test_points.py"
    test.write_text(
        "from adapters.conformance import conformance_tests\n"
        "from quarterseam_points import ADAPTER\n"
        "TestPoints = conformance_tests(ADAPTER)\n"
    )
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", str(test), "--rootdir",
         str(tmp_path), "-c", os.devnull],
        cwd=tmp_path, capture_output=True, text=True, timeout=120, check=False,
        # Without the options of the run around it, such as the coverage it must reach.
        env={**os.environ, "PYTHONPATH": f"{target}{os.pathsep}{ROOT}", "PYTEST_ADDOPTS": ""},
    )  # fmt: skip
    assert done.returncode == 0, done.stdout[-3000:]
    assert "skipped" not in done.stdout


class Entry:
    """An entry point that loads what it is given."""

    def __init__(self, name: str, thing: object, value: str = "somewhere:ADAPTER") -> None:
        self.name, self.thing, self.value = name, thing, value

    def load(self) -> object:
        if isinstance(self.thing, Exception):
            raise self.thing
        return self.thing


class Plain:
    contract, name, title, media_type, extension = CONTRACT, "odd", "odd", "text/x-odd", "odd"
    keeps: frozenset[str] = frozenset()
    resolution = 0.1
    settings: tuple[Any, ...] = ()

    def write(self, plan: Any, settings: Any) -> Any:
        return Written(b"odd")


class Raises(Plain):
    def write(self, plan: Any, settings: Any) -> Any:
        raise ZeroDivisionError("inside the plug-in")


class Floods(Plain):
    def write(self, plan: Any, settings: Any) -> Any:
        return Written(b"x" * (registry.MOST_BYTES + 1))


class HandsBackText(Plain):
    def write(self, plan: Any, settings: Any) -> Any:
        return "text"


class OldContract(Plain):
    contract = CONTRACT - 1


class OtherName(Plain):
    name = "even"


@pytest.fixture
def plugged(monkeypatch: pytest.MonkeyPatch) -> Any:
    def plug(*entries: Entry) -> None:
        found: dict[str, list[Entry]] = {}
        for entry in entries:
            found.setdefault(entry.name, []).append(entry)
        monkeypatch.setattr(registry, "_plugins", lambda: {k: tuple(v) for k, v in found.items()})
        registry.get.cache_clear()

    yield plug
    registry.get.cache_clear()


@pytest.mark.parametrize(
    ("thing", "word"),
    [
        (ImportError("no such library"), "could not be loaded"),
        (object(), "not an adapter"),
        (OldContract(), "contract"),
        (OtherName(), "calls itself even"),
    ],
)
def test_what_cannot_be_used_is_listed_with_its_fault(
    plugged: Any, thing: object, word: str
) -> None:
    plugged(Entry("odd", thing))
    assert "odd" not in registry.names()
    assert word in registry.faults()["odd"]
    with pytest.raises(BrokenPluginError, match="odd"):
        registry.get("odd")
    assert registry.write("svg", plans.plan(), {}).data.startswith(b"<?xml")


def test_two_of_one_name_are_neither(plugged: Any) -> None:
    plugged(Entry("odd", Plain(), "one:A"), Entry("odd", Plain(), "two:B"))
    assert "one:A" in registry.faults()["odd"]
    assert "two:B" in registry.faults()["odd"]


@pytest.mark.parametrize("thing", [Raises(), Floods(), HandsBackText()])
def test_what_goes_wrong_while_writing_names_the_plugin(plugged: Any, thing: object) -> None:
    plugged(Entry("odd", thing))
    assert "odd" in registry.names()
    with pytest.raises(BrokenPluginError, match="odd"):
        registry.write("odd", plans.plan(), {})


def test_a_name_of_ours_cannot_be_taken(plugged: Any) -> None:
    plugged(Entry("svg", Plain()))
    assert registry.get("svg").media_type == "image/svg+xml"
