# ruff: noqa: S311 - drawings, no secrets
"""Paths of a drawn block that are read without a schema, beside the schema's own reading."""

from __future__ import annotations

import random
from typing import Any

import pytest

from service.errors import RequestError
from service.requests import plain_paths
from service.requests.drawn_blocks import DrawnBlockRequest, DrawnBlockRequestSchema
from service.schemas.loading import load

ODD: list[Any] = [
    True, None, "3", 1e7, -1e7, 10**400, float("nan"), float("inf"), 1.5, -1.0, 1, 0, [1], {}, 1e6,
]  # fmt: skip


def _body(rng: random.Random) -> dict[str, Any]:
    """Return a request with a few paths, of which some have a fault."""
    paths: list[Any] = []
    for _ in range(rng.randint(1, 4)):
        points: list[Any] = [
            [rng.uniform(-9, 9) for _ in range(rng.choice((2, 2, 3)))]
            for _ in range(rng.randint(2, 5))
        ]
        points = [[*row[:2], *(each / 9 for each in row[2:])] for row in points]
        path: Any = {"points": points}
        if rng.random() < 0.4:
            path["closed"] = rng.choice((*(True, False) * 5, 1, "true", None))
        if rng.random() < 0.2:
            path["fabric"] = rng.choice(("blue", "", "x" * 41, 3))
        if rng.random() < 0.05:
            path["name"] = "tide"
        if rng.random() < 0.2:
            row = rng.choice(points)
            row[rng.randrange(len(row))] = rng.choice(ODD)
        if rng.random() < 0.05:
            points[0] = rng.choice(([1.0], [1.0, 2.0, 0.0, 4.0], (), "row", None))
        paths.append(rng.choice((*(path,) * 40, None, [], "path", {})))
    body: dict[str, Any] = {"paths": paths}
    if rng.random() < 0.9:
        body["units"] = rng.choice((*("mm", "in", "cm") * 3, "ell"))
    return body


def _loaded(body: dict[str, Any]) -> DrawnBlockRequest | tuple[Any, ...]:
    try:
        found: DrawnBlockRequest = load(DrawnBlockRequestSchema(), body)
    except RequestError as error:
        return error.slug, error.detail, tuple(error.errors)
    return found


def test_paths_without_a_schema_are_read_alike(monkeypatch: pytest.MonkeyPatch) -> None:
    """Requests and refusals, word for word."""
    rng = random.Random(11)
    bodies = [_body(rng) for _ in range(800)]
    fast = [_loaded(body) for body in bodies]
    monkeypatch.setattr(plain_paths, "plain_path", lambda *_: None)
    assert fast == [_loaded(body) for body in bodies]
    assert sum(isinstance(each, DrawnBlockRequest) for each in fast) > 100
    assert sum(isinstance(each, tuple) for each in fast) > 200
