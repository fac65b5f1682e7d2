"""Errors of the core: each has a problem type, and survives its way to another place."""

from __future__ import annotations

import pickle

import pytest

from service.errors import Fault, InvalidRequestError, ReportedError, RequestError, pointing_into
from service.http.problem_types import TYPES
from service.http.problems import ProblemError, problem_of

FAULT = Fault("#/runs/0/gap", "Too small.")


@pytest.mark.parametrize("slug", sorted(RequestError.by_slug))
def test_every_error_of_the_core_has_a_problem_type(slug: str) -> None:
    error = RequestError.by_slug[slug]("wrong", [FAULT], piece="A")
    problem = problem_of(error)
    assert problem.status == TYPES[slug].status
    assert (problem.slug, problem.detail, problem.errors) == (slug, "wrong", (FAULT,))
    assert problem.extra == {"piece": "A"}


@pytest.mark.parametrize("slug", sorted(RequestError.by_slug))
def test_an_error_comes_out_of_a_child_as_it_was(slug: str) -> None:
    error = RequestError.by_slug[slug]("wrong", [FAULT], largest_mm=3.0)
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 - made here
    assert type(again) is type(error)
    assert (again.detail, again.errors, again.extra) == ("wrong", (FAULT,), {"largest_mm": 3.0})
    assert str(again) == "wrong"


@pytest.mark.parametrize(
    "error",
    [
        InvalidRequestError("wrong", [FAULT], piece="A"),
        ProblemError("busy", 503, "wrong", [FAULT], headers={"Retry-After": "5"}, piece="A"),
    ],
)
def test_pointers_are_shortened_to_what_the_body_has(error: ReportedError) -> None:
    assert pointing_into(error, {"runs": [{"gap": 1}]}) is error
    pointed = pointing_into(error, {"runs": [{}]})
    assert type(pointed) is type(error)
    assert pointed.errors == (Fault("#/runs/0", "Too small."),)
    assert error.errors == (FAULT,)
    assert problem_of(pointed).headers == problem_of(error).headers
    assert (str(pointed), pointed.extra) == ("wrong", {"piece": "A"})


@pytest.mark.parametrize(
    ("slug", "status", "wait"),
    [
        ("malformed-body", 400, None),
        ("does-not-fit", 422, None),
        ("plugin-failed", 500, None),
        ("computation-died", 500, None),
        ("busy", 503, "5"),
        ("took-too-long", 503, "60"),
    ],
)
def test_a_status_and_when_to_try_again(slug: str, status: int, wait: str | None) -> None:
    problem = problem_of(RequestError.by_slug[slug]("wrong"))
    assert (problem.status, problem.headers.get("Retry-After")) == (status, wait)
