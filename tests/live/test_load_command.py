"""``python -m service load``: what operators put on their own server, and what it prints."""

from __future__ import annotations

import json
import re
import shutil
import ssl
import subprocess
import threading
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest
import requests

from service.cli import main
from service.cli.load import LoadFigures

_LINE = re.compile(
    r"(\w+) +(\d+) requests +([\d.]+)/s  p50 ([\d.]+)  p95 ([\d.]+)  p99 ([\d.]+) ms  "
    r"(\d+) refused by a full server  (\d+) errors(.*)"
)


def _lines(output: str) -> dict[str, tuple[str, ...]]:
    found = [_LINE.fullmatch(line) for line in output.splitlines()]
    return {line[1]: line.groups()[1:] for line in found if line is not None}


def test_every_kind_is_timed_and_nothing_is_left(
    server: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    before = requests.get(f"{server.url}/v1/kits", timeout=600).json()["kits"]
    assert main(["load", server.url, "--clients", "3", "--seconds", "2"]) == 0
    lines = _lines(capsys.readouterr().out)
    assert set(lines) == {"outlines", "layouts", "kits"}
    for number, _, p50, p95, p99, full, errors, rest in lines.values():
        assert int(number) >= 1
        assert 0.0 < float(p50) <= float(p95) <= float(p99)
        assert (full, errors, rest) == ("0", "0", "")
    assert requests.get(f"{server.url}/v1/kits", timeout=600).json()["kits"] == before


def test_a_limit_that_is_exceeded_fails(server: Any, capsys: pytest.CaptureFixture[str]) -> None:
    few = ["load", server.url, "--clients", "1", "--seconds", "1", "--kind", "outlines"]
    assert main([*few, "--max-p99-ms", "0.001"]) == 1
    assert main([*few, "--max-p99-ms", "600000", "--same"]) == 0
    assert set(_lines(capsys.readouterr().out)) == {"outlines"}


def test_a_request_of_ones_own(
    server: Any, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "own.json"
    own.write_text(json.dumps({"pieces": [], "runs": []}))
    stated = ["load", server.url, "--clients", "1", "--seconds", "1", "--kind", "layouts"]
    assert main([*stated, "--request", str(own)]) == 1
    ((_, *_, errors, rest),) = _lines(capsys.readouterr().out).values()
    assert int(errors) >= 1
    assert "422" in rest
    own.write_text("{")
    assert main([*stated, "--request", str(own)]) == 2
    assert "is not JSON" in capsys.readouterr().err


@pytest.mark.long
def test_a_key_is_sent(make_server: Any, tmp_path: Path) -> None:
    server = make_server(QUARTERSEAM_AUTH="on", QUARTERSEAM_KEY_FILE=str(tmp_path / "key"))
    few = ["load", server.url, "--clients", "1", "--seconds", "1", "--kind", "outlines"]
    assert main(few) == 1
    assert main([*few, "--key-file", str(tmp_path / "key")]) == 0


class _Relay(BaseHTTPRequestHandler):
    """Passes requests on to a server, as a proxy with TLS does."""

    target = ""
    protocol_version = "HTTP/1.1"

    def _pass_on(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length", 0)))
        names = ("Authorization", "Content-Type")
        headers = {name: self.headers[name] for name in names if name in self.headers}
        url = self.target + self.path
        answer = requests.request(self.command, url, data=body, headers=headers, timeout=600)
        self.send_response(answer.status_code)
        self.send_header("Content-Length", str(len(answer.content)))
        self.end_headers()
        self.wfile.write(answer.content)

    do_POST = do_DELETE = _pass_on  # noqa: N815 - as the library calls them

    def log_message(self, *_: object) -> None:
        """Write nothing."""


def test_a_key_is_sent_over_tls(
    make_server: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    if shutil.which("openssl") is None:
        pytest.skip("openssl is not installed")
    key, certificate = tmp_path / "tls.key", tmp_path / "tls.pem"
    command = (
        "openssl req -x509 -newkey ec -pkeyopt ec_paramgen_curve:prime256v1 -nodes -days 2 "
        f"-subj /CN=localhost -addext subjectAltName=DNS:localhost -keyout {key} -out {certificate}"
    )
    subprocess.run(command.split(), check=True, capture_output=True, timeout=600)
    server = make_server(QUARTERSEAM_AUTH="on", QUARTERSEAM_KEY_FILE=str(tmp_path / "key"))
    relay = ThreadingHTTPServer(("127.0.0.1", 0), type("Relay", (_Relay,), {"target": server.url}))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(certificate, key)
    relay.socket = context.wrap_socket(relay.socket, server_side=True)
    threading.Thread(target=relay.serve_forever, daemon=True).start()
    few = ["load", f"https://localhost:{relay.server_port}", "--clients", "1", "--seconds", "1"]
    stated = [*few, "--key-file", str(tmp_path / "key"), "--kind", "kits"]
    try:
        # An unknown certificate is not trusted.
        assert main(stated) == 1
        monkeypatch.setenv("SSL_CERT_FILE", str(certificate))
        assert main([*stated, "--max-p99-ms", "600000"]) == 0
    finally:
        relay.shutdown()
        relay.server_close()


@pytest.fixture(autouse=True)
def _key(tmp_path: Path) -> None:
    (tmp_path / "key").write_text("studio." + "a1" * 32)


@pytest.mark.parametrize(
    ("arguments", "text"),
    [
        (["ftp://127.0.0.1"], "URL must be"),
        (["127.0.0.1:8080"], "URL must be"),
        (["http://127.0.0.1", "--clients", "0"], "--clients must be"),
        (["http://127.0.0.1", "--key-file", "/nowhere/key"], "No such file"),
    ],
)
def test_what_cannot_be_used_is_said(
    arguments: list[str], text: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["load", *arguments]) == 2
    assert text in capsys.readouterr().err


def test_a_server_that_is_not_there_is_an_error(
    free_port: int, capsys: pytest.CaptureFixture[str]
) -> None:
    url = f"http://127.0.0.1:{free_port}"
    assert main(["load", url, "--clients", "1", "--seconds", "0.2", "--kind", "outlines"]) == 1
    assert "no answer" in capsys.readouterr().out


def test_percentiles_by_the_nearest_rank() -> None:
    """Worked by hand: of 1 to 100 ms, p50 is the 50th, p95 the 95th, p99 the 99th."""
    figures = LoadFigures([number / 1000.0 for number in range(100, 0, -1)])
    assert [round(figures.percentile_ms(p), 6) for p in (0.5, 0.95, 0.99)] == [50.0, 95.0, 99.0]
    assert LoadFigures([0.007]).percentile_ms(0.99) == 7.0
    assert LoadFigures().percentile_ms(0.5) == 0.0
