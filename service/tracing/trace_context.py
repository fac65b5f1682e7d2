"""The header ``traceparent`` of W3C Trace Context (https://www.w3.org/TR/trace-context/)."""

from __future__ import annotations

import os
import re
from collections import deque
from dataclasses import dataclass

# Version, trace id, parent id, flags. Later versions may have more behind them (section 4.3).
_HEADER = re.compile(r"([0-9a-f]{2})-([0-9a-f]{32})-([0-9a-f]{16})-([0-9a-f]{2})(-.*)?")
_FIRST, _INVALID = "00", "ff"
_SAMPLED = 0x01
_NO_TRACE, _NO_SPAN = "0" * 32, "0" * 16
_SPAN_DIGITS = 16
#: Random bytes of an id, as a random UUID has; ids that are drawn at once, and those that are left.
_ID_BYTES, _IDS_AT_ONCE = 16, 256
_IDS: deque[str] = deque()
# A process that is forked draws its own.
os.register_at_fork(after_in_child=_IDS.clear)


@dataclass(frozen=True)
class TraceContext:
    """A place in a trace.

    Args:
        trace_id: 32 hexadecimal digits.
        span_id: 16 hexadecimal digits, of the span that caused what follows.
        is_sampled: whether the process that made the span may have recorded it.
    """

    trace_id: str
    span_id: str
    is_sampled: bool = True

    @property
    def traceparent(self) -> str:
        """The header's value, of version 00."""
        return f"00-{self.trace_id}-{self.span_id}-{_SAMPLED if self.is_sampled else 0:02x}"


def parse(header: str | None) -> TraceContext | None:
    """Return the place in a trace that a header states; ``None`` for one that cannot be used."""
    found = _HEADER.fullmatch(header or "")
    if found is None:
        return None
    version, trace_id, span_id, flags, more = found.groups()
    if version == _INVALID or (version == _FIRST and more is not None):
        return None
    if trace_id == _NO_TRACE or span_id == _NO_SPAN:
        return None
    return TraceContext(trace_id, span_id, bool(int(flags, 16) & _SAMPLED))


def new_context(trace_id: str = "") -> TraceContext:
    """Return the first place of a trace, of a new one where no id is given."""
    return TraceContext(trace_id or new_id(), new_id()[:_SPAN_DIGITS])


def new_id() -> str:
    """Return 32 hexadecimal digits that nothing else has, in any process."""
    try:
        return _IDS.pop()
    except IndexError:
        # One call to the system for many ids: each hands the interpreter's lock to another thread.
        drawn = os.urandom(_ID_BYTES * _IDS_AT_ONCE).hex()
        width = 2 * _ID_BYTES
        _IDS.extend(drawn[at : at + width] for at in range(width, len(drawn), width))
        return drawn[:width]
