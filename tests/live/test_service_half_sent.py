"""Clients that send half of a request, or nothing: others are served, and they end."""

from __future__ import annotations

import contextlib
import http.client
import json
import socket
import time
from collections.abc import Callable
from typing import Any

import pytest
import requests

from service.serving.timed_socket import TimedSocket
from tests.live.open_connections import open_connections

MakeServer = Callable[..., Any]
OUTLINES: Any = {
    "units": "in",
    "pieces": [{"id": "A", "shape": {"kind": "hexagon", "side": "1"}, "seam_allowance": "1/4"}],
}
#: Long enough that none is given up while the others are looked at.
PATIENT = {"QUARTERSEAM_HEADER_TIMEOUT_SECONDS": "600", "QUARTERSEAM_BODY_TIMEOUT_SECONDS": "600"}
FEW = {"QUARTERSEAM_WORKERS": "2", "QUARTERSEAM_THREADS": "4"}
HOST = b"Host: 127.0.0.1\r\n"
JSON = b"Content-Type: application/json\r\n"
UPLOAD = b"POST /v1/outlines HTTP/1.1\r\n" + HOST + JSON + b"Content-Length: 5000\r\n\r\n"
CHUNKS = b"POST /v1/outlines HTTP/1.1\r\n" + HOST + JSON + b"Transfer-Encoding: chunked\r\n\r\n"
HALF_SENT = {
    "silent": b"",
    "half of a line": b"GET /v1/sha",
    "half of the headers": b"GET /v1/shapes HTTP/1.1\r\n" + HOST,
    "half of a body": UPLOAD + b"x" * 2500,
    "half of a chunk": CHUNKS + b"ff\r\n" + b"x" * 100,
    "too long, and stopped": UPLOAD.replace(b"5000", b"99999999") + b"x" * 2500,
    "a request and half of one": b"GET /v1/formats HTTP/1.1\r\n" + HOST + b"\r\n" + UPLOAD,
}


def _answer(client: socket.socket) -> tuple[int, str, bytes]:
    """Read one answer: its status, its media type and its body."""
    with contextlib.closing(http.client.HTTPResponse(client)) as answer:
        answer.begin()
        return answer.status, answer.getheader("Content-Type") or "", answer.read()


def _until_closed(client: socket.socket) -> bytes:
    """Read until the server closes."""
    payload = b""
    while more := client.recv(65536):
        payload += more
    return payload


def _answers_healthy(url: str, times: int) -> None:
    for _ in range(times):
        # A connection of its own each time: it must be accepted, too.
        answer = requests.post(f"{url}/v1/outlines", json=OUTLINES, timeout=300)
        assert answer.status_code == 200
        assert requests.get(f"{url}/healthz", timeout=300).status_code == 200


@pytest.mark.long
def test_a_hundred_half_sent_requests_keep_nobody_waiting(make_server: MakeServer) -> None:
    server = make_server(**FEW, **PATIENT)
    for sent in HALF_SENT.values():
        with open_connections(server.port, [sent] * 100):
            _answers_healthy(server.url, 5)


@pytest.mark.long
@pytest.mark.timeout(900)
def test_uploads_that_stop_and_silent_connections_at_once(make_server: MakeServer) -> None:
    server = make_server(QUARTERSEAM_WORKERS="2", **PATIENT)
    sent = [UPLOAD + b"x" * 2500] * 24 + [b""] * 500
    with open_connections(server.port, sent):
        began = time.perf_counter()
        _answers_healthy(server.url, 100)
        print(f"100 outlines and health checks beside 524: {time.perf_counter() - began:.2f} s")


