"""A host that does not answer delays no callback to another host, on either database."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import requests

from tests.live import live_jobs
from tests.receiver import Receiver, receiving

pytestmark = pytest.mark.timeout(900)

#: More than the threads that call, so that a row of them would keep all busy.
MANY = 12


def _create(url: str, title: str, receiver: Receiver, path: str = "kits") -> Any:
    body: dict[str, Any] = live_jobs.small_kit(title)
    if path == "batches":
        body = {"title": title, "requests": [body]}
    body |= {"reference": "ORDER 7", "callback": receiver.callback}
    made = requests.post(f"{url}/v1/{path}", json=body, timeout=600)
    assert made.status_code in {201, 202}, made.text
    return made.json()


def _check_fair(make_server: Callable[..., Any], **shared: Any) -> None:
    """Check that a callback arrives before those to a dead host, which are older, were all tried.

    The server runs no jobs, so that nobody is called before all of them are due.
    """
    with receiving() as dead, receiving() as alive:
        dead.may_answer.clear()
        hosts = f"{dead.host},{alive.host}"
        options = {**live_jobs.QUICK, **shared, "QUARTERSEAM_CALLBACK_HOSTS": hosts}
        server = make_server(command=live_jobs.SERVER, **options)
        for number in range(MANY):
            _create(server.url, f"Dead {number}", dead)
        kit = _create(server.url, "Alive", alive)
        batch = _create(server.url, "Both", alive, "batches")
        assert batch["number"]
        options["data"] = server.data
        worker = make_server(command=live_jobs.WORKER, **options)
        assert alive.came.wait(600)
        assert len(dead.received) < MANY
        numbers = {each["id"]: each["number"] for each in (kit, batch)}
        while len(alive.received) < len(numbers):
            alive.came.clear()
            assert alive.came.wait(600)
        assert len(dead.received) < MANY
        for each in alive.received:
            each.check()
            assert each.data["number"] == numbers[each.data["id"]]
            assert each.data["reference"] == "ORDER 7"
        found = requests.get(f"{server.url}/v1/batches?number={batch['number']}", timeout=600)
        assert [each["id"] for each in found.json()["batches"]] == [batch["id"]]
        dead.may_answer.set()
        assert worker.stop() == 0, worker.log.read_text()
        assert server.stop() == 0, server.log.read_text()


@pytest.mark.long
def test_a_dead_host_delays_no_other(make_server: Callable[..., Any]) -> None:
    _check_fair(make_server)


@pytest.mark.long
@pytest.mark.postgres
def test_a_dead_host_delays_no_other_on_postgresql(
    make_server: Callable[..., Any], postgres: Any, tmp_path: Path
) -> None:
    _check_fair(make_server, data=tmp_path / "shared", QUARTERSEAM_DATABASE=postgres.url)
