"""A worker killed while it calls back: the callback comes again, with the same id."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import requests

from tests.live import live_jobs
from tests.receiver import receiving

pytestmark = pytest.mark.timeout(900)


def test_a_worker_killed_while_it_calls_loses_nothing(make_server: Callable[..., Any]) -> None:
    """The receiver holds its answer while the worker is killed, and answers the next one.

    The server that creates the kit runs no jobs, so that what it created is committed and nobody
    is called before there is a worker.
    """
    with receiving() as receiver:
        options = {**live_jobs.QUICK, "QUARTERSEAM_CALLBACK_HOSTS": receiver.host}
        server = make_server(command=live_jobs.SERVER, **options)
        body = {
            **live_jobs.small_kit("Called back"),
            "reference": "ORDER 7",
            "callback": receiver.callback,
        }
        made = requests.post(f"{server.url}/v1/kits", json=body, timeout=600)
        assert made.status_code == 201, made.text
        assert not receiver.came.is_set()
        receiver.may_answer.clear()
        worker = make_server(data=server.data, command=live_jobs.WORKER, **options)
        assert receiver.came.wait(600)
        worker.kill()
        receiver.came.clear()
        receiver.may_answer.set()
        worker.start()
        assert receiver.came.wait(600)
        first, *_, last = receiver.received
        for each in (first, last):
            each.check()
            assert each.body == first.body
            assert each.headers["webhook-id"] == first.headers["webhook-id"]
            assert each.data["href"] == made.headers["Location"]
            assert each.data["number"] == made.json()["number"]
            assert each.data["reference"] == "ORDER 7"
        # It ends once: nothing waits, and nothing comes again.
        live_jobs.wait_for(server.url, [f"/v1/jobs/{first.headers['webhook-id']}"], 600)
        metrics = requests.get(f"{server.url}/metrics", timeout=600).text
        assert "quarterseam_callbacks_waiting 0.0" in metrics
        assert worker.stop() == 0, worker.log.read_text()
        assert server.stop() == 0, server.log.read_text()
