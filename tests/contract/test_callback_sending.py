"""One attempt of a callback: its signature, the address it goes to, and its bounds.

Sources: the vector of the Standard Webhooks specification's own libraries (1.0.0); IANA's
registries of special-purpose addresses for what is not on the public internet.
"""

from __future__ import annotations

import contextlib
import ipaddress
import re
import shutil
import socket
import ssl
import subprocess
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from service.callbacks.addresses import is_public
from service.callbacks.destinations import Destination, Destinations, RefusedError
from service.callbacks.sending import MAX_HEAD, SendingError, post
from service.callbacks.signing import signed_headers
from service.settings import SettingsError, from_environment
from tests.receiver import SECRET, receiving

ROOT = Path(__file__).resolve().parents[2]
NAME = "hooks.example.org"
#: Longer than any busy machine needs, where nothing is late; short where something always is.
LONG_S, SHORT_S = 600.0, 1.0


def test_a_signature_is_that_of_the_specification() -> None:
    """The vector that the specification's libraries test themselves with."""
    found = signed_headers(
        "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw",
        "msg_p5jXN8AQM9LWM0D4loKWxJek",
        1614265330,
        b'{"test": 2432232314}',
    )
    assert found == {
        "webhook-id": "msg_p5jXN8AQM9LWM0D4loKWxJek",
        "webhook-timestamp": "1614265330",
        "webhook-signature": "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=",
    }


def _blocks(language: str) -> str:
    text = (ROOT / "openapi" / "CALLBACKS.md").read_text(encoding="utf-8")
    (found,) = re.findall(rf"```{language}\n(.*?)```", text, re.DOTALL)
    return str(found)


def _signed(body: bytes, *, at: int | None = None) -> dict[str, str]:
    return dict(signed_headers(SECRET, "one", int(time.time()) if at is None else at, body))


def test_the_documented_python_verifies_it() -> None:
    space: dict[str, Any] = {}
    exec(_blocks("python"), space)  # noqa: S102 - our own page
    is_genuine: Callable[..., bool] = space["is_genuine"]
    body = b'{"type":"kit.created"}'
    assert is_genuine(SECRET, _signed(body), body)
    assert not is_genuine(SECRET, _signed(body), body + b" ")
    assert not is_genuine("whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw", _signed(body), body)
    assert not is_genuine(SECRET, {**_signed(body), "webhook-id": "two"}, body)
    assert not is_genuine(SECRET, _signed(body, at=int(time.time()) - 3600), body)


def test_the_documented_commands_verify_it(tmp_path: Path) -> None:
    if shutil.which("openssl") is None:
        pytest.skip("openssl is not installed")
    body = b'{"type":"kit.created"}'
    (tmp_path / "body.json").write_bytes(body)
    headers = _signed(body)
    done = subprocess.run(
        ["sh", "-eu", "-c", _blocks("sh")],
        cwd=tmp_path,
        env={
            "PATH": "/usr/bin:/bin",
            "SECRET": SECRET,
            "WEBHOOK_ID": headers["webhook-id"],
            "WEBHOOK_TIMESTAMP": headers["webhook-timestamp"],
        },
        capture_output=True,
        text=True,
        timeout=600,
        check=True,
    )
    assert headers["webhook-signature"] == f"v1,{done.stdout.strip()}"


#: Of each range that is not on the public internet, and every way to write one as IPv6.
NOT_PUBLIC = [
    "127.0.0.1", "127.255.255.254", "0.1.2.3", "10.0.0.1", "172.16.0.1", "172.31.255.255",
    "192.168.1.1", "169.254.169.254", "100.64.0.1", "192.0.0.8", "192.0.2.1", "198.18.0.1",
    "198.51.100.1", "203.0.113.1", "224.0.0.1", "239.255.255.250", "240.0.0.1", "255.255.255.255",
    "::", "::1", "fe80::1", "febf::1", "fc00::1", "fd12:3456::1", "fec0::1", "ff02::1",
    "2001:db8::1", "100::1", "::ffff:127.0.0.1", "::ffff:10.0.0.1", "::ffff:169.254.169.254",
    "::ffff:7f00:1", "::127.0.0.1", "64:ff9b::127.0.0.1", "64:ff9b::a9fe:a9fe", "64:ff9b:1::1",
    "2002:7f00:1::", "2002:a9fe:a9fe::1", "2001:0:7f00:1::",
]  # fmt: skip
PUBLIC = ["9.9.9.9", "172.32.0.1", "100.128.0.1", "2620:fe::fe", "64:ff9b::9.9.9.9"]


@pytest.fixture
def resolve(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[str]]:
    """Sets what a name resolves to, lookup by lookup; returns where connections went."""
    connected: list[str] = []

    def connect(address: tuple[str, int], **_: Any) -> socket.socket:
        connected.append(address[0])
        raise ConnectionRefusedError

    def use(*lookups: list[str]) -> list[str]:
        answers = iter(lookups)

        def look_up(host: str, port: int, **_: Any) -> list[Any]:
            assert host == NAME
            return [(0, socket.SOCK_STREAM, 6, "", (address, port)) for address in next(answers)]

        monkeypatch.setattr(socket, "getaddrinfo", look_up)
        monkeypatch.setattr(socket, "create_connection", connect)
        return connected

    return use


