"""Progress of a command: a bar on a terminal, plain lines elsewhere, nothing for short work."""

from __future__ import annotations

import contextlib
import shutil
import sys
import time
from collections.abc import Callable, Iterator
from typing import TextIO

Progress = Callable[[float, str], None]
#: Time between lines, so that the log of a nightly run stays short.
_LINES_APART_S = 2.0
_BAR = "{percentage:3.0f} % |{bar:30}| {elapsed}  {desc}"


def unseen(_: float, __: str) -> None:
    """Show nothing."""


@contextlib.contextmanager
def shown(stream: TextIO | None = None) -> Iterator[Progress]:
    """Yield a function that shows a command's progress, from 0 to 1, and its phase.

    Args:
        stream: where it is shown; standard error when ``None``, so that standard output holds only
            the command's result.
    """
    stream = sys.stderr if stream is None else stream
    if not stream.isatty():
        yield _lines(stream)
        return
    # Imported here because only terminals need it.
    from tqdm import tqdm  # noqa: PLC0415

    # Removed at the end, when the result is printed.
    columns = shutil.get_terminal_size().columns
    bar = tqdm(total=1.0, file=stream, bar_format=_BAR, leave=False, mininterval=0.1, ncols=columns)

    def show(done: float, doing: str) -> None:
        bar.set_description_str(doing, refresh=False)
        bar.update(max(0.0, done - bar.n))

    with bar:
        yield show


def _lines(stream: TextIO) -> Progress:
    last = time.monotonic()

    def show(done: float, doing: str) -> None:
        nonlocal last
        now = time.monotonic()
        if now - last >= _LINES_APART_S:
            last = now
            print(f"{100 * done:3.0f} % {doing}", file=stream, flush=True)

    return show
