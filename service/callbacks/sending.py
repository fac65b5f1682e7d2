"""One attempt to deliver a message: a POST to an address that was checked, bounded in every way.

Written on sockets, because only the status line and the headers of the answer matter: nothing is
followed, decoded or kept, and time and size are bounded as a whole, not per read.
"""

from __future__ import annotations

import ipaddress
import re
import socket
import ssl
import threading
import time
from collections.abc import Mapping
from dataclasses import dataclass

from service.callbacks.addresses import Address
from service.callbacks.destinations import Destination, Destinations

#: Most bytes of an answer that are read.
MAX_HEAD = 1 << 16
_PART = 4096
_STATUS = re.compile(rb"HTTP/1\.[01] ([1-9][0-9]{2})[ \r]")
_RETRY_AFTER = re.compile(rb"\r\nretry-after:[ \t]*([0-9]{1,9})[ \t]*\r\n", re.IGNORECASE)
_END = b"\r\n\r\n"
_FINAL = 200


class SendingError(Exception):
    """A message that could not be delivered; the message says why."""


@dataclass(frozen=True)
class ReceiverAnswer:
    """A receiver's answer.

    Args:
        status: of HTTP.
        retry_after_s: seconds that it asks to wait; 0 when it does not.
    """

    status: int
    retry_after_s: int = 0


class AttemptDeadline:
    """The end of an attempt.

    Args:
        timeout_s: seconds from now.
    """

    def __init__(self, timeout_s: float) -> None:
        self._until = time.monotonic() + timeout_s

    def left_s(self) -> float:
        """Return the seconds that are left.

        Raises:
            SendingError: when none are.
        """
        left = self._until - time.monotonic()
        if left <= 0.0:
            raise SendingError("the host took too long")
        return left


def post(
    destination: Destination,
    destinations: Destinations,
    headers: Mapping[str, str],
    body: bytes,
    timeout_s: float,
) -> ReceiverAnswer:
    """Send a message and return the answer, whatever its status.

    The host's name is resolved once; every address is checked, and the connection goes to one of
    these, whatever the name resolves to afterwards.

    Raises:
        RefusedError: when an address may not be called.
        SendingError: when there is no answer in time, or none that can be read.
    """
    deadline = AttemptDeadline(timeout_s)
    found = _resolve(destination, deadline)
    destinations.check_addresses(destination, found)
    head = _head(destination, headers, body)
    try:
        with _connect(destination, found, deadline) as connection:
            connection.settimeout(deadline.left_s())
            connection.sendall(head + body)
            return _read(connection, deadline)
    except (OSError, ValueError) as error:
        raise SendingError(_reason(error)) from None


def _resolve(destination: Destination, deadline: AttemptDeadline) -> list[Address]:
    """Return a host's addresses, in the resolver's order."""
    found: list[Address] = []
    failed: list[OSError] = []

    def look_up() -> None:
        try:
            rows = socket.getaddrinfo(destination.host, destination.port, type=socket.SOCK_STREAM)
        except (OSError, UnicodeError) as error:
            failed.append(OSError(str(error)))
            return
        found.extend(dict.fromkeys(ipaddress.ip_address(row[4][0]) for row in rows))

    # The resolver takes no time limit, so it is left behind when it is late.
    thread = threading.Thread(target=look_up, name="resolver", daemon=True)
    thread.start()
    thread.join(deadline.left_s())
    deadline.left_s()
    if failed or not found:
        raise SendingError("the host's name cannot be resolved")
    return found


def _connect(
    destination: Destination, found: list[Address], deadline: AttemptDeadline
) -> socket.socket:
    """Return a connection to the first address that takes one."""
    last: OSError = OSError("no address")
    for address in found:
        try:
            plain = socket.create_connection(
                (str(address), destination.port), timeout=deadline.left_s()
            )
        except OSError as error:
            last = error
            continue
        if not destination.is_secure:
            return plain
        try:
            plain.settimeout(deadline.left_s())
            context = ssl.create_default_context()
            return context.wrap_socket(plain, server_hostname=destination.host)
        except BaseException:
            plain.close()
            raise
    raise last


def _head(destination: Destination, headers: Mapping[str, str], body: bytes) -> bytes:
    lines = {
        "Host": destination.authority,
        "Content-Type": "application/json",
        "Content-Length": str(len(body)),
        "User-Agent": "quarterseam",
        "Connection": "close",
        **headers,
    }
    text = "".join(f"{name}: {value}\r\n" for name, value in lines.items())
    return f"POST {destination.target} HTTP/1.1\r\n{text}\r\n".encode("ascii")


def _read(connection: socket.socket, deadline: AttemptDeadline) -> ReceiverAnswer:
    """Read an answer's status and headers; its body is not read."""
    read, size = b"", 0
    while True:
        head, end, rest = read.partition(_END)
        if end:
            status = _STATUS.match(head + end)
            if status is None:
                raise SendingError("the host's answer is not HTTP")
            if int(status[1]) >= _FINAL:
                wait = _RETRY_AFTER.search(head + end)
                return ReceiverAnswer(int(status[1]), int(wait[1]) if wait else 0)
            # An interim answer (RFC 9110, 15.2): the final one follows.
            read = rest
            continue
        connection.settimeout(deadline.left_s())
        part = connection.recv(_PART)
        size += len(part)
        if not part:
            raise SendingError("the host closed the connection without an answer")
        if size > MAX_HEAD:
            raise SendingError(f"the host's answer has no end within {MAX_HEAD} bytes")
        read += part


def _reason(error: OSError | ValueError) -> str:
    if isinstance(error, TimeoutError):
        return "the host took too long"
    if isinstance(error, ssl.SSLCertVerificationError):
        return f"the host's certificate is not valid: {error.verify_message}"
    if isinstance(error, ssl.SSLError):
        return "the host does not speak TLS as expected"
    return f"the host cannot be reached: {type(error).__name__}"
