"""When a request counts as whole, however its bytes are divided."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from service.serving.incoming import ArrivalLimits, IncomingRequest

LIMITS = ArrivalLimits(
    max_line_bytes=100, max_head_bytes=1000, max_body_bytes=500, head_s=10.0, body_s=15.0,
    min_body_bytes_per_s=100,
)  # fmt: skip
POST = b"POST / HTTP/1.1\r\nHost: x\r\n"
CHUNKED = POST + b"Transfer-Encoding: chunked\r\n\r\n"
WHOLE = {
    "no body": b"GET / HTTP/1.1\r\nHost: x\r\n\r\n",
    "stated length": POST + b"Content-Length: 5\r\n\r\nabcde",
    "nothing stated": POST + b"\r\n",
    "no bytes stated": POST + b"Content-Length: 0\r\n\r\n",
    "chunks": CHUNKED + b"5\r\nabcde\r\n3;a=b\r\n\r\n\r\r\n0\r\n\r\n",
    "chunks and trailers": CHUNKED + b"A\r\n0123456789\r\n0\r\nX-A: b\r\nX-B: c\r\n\r\n",
}
#: What the parser refuses as it stands: nobody waits for the rest of it.
HOPELESS = {
    "too long": POST + b"Content-Length: 501\r\n\r\n",
    "length in words": POST + b"Content-Length: five\r\n\r\n",
    "two lengths": POST + b"Content-Length: 5\r\nContent-Length: 6\r\n\r\n",
    "length and chunks": POST + b"Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n",
    "unknown coding": POST + b"Transfer-Encoding: gzip\r\n\r\n",
    "chunk size in words": CHUNKED + b"five\r\n",
    "empty chunk size": CHUNKED + b"\r\n",
    "chunk without end": CHUNKED + b"3\r\nabcde",
    "chunk size line without end": CHUNKED + b"1" * 101,
    "line without end": b"G" * 103,
    "headers without end": POST + b"X: " + b"y\r\nX: " * 200,
}


def _fed(parts: list[bytes]) -> int | None:
    """Return after how many parts a request was whole; ``None`` when it never was."""
    incoming = IncomingRequest(LIMITS, 0.0)
    for number, part in enumerate(parts, 1):
        if incoming.feed(part, 0.0):
            return number
    return None


@pytest.mark.parametrize("sent", WHOLE.values(), ids=WHOLE)
def test_a_request_is_whole_with_its_last_byte(sent: bytes) -> None:
    assert _fed([sent]) == 1
    single = [sent[at : at + 1] for at in range(len(sent))]
    assert _fed(single) == len(sent)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(name=st.sampled_from(sorted(WHOLE)), cuts=st.lists(st.integers(1, 120), max_size=6))
def test_how_a_request_is_divided_changes_nothing(name: str, cuts: list[int]) -> None:
    sent = WHOLE[name]
    at = sorted({0, len(sent), *(cut for cut in cuts if cut < len(sent))})
    parts = [sent[a:b] for a, b in pairwise(at)]
    assert _fed(parts) == len(parts)


@pytest.mark.parametrize("sent", HOPELESS.values(), ids=HOPELESS)
def test_what_will_be_refused_is_not_waited_for(sent: bytes) -> None:
    assert _fed([sent]) == 1


def test_a_body_in_chunks_past_the_limit_is_whole_when_the_limit_shows() -> None:
    # The readers behind ask for up to 64 KiB more than they return.
    chunk = b"200\r\n" + b"x" * 512 + b"\r\n"
    after = _fed([CHUNKED, *[chunk] * 200])
    assert after is not None
    assert 500 + 65536 < (after - 1) * 512 < 500 + 65536 + 1024


def test_headers_have_one_deadline_and_a_body_earns_time() -> None:
    incoming = IncomingRequest(LIMITS, 0.0)
    assert not incoming.feed(POST, 4.0)
    assert incoming.deadline == 10.0
    assert not incoming.feed(b"Content-Length: 400\r\n\r\n", 8.0)
    assert incoming.deadline == 8.0 + 15.0
    assert not incoming.feed(b"x" * 200, 9.0)
    assert incoming.deadline == 8.0 + 15.0 + 200 / 100
    # A byte now and then is worth a hundredth of a second.
    assert not incoming.feed(b"x", 24.9)
    assert incoming.deadline == pytest.approx(8.0 + 15.0 + 201 / 100)
    incoming.cap_deadline(20.0)
    assert not incoming.feed(b"x", 19.0)
    assert incoming.deadline == pytest.approx(20.0, abs=2.1)


def test_a_client_that_asks_is_told_to_go_on_once() -> None:
    incoming = IncomingRequest(LIMITS, 0.0)
    assert not incoming.feed(POST + b"Expect: 100-continue\r\nContent-Length: 5\r\n\r\n", 0.0)
    assert incoming.awaits_continue
    assert not incoming.feed(b"ab", 0.0)
    assert not incoming.awaits_continue
    assert incoming.feed(b"cde", 0.0)
