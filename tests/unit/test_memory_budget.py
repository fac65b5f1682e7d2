"""Memory limits that add up to no more than the container has."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.serving import memory_budget
from service.settings import Settings, SettingsError

MIB = 1 << 20


@pytest.mark.parametrize(
    ("name", "text", "limit"),
    [
        ("memory.max", "2147483648\n", 2 << 30),
        ("memory.max", "max\n", None),
        ("memory/memory.limit_in_bytes", "805306368\n", 768 * MIB),
        # What version 1 says when there is no limit: the largest multiple of a page in 63 bits.
        ("memory/memory.limit_in_bytes", "9223372036854771712\n", None),
        ("memory.stat", "anon 1\n", None),
    ],
)
def test_the_containers_limit_is_read(
    tmp_path: Path, name: str, text: str, limit: int | None
) -> None:
    # The files' form: docs.kernel.org, "Control Group v2", memory.max; "cgroup v1", memory.
    path = tmp_path / name
    path.parent.mkdir(exist_ok=True)
    path.write_text(text, encoding="ascii")
    assert memory_budget.container_limit(tmp_path) == limit


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    limit=st.integers(256, 65536),
    processes=st.integers(1, 8),
    computations=st.integers(1, 32),
    stated=st.integers(256, 65536),
)
def test_the_sum_of_limits_stays_within_the_containers(
    limit: int, processes: int, computations: int, stated: int
) -> None:
    stated_settings = Settings(compute_memory_mb=stated)
    try:
        fitted = memory_budget.fitted(stated_settings, processes, computations, limit * MIB)
    except SettingsError as error:
        assert str(limit) in str(error)
        return
    assert fitted.compute_memory_mb <= stated
    assert memory_budget.sum_of_limits_mib(fitted, processes, computations) <= limit


def test_without_a_limit_or_computations_nothing_changes() -> None:
    settings = Settings()
    assert memory_budget.fitted(settings, 2, 6, None) is settings
    assert memory_budget.fitted(settings, 2, 0, MIB) is settings


@pytest.mark.parametrize(
    ("limit_mib", "processes", "computations"),
    # docker/compose.yaml, an api and a worker of docker/compose.scale.yaml, docker/smoke.sh
    [(3072, 2, 4), (2048, 2, 2), (2048, 1, 2), (1024, 1, 2)],
)
def test_our_own_set_ups_leave_enough(limit_mib: int, processes: int, computations: int) -> None:
    fitted = memory_budget.fitted(Settings(), processes, computations, limit_mib * MIB)
    assert fitted.compute_memory_mb >= memory_budget.MIN_MIB
