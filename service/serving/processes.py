"""Names a server's processes, and releases what those that ended had claimed.

The server's first process sees at once when another one ends, however it ends. The process that
takes its place knows of it, because it is forked afterwards, and has time to reach the database.
"""

from __future__ import annotations

import logging
import secrets
from collections import deque
from typing import Any

from service.settings import Settings

#: How many ended processes are remembered. The claims of those before have expired by then.
_REMEMBERED = 100
_LOG = logging.getLogger(__name__)


class Processes:
    """The processes of one server."""

    def __init__(self) -> None:
        # Servers on several machines may share a database, and process ids are used again.
        self._server = secrets.token_hex(6)
        self._ended: deque[str] = deque(maxlen=_REMEMBERED)

    def name(self, worker: Any) -> str:  # noqa: ANN401 - gunicorn has no types
        """Return the name of a process; its age counts all that were started."""
        return f"{self._server}{worker.age:08x}"

    def end(self, worker: Any) -> None:  # noqa: ANN401 - as above
        """Note that a process has ended; called in the server's first process."""
        self._ended.append(self.name(worker))

    def release(self, settings: Settings) -> None:
        """Release the idempotency keys of requests that ended processes were answering."""
        from service.storage.store import Store  # noqa: PLC0415 - not at import

        if not self._ended:
            return
        try:
            store = Store(settings)
            count = store.claims.release_of(self._ended)
            store.close()
        except Exception:  # noqa: BLE001 - logged; they are free when their lease ends
            _LOG.exception("the idempotency keys of an ended process could not be released")
            return
        if count:
            _LOG.warning("released idempotency keys of an ended process", extra={"keys": count})
