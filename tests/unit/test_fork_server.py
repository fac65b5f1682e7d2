"""The process that children are forked from, forked itself from one that has all modules."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
#: What a child sees of the process that its fork server was started by: a limit of the interpreter
#: that only a fork takes over, a file, a listening socket, a signal handler.
_SCRIPT = """
import json, multiprocessing, os, signal, socket, sys, threading, time
from multiprocessing import forkserver
from service.sandbox.fork_server import fork_from_here

threaded, = sys.argv[1:]
sys.setrecursionlimit(4321)
file = open(sys.executable, "rb")
listener = socket.create_server(("127.0.0.1", 0))
signal.signal(signal.SIGTERM, lambda *_: None)
signal.signal(signal.SIGUSR1, lambda *_: None)
context = multiprocessing.get_context("forkserver")
context.set_forkserver_preload([])
if threaded == "threaded":
    threading.Thread(target=time.sleep, args=(600,), daemon=True).start()


def seen():
    with context.Pool(1) as pool:
        links = [f"/proc/self/fd/{each.fileno()}" for each in (file, listener)]
        return {
            "limit": pool.apply(sys.getrecursionlimit),
            "links": pool.map(os.readlink, links),
            "handlers": [int(each) for each in pool.map(
                signal.getsignal, [signal.SIGTERM, signal.SIGUSR1])],
            "parent": pool.apply(os.getppid),
        }


fork_from_here()
first = seen()
fork_from_here()
again = seen()
os.kill(first["parent"], signal.SIGKILL)
os.waitid(os.P_PID, first["parent"], os.WEXITED | os.WNOWAIT)
replaced = seen()
print(json.dumps([first, again, replaced]))
"""


def _seen(threaded: str) -> list[dict[str, Any]]:
    done = subprocess.run(
        [sys.executable, "-c", _SCRIPT, threaded], cwd=ROOT, check=True, capture_output=True,
        text=True, timeout=600,
    )  # fmt: skip
    output: list[dict[str, Any]] = json.loads(done.stdout)
    return output


def test_it_has_the_modules_and_nothing_else_of_the_process_it_comes_from() -> None:
    first, again, replaced = _seen("alone")
    assert first["limit"] == 4321
    assert first["links"] == ["/dev/null", "/dev/null"]
    assert first["handlers"] == [0, 0]
    # It is started once, and replaced by the interpreter's own when it has ended.
    assert again == first
    assert replaced["parent"] != first["parent"]
    assert replaced["limit"] == sys.getrecursionlimit() != 4321


def test_threads_are_not_forked() -> None:
    first, again, _ = _seen("threaded")
    assert first["limit"] == again["limit"] != 4321


def test_it_ends_with_the_process_that_started_it() -> None:
    script = """
from service.sandbox.fork_server import fork_from_here
from multiprocessing import forkserver
fork_from_here()
print(forkserver._forkserver._forkserver_pid, flush=True)
"""
    # It holds the output too, which is read to the end only once all that hold it have ended.
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, check=True, capture_output=True, text=True,
        timeout=600,
    )  # fmt: skip
    assert int(done.stdout) > 0
