"""Tests run in a random order, slow files first; coverage is measured where it pays.

A plain run leaves long tests out and states how many; `-m long` runs them.
"""

from __future__ import annotations

import gc
import os
import random
import sys
from pathlib import Path
from typing import Any

import pytest
from xdist.scheduler import LoadFileScheduling

from service.settings import Settings
from service.tools import recent_answers
from tests import without_nester

# Tests start hundreds of processes: without bytecode on disk each would compile all modules again.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

TESTS = Path(__file__).parent
_SEED = pytest.StashKey[int]()
_LEFT_OUT = pytest.StashKey[int]()
#: Files of which a single one takes long, by its waiting or by its work. Several processes
#: that share the files out end together only if none of these comes last.
_SLOW = (
    "live/test_jobs",
    "live/",
    "property/test_layout_many_times.py",
    "property/test_layouts.py",
    "contract/test_service_document.py",
    "contract/test_service_statuses.py",
    "contract/test_planning_quilts.py",
    "contract/test_jobs.py",
    "jobs/test_three_at_once.py",
    "jobs/test_same_bytes.py",
    "jobs/test_margins_in_every_bed.py",
    "roundtrip/test_every_shape_outside.py",
    "roundtrip/test_conformance_kit.py",
    "roundtrip/test_plugins_broken.py",
    "docs/test_readme.py",
    "unit/test_layout_nester.py",
    "unit/test_planning_runsheet.py",
    "jobs/",
)
#: Tests that one process runs one after the other, besides those of one file: how their names
#: begin, and their group.
_GROUPS = {
    "tests/live/test_jobs": "jobs",
    "tests/live/test_page": "page",
    "tests/live/": "live",
    "tests/unit/test_letters_clear_of_lines.py": "pictures",
    "tests/unit/test_pixels_under_letters.py": "pictures",
}
#: Folders whose tests drive geometry and adapters: tracing ``service`` there would take a third
#: more time and see next to nothing.
_NOT_TRACED = ("reference", "property", "roundtrip", "foreign")


def pytest_addoption(parser: pytest.Parser) -> None:
    """Let the tests run in the order of another run."""
    parser.addoption(
        "--shuffle",
        type=int,
        metavar="SEED",
        help="the seed of the order of files, and of the tests in each; drawn when left out",
    )


def pytest_configure(config: pytest.Config) -> None:
    """Draw the seed of the order, one for all processes that share the tests out."""
    given = config.getoption("--shuffle")
    of_all: dict[str, int] = getattr(config, "workerinput", {})
    drawn = random.randrange(1 << 16)  # noqa: S311 - an order, not a secret
    config.stash[_SEED] = of_all.get("shuffle", drawn) if given is None else given
    without_nester.prepare()
    # Next to nothing that collecting tests makes is garbage: looking for it takes a fifth longer.
    gc.disable()


def pytest_collection_finish() -> None:
    """Look for garbage again, though never among all the tests and modules that stay."""
    gc.freeze()
    gc.enable()


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Leave out the nester, where a test's mark says so, before anything of the test is made."""
    without_nester.leave_out(is_left_out=item.get_closest_marker("without_nester") is not None)


def pytest_report_header(config: pytest.Config) -> str:
    """State the seed of the order, so that a failure can be repeated."""
    return f"order: --shuffle {config.stash[_SEED]}"


@pytest.hookimpl(optionalhook=True)
def pytest_configure_node(node: Any) -> None:
    """Pass the seed to a process that runs a share of the tests."""
    node.workerinput["shuffle"] = node.config.stash[_SEED]


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    """Learn from a process how many tests it left out; each of them leaves out the same."""
    node.config.stash[_LEFT_OUT] = getattr(node, "workeroutput", {}).get("left_out", 0)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """State in a process that runs a share of the tests how many it left out."""
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput["left_out"] = session.config.stash.get(_LEFT_OUT, 0)


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    """State what was left out, and the seed again beside what failed: a quiet run has no header."""
    if left_out := config.stash.get(_LEFT_OUT, 0):
        terminalreporter.write_line(f"{left_out} long tests left out; -m long runs them")
    if terminalreporter.stats.get("failed") or terminalreporter.stats.get("error"):
        terminalreporter.write_line(f"order: --shuffle {config.stash[_SEED]}")


def _shuffle(items: list[pytest.Item], seed: int) -> None:
    """Draw an order of the files and of the tests in each."""
    draw = random.Random(seed)  # noqa: S311 - an order, not a secret
    files = sorted({item.path for item in items})
    draw.shuffle(files)
    places = {path: place for place, path in enumerate(files)}
    draw.shuffle(items)
    items.sort(key=lambda item: places[item.path])


def _rank(item: pytest.Item) -> int:
    """Return the place of a test's file in the order of files."""
    path = item.path.relative_to(TESTS).as_posix()
    for rank, name in enumerate(_SLOW):
        if path.startswith(name):
            return rank
    return len(_SLOW)


class _Groups(LoadFileScheduling):  # type: ignore[misc] # its base is untyped
    """Has one process run a file's tests, or all tests of a group, one after the other.

    Tests that start servers would keep each other waiting, so all of them are in three groups.
    Those of pictures share the kits that are drawn.
    """

    def _split_scope(self, nodeid: str) -> str:
        for begin, group in _GROUPS.items():
            if nodeid.startswith(begin):
                return group
        return str(super()._split_scope(nodeid))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> _Groups:
    """Return what shares the tests out."""
    return _Groups(config, log)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Draw the order, slow files first; leave out what is long, and coverage where it is in vain.

    First, so that pytest then puts tests together that share what a parameter of their module
    makes: in any other order each of them would make it again.
    """
    _shuffle(items, config.stash[_SEED])
    items.sort(key=_rank)
    for item in items:
        if item.path.relative_to(TESTS).parts[0] in _NOT_TRACED:
            item.add_marker(pytest.mark.no_cover)
    if "long" in str(config.getoption("-m")):
        return
    # Not skipped: two thousand tests more would be passed round, and fill the log.
    long = [item for item in items if item.get_closest_marker("long")]
    config.stash[_LEFT_OUT] = len(long)
    config.hook.pytest_deselected(items=long)
    items[:] = [item for item in items if not item.get_closest_marker("long")]


@pytest.fixture(autouse=True)
def _no_layout_is_known() -> None:
    """Have every test find its layouts itself, whatever ran before it."""
    recent_answers.clear_all()


@pytest.fixture(autouse=True)
def _is_traced(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Compute in the test's own process while coverage is measured: children are not traced."""
    if not request.config.getoption("cov_source", None) or request.node.get_closest_marker(
        "in_child"
    ):
        return

    def is_here(*, small: bool, settings: Settings) -> bool:  # noqa: ARG001 - as the original
        return settings.isolation != "always"

    monkeypatch.setattr("service.sandbox.run.is_here", is_here)
