"""Commands that move kits' files: they wait until no other process does."""

from __future__ import annotations

import time
from collections.abc import Callable

from service.settings import from_environment
from service.storage.locks import alone
from service.storage.store import Store

_WAIT_S = 120
BUSY = "Another process sweeps or imports at the moment; try again later."


def when_alone(work: Callable[[Store], int]) -> int:
    """Run a command's work on the store once no other process sweeps or imports.

    Returns the exit code: the work's own, or 2 when others kept it waiting for two minutes.
    """
    store = Store(from_environment())
    try:
        for _ in range(_WAIT_S):
            with alone(store.engine, store.folder) as held:
                if held:
                    return work(store)
            time.sleep(1)
        print(BUSY)
    finally:
        store.close()
    return 2
