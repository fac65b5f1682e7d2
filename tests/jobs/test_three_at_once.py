"""Three clients ask for one layout at the same time: each gets it, and the same."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest

from tests.jobs.studio import Studio
from tests.jobs.test_same_bytes import REQUEST


@pytest.mark.parametrize(
    "effort", [1, pytest.param("normal", marks=pytest.mark.long)], ids=["1000 steps", "normal"]
)
def test_three_at_once(studio: Studio, effort: Any) -> None:
    """18 pieces take one load of each run (worked out in ``test_same_bytes``), however busy the
    machine is: a search counts its steps, so that three at once find what one alone finds.
    """
    runs = [{**run, "effort": effort} for run in REQUEST["runs"]]
    body = {**REQUEST, "runs": runs if effort == "normal" else runs[:1]}
    app = studio.client.application

    def ask(_: int) -> tuple[int, dict[str, Any]]:
        answer = app.test_client().post("/v1/layouts", json=body)
        return answer.status_code, answer.get_json()

    with ThreadPoolExecutor(3) as pool:
        answers = list(pool.map(ask, range(3)))
    assert [status for status, _ in answers] == [200] * 3
    found = [answer for _, answer in answers]
    assert found[0]["complete"] is True
    assert [sum(load["repeats"] for load in run["loads"]) for run in found[0]["runs"]] == [
        1 for _ in body["runs"]
    ]
    for other in found[1:]:
        assert other["runs"] == found[0]["runs"]
