"""The header ``traceparent``, by the rules and examples of W3C Trace Context.

https://www.w3.org/TR/trace-context/ (Recommendation of 23 November 2021), sections 3.2 and 4.3.
"""

from __future__ import annotations

import re

import pytest

from service.tracing.trace_context import TraceContext, new_context, parse

#: The example of section 3.2.4.
EXAMPLE = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01"


def test_the_specifications_example_is_read_and_written() -> None:
    found = parse(EXAMPLE)
    assert found == TraceContext("4bf92f3577b34da6a3ce929d0e0e4736", "00f067aa0ba902b7")
    assert found.traceparent == EXAMPLE
    # Section 3.2.4, the second example: not sampled.
    other = parse(EXAMPLE.removesuffix("1") + "0")
    assert other is not None
    assert not other.is_sampled
    assert other.traceparent == EXAMPLE.removesuffix("1") + "0"


def test_only_the_known_flag_is_passed_on() -> None:
    # Section 3.2.2.5: flags that a version does not define are set to zero.
    found = parse(EXAMPLE.removesuffix("01") + "ff")
    assert found is not None
    assert found.traceparent == EXAMPLE


def test_a_later_version_may_have_more_behind_it() -> None:
    # Section 4.3: parse what is known, where it is followed by a dash or nothing.
    later = "cc" + EXAMPLE.removeprefix("00")
    assert parse(later) == parse(later + "-what-the-future-holds") == parse(EXAMPLE)
    assert parse(later + ".what-the-future-holds") is None


@pytest.mark.parametrize(
    "header",
    [
        None,
        "",
        "x",
        EXAMPLE.upper(),
        EXAMPLE + "-01",
        EXAMPLE + " ",
        EXAMPLE[:-1],
        "ff" + EXAMPLE.removeprefix("00"),
        "00-00000000000000000000000000000000-00f067aa0ba902b7-01",
        "00-4bf92f3577b34da6a3ce929d0e0e4736-0000000000000000-01",
        "00-4bf92f3577b34da6a3ce929d0e0e473g-00f067aa0ba902b7-01",
        EXAMPLE + "\n",
    ],
)
def test_what_is_no_header_is_left_out(header: str | None) -> None:
    assert parse(header) is None


def test_a_new_trace_has_ids_of_its_own() -> None:
    made = [new_context() for _ in range(1000)]
    assert len({each.trace_id for each in made}) == len({each.span_id for each in made}) == 1000
    assert all(re.fullmatch("00-[0-9a-f]{32}-[0-9a-f]{16}-01", each.traceparent) for each in made)
    assert new_context("a" * 32).trace_id == "a" * 32
