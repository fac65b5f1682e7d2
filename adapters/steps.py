"""The steps of a computation, stated for a process that times or traces them.

Code that computes knows no clock. It states what it does next, and the process that it runs in may
have set an observer; without one a step costs nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager, nullcontext
from contextvars import ContextVar
from typing import TypeAlias

#: Called with the name of a step and what it is of; the step lasts as long as what is returned.
StepObserver: TypeAlias = Callable[[str, Mapping[str, str | int]], AbstractContextManager[object]]

_OBSERVER: ContextVar[StepObserver | None] = ContextVar("observer of steps", default=None)
_NOTHING: AbstractContextManager[object] = nullcontext()


def step(name: str, **about: str | int) -> AbstractContextManager[object]:
    """Return a context that lasts as long as a step.

    Args:
        name: of the step, such as ``layout``.
        about: what it is of, such as the number of a run.
    """
    observer = _OBSERVER.get()
    return _NOTHING if observer is None else observer(name, about)


@contextmanager
def observed_by(observer: StepObserver) -> Iterator[None]:
    """Have the steps of this thread observed until the block ends."""
    token = _OBSERVER.set(observer)
    try:
        yield
    finally:
        _OBSERVER.reset(token)
