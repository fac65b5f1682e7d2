"""Detects when a request has arrived completely, from its bytes alone.

The server reads requests in its event loop and gives one to a thread when nothing of it is missing,
so that a client that stops half way never holds a thread. A malformed request counts as complete;
gunicorn's parser then rejects it. Only that parser interprets requests.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

_END = b"\r\n\r\n"
_LINE_END = b"\r\n"
_CHUNK_SIZE = re.compile(rb"([0-9A-Fa-f]{1,15})(?:[ \t;].*)?", re.DOTALL)
_DIGITS = re.compile(rb"[0-9]{1,15}")
#: Bytes beyond the limit that a chunked body may have, because readers request more than they
#: return.
_SLACK = 1 << 16


@dataclass(frozen=True)
class ArrivalLimits:
    """Bounds on a request that is still arriving.

    Args:
        max_line_bytes: longest request line, header line or chunk size line.
        max_head_bytes: longest request line and headers together.
        max_body_bytes: longest body to wait for.
        head_s: time in which the headers must arrive.
        body_s: time in which the body must arrive, besides the time that its bytes add.
        min_body_bytes_per_s: rate at which received bytes extend that time.
    """

    max_line_bytes: int
    max_head_bytes: int
    max_body_bytes: int
    head_s: float
    body_s: float
    min_body_bytes_per_s: int


class IncomingRequest:
    """The bytes of one request as they arrive.

    Args:
        limits: their bounds.
        now: s, of a monotonic clock.
    """

    def __init__(self, limits: ArrivalLimits, now: float) -> None:
        self.buffer = bytearray()
        self.deadline = now + limits.head_s
        #: The client waits for permission to send the body (RFC 9110, section 10.1.1).
        self.awaits_continue = False
        self._limits = limits
        self._searched = 0
        self._body_from: int | None = None
        self._length: int | None = None
        self._chunk_at = 0
        self._chunked_bytes = 0
        self._base_deadline = self.deadline

    def feed(self, data: bytes, now: float) -> bool:
        """Add bytes; return whether the request is complete, or malformed."""
        self.buffer += data
        if self._body_from is None:
            if not self._find_head():
                return self._head_is_hopeless()
            self._base_deadline = now + self._limits.body_s
            if self._read_head():
                return True
        else:
            self.awaits_continue = False
        if self._is_body_whole():
            return True
        received = len(self.buffer) - (self._body_from or 0)
        self.deadline = self._base_deadline + received / self._limits.min_body_bytes_per_s
        return False

    def cap_deadline(self, deadline: float) -> None:
        """Set a deadline that received bytes cannot extend."""
        self.deadline = min(self.deadline, deadline)
        self._base_deadline = min(self._base_deadline, deadline)

    def _find_head(self) -> bool:
        at = self.buffer.find(_END, max(0, self._searched - len(_END)))
        self._searched = len(self.buffer)
        if at < 0:
            return False
        self._body_from = self._chunk_at = at + len(_END)
        return True

    def _head_is_hopeless(self) -> bool:
        """Return whether the parser would reject these headers, whatever follows."""
        if len(self.buffer) > self._limits.max_head_bytes:
            return True
        longest = self._limits.max_line_bytes + len(_LINE_END)
        return len(self.buffer) > longest and self.buffer.find(_LINE_END, 0, longest) < 0

    def _read_head(self) -> bool:
        """Read the body's length; return whether there is no body to wait for."""
        lengths, codings = [], []
        for line in bytes(self.buffer[: self._body_from]).split(_LINE_END)[1:]:
            name, _, value = line.partition(b":")
            name = name.strip().lower()
            if name == b"content-length":
                lengths.append(value.strip())
            elif name == b"transfer-encoding":
                codings.append(value.strip().lower())
            elif name == b"expect":
                self.awaits_continue = value.strip().lower() == b"100-continue"
        if codings:
            return bool(lengths) or codings != [b"chunked"]
        if len(lengths) != 1 or not _DIGITS.fullmatch(lengths[0]):
            return True
        self._length = int(lengths[0])
        # A body declared too long is rejected without waiting for it.
        return self._length > self._limits.max_body_bytes

    def _is_body_whole(self) -> bool:
        if self._length is not None:
            return len(self.buffer) >= (self._body_from or 0) + self._length
        return self._are_chunks_whole()

    def _are_chunks_whole(self) -> bool:
        """Parse the chunks that have arrived (RFC 9112, section 7.1)."""
        while True:
            end = self.buffer.find(_LINE_END, self._chunk_at)
            if end < 0:
                return len(self.buffer) - self._chunk_at > self._limits.max_line_bytes
            size = _CHUNK_SIZE.fullmatch(self.buffer, self._chunk_at, end)
            if size is None:
                return True
            start, count = end + len(_LINE_END), int(size[1], 16)
            if count == 0:
                return self._are_trailers_whole(start)
            there = self._chunked_bytes + min(count, len(self.buffer) - start)
            if there > self._limits.max_body_bytes + _SLACK:
                return True
            after = start + count + len(_LINE_END)
            if len(self.buffer) < after:
                return False
            if self.buffer[start + count : after] != _LINE_END:
                return True
            self._chunked_bytes += count
            self._chunk_at = after

    def _are_trailers_whole(self, start: int) -> bool:
        if self.buffer[start : start + len(_LINE_END)] == _LINE_END:
            return True
        too_many = len(self.buffer) - start > self._limits.max_head_bytes
        return too_many or self.buffer.find(_END, start) >= 0
