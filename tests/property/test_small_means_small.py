"""What is computed in a server's own threads is small: counted work, whatever is asked.

Only outlines are, and only few simple ones; all else runs in children with limits.
"""

from __future__ import annotations

import contextlib
import cProfile
import math
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from marshmallow import ValidationError

from geometry.shapes.catalogue import CATALOGUE
from service.errors import RequestError
from service.requests.pieces import OutlinesRequest, OutlinesRequestSchema
from service.sandbox.admission import outlines_are_small
from service.sandbox.tasks import TASKS

#: Calls that small outlines may take: a second at most. Measured on a busy machine, outlines make
#: 0.7 to 1.5 million of them in a second; counting them depends on no clock. Own measurement.
MAX_CALLS = 700_000
SIZES = {
    "length": st.floats(4.0, 400.0).map(lambda mm: f"{mm:.2f} mm"),
    "angle_deg": st.floats(20.0, 120.0),
    "number": st.floats(0.1, 3.0),
}


def _loaded(pieces: list[dict[str, Any]]) -> OutlinesRequest:
    loaded: OutlinesRequest = OutlinesRequestSchema().load({"units": "mm", "pieces": pieces})
    return loaded


def _piece(number: int, shape: dict[str, Any], **more: Any) -> dict[str, Any]:
    return {"id": f"P{number}", "shape": shape, "seam_allowance": "5 mm", **more}


HEXAGON = {"kind": "hexagon", "side": "20 mm"}


@pytest.mark.parametrize(
    "pieces",
    [
        [_piece(each, HEXAGON) for each in range(21)],
        [_piece(each, {"kind": "circle", "diameter": "20 mm"}) for each in range(6)],
        [
            _piece(each, {"kind": "regular_polygon", "sides": 60, "side": "4 mm"})
            for each in range(4)
        ],
        [_piece(1, {"kind": "custom", "path": "M 0 0 L 10 0 L 0 10 Z"})],
        [_piece(1, {"kind": "custom", "points": [[each, each * each] for each in range(201)]})],
        [_piece(each, HEXAGON, label=True) for each in range(3)],
    ],
)
def test_what_can_take_long_is_not_small(pieces: list[dict[str, Any]]) -> None:
    assert not outlines_are_small(_loaded(pieces).pieces)


def test_usual_outlines_are_small() -> None:
    assert outlines_are_small(_loaded([_piece(each, HEXAGON) for each in range(20)]).pieces)


@st.composite
def _shapes(draw: st.DrawFn) -> dict[str, Any]:
    kind = CATALOGUE[draw(st.sampled_from(sorted(CATALOGUE)))]
    wanted = {*kind.required, *draw(st.sampled_from(kind.size_options or ((),)))}
    shape: dict[str, Any] = {"kind": kind.kind}
    for each in kind.parameters:
        if each.name in wanted:
            shape[each.name] = draw(
                st.integers(int(each.minimum or 1), int(each.maximum or 60))
                if each.type == "count"
                else st.sampled_from(each.choices)
                if each.choices
                else SIZES[each.type]
            )
    return shape


@st.composite
def _drawn(draw: st.DrawFn) -> dict[str, Any]:
    """Draw an outline of one's own: a star about its middle, with spikes and notches."""
    count = draw(st.integers(3, 200))
    radii = draw(
        st.lists(st.sampled_from([3.0, 20.0, 20.5, 60.0, 300.0]), min_size=count, max_size=count)
    )
    turns = (2.0 * math.pi * step / count for step in range(count))
    points = [
        [radius * math.cos(turn), radius * math.sin(turn)]
        for radius, turn in zip(radii, turns, strict=True)
    ]
    return {"kind": "custom", "points": points}


@st.composite
def _requests(draw: st.DrawFn) -> OutlinesRequest:
    shape = draw(st.one_of(_shapes(), _drawn()))
    more: dict[str, Any] = {
        name: True
        for name in ("match_marks", "grain_arrow", "removal_hole", "mirror", "label")
        if draw(st.integers(0, 3)) == 0
    }
    more["corners"] = {"kind": draw(st.sampled_from(["mitre", "blunt", "round"]))}
    # As many as are still small: what is sent on purpose is sent at the limit.
    for count in (20, 10, 5, 2, 1):
        with contextlib.suppress(ValidationError):
            request = _loaded([_piece(each, shape, **more) for each in range(count)])
            if outlines_are_small(request.pieces):
                return request
    assume(False)
    raise AssertionError


def _calls(request: OutlinesRequest) -> int:
    """Return how many calls drawing outlines takes, of Python's and of C's functions."""
    profile = cProfile.Profile()
    # A refusal is bounded too.
    with contextlib.suppress(RequestError):
        profile.runcall(TASKS["outlines"], 60.0, request)
    return sum(each.callcount for each in profile.getstats())


def _check(request: OutlinesRequest) -> None:
    # Imports and caches are paid for once.
    assert min(_calls(request), _calls(request)) <= MAX_CALLS, request


@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
@given(_requests())
def test_nothing_judged_small_is_much_work(request: OutlinesRequest) -> None:
    _check(request)


@pytest.mark.long
@settings(max_examples=2_000, deadline=None, suppress_health_check=list(HealthCheck))
@given(_requests())
def test_nothing_judged_small_is_much_work_over_many_more(request: OutlinesRequest) -> None:
    _check(request)
