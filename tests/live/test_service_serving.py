"""The real server: concurrent clients, huge bodies, a stop and a start."""

from __future__ import annotations

import hashlib
import http.client
import io
import json
import socket
import time
import zipfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
import requests

#: On a busy machine each answer may take long.
pytestmark = pytest.mark.timeout(900)
HUGE = 50 * 1024 * 1024
CLIENTS = 3
#: No answer takes so long, however busy the machine is.
LONG_S = 300


def _side(client: int, turn: int) -> float:
    return round(20 + client + turn / 100, 2)


def _kit(client: int, turn: int) -> dict[str, Any]:
    """A request that no other client sends: its size tells whose it is."""
    side_mm = _side(client, turn)
    return {
        "title": f"Pier {client}, turn {turn}",
        "pieces": [
            {
                "id": "A",
                "shape": {"kind": "hexagon", "side": f"{side_mm:.2f} mm"},
                "quantity": 6,
                "seam_allowance": "6 mm",
            }
        ],
        "runs": [
            {"cut": "template", "cutter": "drag-blade-sheet", "formats": ["svg", "plan"]},
            {
                "cut": "patch",
                "cutter": "laser-bed",
                "material": {"kind": "card"},
                "formats": ["dxf"],
            },
        ],
    }


def _check_own(session: requests.Session, url: str, client: int, turn: int) -> None:
    """Make a kit and check that everything that comes back is this kit's."""
    body = _kit(client, turn)
    made = session.post(f"{url}/v1/kits", json=body, timeout=LONG_S)
    assert made.status_code == 201, made.text
    payload = made.json()
    assert payload["title"] == body["title"]
    side_mm = _side(client, turn)
    assert payload["pieces"][0]["template"]["width_mm"] == pytest.approx(2 * side_mm, abs=1e-9)
    for run in payload["runs"]:
        for load in run["loads"]:
            for file in load["files"]:
                data = session.get(url + file["href"], timeout=LONG_S).content
                assert hashlib.sha256(data).hexdigest() == file["sha256"]
    link = url + made.headers["Location"]
    archive = session.get(link, headers={"Accept": "application/zip"}, timeout=LONG_S).content
    with zipfile.ZipFile(io.BytesIO(archive)) as inside:
        assert json.loads(inside.read("kit.json"))["request"]["title"] == body["title"]
    assert session.get(link, timeout=LONG_S).content == made.content


def _work(server: Any, client: int, more: Callable[[int], bool]) -> int:
    turn = 0
    with requests.Session() as session:
        while more(turn):
            _check_own(session, server.url, client, turn)
            turn += 1
    return turn


def _run_clients(server: Any, more: Callable[[int], bool]) -> list[int]:
    with ThreadPoolExecutor(CLIENTS) as pool:
        work = [pool.submit(_work, server, client, more) for client in range(CLIENTS)]
        return [each.result() for each in work]


def test_three_clients_at_once_get_their_own_kits(server: Any) -> None:
    assert _run_clients(server, lambda turn: turn < 4) == [4, 4, 4]


@pytest.mark.long
@pytest.mark.timeout(900)
def test_three_clients_for_a_minute_get_their_own_kits(server: Any) -> None:
    end = time.monotonic() + 60
    made = _run_clients(server, lambda _: time.monotonic() < end)
    assert min(made) > 10


