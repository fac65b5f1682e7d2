"""Whole jobs: one request each, its answer, files and run sheet checked against hand arithmetic."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.app import create_app
from service.settings import Settings
from tests.jobs.studio import Studio


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Give whole jobs time: a busy machine must not fail them."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.timeout(900))


@pytest.fixture(scope="session")
def studio(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Studio]:
    """One app for all jobs."""
    # The limit is far away: a busy machine must not fail a job.
    app = create_app(
        Settings(
            data=tmp_path_factory.mktemp("studio"),
            compute_seconds=600,
            compute_queue_timeout_seconds=600,
        )
    )
    yield Studio(app.test_client())
    app.extensions["quarterseam-store"]().close()


@pytest.fixture
def in_process(monkeypatch: pytest.MonkeyPatch) -> None:
    """Compute in the test's own process, where coverage is measured, instead of in a child."""
    monkeypatch.setattr("service.sandbox.run.is_here", lambda **_: True)
