"""One process that children are forked from, for processes that were forked after it."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
#: Two processes are forked after the fork server, and report what their children see of it. Then it
#: is killed, and they report again, and so does a third one that is forked only then.
_SCRIPT = """
import json, multiprocessing, os, signal, sys, threading, time
from multiprocessing import forkserver
from service.sandbox import fork_server

possible, = sys.argv[1:]
if possible != "possible":
    fork_server.SharedForkServer.is_possible = staticmethod(lambda: False)
context = multiprocessing.get_context("forkserver")
context.set_forkserver_preload([])


def prepare():
    time.sleep(0.5)
    sys.setrecursionlimit(4321)


def seen():
    with context.Pool(1) as pool:
        return [pool.apply(sys.getrecursionlimit), pool.apply(os.getppid)]


class Forked:
    def __init__(self):
        orders, self.order = os.pipe()
        self.answer, answers = os.pipe()
        if os.fork():
            return
        try:
            fork_server.fork_from_here(prepare)
            while os.read(orders, 1):
                found = []
                threads = [threading.Thread(target=lambda: found.append(seen())) for _ in "ab"]
                for each in threads:
                    each.start()
                for each in threads:
                    each.join()
                os.write(answers, json.dumps(found).encode())
        finally:
            os._exit(0)

    def report(self):
        os.write(self.order, b"?")
        return json.loads(os.read(self.answer, 1000))


fork_server.fork_early(prepare)
early = forkserver._forkserver._forkserver_pid
two = [Forked(), Forked()]
first = [each.report() for each in two]
if early is not None:
    os.kill(early, signal.SIGKILL)
    os.waitid(os.P_PID, early, os.WEXITED | os.WNOWAIT)
again = [each.report() for each in two]
print(json.dumps([early, first, again, Forked().report()]), flush=True)
os.killpg(0, signal.SIGKILL)
"""


def _reports(possible: str) -> Any:
    done = subprocess.run(
        [sys.executable, "-c", _SCRIPT, possible], cwd=ROOT, check=False, capture_output=True,
        text=True, timeout=600, start_new_session=True,
    )  # fmt: skip
    return json.loads(done.stdout)


def test_all_use_it_while_it_runs_and_then_their_own() -> None:
    early, first, again, late = _reports("possible")
    assert first == [[[4321, early]] * 2] * 2
    assert again[0][0] == again[0][1]
    assert again[1][0] == again[1][1]
    assert len({early, again[0][0][1], again[1][0][1], late[0][1]}) == 4
    # A process that is forked when it has ended forks its own, prepared in the same way.
    assert [limit for limit, _ in late] == [4321, 4321]


def test_each_starts_its_own_where_none_can_be_shared() -> None:
    early, first, again, late = _reports("impossible")
    assert early is None
    assert again == first
    assert [limit for limit, _ in [*first[0], *first[1], *late]] == [4321] * 6
    assert first[0][0][1] != first[1][0][1]