def _post(url: str, hosts: list[str], networks: list[str], timeout_s: float = LONG_S) -> int:
    destinations = Destinations(hosts, networks)
    body = b"{}"
    return post(destinations.destination(url), destinations, _signed(body), body, timeout_s).status


@pytest.mark.parametrize("address", NOT_PUBLIC)
def test_a_name_may_not_lead_off_the_public_internet(
    resolve: Callable[..., list[str]], address: str
) -> None:
    assert not is_public(ipaddress.ip_address(address))
    connected = resolve([address])
    with pytest.raises(RefusedError, match="outside the public internet"):
        _post(f"https://{NAME}/", [NAME], [])
    assert connected == []


@pytest.mark.parametrize("address", PUBLIC)
def test_a_name_may_lead_to_the_public_internet(
    resolve: Callable[..., list[str]], address: str
) -> None:
    connected = resolve([address])
    with pytest.raises(SendingError):
        _post(f"https://{NAME}/", [NAME], [])
    assert connected == [str(ipaddress.ip_address(address))]
    # In the clear only on networks that the operator has listed.
    resolve([address])
    with pytest.raises(RefusedError, match="use https"):
        _post(f"http://{NAME}/", [NAME], [])
    assert len(connected) == 1


def test_one_bad_address_among_several_is_enough(resolve: Callable[..., list[str]]) -> None:
    connected = resolve(["9.9.9.9", "10.0.0.1"])
    with pytest.raises(RefusedError):
        _post(f"https://{NAME}/", [NAME], [])
    assert connected == []


def test_a_name_is_resolved_once(resolve: Callable[..., list[str]]) -> None:
    """A name that leads elsewhere a moment later changes nothing (DNS rebinding)."""
    connected = resolve(["9.9.9.9", "149.112.112.112"], ["127.0.0.1"])
    with pytest.raises(SendingError, match="cannot be reached"):
        _post(f"https://{NAME}/", [NAME], [])
    assert connected == ["9.9.9.9", "149.112.112.112"]


@pytest.mark.parametrize("address", ["192.168.4.20", "::ffff:192.168.4.20", "fd12::7"])
def test_listed_networks_may_be_called(resolve: Callable[..., list[str]], address: str) -> None:
    connected = resolve([address])
    with pytest.raises(SendingError):
        _post(f"http://{NAME}/", [NAME], ["192.168.4.0/24", "fd12::/16"])
    assert connected == [str(ipaddress.ip_address(address))]
    resolve(["192.168.5.20"])
    with pytest.raises(RefusedError):
        _post(f"http://{NAME}/", [NAME], ["192.168.4.0/24"])


def test_a_name_without_addresses_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    def fails(*_: Any, **__: Any) -> list[Any]:
        raise socket.gaierror

    monkeypatch.setattr(socket, "getaddrinfo", fails)
    with pytest.raises(SendingError, match="cannot be resolved"):
        _post(f"https://{NAME}/", [NAME], [])


def test_a_resolver_that_does_not_answer_is_left(monkeypatch: pytest.MonkeyPatch) -> None:
    done = threading.Event()
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_, **__: done.wait(600) and [])
    try:
        with pytest.raises(SendingError, match="took too long"):
            _post(f"https://{NAME}/", [NAME], [], SHORT_S)
    finally:
        done.set()


@contextlib.contextmanager
def _serving(answer: Callable[[socket.socket], None]) -> Iterator[tuple[str, threading.Event]]:
    """Serve one connection; yields the URL, and an event that is set once it was closed."""
    closed = threading.Event()
    with socket.create_server(("127.0.0.1", 0)) as server:

        def serve() -> None:
            with contextlib.suppress(OSError):
                connection, _ = server.accept()
                with connection, contextlib.suppress(OSError):
                    connection.recv(65536)
                    answer(connection)
            closed.set()

        threading.Thread(target=serve, daemon=True).start()
        yield f"http://127.0.0.1:{server.getsockname()[1]}/", closed


def _host(url: str) -> list[str]:
    return [url.split("/")[2]]


def _drip(connection: socket.socket) -> None:
    for _ in range(6000):
        connection.sendall(b"H")
        time.sleep(0.1)


def _never_end(start: bytes) -> Callable[[socket.socket], None]:
    def answer(connection: socket.socket) -> None:
        connection.sendall(start)
        while True:
            connection.sendall(b"X-Filler: " + b"a" * 1000 + b"\r\n")

    return answer