def test_what_stops_is_told_so_and_closed(make_server: MakeServer) -> None:
    server = make_server(
        QUARTERSEAM_HEADER_TIMEOUT_SECONDS="2", QUARTERSEAM_BODY_TIMEOUT_SECONDS="2"
    )
    # All at once: the server waits for each of them at the same time.
    with open_connections(server.port, [*HALF_SENT.values()]) as clients:
        payloads = [_until_closed(client) for client in clients]
    for kind, payload in zip(HALF_SENT, payloads, strict=True):
        if kind == "silent":
            assert payload == b""
            continue
        last = payload[payload.rindex(b"HTTP/1.1 ") :]
        head, _, body = last.partition(b"\r\n\r\n")
        status = 413 if kind.startswith("too long") else 408
        assert head.startswith(b"HTTP/1.1 %d " % status), kind
        slug = {408: "request-timeout", 413: "body-too-large"}[status]
        assert json.loads(body)["type"] == f"/problems#{slug}"
    # A byte now and then earns no time.
    for start in (b"GET /v1/shapes HTTP/1.1\r\nX-A: ", UPLOAD):
        with open_connections(server.port, [start]) as [client]:
            client.settimeout(0.2)
            payload = b""
            # Ends when the server closes; the test's own time limit is the bound.
            while not payload:
                client.sendall(b"x")
                with contextlib.suppress(TimeoutError):
                    payload = client.recv(65536)
        assert payload.startswith(b"HTTP/1.1 408 ")


CHUNK_FAULTS = {
    "size in words": b"five\r\nhello\r\n0\r\n\r\n",
    "negative size": b"-5\r\nhello\r\n0\r\n\r\n",
    "no size": b"\r\nhello\r\n0\r\n\r\n",
    "size with a prefix": b"0x5\r\nhello\r\n0\r\n\r\n",
    "size too short": b"3\r\nhello\r\n0\r\n\r\n",
    "bad extension": b"5;\x01\r\nhello\r\n0\r\n\r\n",
    "endless size line": b"1" * 9000,
    "bad trailer": b"5\r\nhello\r\n0\r\nbad trailer\r\n\r\n",
}


@pytest.mark.parametrize("sent", CHUNK_FAULTS.values(), ids=CHUNK_FAULTS)
def test_malformed_chunks_are_the_clients_fault(server: Any, sent: bytes) -> None:
    with open_connections(server.port, [CHUNKS + sent]) as [client]:
        status, media_type, body = _answer(client)
        assert (status, media_type) == (400, "application/problem+json")
        assert json.loads(body)["type"] == "/problems#bad-request"
        assert client.recv(1) == b""


def test_a_body_that_ends_early_is_the_clients_fault(server: Any) -> None:
    with open_connections(server.port, [UPLOAD + b"x" * 10]) as [client]:
        client.shutdown(socket.SHUT_WR)
        assert _answer(client)[0] == 400


def test_requests_sent_at_once_are_answered_in_turn(server: Any) -> None:
    body = json.dumps(OUTLINES).encode()
    one = UPLOAD.replace(b"5000", str(len(body)).encode()) + body
    with open_connections(server.port, [one * 3 + one[:-5]]) as [client]:
        payload = b""
        while payload.count(b"HTTP/1.1 200 OK") < 3:
            payload += client.recv(65536)
        # The rest of the fourth comes after the first three have been answered.
        client.sendall(one[-5:])
        while payload.count(b"HTTP/1.1 200 OK") < 4:
            more = client.recv(65536)
            assert more
            payload += more


def test_a_client_that_asks_before_it_sends_is_told_to_go_on(server: Any) -> None:
    body = json.dumps(OUTLINES).encode()
    head = UPLOAD.replace(b"5000", b"%d\r\nExpect: 100-continue" % len(body))
    with open_connections(server.port, [head]) as [client]:
        assert client.recv(25) == b"HTTP/1.1 100 Continue\r\n\r\n"
        client.sendall(body)
        assert _answer(client)[0] == 200


def test_a_client_that_does_not_read_is_given_up() -> None:
    listener = socket.create_server(("127.0.0.1", 0))
    with listener, socket.create_connection(listener.getsockname()):
        accepted, _ = listener.accept()
        with TimedSocket.of(accepted) as one:
            one.setblocking(True)
            assert one.gettimeout() is not None
            one.settimeout(0.05)
            with pytest.raises(TimeoutError):
                one.sendall(bytes(64 << 20))
