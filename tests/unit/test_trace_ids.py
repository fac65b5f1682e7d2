"""Ids of requests and traces: no two alike, in threads and in forked processes."""

from __future__ import annotations

import os
import re
from concurrent.futures import ThreadPoolExecutor

from service.tracing.trace_context import new_id


def test_ids_have_the_width_of_a_random_uuid_and_are_unique() -> None:
    with ThreadPoolExecutor(8) as threads:
        found = list(threads.map(lambda _: new_id(), range(5_000)))
    assert len(set(found)) == 5_000
    assert all(re.fullmatch("[0-9a-f]{32}", each) for each in found)


def test_a_forked_process_has_ids_of_its_own() -> None:
    new_id()
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        os.write(writing, "".join(new_id() for _ in range(300)).encode())
        os._exit(0)
    os.waitpid(child, 0)
    text = os.read(reading, 1 << 16).decode()
    os.close(reading)
    os.close(writing)
    theirs = {text[at : at + 32] for at in range(0, len(text), 32)}
    assert len(theirs) == 300
    assert not theirs & {new_id() for _ in range(300)}
