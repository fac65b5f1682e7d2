"""A pytest plug-in that runs the mutants of mutmut in children of one collected session.

mutmut itself collects the tests again for each mutant, which takes most of the time. Here each
child only runs the tests that call the mutated function, quick ones first, until one fails.

MUTANTS_STATS: the file that states which tests call a function, and their processor time. Without
    MUTANTS_LIST, it is written.
MUTANTS_LIST: a file with the names of mutants, one per line.
MUTANTS_OUT: a file to which a line per mutant is added. Mutants in it are not run again.
MUTANTS_BUDGET: processor seconds of tests per mutant; slower tests are left out.
MUTANTS_EXAMPLES: examples of one parametrized test that are run; a hash of their names chooses
    them.
"""

from __future__ import annotations

import contextlib
import gc
import hashlib
import json
import os
import re
import resource
import select
import signal
import time
from collections import defaultdict
from collections.abc import Generator, Sequence
from pathlib import Path

import pytest
from _pytest.runner import runtestprotocol
from mutmut.mutation import trampoline
from mutmut.utils.format_utils import mangled_name_from_mutant_name

STATS = Path(os.environ["MUTANTS_STATS"])
LIST = os.environ.get("MUTANTS_LIST")
BUDGET = float(os.environ.get("MUTANTS_BUDGET", "3"))
EXAMPLES = int(os.environ.get("MUTANTS_EXAMPLES", "5"))
#: Mutants that do not exist, which run the original: their tests must pass.
CONTROLS = 3
#: Seconds that a child may sleep in all, for instance for a process that never answers.
MAX_SLEEP_S = 30.0
#: Between looks at a child.
LOOK_S = 0.1

_called: set[str] = set()
_tests: defaultdict[str, set[str]] = defaultdict(set)
_seconds: dict[str, float] = {}
if LIST is None:
    os.environ["MUTANT_UNDER_TEST"] = "stats"
    trampoline.record_trampoline_hit = lambda name, caller=None: _called.add(name)  # noqa: ARG005


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Keep some examples of each test, and none that is skipped."""
    groups: defaultdict[str, list[pytest.Item]] = defaultdict(list)
    for item in items:
        if not item.get_closest_marker("skip"):
            groups[item.nodeid.split("[")[0]].append(item)
    kept = []
    for members in groups.values():
        members.sort(key=lambda item: hashlib.sha256(item.nodeid.encode()).digest())
        kept += members[:EXAMPLES]
    items[:] = sorted(kept, key=lambda item: item.nodeid)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, bool, bool]:
    """Record the functions that a test calls, and its processor time."""
    begin = time.process_time()
    _called.clear()
    done = yield
    _seconds[item.nodeid] = time.process_time() - begin
    for name in _called:
        _tests[name].add(item.nodeid)
    return done


def pytest_sessionfinish() -> None:
    """Write what was recorded."""
    if LIST is None:
        tests = {name: sorted(found) for name, found in _tests.items()}
        STATS.write_text(json.dumps({"tests": tests, "seconds": _seconds}))


def pytest_runtestloop(session: pytest.Session) -> bool | None:
    """Run the tests of each mutant in a child."""
    if LIST is None:
        return None
    out = Path(os.environ["MUTANTS_OUT"])
    done = {row.split("\t")[0] for row in out.read_text().splitlines()} if out.exists() else set()
    names = Path(LIST).read_text().split()
    controls = list(dict.fromkeys(re.sub("_[0-9]+$", "_99999", name) for name in names))[:CONTROLS]
    stats = json.loads(STATS.read_text())
    items = {item.nodeid: item for item in session.items}
    killers: defaultdict[str, list[str]] = defaultdict(list)
    # Objects that exist already are not looked at by the children's garbage collection.
    gc.collect()
    gc.freeze()
    for name in [*controls, *names]:
        if name in done:
            continue
        function = _function(name)
        tests = _chosen([i for i in stats["tests"].get(function, []) if i in items], stats)
        first = [i for i in killers[function] if i in tests]
        state, killer = _run(name, [items[i] for i in dict.fromkeys([*first, *tests])])
        if killer:
            killers[function] = list(dict.fromkeys([killer, *first]))
        if name in controls:
            if state == "killed":
                raise pytest.UsageError(f"{name} is no mutant, and {killer} fails all the same")
            continue
        with out.open("a") as file:
            file.write(f"{name}\t{state}\t{killer}\n")
    return True


def _function(name: str) -> str:
    module, _, mutant = name.rpartition(".")
    return f"{module}.{mangled_name_from_mutant_name(mutant)}"


def _chosen(tests: Sequence[str], stats: dict[str, dict[str, float]]) -> list[str]:
    """Return the quickest tests within the budget, but at least one."""
    chosen: list[str] = []
    total = 0.0
    for test in sorted(tests, key=lambda each: stats["seconds"][each]):
        total += stats["seconds"][test]
        if chosen and total > BUDGET:
            break
        chosen.append(test)
    return chosen


def _run(name: str, items: Sequence[pytest.Item]) -> tuple[str, str]:
    """Return ``killed``, ``survived``, ``timeout`` or ``uncovered``, and the test that failed."""
    if not items:
        return "uncovered", ""
    read, write = os.pipe()
    pid = os.fork()
    if not pid:
        _child(name, items, write)
    os.close(write)
    slept = 0.0
    while not (ended := os.waitpid(pid, os.WNOHANG))[0]:
        if not select.select([read], [], [], LOOK_S)[0]:
            slept += LOOK_S if _sleeps(pid) else 0.0
        if slept > MAX_SLEEP_S:
            os.kill(pid, signal.SIGKILL)
    # A process that a test has started may still hold the other end.
    os.set_blocking(read, False)
    killer = ""
    with contextlib.suppress(BlockingIOError):
        killer = os.read(read, 4096).decode()
    os.close(read)
    _, status = ended
    if os.WIFSIGNALED(status):
        return "timeout", ""
    return ("killed" if os.WEXITSTATUS(status) else "survived"), killer


def _sleeps(pid: int) -> bool:
    stat = Path(f"/proc/{pid}/stat").read_text(encoding="ascii", errors="replace")
    return stat.rpartition(")")[2].split()[0] == "S"


def _child(name: str, items: Sequence[pytest.Item], write: int) -> None:
    """Run tests until one fails, and end the process."""
    code = 3
    try:
        limit = int(BUDGET * 3) + 10
        resource.setrlimit(resource.RLIMIT_CPU, (limit, limit + 5))
        null = os.open(os.devnull, os.O_RDWR)
        os.dup2(null, 1)
        os.dup2(null, 2)
        trampoline.set_mutant_under_test(name)
        for item in items:
            if any(report.failed for report in runtestprotocol(item, log=False)):
                os.write(write, item.nodeid.encode())
                os._exit(1)
        code = 0
    finally:
        os._exit(code)
