"""Children do one task after another, each within its own limits; a bad end replaces them."""

from __future__ import annotations

import gc
import os
import resource
import time
from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest

from geometry.errors import GeometryError
from service.errors import RequestError
from service.sandbox import child
from service.sandbox.child_process import _MAX_TASKS, ChildTask
from service.sandbox.idle_children import Child, IdleChildren

GIB = 1 << 30


@pytest.fixture(autouse=True)
def idle(monkeypatch: pytest.MonkeyPatch) -> Iterator[IdleChildren]:
    """Children of this test alone."""
    mine = IdleChildren()
    monkeypatch.setattr(child, "_IDLE", mine)
    yield mine
    for each in mine._waiting:
        each.end()


def _run(task: Any, *arguments: Any, **changes: Any) -> Any:
    return child.run(task, arguments, **{"seconds": 600.0, "memory_bytes": 4 * GIB} | changes)


def _refuses() -> None:
    raise GeometryError("not so")


_KEPT: list[list[int]] = []


def _keeps(count: int) -> int:
    """Keep so many objects, and say how many the collector went through last."""
    tracked = len(gc.get_objects())
    _KEPT.extend([number] for number in range(count))
    return tracked


def _fails() -> None:
    raise ValueError


def _fills(number_of_bytes: int) -> tuple[int, int]:
    return os.getpid(), len(bytearray(number_of_bytes))


def _reserves(number_of_bytes: int) -> tuple[int, int]:
    """Take address space, which is what is limited, without filling it, which takes long."""
    return os.getpid(), np.empty(number_of_bytes, dtype=np.uint8).nbytes


def _spends(seconds: float) -> int:
    end = time.process_time() + seconds
    while time.process_time() < end:
        pass
    return os.getpid()


def _reports(progress: Any) -> int:
    progress(0.5, "halfway")
    return os.getpid()


def _waits(progress: Any) -> None:
    progress(0.0, "waits")
    time.sleep(600)


def _priority() -> int:
    return os.getpriority(os.PRIO_PROCESS, 0)


def test_a_child_does_one_task_after_another() -> None:
    first = _run(os.getpid)
    with pytest.raises(RequestError):
        _run(_refuses)
    assert _run(os.getpid) == first
    assert _run(_reports, watch=lambda *_: True) == first


@pytest.mark.parametrize("task", [_fails, os.abort])
def test_a_child_that_failed_is_replaced(task: Any) -> None:
    first = _run(os.getpid)
    with pytest.raises((child.TaskError, child.StoppedError)):
        _run(task)
    assert _run(os.getpid) != first


def test_a_child_that_was_stopped_is_replaced() -> None:
    first = _run(os.getpid)
    with pytest.raises(child.StoppedError) as stopped:
        _run(_waits, watch=lambda *_: False)
    assert stopped.value.why == "watcher"
    assert _run(os.getpid) != first


def test_memory_is_limited_for_each_task() -> None:
    first = _run(os.getpid)
    with pytest.raises(child.StoppedError) as stopped:
        _run(_reserves, GIB, memory_bytes=GIB)
    assert stopped.value.why == "memory"
    assert _run(_reserves, 1 << 20, memory_bytes=GIB)[0] != first
    # The limit of the task before does not hold for the next one.
    assert _run(_reserves, GIB)[1] == GIB


def test_a_child_whose_memory_grew_is_replaced() -> None:
    grown, _ = _run(_fills, 200 << 20)
    assert _run(os.getpid) != grown


def test_processor_time_is_limited_for_each_task() -> None:
    first = _run(_spends, 1.0, seconds=100.0)
    assert _run(os.getpid, seconds=100.0) == first
    soft, _ = _run(resource.getrlimit, resource.RLIMIT_CPU, seconds=100.0)
    assert 106 <= soft <= 130


def test_a_child_is_replaced_after_many_tasks() -> None:
    # It takes a third of a millisecond each.
    done = [_run(os.getpid) for _ in range(_MAX_TASKS + 1)]
    assert len(set(done[:-1])) == 1
    assert done[-1] != done[0]


def test_a_child_that_ended_while_it_waited_is_replaced(idle: IdleChildren) -> None:
    first = _run(os.getpid)
    idle._waiting[0].process.kill()
    idle._waiting[0].process.join(600)
    assert _run(os.getpid) != first


def test_a_child_that_ends_just_now_is_replaced(
    idle: IdleChildren, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = _run(os.getpid)
    # It ended by itself after it was looked at.
    waiting = idle._waiting[0]
    waiting.connection.send(ChildTask(os._exit, (0,), 60.0, GIB, is_watched=False))
    waiting.process.join(600)
    monkeypatch.setattr(IdleChildren, "take", lambda self, _: self._waiting.pop())
    assert _run(os.getpid) != first


def test_there_are_never_more_children_than_worked_at_once(idle: IdleChildren) -> None:
    own = _priority()
    low = _run(os.getpid, niceness=10)
    assert _run(_priority, niceness=5) == min(own + 5, 19)
    assert len(idle._waiting) == 1
    assert _run(os.getpid, niceness=10) != low
    assert len(idle._waiting) == 1


def test_a_process_that_is_forked_does_not_use_its_parents_children(idle: IdleChildren) -> None:
    _run(os.getpid)
    held = list(idle._waiting)
    idle.forget()
    assert idle.take(child.LOW_PRIORITY) is None
    for each in held:
        assert isinstance(each, Child)
        each.end()


def test_what_a_task_left_for_others_is_not_gone_through_again() -> None:
    before = _run(_keeps, 50_000)
    assert _run(_keeps, 0) < before + 25_000
