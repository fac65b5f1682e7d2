"""A receiver of callbacks on a free loopback port, and the check of what it received."""

from __future__ import annotations

import base64
import contextlib
import hashlib
import hmac
import json
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any

SECRET = "whsec_C2FVsBQIhrscChlQIMV+b5sSYspob7oD"  # noqa: S105 - of the tests


@dataclass(frozen=True)
class Received:
    """One request that came."""

    path: str
    headers: dict[str, str]
    body: bytes

    @property
    def data(self) -> dict[str, Any]:
        return dict(json.loads(self.body)["data"])

    def check(self, secret: str = SECRET) -> None:
        """Check the signature, by the text of the specification: HMAC over id.timestamp.body."""
        sent = self.headers["webhook-timestamp"]
        content = f"{self.headers['webhook-id']}.{sent}.".encode() + self.body
        key = base64.b64decode(secret.removeprefix("whsec_"))
        digest = base64.b64encode(hmac.digest(key, content, hashlib.sha256)).decode()
        assert self.headers["webhook-signature"] == f"v1,{digest}"
        assert abs(time.time() - int(sent)) < 3600
        assert "." not in self.headers["webhook-id"]


@dataclass
class Receiver:
    """What came, and what is answered: the statuses in turn, then 204."""

    url: str = ""
    statuses: list[int] = field(default_factory=list)
    headers: dict[str, str] = field(default_factory=dict)
    received: list[Received] = field(default_factory=list)
    #: Cleared, it makes the receiver hold its answers.
    may_answer: threading.Event = field(default_factory=threading.Event)
    came: threading.Event = field(default_factory=threading.Event)

    @property
    def host(self) -> str:
        return self.url.split("/")[2]

    @property
    def callback(self) -> dict[str, str]:
        return {"url": f"{self.url}/kits?shop=7", "secret": SECRET}


@contextlib.contextmanager
def receiving() -> Iterator[Receiver]:
    """Receive until the block ends."""
    receiver = Receiver()
    receiver.may_answer.set()

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            body = self.rfile.read(int(self.headers["Content-Length"]))
            headers = {name.lower(): value for name, value in self.headers.items()}
            receiver.received.append(Received(self.path, headers, body))
            receiver.came.set()
            receiver.may_answer.wait(600)
            status = receiver.statuses.pop(0) if receiver.statuses else 204
            with contextlib.suppress(OSError):
                self.send_response(status)
                for name, value in receiver.headers.items():
                    self.send_header(name, value)
                self.send_header("Content-Length", "0")
                self.end_headers()

        def log_message(self, *_: Any) -> None:
            """Log nothing."""

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    receiver.url = f"http://127.0.0.1:{server.server_port}"
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield receiver
    finally:
        receiver.may_answer.set()
        server.shutdown()
        server.server_close()