def _in_chunks() -> Iterator[bytes]:
    for _ in range(HUGE // 65536):
        yield b" " * 65536


@pytest.mark.parametrize("how", ["with Content-Length", "in chunks"])
def test_a_huge_body_is_refused(server: Any, how: str) -> None:
    body: Any = b" " * HUGE if how == "with Content-Length" else _in_chunks()
    answer = requests.post(
        f"{server.url}/v1/kits",
        data=body,
        headers={"Content-Type": "application/json"},
        timeout=LONG_S,
    )
    assert answer.status_code == 413
    assert answer.json()["type"] == "/problems#body-too-large"
    assert requests.get(f"{server.url}/healthz", timeout=LONG_S).status_code == 200


def test_a_body_in_chunks_is_never_read_cut_off(server: Any) -> None:
    # Valid JSON whose text ends exactly at the limit, then one more byte, in chunks.
    start, end = b'{"pieces": [], "title": "', b'"}'
    whole = start + b"x" * (1048576 - len(start) - len(end)) + end

    def sent(more: bytes) -> int:
        answer = requests.post(
            f"{server.url}/v1/outlines",
            data=iter([whole, more] if more else [whole]),
            headers={"Content-Type": "application/json"},
            timeout=LONG_S,
        )
        return answer.status_code

    assert sent(b"") == 422
    assert sent(b" ") == 413


@pytest.mark.long
def test_a_kit_is_still_there_after_a_stop_and_a_start(
    make_server: Callable[[], Any],
) -> None:
    server = make_server()
    made = requests.post(f"{server.url}/v1/kits", json=_kit(9, 0), timeout=LONG_S)
    link = server.url + made.headers["Location"]
    archive = requests.get(link, headers={"Accept": "application/zip"}, timeout=LONG_S).content
    assert server.stop() == 0, server.log.read_text()
    server.start()
    assert requests.get(link, timeout=LONG_S).content == made.content
    again = requests.get(link, headers={"Accept": "application/zip"}, timeout=LONG_S).content
    assert again == archive


def test_a_request_under_way_is_finished_before_the_stop(
    make_server: Callable[..., Any],
) -> None:
    server = make_server(QUARTERSEAM_WORKERS="1")
    # All that a kit needs is there from here on: stopping does not wait for ever.
    assert requests.post(f"{server.url}/v1/kits", json=_kit(8, 0), timeout=LONG_S).ok
    body = json.dumps(_kit(8, 1)).encode()
    head = (
        f"POST /v1/kits HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
        f"Content-Length: {len(body)}\r\nExpect: 100-continue\r\n\r\n"
    )
    with socket.create_connection(("127.0.0.1", server.port), timeout=LONG_S) as connection:
        connection.sendall(head.encode())
        # The server has read the headers when it says so.
        assert connection.recv(100).startswith(b"HTTP/1.1 100 ")
        connection.sendall(body)
        assert server.stop() == 0
        answer = http.client.HTTPResponse(connection)
        answer.begin()
        made = answer.read()
    assert answer.status == 201, made
    server.start()
    link = server.url + str(answer.getheader("Location"))
    assert requests.get(link, timeout=LONG_S).content == made


def test_the_log_has_no_tracebacks(server: Any) -> None:
    assert "Traceback" not in Path(server.log).read_text()


def _raw(server: Any, request: bytes) -> tuple[int, dict[str, Any]]:
    with socket.create_connection(("127.0.0.1", server.port), timeout=LONG_S) as connection:
        connection.sendall(request)
        connection.shutdown(socket.SHUT_WR)
        answer = http.client.HTTPResponse(connection)
        answer.begin()
        assert answer.getheader("Content-Type") == "application/problem+json"
        return answer.status, json.loads(answer.read())


START = b"GET /v1/kits HTTP/1.1\r\nHost: x\r\n"
HARDLY_HTTP = {
    "long address": (b"GET /" + b"x" * 9000 + b" HTTP/1.1\r\nHost: x\r\n\r\n", 414),
    "long header": (START + b"X-A: " + b"x" * 9000 + b"\r\n\r\n", 431),
    "many headers": (START + b"X-A: x\r\n" * 70 + b"\r\n", 431),
    "bad header": (START + b"X A: x\r\n\r\n", 400),
    "bad version": (b"GET / HTTP/9.9\r\nHost: x\r\n\r\n", 400),
    "no HTTP": (b"nonsense\r\n\r\n", 400),
}


@pytest.mark.parametrize(("sent", "status"), HARDLY_HTTP.values(), ids=HARDLY_HTTP)
def test_what_is_hardly_http_gets_a_problem_too(
    server: Any,
    sent: bytes,
    status: int,
) -> None:
    slugs = {400: "bad-request", 414: "address-too-long", 431: "headers-too-large"}
    told_status, payload = _raw(server, sent)
    assert told_status == payload["status"] == status
    assert payload["type"] == f"/problems#{slugs[status]}"
