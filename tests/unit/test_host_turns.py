"""Which hosts may be called now: no host keeps callbacks to another waiting."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from service.jobs.host_turns import HostTurns
from service.storage.job_states import HeldJob

THREADS = 8


class Due:
    """Callbacks that are due, oldest first, by host."""

    def __init__(self, turns: HostTurns, hosts: Sequence[str]) -> None:
        self._turns = turns
        self._hosts = list(hosts)

    def next(self) -> str | None:
        """Start the next one that may be sent; return its host."""
        work = self._turns.claim(self._claim)
        return None if work is None else work.host

    def _claim(self, but: Collection[str]) -> HeldJob | None:
        for index, host in enumerate(self._hosts):
            if host not in but:
                del self._hosts[index]
                return HeldJob("id", "callback", 0, 1, None, None, "", None, None, host)
        return None


def started(due: Due) -> list[str]:
    """Return the hosts of all attempts that may run at once."""
    found: list[str] = []
    while len(found) < THREADS and (host := due.next()) is not None:
        found.append(host)
    return found


def test_a_host_that_has_not_answered_is_called_by_one_thread() -> None:
    due = Due(HostTurns(THREADS), ["dead"] * 50 + ["new"] * 50 + ["third"])
    assert started(due) == ["dead", "new", "third"]


def test_a_quick_host_leaves_one_thread_to_others() -> None:
    turns = HostTurns(THREADS)
    due = Due(turns, ["quick"] * 50 + ["other"])
    assert due.next() == "quick"
    turns.ended("quick", is_quick=True)
    assert started(due) == ["quick"] * 7 + ["other"]


def test_slow_hosts_take_half_of_the_threads() -> None:
    """Six slow hosts, and a quick one with a long row: four threads for each sort."""
    turns = HostTurns(THREADS)
    slow = [f"slow {number}" for number in range(6)]
    for host in (*slow, "quick"):
        assert Due(turns, [host]).next() == host
        turns.ended(host, is_quick=host == "quick")
    assert started(Due(turns, slow * 5 + ["quick"] * 9)) == slow[:4] + ["quick"] * 4


def test_a_host_that_answers_again_is_quick_again() -> None:
    turns = HostTurns(THREADS)
    due = Due(turns, ["back"] * 30)
    assert due.next() == "back"
    turns.ended("back", is_quick=False)
    assert started(due) == ["back"]
    turns.ended("back", is_quick=True)
    assert started(due) == ["back"] * 7
