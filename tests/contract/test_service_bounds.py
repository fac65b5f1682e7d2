"""Limits: a computation that takes too long, too much, or dies takes nothing else down."""

from __future__ import annotations

import ctypes
import itertools
import json
import math
import os
from pathlib import Path
from typing import Any

import pytest

from service.app import create_app
from service.errors import Fault, RequestError
from service.requests.kits import kit_request
from service.requests.pieces import OutlinesRequestSchema
from service.sandbox import child
from service.sandbox.admission import kit_is_modest
from service.sandbox.concurrency import ConcurrencyLimiter
from service.sandbox.run import compute
from service.sandbox.unloaded import UnloadedBody
from service.settings import Settings
from service.tools.built_in import BUILT_IN

GIB = 1 << 30


def _run(task: Any, *arguments: Any, seconds: float = 20.0, memory: int = GIB) -> Any:
    return child.run(task, arguments, seconds=seconds, memory_bytes=memory)


def test_a_child_returns_what_the_task_returns() -> None:
    assert _run(math.hypot, 3.0, 4.0) == 5.0


def test_a_large_answer_comes_through() -> None:
    assert len(_run(bytes, 20_000_000)) == 20_000_000


def test_an_endless_loop_is_stopped() -> None:
    with pytest.raises(child.StoppedError) as stopped:
        _run(sum, itertools.count(), seconds=0.5)
    assert stopped.value.why == "time"


def test_a_child_that_wants_too_much_memory_is_stopped() -> None:
    with pytest.raises(child.StoppedError) as stopped:
        _run(bytearray, 3 * GIB)
    assert stopped.value.why == "memory"


@pytest.mark.parametrize(
    ("task", "argument"), [(ctypes.string_at, 0), (os._exit, 3)], ids=["fault", "exit"]
)
def test_a_child_that_dies_is_noticed(task: Any, argument: int) -> None:
    with pytest.raises(child.StoppedError) as stopped:
        _run(task, argument)
    assert stopped.value.why == "crash"


def test_a_defect_is_told_with_its_traceback() -> None:
    with pytest.raises(child.TaskError, match="math domain error"):
        _run(math.sqrt, -1.0)


def test_a_refusal_comes_through_whole() -> None:
    body: dict[str, Any] = {
        "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": "wide"}}],
    }
    with pytest.raises(RequestError) as refused:
        compute(
            "checked_body",
            UnloadedBody(json.dumps(body).encode(), OutlinesRequestSchema, 8),
            small=False,
            settings=Settings(data=Path("/")),
            limiter=ConcurrencyLimiter(1, 1, 1, 1.0),
        )
    assert refused.value.slug == "invalid-request"
    assert isinstance(refused.value.errors[0], Fault)
    assert refused.value.errors[0].pointer == "#/pieces/0/shape/side"


def test_a_child_and_the_server_compute_the_same(small_kit: dict[str, Any]) -> None:
    small_kit["runs"][0]["cutter"] = {
        "tool": {"kind": "laser"}, "bed": {"width": "12", "height": "12"},
    }  # fmt: skip
    settings, limiter = Settings(data=Path("/")), ConcurrencyLimiter(1, 1, 1, 1.0)
    request = kit_request(small_kit, BUILT_IN.get)
    here = compute("kit", request, small=True, settings=settings, limiter=limiter)
    there = compute("kit", request, small=False, settings=settings, limiter=limiter)
    assert here == there


@pytest.mark.parametrize(
    ("change", "status", "slug"),
    [
        (child.StoppedError("time"), 503, "took-too-long"),
        (child.StoppedError("memory"), 422, "needs-too-much-memory"),
        (child.StoppedError("crash"), 500, "computation-died"),
        (child.TaskError("secret of the house"), 500, "internal-error"),
    ],
)
def test_each_end_has_its_own_problem(
    tmp_path: Path,
    small_kit: dict[str, Any],
    monkeypatch: pytest.MonkeyPatch,
    change: Exception,
    status: int,
    slug: str,
) -> None:
    def ended(*_: object, **__: object) -> None:
        raise change

    monkeypatch.setattr(child, "run", ended)
    app = create_app(Settings(data=tmp_path, isolation="always"))
    answer = app.test_client().post("/v1/kits", json=small_kit)
    assert answer.status_code == status
    assert answer.get_json()["type"] == f"/problems#{slug}"
    assert ("Retry-After" in answer.headers) is (status == 503)
    assert "secret" not in answer.get_data(as_text=True)
    app.extensions["quarterseam-store"]().close()


@pytest.mark.in_child
def test_a_kit_that_takes_too_long_is_stopped_over_http(
    tmp_path: Path, small_kit: dict[str, Any]
) -> None:
    app = create_app(Settings(data=tmp_path, compute_seconds=1))
    small_kit["pieces"][0] |= {"quantity": 20_000, "seam_allowance": "1 mm"}
    small_kit["pieces"][0]["shape"]["side"] = "1 mm"
    small_kit["runs"][0] |= {
        "cutter": {
            "tool": {"kind": "laser"},
            "bed": {"width": "600 mm", "height": "600 mm"},
        },
        "formats": ["dxf", "svg", "hpgl", "plan"],
    }
    client = app.test_client()
    answer = client.post("/v1/kits", json=small_kit)
    assert answer.status_code == 503, answer.get_data(as_text=True)[:400]
    assert answer.get_json()["type"] == "/problems#took-too-long"
    assert client.get("/v1/kits").get_json()["kits"] == []
    app.extensions["quarterseam-store"]().close()


def test_a_usual_kit_is_modest_and_a_large_one_is_not() -> None:
    assert _is_modest(_kit(run={"effort": "normal"}))
    assert not _is_modest(_kit(run={"effort": "best"}))
    assert not _is_modest(_kit(run={"effort": 5}))
    assert not _is_modest(_kit(piece={"quantity": 1001}))
    assert not _is_modest(_kit(run={"pieces": [{"id": "A", "quantity": 1001}]}))
    assert not _is_modest(_kit() | {"runs": _kit()["runs"] * 5})


def _kit(**changes: Any) -> dict[str, Any]:
    piece = {"id": "A", "shape": {"kind": "hexagon", "side": "1 in"}, "quantity": 40}
    run = {
        "cut": "template",
        "cutter": "laser-bed",
        "effort": "quick",
        "material": {"kind": "card"},
    }
    return {
        "units": "in",
        "pieces": [piece | changes.get("piece", {})],
        "runs": [run | changes.get("run", {})],
    }


def _is_modest(body: dict[str, Any]) -> bool:
    return kit_is_modest(kit_request(body, BUILT_IN.get))
