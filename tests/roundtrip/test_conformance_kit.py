"""The conformance kit must fail an adapter that is wrong in one way, by the test that says so."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]

#: A right adapter's ways to be wrong: what is changed, and the test that must say so.
WRONG = {
    "Inch": ("scale = 1 / 25.4", "every_stroke_is_read_back_in_order"),
    "PlotterUnit": ("scale = 0.9952", "every_stroke_is_read_back_in_order"),
    "Mirrored": ("change = lambda v: v._replace(y=100 - v.y, bulge=-v.bulge)", "every_stroke"),
    "Chords": ("change = lambda v: v._replace(bulge=0.0)", "every_stroke"),
    "Moved": ("change = lambda v: v._replace(x=v.x + 0.05)", "every_stroke"),
    "Order": ("order = -1", "every_stroke"),
    "Loses": ("least = 1", "a_plan_of_many_strokes"),
    "Few": ("most = 1000", "a_plan_of_many_strokes"),
    "Coarse": ("grid = 1.0", "a_tiny_outline"),
    "Narrow": ("wraps = 1000.0", "a_wide_plan"),
    "Chance": ("chance = True", "the_same_plan_gives_the_same_bytes"),
    "Nan": ("checks = False", "it_refuses_numbers"),
    "AnySetting": ("strict = False", "it_refuses_settings"),
    "Silent": ("stated = ()", "it_lists_what_it_loses"),
    "ClaimsStops": ("supports = frozenset({'stops', 'order'})", "stops_that_it_keeps"),
    "OneLayer": ("layer = 'work'", "every_stroke"),
    "Breaks": ("names_pieces = True", "odd_texts"),
    "Old": ("contract = 0", "it_says_what_it_is"),
    "Blind": ("blind = True", "a_wrong_file_would_be_seen"),
}

MODULE = """
import math, random
from dataclasses import replace
from adapters.conformance import conformance_tests
from adapters.contract import Written, resolved
from adapters.numbers import require_finite
from adapters.sample import sample_plan
from quarterseam_points import PointsAdapter


class Base(PointsAdapter):
    change = None
    scale, order, least, most, grid, wraps = 1.0, 1, 0, 10**6, 0.0, math.inf
    chance, checks, strict, stated, layer = False, True, True, None, ""
    names_pieces, blind = False, False

    def write(self, plan, settings):
        if not self.strict:
            settings = {}
        if not self.checks:
            plan = plan.with_vertices(lambda v: v._replace(x=v.x if math.isfinite(v.x) else 0.0))
        require_finite(plan)
        if type(self).change is not None:
            plan = plan.with_vertices(type(self).change)
        if self.grid:
            plan = plan.with_vertices(lambda v: v._replace(x=round(v.x), y=round(v.y)))
        plan = plan.with_vertices(
            lambda v: v._replace(x=(v.x % self.wraps) * self.scale, y=v.y * self.scale)
        )
        strokes = plan.strokes[:: self.order][: self.most]
        if len(strokes) > 100:
            strokes = strokes[self.least :]
        if self.layer:
            strokes = tuple(replace(stroke, operation=self.layer) for stroke in strokes)
        written = super().write(replace(plan, strokes=strokes), settings)
        data = written.data
        if self.names_pieces:
            data += "".join(f"-,{s.piece},0,0\\n" for s in strokes if "y" * 9 in s.piece).encode()
        if self.chance:
            data += b"\\n" * random.randrange(10**6)
        return Written(data, written.losses if self.stated is None else self.stated)

    def read(self, data, plan, settings):
        if self.blind:
            return super().read(PointsAdapter.write(self, sample_plan(), {}).data, plan, settings)
        return super().read(data.rstrip(b"\\n"), plan, settings)


TestRight = conformance_tests(Base())
"""


@pytest.fixture(scope="module")
def outcome(tmp_path_factory: pytest.TempPathFactory) -> dict[str, set[str]]:
    """Run the kit on every adapter at once; return the tests that failed, by adapter."""
    folder = tmp_path_factory.mktemp("kit")
    classes = "".join(
        f"\n\nclass {name}(Base):\n    {line}\n\n\nTest{name} = conformance_tests({name}())\n"
        for name, (line, _) in WRONG.items()
    )
    (folder / "test_kit.py").write_text(MODULE + classes)
    path = os.pathsep.join([str(ROOT / "tests" / "thirdparty_adapter"), str(ROOT)])
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-rA", "--tb=no", "-p", "no:cacheprovider",
         str(folder / "test_kit.py"), "--rootdir", str(folder), "-c", os.devnull],
        cwd=folder, capture_output=True, text=True, timeout=600, check=False,
        env={**os.environ, "PYTHONPATH": path, "PYTEST_ADDOPTS": ""},
    )  # fmt: skip
    found: dict[str, set[str]] = {}
    line = re.compile(r"^(\w+) \S*::Test(\w+)::test_(\w+)", re.MULTILINE)
    for word, name, test in line.findall(done.stdout):
        assert word in {"PASSED", "FAILED"}, (word, name, test)
        found.setdefault(name, set()).update({test} if word == "FAILED" else set())
    return found


def test_a_right_adapter_passes_whole(outcome: dict[str, set[str]]) -> None:
    assert outcome["Right"] == set()
    assert outcome.keys() == {"Right", *WRONG}


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_adapter_is_told_what_is_wrong(outcome: dict[str, set[str]], name: str) -> None:
    assert any(test.startswith(WRONG[name][1]) for test in outcome[name]), outcome[name]