@pytest.mark.parametrize(
    ("answer", "says"),
    [
        (_drip, "took too long"),
        (lambda _: time.sleep(SHORT_S * 2), "took too long"),
        (_never_end(b"HTTP/1.1 200 OK\r\n"), f"no end within {MAX_HEAD} bytes"),
        (_never_end(b"HTTP/1.1 103 Early Hints\r\n\r\n" * 9), f"no end within {MAX_HEAD} bytes"),
        (lambda connection: connection.sendall(b"SSH-2.0-x\r\n\r\n"), "not HTTP"),
        (lambda connection: connection.sendall(b"HTTP/1.1 2"), "without an answer"),
        (lambda _: None, "without an answer"),
    ],
)
def test_a_host_can_hold_nothing_up(answer: Callable[[socket.socket], None], says: str) -> None:
    timeout_s = SHORT_S if "long" in says else LONG_S
    with _serving(answer) as (url, closed), pytest.raises(SendingError, match=says):
        _post(url, _host(url), [], timeout_s)
    # It was left at once, whatever it still wanted to say.
    assert closed.wait(LONG_S)


@pytest.mark.parametrize("status", [200, 204, 302, 500])
def test_a_body_without_end_is_not_read(status: int) -> None:
    head = f"HTTP/1.1 100 Continue\r\n\r\nHTTP/1.1 {status} Why\r\nLocation: http://[::1]/\r\n\r\n"
    with _serving(_never_end(head.encode())) as (url, closed):
        assert _post(url, _host(url), []) == status
        assert closed.wait(LONG_S)


def test_nothing_can_be_smuggled_into_a_request() -> None:
    """Line breaks never get this far; a destination that has them cannot be sent."""
    destinations = Destinations([NAME], [])
    with receiving() as receiver:
        port = int(receiver.host.rpartition(":")[2])
        broken = Destination(False, "127.0.0.1", port, "/\r\nX-Injected: 1\r\n")
        with pytest.raises((SendingError, RefusedError)):
            post(broken, destinations, {}, b"", LONG_S)
        assert receiver.received == []


def _certificate(folder: Path) -> Path:
    subprocess.run(
        [
            "openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "2",
            "-subj", f"/CN={NAME}", "-addext", f"subjectAltName=DNS:{NAME}",
            "-keyout", str(folder / "key.pem"), "-out", str(folder / "cert.pem"),
        ],
        check=True, capture_output=True, timeout=600,
    )  # fmt: skip
    return folder / "cert.pem"


@pytest.mark.parametrize("name", [NAME, "other.example.org"])
def test_certificates_are_checked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """By the name in the URL, though the connection goes to an address."""
    if shutil.which("openssl") is None:
        pytest.skip("openssl is not installed")
    certificate = _certificate(tmp_path)
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, tmp_path / "key.pem")

    def answer(connection: socket.socket) -> None:
        with context.wrap_socket(connection, server_side=True) as secure:
            secure.recv(65536)
            secure.sendall(b"HTTP/1.1 200 OK\r\n\r\n")

    def accept(server: socket.socket) -> None:
        for _ in range(2):
            with contextlib.suppress(OSError):
                answer(server.accept()[0])

    with socket.create_server(("127.0.0.1", 0)) as server:
        threading.Thread(target=accept, args=(server,), daemon=True).start()
        port = server.getsockname()[1]
        row = (socket.AF_INET, socket.SOCK_STREAM, 6, "", ("127.0.0.1", port))
        monkeypatch.setattr(socket, "getaddrinfo", lambda *_, **__: [row])
        url, listed = f"https://{name}:{port}/", [f"{name}:{port}"]
        with pytest.raises(SendingError, match="certificate is not valid"):
            _post(url, listed, ["127.0.0.0/8"])
        monkeypatch.setenv("SSL_CERT_FILE", str(certificate))
        if name == NAME:
            assert _post(url, listed, ["127.0.0.0/8"]) == 200
        else:
            with pytest.raises(SendingError, match="certificate is not valid"):
                _post(url, listed, ["127.0.0.0/8"])


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("HOSTS", "https://hooks.example.org"),
        ("HOSTS", "hooks.example.org/path"),
        ("HOSTS", "hooks.example.org:x"),
        ("HOSTS", "me@hooks.example.org"),
        ("NETWORKS", "192.168.4.20/24"),
        ("NETWORKS", "studio"),
    ],
)
def test_lists_that_cannot_be_read_stop_the_start(name: str, wrong: str) -> None:
    with pytest.raises(SettingsError, match=f"QUARTERSEAM_CALLBACK_{name} must be"):
        from_environment({f"QUARTERSEAM_CALLBACK_{name}": wrong})


def test_hosts_and_networks_are_read() -> None:
    found = from_environment(
        {
            "QUARTERSEAM_CALLBACK_HOSTS": "Hooks.example.org, [::1]:8443,192.168.4.20",
            "QUARTERSEAM_CALLBACK_NETWORKS": "192.168.4.0/24,fd12::/16",
        }
    )
    assert found.callback_hosts == ("hooks.example.org", "[::1]:8443", "192.168.4.20")
    assert found.callback_networks == ("192.168.4.0/24", "fd12::/16")
