"""The first look at a store in an object store, by a process that ends at once.

The client of object stores starts threads, and a process with threads must not fork
(``service/storage/bucket_files.py``). The server's first process forks all others, so it leaves the
comparison of database and object store to a fork of its own.
"""

from __future__ import annotations

import os
import traceback

from service.settings import Settings
from service.storage.store import Store


def check_store_apart(settings: Settings) -> None:
    """Open the store in a process of its own.

    Raises:
        OSError: with what is wrong: the two do not belong together, or one does not answer.
    """
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reader)
        _look(settings, writer)
    os.close(writer)
    with os.fdopen(reader, "rb") as found:
        text = found.read().decode()
    _, status = os.waitpid(child, 0)
    if text or status:
        raise OSError(text or "The store could not be opened.")


def _look(settings: Settings, writer: int) -> None:
    """Open the store, write what is wrong, and end this process."""
    status = 1
    try:
        Store(settings).close()
        status = 0
    except OSError as error:
        os.write(writer, (error.strerror or str(error)).encode())
    except BaseException:  # noqa: BLE001 - this process ends here, whatever happens
        traceback.print_exc()
    finally:
        os._exit(status)
