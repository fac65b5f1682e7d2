"""The conformance kit must fail an adapter that is wrong in one way, by the test that says so."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest

from adapters.plugin_api import (
    CannotHoldError,
    CutPlan,
    Setting,
    Stroke,
    Vertex,
    Written,
    of_layer,
    resolved,
)
from adapters.wrong_settings import setting_fault, wrong_settings

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
    "Silent": ("stated = ()", "it_lists_what_it_loses"),
    "SilentChords": (
        "supports = frozenset({'arcs', 'operations', 'order'}); stated = ('holds no stops.',)",
        "it_lists_what_it_loses",
    ),
    "SilentStops": ("stated = ('writes arcs as chords.',)", "it_lists_what_it_loses"),
    "ClaimsStops": ("supports = frozenset({'stops', 'order'})", "stops_that_it_keeps"),
    "OneLayer": ("layer = 'work'", "every_stroke"),
    "Breaks": ("names_pieces = True", "odd_texts"),
    "Old": ("contract = 0", "it_says_what_it_is"),
    "Blind": ("blind = True", "a_wrong_file_would_be_seen"),
}

#: Lax ones, which pass: what they let through, the service stops before it calls them.
LAX = {
    "Nan": ("checks = False", "writes a coordinate that is nan"),
    "AnySetting": ("strict = False", "takes a setting that it does not have"),
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
    """Run the kit on every adapter at once; return the tests that failed, by adapter.

    Wrong ones run the test that must say so alone: each of the others runs for those that pass.
    """
    folder = tmp_path_factory.mktemp("kit")
    classes = "".join(
        f"\n\nclass {name}(Base):\n    {line}\n\n\nTest{name} = conformance_tests({name}())\n"
        for name, (line, _) in {**WRONG, **LAX}.items()
    )
    (folder / "test_kit.py").write_text(MODULE + classes)
    wanted = ["TestRight", *(f"Test{name}" for name in LAX)]
    wanted += [f"(Test{name} and {test})" for name, (_, test) in WRONG.items()]
    path = os.pathsep.join([str(ROOT / "tests" / "thirdparty_adapter"), str(ROOT)])
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-q", "-rA", "--tb=no", "-p", "no:cacheprovider",
         "-k", " or ".join(wanted), str(folder / "test_kit.py"), "--rootdir", str(folder),
         "-c", os.devnull],
        cwd=folder, capture_output=True, text=True, timeout=600, check=False,
        env={**os.environ, "PYTHONPATH": path, "PYTEST_ADDOPTS": ""},
    )  # fmt: skip
    assert all(words in done.stdout for _, words in LAX.values()), done.stdout
    found: dict[str, set[str]] = {}
    line = re.compile(r"^(\w+) \S*::Test(\w+)::test_(\w+)", re.MULTILINE)
    for word, name, test in line.findall(done.stdout):
        assert word in {"PASSED", "FAILED"}, (word, name, test)
        found.setdefault(name, set()).update({test} if word == "FAILED" else set())
    return found


def test_a_right_adapter_passes_whole(outcome: dict[str, set[str]]) -> None:
    assert outcome["Right"] == set()
    assert outcome.keys() == {"Right", *WRONG, *LAX}


@pytest.mark.parametrize("name", LAX)
def test_a_lax_adapter_passes_with_a_warning(outcome: dict[str, set[str]], name: str) -> None:
    """The service refuses unknown settings, and plans that are not proved, before any adapter."""
    assert outcome[name] == set()


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_adapter_is_told_what_is_wrong(outcome: dict[str, set[str]], name: str) -> None:
    assert any(test.startswith(WRONG[name][1]) for test in outcome[name]), outcome[name]


@dataclass(frozen=True)
class Short:
    """An adapter whose machine has a longest way, which a cutter states."""

    settings = (Setting("longest_mm", "number", "longest way", 5000, minimum=10, maximum=9999),)
    always: bool = False

    def write(self, plan: CutPlan, settings: Mapping[str, Any]) -> Written:
        longest = settings.get("longest_mm", 5000)
        if self.always or 10 <= longest <= max(plan.bed_width, plan.bed_height):
            raise CannotHoldError(f"A way is longer than {longest} mm.")
        resolved(self.settings, settings, "short")
        return Written(b"")


def test_a_value_in_range_may_leave_no_room_for_the_sample() -> None:
    """It is the plan that does not fit then; a value out of range is still the setting's fault."""
    ((_, values),) = wrong_settings(Short.settings).items()
    for value, is_wrong in values:
        if isinstance(value, float | int) and not isinstance(value, bool):
            named = setting_fault(Short(), {}, "longest_mm", value, is_wrong=is_wrong)  # type: ignore[arg-type]
            assert named == ""
    always = setting_fault(Short(always=True), {}, "longest_mm", 9, is_wrong=True)  # type: ignore[arg-type]
    assert "and not SettingError" in always


def test_a_mapping_states_a_blade_angle_or_every_angle() -> None:
    stroke = Stroke("cut", (Vertex(0, 0, 0), Vertex(9, 0, 0)), closed=False, angle_deg=45.0)
    assert of_layer(stroke, {"cut": 2, "cut-45deg": 3}, 0) == 3
    assert of_layer(stroke, {"cut": 2, "cut-90deg": 3}, 0) == 2
    assert of_layer(stroke, {"score": 2}, 0) == 0
    assert of_layer(replace(stroke, angle_deg=None), {"cut": 2}, 0) == 2
