"""Answers that this process found last, so that the same question need not be worked out again.

A preview is often followed by its kit, and a kit by the same one for another cloth; the kits of a
batch are mostly alike. What is kept depends on its question alone, so it is the same every time.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import lru_cache
from typing import Generic, TypeVar

T = TypeVar("T")
_ALL: list[RecentAnswers[object]] = []


class RecentAnswers(Generic[T]):
    """The answers to the questions that were asked last; safe for threads.

    Args:
        most: number of answers that are kept.
        is_kept: whether an answer that was made is small enough to be kept.
    """

    def __init__(self, most: int, is_kept: Callable[[T], bool] = lambda _answer: True) -> None:
        self._is_kept = is_kept

        @lru_cache(maxsize=most)
        def found(question: Hashable) -> list[T]:  # noqa: ARG001 - what the list is kept by
            return []

        self._found = found
        _ALL.append(self)  # type: ignore[arg-type] # they are only cleared there

    def known(self, question: Hashable) -> T | None:
        """Return the answer to a question; ``None`` where it is not known."""
        return next(iter(self._found(question)), None)

    def keep(self, question: Hashable, answer: T) -> None:
        """Keep an answer among those used last."""
        self._found(question).append(answer)

    def known_or_made(self, question: Hashable, make: Callable[[], T]) -> T:
        """Return the answer to a question: the one that is known, or else one that is made.

        Args:
            question: all that the answer depends on.
            make: makes it.
        """
        # Looked up once: to hash a question takes longer than all else here.
        kept = self._found(question)
        if kept:
            return kept[0]
        found = make()
        if self._is_kept(found):
            kept.append(found)
        return found

    def clear(self) -> None:
        """Remove all of them."""
        self._found.cache_clear()


def clear_all() -> None:
    """Remove the answers to questions of every kind."""
    for each in _ALL:
        each.clear()
